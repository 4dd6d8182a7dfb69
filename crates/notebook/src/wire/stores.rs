//! Stores, as plain lists for now, and what a search finds.

use record::words::{OldOne, OrderState};
use record::{Day, Id};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::Named;

/// A container in the list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ContainerLine {
    /// Which.
    pub id: Id,
    /// The code on its label.
    pub code: String,
    /// What is in it.
    pub name: Option<String>,
    /// Where it stands.
    pub place: Option<String>,
    /// How deep it lies: 0 at the top.
    pub depth: u32,
    /// The parts in it.
    pub parts: Vec<Named>,
}

/// An order in the list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct OrderLine {
    /// Which.
    pub id: Id,
    /// What.
    pub what: String,
    /// The part it is for.
    pub part: Option<Named>,
    /// How it stands.
    pub state: OrderState,
    /// From whom.
    pub from: Option<String>,
    /// `GBP 12.50`.
    pub price: Option<String>,
    /// When it is due.
    pub due: Option<Day>,
}

/// An old part, of which somebody said what becomes of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct OldPartLine {
    /// The part in whose place another comes.
    pub part: Named,
    /// What becomes of the old one.
    pub old_one: OldOne,
    /// Where the part is, in words.
    pub lies: String,
}

/// The Stores place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct StoresPage {
    /// Containers as they nest.
    pub containers: Vec<ContainerLine>,
    /// Containers that were struck out and in which something was left.
    pub in_struck: Vec<super::InStruck>,
    /// Parts that are in no container.
    pub nowhere: Vec<Named>,
    /// Orders, those still to be found first.
    pub orders: Vec<OrderLine>,
    /// Old parts, what is owed to somebody first, then what is to be sold.
    pub old_parts: Vec<OldPartLine>,
}

/// One that is there already, as a hint beside what is typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AlikeLine {
    /// Which.
    pub what: Named,
    /// How it stands, in words.
    pub says: String,
    /// Since when.
    pub on: Option<Day>,
}

/// What is there already of what is being typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AlikePage {
    /// The nearest, three at most.
    pub found: Vec<AlikeLine>,
    /// The next code that nothing bears; of a container only.
    pub free: Option<String>,
}

/// Something that a search found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Hit {
    /// What it is.
    pub what: Named,
    /// The line it was found in, in words; empty where that is its title.
    pub line: String,
    /// Where it is: the assembly that it is in, or what it is about.
    pub within: Option<Named>,
    /// Of a part, where it lies.
    pub lies: Option<String>,
    /// Of a part, what becomes of the old one.
    pub old_one: Option<OldOne>,
    /// Struck out.
    pub struck: bool,
}

/// A trade word, explained.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Explained {
    /// Its names.
    pub names: Vec<String>,
    /// What it is, in one line.
    pub means: String,
}

/// A sum of money.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Sum {
    /// As a record keeps it: `GBP 86.00`.
    pub kept: String,
}
