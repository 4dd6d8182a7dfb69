//! Where things are and what is to be had: containers and orders.

use super::{Part, Reading};
use crate::entity::entity;
use crate::field::{Given, Line, OnDay, Price, To, Word};
use crate::words::OrderState;

entity! {
    /// A bag, bin, box or shelf with a short code.
    Container / ContainerFields / ContainerRef {
        /// The code on its label, `B14`.
        must code: Line,
        /// What is in it.
        may name: Line,
        /// The container it lies in.
        may inside: To<Container>,
        /// Where it stands, where it lies in no other.
        may place: Line,
    }
}

entity! {
    /// Something to find, ask for, buy or return.
    Order / OrderFields / OrderRef {
        /// What.
        must what: Line,
        /// The part it is for.
        may part: To<Part>,
        /// How it stands.
        may state: Word<OrderState>,
        /// From whom.
        may from: Line,
        /// What it costs.
        may price: Price,
        /// When it is due.
        may due: OnDay,
        /// The day it was entered.
        may on: OnDay,
        /// The reading that it mends.
        may remedy_of: To<Reading>,
    }
}
