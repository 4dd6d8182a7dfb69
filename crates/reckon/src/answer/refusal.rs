//! Why a calculation is not answered: every problem with the arguments, each with a stable code and a sentence.
//!
//! Never holds half an answer.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::typed::{Candidate, Unclear};

/// Why an argument, or the whole, was refused. Stable: a face may branch on it.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
#[ts(rename = "ReckonRefusalCode")]
#[schemars(rename = "ReckonRefusalCode")]
pub enum RefusalCode {
    /// There is no calculation of this name.
    UnknownCalculation,
    /// The calculation has no argument of this name.
    UnknownArgument,
    /// An argument that is needed was not given.
    Missing,
    /// A text has no certain reading; the candidates are offered.
    Unclear,
    /// Outside the range that is reckoned with; the range is named.
    OutOfRange,
    /// Not one of the choices, which are named.
    NotAChoice,
    /// The arguments contradict one another, or no such thing can be.
    Impossible,
    /// Nothing follows from what was given; what is needed is named.
    NothingToReckon,
}

/// One problem with one argument, or with all of them together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "ReckonProblem")]
#[schemars(rename = "ReckonProblem")]
pub struct Problem {
    /// Why.
    pub code: RefusalCode,
    /// The argument's name; empty where it is not about one.
    pub argument: String,
    /// One sentence; a range is named in it.
    pub words: String,
    /// Readings offered for an unclear text.
    pub candidates: Vec<Candidate>,
}

/// A calculation that is not answered. Holds at least one problem.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "ReckonRefusal")]
#[schemars(rename = "ReckonRefusal")]
pub struct ReckonRefusal {
    /// Every problem found, in the order of the arguments.
    pub problems: Vec<Problem>,
}

impl ReckonRefusal {
    /// The code of the first problem.
    pub fn code(&self) -> Option<RefusalCode> {
        self.problems.first().map(|problem| problem.code)
    }

    pub(crate) fn of(code: RefusalCode, argument: &str, words: impl Into<String>) -> Self {
        Problem::new(code, argument, words).into()
    }
}

impl Problem {
    pub(crate) fn new(code: RefusalCode, argument: &str, words: impl Into<String>) -> Self {
        Self {
            code,
            argument: argument.to_owned(),
            words: words.into(),
            candidates: Vec::new(),
        }
    }

    pub(crate) fn unclear(argument: &str, named: &str, unclear: Unclear) -> Self {
        Self {
            code: RefusalCode::Unclear,
            argument: argument.to_owned(),
            words: format!("{named}: {}", unclear.words),
            candidates: unclear.candidates,
        }
    }
}

impl From<Problem> for ReckonRefusal {
    fn from(problem: Problem) -> Self {
        Self {
            problems: vec![problem],
        }
    }
}

impl fmt::Display for ReckonRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, problem) in self.problems.iter().enumerate() {
            if at > 0 {
                f.write_str(" ")?;
            }
            f.write_str(&problem.words)?;
        }
        Ok(())
    }
}

impl std::error::Error for ReckonRefusal {}
