//! Kinds of quantity: what a unit measures.
//!
//! Never knows the units' factors (that is the table) beyond which unit is the base of each kind.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Unit;

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

    /// The unit in which exact values of this kind are kept.
    pub fn base(self) -> Unit {
        match self {
            Self::Number => Unit::One,
            Self::Length => Unit::Millimetre,
            Self::Area => Unit::SquareMillimetre,
            Self::Volume => Unit::CubicCentimetre,
            Self::Mass => Unit::Kilogram,
            Self::Density => Unit::GramPerCubicCentimetre,
            Self::Force => Unit::Newton,
            Self::Torque => Unit::NewtonMetre,
            Self::Pressure => Unit::Kilopascal,
            Self::Angle => Unit::Degree,
            Self::Temperature => Unit::Celsius,
            Self::Speed => Unit::MetrePerSecond,
            Self::Turning => Unit::Rpm,
            Self::Time => Unit::Second,
            Self::SpringRate => Unit::NewtonPerMillimetre,
            Self::Voltage => Unit::Volt,
            Self::Current => Unit::Ampere,
            Self::Resistance => Unit::Ohm,
            Self::Power => Unit::Watt,
        }
    }

    /// The units a person is offered when none, or an unknown one, was typed: the likeliest first.
    pub fn usual(self) -> &'static [Unit] {
        match self {
            Self::Number => &[Unit::One],
            Self::Length => &[Unit::Millimetre, Unit::Inch, Unit::Thou],
            Self::Area => &[Unit::SquareMillimetre, Unit::SquareCentimetre, Unit::SquareInch],
            Self::Volume => &[Unit::CubicCentimetre, Unit::Litre, Unit::CubicInch],
            Self::Mass => &[Unit::Gram, Unit::Kilogram, Unit::PoundMass],
            Self::Density => &[Unit::GramPerCubicCentimetre],
            Self::Force => &[Unit::Newton, Unit::KilogramForce, Unit::PoundForce],
            Self::Torque => &[Unit::NewtonMetre, Unit::PoundForceFoot, Unit::KilogramForceMetre],
            Self::Pressure => &[Unit::Bar, Unit::Psi, Unit::Kilopascal],
            Self::Angle => &[Unit::Degree],
            Self::Temperature => &[Unit::Celsius, Unit::Fahrenheit],
            Self::Speed => &[Unit::KilometrePerHour, Unit::MilePerHour, Unit::MetrePerSecond],
            Self::Turning => &[Unit::Rpm],
            Self::Time => &[Unit::Second, Unit::Minute, Unit::Hour],
            Self::SpringRate => &[Unit::NewtonPerMillimetre, Unit::PoundForcePerInch],
            Self::Voltage => &[Unit::Volt, Unit::Millivolt],
            Self::Current => &[Unit::Ampere, Unit::Milliampere],
            Self::Resistance => &[Unit::Ohm, Unit::Kiloohm],
            Self::Power => &[Unit::Watt, Unit::Kilowatt],
        }
    }

    /// The kind's usual unit where a keeper prefers inches and pounds (`inch`) or millimetres and newtons.
    pub fn preferred(self, inch: bool) -> Unit {
        if !inch {
            return match self {
                Self::Force => Unit::Newton,
                Self::Pressure => Unit::Kilopascal,
                Self::Speed => Unit::KilometrePerHour,
                _ => self.base(),
            };
        }
        match self {
            Self::Length => Unit::Inch,
            Self::Area => Unit::SquareInch,
            Self::Volume => Unit::CubicInch,
            Self::Mass => Unit::PoundMass,
            Self::Force => Unit::PoundForce,
            Self::Torque => Unit::PoundForceFoot,
            Self::Pressure => Unit::Psi,
            Self::Temperature => Unit::Fahrenheit,
            Self::Speed => Unit::MilePerHour,
            Self::SpringRate => Unit::PoundForcePerInch,
            _ => self.base(),
        }
    }
}
