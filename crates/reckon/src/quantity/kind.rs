//! Kinds of quantity: what a unit measures.
//!
//! Never knows a unit: which of them belong to a kind is in `usual`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What is measured. Each kind has one base unit, in which exact values are kept.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
#[ts(rename = "QuantityKind")]
#[schemars(rename = "QuantityKind")]
pub enum Kind {
    /// A plain number or a ratio; no unit, or `%`.
    Number,
    /// Base mm.
    Length,
    /// Base mm².
    Area,
    /// Base cm³.
    Volume,
    /// Base kg.
    Mass,
    /// Base g/cm³.
    Density,
    /// Base N.
    Force,
    /// Base N·m.
    Torque,
    /// Pressure and stress, base kPa.
    Pressure,
    /// Base degree.
    Angle,
    /// Base °C.
    Temperature,
    /// Base m/s.
    Speed,
    /// Turning speed, base rpm.
    Turning,
    /// Base s.
    Time,
    /// Base N/mm.
    SpringRate,
    /// Base V.
    Voltage,
    /// Base A.
    Current,
    /// Base Ω.
    Resistance,
    /// Base W.
    Power,
}

impl Kind {
    /// Every kind, in order.
    pub const ALL: &'static [Self] = &[
        Self::Number,
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Mass,
        Self::Density,
        Self::Force,
        Self::Torque,
        Self::Pressure,
        Self::Angle,
        Self::Temperature,
        Self::Speed,
        Self::Turning,
        Self::Time,
        Self::SpringRate,
        Self::Voltage,
        Self::Current,
        Self::Resistance,
        Self::Power,
    ];

    /// With its article, for a sentence: `a length`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Number => "a plain number",
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Mass => "a mass",
            Self::Density => "a density",
            Self::Force => "a force",
            Self::Torque => "a torque",
            Self::Pressure => "a pressure",
            Self::Angle => "an angle",
            Self::Temperature => "a temperature",
            Self::Speed => "a speed",
            Self::Turning => "a turning speed",
            Self::Time => "a time",
            Self::SpringRate => "a spring rate",
            Self::Voltage => "a voltage",
            Self::Current => "a current",
            Self::Resistance => "a resistance",
            Self::Power => "a power",
        }
    }
}
