//! Readings as they are shown: judged by their instrument as the record stands now, with what mends them. Verdicts and
//! amounts are the record's own; a face only lays them out.

use reckon::VerdictWord;
use record::remedy::{Makes, OnTheBench};
use record::verdict::Verdict;
use record::words::Mend;
use record::{Day, Id, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::{By, Named};

/// A reading in a list, judged by its instrument as the record stands now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ReadingLine {
    /// Which.
    pub id: Id,
    /// What was measured.
    pub what: String,
    /// On what.
    pub about: Named,
    /// At which point.
    pub at: Option<String>,
    /// As typed; of several, their mean and how many; of a grid, how many points and from where to where.
    pub value: String,
    /// The same point measured again, each as typed; empty where it was measured once.
    pub again: Vec<String>,
    /// Many points in one entry; nothing for one.
    pub grid: Option<GridShown>,
    /// The instrument.
    pub instrument: Option<Named>,
    /// Whether it is in its limits, as far as its instrument can say: the gravest of `judged`; nothing where it has no limit.
    pub verdict: Option<Verdict>,
    /// The limit in words: `0.05 to 0.20 mm, new, Workshop manual 2nd edition p. 41`.
    pub limit: Option<String>,
    /// What each of its limits says, in order.
    pub judged: Vec<JudgedLine>,
    /// What mends it, or decides it; what was made of it and still stands is among them.
    pub remedies: Vec<RemedyLine>,
    /// How warm it was, as typed.
    pub temperature: Option<String>,
    /// The day.
    pub on: Option<Day>,
    /// Whose.
    pub by: By,
    /// What was measured since at the same point, by somebody who had this one before them: it is asked about no more.
    pub since: Option<MeasuredThen>,
}

/// A reading on its own page, beside the others of its point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ReadingPage {
    /// The reading.
    #[serde(flatten)]
    pub line: ReadingLine,
    /// Those that it takes the place of, the earliest first.
    pub before: Vec<MeasuredThen>,
    /// Those that take its place, the earliest first.
    pub after: Vec<MeasuredThen>,
    /// Those of whose writers none could know of the other: neither takes the other's place.
    pub apart: Vec<MeasuredThen>,
}

/// Another reading of the same point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct MeasuredThen {
    /// Which.
    pub name: Ref,
    /// As the list of readings has it.
    pub value: String,
    /// Whether it is in its limits; nothing where it has none.
    pub verdict: Option<Verdict>,
    /// The day.
    pub on: Option<Day>,
    /// Whose.
    pub by: By,
}

/// A grid of readings: rows are heights from the top down, columns directions.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct GridShown {
    /// What the rows are called.
    pub rows: Vec<String>,
    /// What the columns are called.
    pub columns: Vec<String>,
    /// The values, row by row.
    pub values: Vec<Vec<GridValue>>,
    /// The most that two directions differ at one height; nothing with one direction.
    pub out_of_round: Option<String>,
    /// The most that two heights differ in one direction; nothing with one height.
    pub taper: Option<String>,
    /// The largest value.
    pub largest: String,
    /// The smallest value.
    pub smallest: String,
    /// All of it in words, for whoever does not see the picture.
    pub words: String,
}

/// One point of a grid.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct GridValue {
    /// As typed.
    pub text: String,
    /// In millimetres, to draw it by.
    pub base: f64,
    /// Its verdict by the limits that judge the size; nothing where none does.
    pub word: Option<VerdictWord>,
}

/// What one limit says of a reading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "Judged")]
#[schemars(rename = "Judged")]
pub struct JudgedLine {
    /// The limit.
    pub limit: Named,
    /// The limit in words.
    pub words: String,
    /// What it says.
    pub verdict: Verdict,
}

/// What mends a reading, or would decide it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RemedyLine {
    /// What it is taken by.
    pub key: String,
    /// How it mends; nothing for measuring again, or for something that was made of the reading and is not proposed now.
    pub mends: Option<Mend>,
    /// What to do and by how much.
    pub words: String,
    /// What it becomes.
    pub makes: Makes,
    /// What the job or order says.
    pub title: String,
    /// What to mind.
    pub cautions: Vec<reckon::Note>,
    /// The job or order that it was made into; it cannot be taken again while that stands.
    pub taken: Option<Named>,
    /// Where the bench shows more of it.
    pub calculation: Option<OnTheBench>,
}

/// One step in the history of a verdict.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct VerdictStep {
    /// When, by that device's clock.
    pub at: record::Moment,
    /// Who changed it.
    pub by: By,
    /// What changed: `limit 'ring gap': high changed from 0.30 mm to 0.25 mm`.
    pub words: String,
    /// The verdict from then on; nothing where it had no limit then.
    pub verdict: Option<Verdict>,
}
