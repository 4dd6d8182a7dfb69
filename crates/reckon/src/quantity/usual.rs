//! Which units belong to a kind of quantity: the one that exact values are kept in, those a person is offered, those answers are in.

use super::kind::Kind;
use super::unit::Unit;

impl Kind {
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

impl Unit {
    /// Is this the unit in which exact values of its kind are kept?
    pub fn is_base(self) -> bool {
        self.kind().base() == self
    }
}
