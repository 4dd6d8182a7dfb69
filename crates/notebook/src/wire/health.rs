//! Health: what a check found, a record's digest, and what a rebuild made. Nothing is looked at here.

use record::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// One thing that a check found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct HealthLine {
    /// Whether something is broken; else it is worth knowing and nothing is wrong.
    pub broken: bool,
    /// What sort of thing it is.
    pub code: String,
    /// The record it is in.
    pub record: Option<Id>,
    /// What was found, what it means, what to do.
    pub says: String,
}

/// What a check found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct HealthReport {
    /// Whether nothing is broken.
    pub sound: bool,
    /// What was found, what is broken first.
    pub found: Vec<HealthLine>,
}

/// A digest of a record and its photos.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RecordDigest {
    /// BLAKE3 over the document's digest and the photos it names.
    pub digest: String,
    /// The newest changes.
    pub heads: Vec<String>,
    /// How many changes.
    pub changes: u32,
    /// How many entries.
    pub entries: u32,
    /// How many photos it names.
    pub photos: u32,
    /// How many points are to be settled.
    pub points: u32,
}

/// What a rebuild made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RebuildReport {
    /// Entries made anew.
    pub entries: u32,
    /// Points found.
    pub points: u32,
    /// Whether the tables are now other than they were.
    pub changed: bool,
}
