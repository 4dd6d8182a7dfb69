//! One entry with what it takes to read it: what its fields name, and who wrote what stands in them. It holds back no field,
//! those of a newer program neither.

use record::{Entry, Id, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// An entry with the titles of what it names and the names of those who wrote it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct EntryPage {
    /// The entry itself, with every value that stands for every field.
    #[serde(flatten)]
    pub entry: Entry,
    /// What it is called, whole, with its position.
    pub title: String,
    /// What its fields name, by whichever value that stands.
    pub names: Vec<NamedBy>,
    /// The devices that wrote what stands in it.
    pub writers: Vec<Writer>,
    /// Of a part, where it is: as somebody said, and where nobody did, as its assembly stands.
    pub lies: Option<String>,
}

/// What a field of an entry names.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct NamedBy {
    /// The field; of an element of a set, the set.
    pub field: String,
    /// What it names.
    pub name: Ref,
    /// What that is called; nothing where it is not here.
    pub title: Option<String>,
}

/// A device that wrote something, and whose it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Writer {
    /// Which device.
    pub device: Id,
    /// What its keeper calls it; empty where the record does not say.
    pub name: String,
    /// Whose it is; empty where the record does not say.
    pub keeper_name: String,
}
