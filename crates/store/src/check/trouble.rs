//! One thing that a check found, and how bad it is. It finds nothing itself.

use record::Id;
use serde::Serialize;

/// How bad something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Something is not as it was written.
    Broken,
    /// Worth knowing; nothing is wrong with the record.
    Note,
}

/// One thing that a check found.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Trouble {
    /// How bad it is.
    pub level: Level,
    /// What sort of thing it is, for faces.
    pub code: &'static str,
    /// The record it is in, where it is in one.
    pub record: Option<Id>,
    /// What was found, what it means, what to do.
    pub says: String,
}

impl Trouble {
    pub(super) fn broken(code: &'static str, record: Option<&Id>, says: impl Into<String>) -> Self {
        Self {
            level: Level::Broken,
            code,
            record: record.cloned(),
            says: says.into(),
        }
    }

    pub(super) fn note(code: &'static str, record: Option<&Id>, says: impl Into<String>) -> Self {
        Self {
            level: Level::Note,
            code,
            record: record.cloned(),
            says: says.into(),
        }
    }
}
