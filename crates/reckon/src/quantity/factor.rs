//! What a row of the unit table holds. It names no unit.

use super::kind::Kind;

/// `base = value · top/bottom + offset`, all exact whole numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Factor {
    /// Numerator of the factor.
    pub top: i128,
    /// Denominator of the factor; never nought.
    pub bottom: i128,
    /// What is added after multiplying, as (numerator, denominator); only temperatures have one.
    pub offset: (i128, i128),
}

/// One row of the unit table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Row {
    pub(crate) kind: Kind,
    /// As shown to people.
    pub(crate) symbol: &'static str,
    /// A spelling that no other unit of any kind shares, so that it reads back with no context.
    pub(crate) certain: &'static str,
    pub(crate) factor: Factor,
    /// The factor and the offset as floats, divided once.
    pub(crate) scale: f64,
    pub(crate) shift: f64,
    /// Decimals at most when a value in this unit is shown.
    pub(crate) decimals: usize,
    /// Spellings, squeezed (no spaces, dots, hyphens). One spelling may stand in several rows: then it is asked about.
    pub(crate) spellings: &'static [&'static str],
    /// Spellings that mean this unit only where its kind is already expected.
    pub(crate) if_expected: &'static [&'static str],
}
