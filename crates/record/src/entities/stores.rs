//! Where things are and what is to be had: containers and orders.

use crate::entity::entity;
use crate::field::{Given, Line, OnDay, Price, To, Word};
use crate::name::of;
use crate::words::OrderState;

entity! {
    /// A bag, bin, box or shelf with a short code.
    Container / ContainerFields / ContainerRef {
        /// The code on its label, `B14`.
        must code: Line = "Code on its label",
        /// What is in it.
        may name: Line = "What is in it",
        /// The container it lies in.
        may inside: To<of::Container> = "Stands in",
        /// Where it stands, where it lies in no other.
        may place: Line = "Where it stands",
    }
}

entity! {
    /// Something to find, ask for, buy or return.
    Order / OrderFields / OrderRef {
        /// What.
        must what: Line = "What",
        /// The part it is for.
        may part: To<of::Part> = "Part",
        /// How it stands.
        may state: Word<OrderState> = "State",
        /// From whom.
        may from: Line = "From whom",
        /// What it costs.
        may price: Price = "Price",
        /// When it is due.
        may due: OnDay = "Due",
        /// The day it was entered.
        may on: OnDay = "Day",
        /// The reading that it mends.
        may remedy_of: To<of::Reading> = "Mends the reading",
    }
}
