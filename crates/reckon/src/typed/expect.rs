//! What is expected of a typed text: the kind of quantity, and the unit agreed for a bare number, if any.

use crate::quantity::{Kind, Unit};

/// The kind wanted, and the unit of a bare number where one is agreed (it stands beside the field). With none agreed, a
/// bare number is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Expect {
    kind: Kind,
    bare: Option<Unit>,
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident $kind:ident),+ $(,)?) => { $(
        $(#[$doc])*
        pub fn $name() -> Self {
            Self::of(Kind::$kind)
        }
    )+ };
}

impl Expect {
    /// A quantity of this kind, with its unit.
    pub fn of(kind: Kind) -> Self {
        Self { kind, bare: None }
    }

    /// Takes a bare number to be in `unit`. A unit of another kind is not taken.
    #[must_use]
    pub fn bare_in(self, unit: Unit) -> Self {
        Self {
            bare: (unit.kind() == self.kind).then_some(unit),
            ..self
        }
    }

    kinds! {
        /// A length.
        length Length,
        /// An area.
        area Area,
        /// A volume.
        volume Volume,
        /// A mass.
        mass Mass,
        /// A force.
        force Force,
        /// A torque.
        torque Torque,
        /// A pressure.
        pressure Pressure,
        /// An angle.
        angle Angle,
        /// A temperature.
        temperature Temperature,
        /// A turning speed.
        turning Turning,
        /// A plain number.
        number Number,
    }

    /// The kind wanted.
    pub fn kind(self) -> Kind {
        self.kind
    }

    /// The unit agreed for a bare number.
    pub fn bare(self) -> Option<Unit> {
        self.bare
    }
}
