//! How it stands tonight: what anyone must know before touching the car.

use record::{Day, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::{By, Named};

/// One thing that can hurt somebody, and has no end.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Tonight {
    /// The finding that says so.
    pub name: Ref,
    /// What it says.
    pub what: String,
    /// What it is about; nothing where that is the car as it stands.
    pub about: Option<Named>,
    /// The assembly that is in, where it is not itself one.
    pub within: Option<Named>,
    /// Whether what is around it is closed, so that nobody sees it.
    pub closed: bool,
    /// The job that is to mend it.
    pub job: Option<Named>,
    /// Whether it is only suspected, and nobody has looked since.
    pub suspected: bool,
    /// Why it is lived with, where somebody says so: it is a danger all the same.
    pub lived_with: Option<String>,
    /// Whether somebody has said how it ended: by a job that is not done yet, or at odds with another.
    pub ended: bool,
    /// Whether it is among the points to settle: two are not at one about it.
    pub asks: bool,
    /// Who said so, when.
    pub by: By,
    /// The day it was said of.
    pub on: Option<Day>,
}
