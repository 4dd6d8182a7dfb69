//! What is named in nearly every page: who did it, what it is, and the line through it.

use record::{Id, Moment, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Whose it is, on which device, when.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct By {
    /// The keeper; nothing for what the program laid down itself.
    pub keeper: Option<Id>,
    /// Their name.
    pub name: String,
    /// The pattern of their line: `plain`, `dashed`, `dotted`, `double`.
    pub pattern: String,
    /// The device's name.
    pub device: String,
    /// When, by that device's clock.
    pub at: Moment,
}

/// A line through an entry: why, and by whom.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct StruckOut {
    /// Why.
    pub why: String,
    /// Who and when.
    pub by: By,
}

/// Something that can be named in a list and gone to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Named {
    /// What it is.
    pub name: Ref,
    /// What it is called.
    pub title: String,
}
