//! What is said when a typed text cannot be taken as one certain value: a stable code, words, and what it could mean.
//!
//! Never picks a reading for the person.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Why a text was not taken. Stable: a face may branch on it.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
#[ts(rename = "UnclearCode")]
#[schemars(rename = "UnclearCode")]
pub enum Code {
    /// Nothing was typed.
    Empty,
    /// Longer than any quantity is.
    TooLong,
    /// A character that has no place in a quantity.
    StrangeCharacter,
    /// `±`, `<`, `about`: a tolerance or a bound, not one value.
    NotOneValue,
    /// `10-12`: a range, not one value.
    Range,
    /// No number can be read.
    BadNumber,
    /// A fraction over nought.
    DivisionByZero,
    /// `1,234`: a thousand or a decimal comma?
    CommaOrPoint,
    /// `1 234`: a thousand, or two numbers?
    SpaceInNumber,
    /// A hyphen that may join a mixed number: `1-3/8`.
    HyphenInNumber,
    /// A bare number, where no unit is agreed.
    NoUnit,
    /// A unit that is not in the table.
    UnknownUnit,
    /// A unit that means several things: `oz`, `gal`.
    AmbiguousUnit,
    /// A unit of another kind of quantity than is wanted.
    WrongKind,
    /// No such value can be: colder than absolute zero, a sum of money too large.
    Impossible,
    /// Not a thread that is reckoned with, or its pitch is in doubt.
    UnknownThread,
    /// Not the kept form of a quantity.
    NotKept,
    /// Money with no currency, or an unknown one.
    UnknownCurrency,
    /// Money whose sign several currencies share: `$`, `kr`.
    AmbiguousCurrency,
    /// More decimals than the currency has.
    TooManyDecimals,
}

/// One reading that the text may have.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Candidate {
    /// A text that is read with certainty, to put in place of what was typed.
    pub text: String,
    /// What it means, in words.
    pub words: String,
}

/// A typed text that was not taken. Nothing was guessed; the candidates are what it could mean.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS, thiserror::Error)]
#[error("{words}")]
pub struct Unclear {
    /// Why.
    pub code: Code,
    /// One sentence for the person.
    pub words: String,
    /// What it could mean, the likeliest first; empty where nothing sensible can be offered.
    pub candidates: Vec<Candidate>,
}

impl Unclear {
    pub(crate) fn new(code: Code, words: impl Into<String>) -> Self {
        Self {
            code,
            words: words.into(),
            candidates: Vec::new(),
        }
    }

    pub(crate) fn offering(mut self, candidates: Vec<Candidate>) -> Self {
        self.candidates = candidates;
        self
    }
}

impl Candidate {
    pub(crate) fn new(text: impl Into<String>, words: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            words: words.into(),
        }
    }
}
