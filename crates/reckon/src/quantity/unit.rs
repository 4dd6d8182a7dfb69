//! What is known of a unit: its kind, its exact factor to the base unit, how it is written and how people spell it.
//!
//! The rows themselves are in the table beside this file. Never reads typed text.

use super::exact::Exact;
use super::factor::Factor;
use super::kind::Kind;
pub use super::table::Unit;

impl Unit {
    /// What the unit measures.
    pub fn kind(self) -> Kind {
        self.row().kind
    }

    /// As shown to people: `mm`, `lbf·ft`, `UK gal`. Empty for a plain number.
    pub fn symbol(self) -> &'static str {
        self.row().symbol
    }

    /// A spelling that reads back as this unit with no context: mostly the symbol; `lbm` for the pound of mass.
    pub fn certain(self) -> &'static str {
        self.row().certain
    }

    /// The exact factor and offset to the base unit of its kind.
    pub fn factor(self) -> Factor {
        self.row().factor
    }

    /// Decimals at most when a value in this unit is shown.
    pub(crate) fn decimals(self) -> usize {
        self.row().decimals
    }

    /// Spellings, squeezed, that mean this unit (or others too: then it is asked about).
    pub(crate) fn spellings(self) -> &'static [&'static str] {
        self.row().spellings
    }

    /// Spellings that mean this unit only where its kind is already expected.
    pub(crate) fn spellings_if_expected(self) -> &'static [&'static str] {
        self.row().if_expected
    }

    /// The factor as a float.
    pub(crate) fn scale(self) -> f64 {
        self.row().scale
    }

    fn shift(self) -> f64 {
        self.row().shift
    }

    /// From a value in this unit to the base unit of its kind.
    pub fn to_base(self, value: f64) -> f64 {
        value * self.scale() + self.shift()
    }

    /// From a value in the base unit of its kind to this unit.
    pub fn from_base(self, base: f64) -> f64 {
        (base - self.shift()) / self.scale()
    }

    /// From an exact value in this unit to the base unit of its kind, exactly.
    pub fn to_base_exact(self, value: &Exact) -> Exact {
        let Factor { top, bottom, offset } = self.factor();
        let scaled = value.scaled(top, bottom);
        match Exact::fraction(offset.0, offset.1) {
            Some(shift) if offset.0 != 0 => scaled.plus(&shift),
            _ => scaled,
        }
    }

    /// From an exact value in the base unit of its kind to this unit, exactly.
    pub fn from_base_exact(self, base: &Exact) -> Exact {
        let Factor { top, bottom, offset } = self.factor();
        match Exact::fraction(offset.0, offset.1) {
            Some(shift) if offset.0 != 0 => base.minus(&shift).scaled(bottom, top),
            _ => base.scaled(bottom, top),
        }
    }
}
