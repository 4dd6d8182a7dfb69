//! What a keeper prefers of answers: the units, and how a bare number is taken.
//!
//! Never kept in a record: it belongs to a device.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// The units a keeper prefers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
pub enum Units {
    /// mm, N·m, cm³.
    #[default]
    Metric,
    /// in, lbf·ft, in³.
    Inch,
}

/// What a keeper prefers. It lives on each device, not in the record.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(default)]
#[ts(rename = "ReckonPreferences")]
#[schemars(rename = "ReckonPreferences")]
pub struct Preferences {
    /// Which units answers are in.
    pub units: Units,
    /// Is a bare number taken to be in the argument's unit, because that unit stands beside the field? Otherwise it is
    /// asked about.
    pub bare_numbers: bool,
}
