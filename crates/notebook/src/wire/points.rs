//! Points to settle as they are asked: one question for one disagreement, told as a talk.

use record::Ref;
use record::rules::Rule;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::{By, Named, StruckOut};
use super::photo::PhotoLine;

/// Something that was said: what of, and what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct SaidSo {
    /// What of: the field as a form calls it.
    pub label: String,
    /// What.
    pub words: String,
}

/// One side of a question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct QuestionSide {
    /// `side_1`, `side_2`, …
    pub key: String,
    /// What it is about.
    pub about: Named,
    /// What its keeper did, as a sentence.
    pub did: String,
    /// What they said, where the question is which of several holds: all that is one thing said.
    pub says: Vec<SaidSo>,
    /// The value as it was typed, where it is of a reading.
    pub value: Option<String>,
    /// Who, where, when.
    pub by: By,
    /// What its keeper could know of the other, in words.
    pub knew: String,
}

/// One way to settle it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct QuestionChoice {
    /// What is sent back.
    pub key: String,
    /// Whether a reason must be given with it.
    pub wants_why: bool,
    /// What it does, naming the thing.
    pub says: String,
    /// What is to be done with one's hands then; often nothing.
    pub now: Vec<String>,
    /// What it puts back of what was settled otherwise, where one of several settlements is to hold.
    pub puts: Option<String>,
}

/// What stood before the two parted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct SaidBefore {
    /// What it was.
    pub says: Vec<SaidSo>,
    /// Who had put the first of it, and when; nothing where it was empty.
    pub by: Option<By>,
}

/// A line for the sheet of the day, that asks the other keeper.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AskOther {
    /// Whom.
    pub who: String,
    /// The line.
    pub text: String,
}

/// One question, with all that is needed to settle it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct QuestionPage {
    /// Its identity: that of the point it is asked by.
    pub id: String,
    /// Every point that is settled with it.
    pub points: Vec<String>,
    /// Which rule found it.
    pub rule: Rule,
    /// What is asked.
    pub asks: String,
    /// The usual cautions, where it is about what was closed over.
    pub cautions: Vec<reckon::Note>,
    /// Both sides, or more, in the order of their keepers' clocks.
    pub sides: Vec<QuestionSide>,
    /// Where it was settled before and is reopened.
    pub reopened: Option<ReopenedLine>,
    /// What stood before they parted, where that is known and the same for all.
    pub before: Option<SaidBefore>,
    /// What it is about, each once.
    pub things: Vec<Named>,
    /// The newest photos of that, at most six.
    pub photos: Vec<PhotoLine>,
    /// Ways to settle it.
    pub choices: Vec<QuestionChoice>,
    /// Where none of the values is right: the entry whose value can be written anew.
    pub neither: Option<Ref>,
    /// How the other is asked; nothing where all of it is one keeper's own.
    pub ask: Option<AskOther>,
    /// Which of all that are to be settled it is, from 1.
    pub place: u32,
    /// How many there are.
    pub of: u32,
    /// The one after it, or the first again; nothing where it is the only one.
    pub next: Option<String>,
}

/// One thing that was agreed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AgreedLine {
    /// The settlement.
    pub name: Ref,
    /// Which rule found the point; nothing for one of a newer program.
    pub rule: Option<Rule>,
    /// What it was about.
    pub about: Vec<Named>,
    /// What was agreed, in words.
    pub came_to: String,
    /// Why.
    pub why: Option<String>,
    /// Who settled it, and when.
    pub by: By,
    /// By whom it was reopened, and why; nothing while it holds.
    pub reopened: Option<StruckOut>,
}

/// That something agreed was reopened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ReopenedLine {
    /// What was agreed before.
    pub came_to: String,
    /// Who had settled it, and when.
    pub agreed_by: By,
    /// Why it was agreed so.
    pub agreed_why: Option<String>,
    /// Who reopened it, and when.
    pub by: By,
    /// Why.
    pub why: String,
    /// What others said of it apart from that.
    pub apart: Vec<ApartLine>,
}

/// What somebody said of what was agreed, apart from who reopened it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ApartLine {
    /// Who, and when.
    pub by: By,
    /// Why it was reopened; nothing where it was to hold again.
    pub why: Option<String>,
}
