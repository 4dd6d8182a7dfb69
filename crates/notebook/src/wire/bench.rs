//! What the bench left in the record: kept answers, and tightening runs as they stand.

use std::collections::BTreeMap;

use record::words::Layout;
use record::{Day, Id};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::{By, Named, StruckOut};

/// A kept answer in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct KeptLine {
    /// Which.
    pub id: Id,
    /// What it answers.
    pub what: String,
    /// The calculation's name.
    pub calculation: String,
    /// What it is for.
    pub about: Option<Named>,
    /// The answer in one line, as it was when it was kept.
    pub answer: String,
    /// Why it was kept.
    pub note: Option<String>,
    /// The day.
    pub on: Option<Day>,
    /// Whose.
    pub by: By,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

/// A kept answer, whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct KeptPage {
    /// Its line.
    pub line: KeptLine,
    /// What was typed, by argument.
    pub inputs: BTreeMap<String, String>,
    /// All of it in words, as it was when it was kept.
    pub told: Vec<String>,
    /// What the bench answers today; nothing where it does not know the calculation any more, or refuses.
    pub now: Option<reckon::Answer>,
    /// Whether that is another answer in one line.
    pub otherwise: bool,
}

/// A tightening run in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RunLine {
    /// Which.
    pub id: Id,
    /// What is tightened.
    pub what: String,
    /// The assembly that it holds together.
    pub assembly: Named,
    /// The torque of the last pass, as typed.
    pub torque: String,
    /// How many bolts.
    pub bolts: i32,
    /// Turns of the wrench done, over all passes.
    pub done: u32,
    /// Of how many.
    pub of: u32,
    /// Whether it is unfinished, and not struck out.
    pub open: bool,
    /// What the torque holds for.
    pub conditions: String,
    /// The day it was begun.
    pub on: Option<Day>,
    /// Whose.
    pub by: By,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

/// Where a bolt lies in the picture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RunPlace {
    /// The bolt's number, from 1.
    pub number: i32,
    /// From the left, 0 to 1.
    pub x: f64,
    /// From the top, 0 to 1.
    pub y: f64,
}

/// One pass over all bolts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RunPass {
    /// Which pass, from 1.
    pub number: i32,
    /// Per cent of the last torque.
    pub percent: f64,
    /// Its torque, for showing.
    pub torque: String,
    /// The bolts in their order.
    pub order: Vec<i32>,
    /// Those that are tight.
    pub done: Vec<i32>,
    /// Whether it is the last round, from bolt to bolt at the full torque.
    pub last_round: bool,
}

/// The next turn of the wrench.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RunNext {
    /// The pass, from 1.
    pub pass: i32,
    /// The bolt.
    pub place: i32,
    /// The torque.
    pub torque: String,
    /// All of it in a sentence.
    pub words: String,
}

/// One bolt tightened in one pass.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct TightenedLine {
    /// Which.
    pub id: Id,
    /// The pass, from 1.
    pub pass: i32,
    /// The bolt.
    pub place: i32,
    /// The torque, as typed.
    pub torque: String,
    /// The wrench.
    pub instrument: Option<Named>,
    /// The day.
    pub on: Option<Day>,
    /// Whose.
    pub by: By,
}

/// A point to settle that is about what a page shows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AskedOf {
    /// Its identity.
    pub point: String,
    /// What it asks.
    pub title: String,
}

/// A tightening run, as it stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RunPage {
    /// Its line.
    pub line: RunLine,
    /// How the bolts lie.
    pub layout: Layout,
    /// Where each lies in the picture.
    pub places: Vec<RunPlace>,
    /// The passes.
    pub passes: Vec<RunPass>,
    /// The bolts of which it is to be settled whether they are tight.
    pub disputed: Vec<i32>,
    /// The points that are to be settled about it, each with what it asks.
    pub asks: Vec<AskedOf>,
    /// What is next; nothing when all is done.
    pub next: Option<RunNext>,
    /// What was done, the first first.
    pub log: Vec<TightenedLine>,
    /// The wrench.
    pub instrument: Option<Named>,
    /// When the wrench was last checked and against what, in words; nothing without a wrench.
    pub wrench: Option<String>,
    /// Where the torque comes from.
    pub source: Option<String>,
    /// What the order and the torque hold for, the keeper's own first.
    pub conditions: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
}
