//! The data folder: whether its keeper is to be asked which device it is, and the words that a passphrase may be made of.

use record::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Why it is asked whether a folder is the same device, or a copy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum FolderDoubt {
    /// It lies elsewhere than it did.
    Place,
    /// It has come without its key.
    Key,
    /// Its key cannot be read.
    Damaged,
    /// Something else has written as this device.
    Twin,
}

/// How the data folder stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FolderPage {
    /// Why its keeper has to say which device it is; nothing is written and nobody met until then.
    pub doubt: Option<FolderDoubt>,
    /// The same, as a sentence.
    pub says: Option<String>,
    /// What this device is called; nothing before the first record.
    pub device: Option<String>,
    /// The cars whose pages read what another version made, where nobody is making it anew.
    pub old_tables: Vec<OldTables>,
}

/// A car whose pages read what another version of the program made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct OldTables {
    /// Which.
    pub record: Id,
    /// Why, and what that means, as a sentence.
    pub says: String,
}

/// What was given up of what a check told is gone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct GivenUp {
    /// A sentence each.
    pub says: Vec<String>,
}

/// A passphrase that is proposed. It is kept nowhere.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Proposed {
    /// Six words.
    pub words: String,
}

/// Long work that goes on: a check, the read tables made anew, a carry file on its way out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Underway {
    /// The number by which it is stopped.
    pub number: u32,
    /// The command that it is.
    pub name: String,
    /// How far it is, as a sentence says it.
    pub says: String,
    /// Whether it can be stopped.
    pub can_be_stopped: bool,
    /// Whether it is over, done or stopped.
    pub over: bool,
}
