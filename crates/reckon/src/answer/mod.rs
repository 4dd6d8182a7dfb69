//! What a calculation answers: values with units, what was understood, the formula, and everything that an answer must
//! not be shown without: sources, conditions and cautions.
//!
//! Plain data for the wire, with a stable key on each piece. Never reckons anything.

mod refusal;
mod sheet;
mod words;

pub use refusal::{Problem, ReckonRefusal, RefusalCode};
pub(crate) use sheet::{Sheet, line, raw_cell};
pub(crate) use words::{AT_20_C, MANUAL_WINS, NOT_FITNESS};

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A text that is nearly always one of the program's own: an answer has hundreds, and is asked for on every keystroke.
pub type Words = Cow<'static, str>;

/// An answer with all that belongs to it. The first value, or the first verdict where there is one, is the headline. Where
/// there are tables, a picture is drawn from their lines, and the lines' words are its text equivalent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Answer {
    /// The calculation's name.
    pub calculation: String,
    /// What was reckoned, the most wanted first.
    pub values: Vec<Value>,
    /// Judgements: in limits or not, and the remedy.
    pub verdicts: Vec<Verdict>,
    /// Plans, ranked choices and orders of work, line by line; empty for most answers.
    #[serde(default)]
    pub tables: Vec<Table>,
    /// The arguments as understood, defaults among them.
    pub inputs: Vec<Input>,
    /// The formulas used.
    pub formulas: Vec<Formula>,
    /// Where formulas and factors come from.
    pub sources: Vec<Source>,
    /// What the answer holds for: lubrication, temperature, grade.
    pub conditions: Vec<Note>,
    /// What to mind.
    pub cautions: Vec<Note>,
    /// Arguments that are unusual though possible, and results that should give pause.
    pub warnings: Vec<Note>,
}

/// One reckoned value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerValue")]
#[schemars(rename = "AnswerValue")]
pub struct Value {
    /// Stable key: `displacement`.
    pub key: Words,
    /// What it is, in words.
    pub words: Words,
    /// The number, in `unit`; always finite.
    pub value: f64,
    /// The unit's symbol; empty for a plain number.
    pub unit: Words,
    /// Rounded for showing, with the unit; of an order of things, the order, where `value` is how many they are.
    pub text: String,
}

/// Several lines that belong together: which ring to which bore, the packs of shims that fit, the order of the bolts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerTable")]
#[schemars(rename = "AnswerTable")]
pub struct Table {
    /// Stable key: `packs`.
    pub key: Words,
    /// What it is, in words.
    pub words: Words,
    /// Are the lines choices, the best first? Otherwise all of them hold together, in order.
    pub ranked: bool,
    /// The lines, in order.
    pub lines: Vec<Line>,
}

/// One line of a table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerLine")]
#[schemars(rename = "AnswerLine")]
pub struct Line {
    /// The whole line in words, enough without any picture.
    pub words: String,
    /// Why it stands where it does; empty where there is no choice.
    pub why: Words,
    /// The numbers in it, for a picture; a key may stand several times, as for the shims of a pack.
    pub values: Vec<Value>,
}

/// One judgement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerVerdict")]
#[schemars(rename = "AnswerVerdict")]
pub struct Verdict {
    /// Stable key of what is judged: `gap`.
    pub key: Words,
    /// The judgement, one of a closed set of words.
    pub word: VerdictWord,
    /// The judgement and its remedy, in a sentence.
    pub words: String,
}

/// The judgements there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
pub enum VerdictWord {
    /// Between the limits, the limits included.
    InLimits,
    /// Below the lower limit.
    BelowLimits,
    /// Above the upper limit.
    AboveLimits,
    /// Too near a limit for what it was measured with: neither in nor out can be said.
    TooCloseToCall,
}

/// One argument as understood.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerInput")]
#[schemars(rename = "AnswerInput")]
pub struct Input {
    /// The argument's name.
    pub name: Words,
    /// What it is, in words.
    pub words: Words,
    /// The letter used in the drawing and the formula; empty where there is none.
    pub letter: Words,
    /// The text as typed, or the default.
    pub typed: String,
    /// The exact value in the base unit, as text: `0.3048 mm`; of a list, all of them: `0.24 mm ×2; 0.3 mm`. For a choice or
    /// a thread, its full name; for a text, the text.
    pub exact: String,
    /// The value in the base unit; null for all but a single quantity or number.
    pub value: Option<f64>,
    /// The base unit's symbol; empty for all but a single quantity.
    pub unit: Words,
    /// Was it the default, not typed?
    pub by_default: bool,
}

/// One formula.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerFormula")]
#[schemars(rename = "AnswerFormula")]
pub struct Formula {
    /// Stable key.
    pub key: Words,
    /// Its name.
    pub name: Words,
    /// Written out with the drawing's letters.
    pub written: Words,
}

/// One source.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerSource")]
#[schemars(rename = "AnswerSource")]
pub struct Source {
    /// Stable key.
    pub key: Words,
    /// Title, edition, place; or what is common practice.
    pub words: Words,
    /// How much it weighs.
    pub standing: Standing,
}

/// How much a source weighs.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
pub enum Standing {
    /// A standard or a published handbook.
    Published,
    /// Follows from the formula.
    Derived,
    /// Common practice, with no source.
    CommonPractice,
    /// Written down from memory, and not yet checked against the source.
    FromMemory,
    /// Given by the keeper, who knows where it comes from.
    Given,
}

/// A condition, caution or warning.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "AnswerNote")]
#[schemars(rename = "AnswerNote")]
pub struct Note {
    /// Stable key.
    pub key: Words,
    /// One sentence.
    pub words: Words,
}
