//! Inside an assembly: what it is, how it stands, what stands in the way of closing, and everything in it.

use reckon::Note;
use record::edit::Blocker;
use record::words::{
    AssemblyState, CameBy, Decision, Differs, HoldState, How, HowBad, HowSure, JobState, OldOne,
};
use record::{Day, Id, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::bench::AskedOf;
use super::car::AssemblyLine;
use super::named::{By, Named, StruckOut};
use super::photo::PhotoLine;
use super::readings::ReadingLine;

/// A part in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct PartLine {
    /// Which.
    pub id: Id,
    /// What it is called.
    pub name: String,
    /// Where in the assembly.
    pub position: Option<String>,
    /// Which way round.
    pub way_round: Option<String>,
    /// Whether it stands in the row along the shaft, in the order of the list.
    pub in_row: bool,
    /// Whether two said its place in the row apart.
    pub row_contradicts: bool,
    /// Whether it is an empty place: nothing belongs there.
    pub nothing: bool,
    /// What is cut, scribed or punched into it.
    pub marks: Option<String>,
    /// How many.
    pub quantity: Option<i32>,
    /// Stamped or catalogue number.
    pub number: Option<String>,
    /// What is to become of it.
    pub decision: Option<Decision>,
    /// Why.
    pub decision_why: Option<String>,
    /// How it is not as it should be.
    pub differs: Option<Differs>,
    /// Until what comes, or why so.
    pub differs_why: Option<String>,
    /// What becomes of the old one, when another comes in its place.
    pub old_one: Option<OldOne>,
    /// Bought new each time.
    pub use_once: bool,
    /// Where it lies, in words: `in the car: gearbox lid`, `B12, in X4, right-hand shelves`.
    pub lies: String,
    /// Whether any of its fields has two values.
    pub contradicts: bool,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

/// How a finding ended, as a list shows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FindingEnd {
    /// `mended_by`, `mended`, `lived_with`, `not_so`, or a newer version's word.
    pub word: String,
    /// The job that mends it.
    pub job: Option<Named>,
    /// How it was mended, why it is lived with, or what was seen where it is not so.
    pub words: Option<String>,
    /// Whether it holds: a job that was opened again, dropped or struck out mends nothing, and what was looked at and is so is not ruled out.
    pub holds: bool,
    /// Who said so, when.
    pub by: By,
}

/// A finding in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FindingLine {
    /// Which.
    pub id: Id,
    /// What it is about.
    pub about: Named,
    /// What was seen.
    pub what: String,
    /// How bad it is.
    pub how_bad: Option<HowBad>,
    /// Whether it was confirmed, or is only suspected.
    pub how_sure: Option<HowSure>,
    /// Whether it is only suspected and nobody has looked since: it is asked about where its place is open.
    pub suspected: bool,
    /// What it came by.
    pub came_by: Option<CameBy>,
    /// The day.
    pub on: Option<Day>,
    /// How it ended; nothing while it is open.
    pub end: Option<FindingEnd>,
    /// Whether it was ended in two ways.
    pub end_contradicts: bool,
    /// Whether it is open: it stands, has no end that holds, and is not that nothing is wrong.
    pub open: bool,
    /// The usual cautions, of one that somebody says can hurt.
    pub cautions: Vec<Note>,
    /// Whose.
    pub by: By,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

/// One finding with what could have mended it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FindingPage {
    /// The finding.
    pub finding: FindingLine,
    /// The assembly it is in.
    pub within: Option<Named>,
    /// The jobs in there, those done first.
    pub jobs: Vec<JobLine>,
    /// What was closed over it, and why.
    pub closed_over: Vec<FindingClosedOver>,
    /// The finding that it comes of.
    pub because_of: Option<FindingLine>,
    /// The findings that come of it.
    pub led_to: Vec<FindingLine>,
}

/// An assembly that was closed over a finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FindingClosedOver {
    /// Which.
    pub assembly: Named,
    /// Whether it is closed by that closing still.
    pub closed: bool,
    /// Why it was closed all the same.
    pub why: String,
    /// Who said so, when.
    pub by: By,
}

/// A try at a job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct TryLine {
    /// Which.
    pub id: Id,
    /// What was done.
    pub what: String,
    /// With which tool.
    pub tool: Option<String>,
    /// What came of it.
    pub came_of_it: Option<String>,
    /// Whether it worked.
    pub worked: Option<bool>,
    /// The day.
    pub on: Option<Day>,
    /// Whose.
    pub by: By,
}

/// What a job waits for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Waits {
    /// Which.
    pub on: Named,
    /// How that stands, in words: an order's state, where a part is; nothing where there is nothing to say.
    pub stands: Option<String>,
    /// Whether it is known to be over: the order is in, the hold point is met.
    pub over: bool,
}

/// A job in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct JobLine {
    /// Which.
    pub id: Id,
    /// What is to be done.
    pub what: String,
    /// The assembly it is in; nothing where it is the car's own.
    pub assembly: Option<Named>,
    /// How it stands.
    pub state: JobState,
    /// Whether it is to be done in this round: open or begun, not put off, and not struck out.
    pub open: bool,
    /// Where it stopped, of one that is not done with.
    pub left_off: Option<String>,
    /// Who said where it stopped, when.
    pub left_off_by: Option<By>,
    /// What was said of it last, where it stopped or what was tried since.
    pub last_said: Option<String>,
    /// The day before which nobody goes on.
    pub not_before: Option<Day>,
    /// From what time of that day.
    pub not_before_time: Option<String>,
    /// What it waits for, where that is entered.
    pub waits_on: Option<Waits>,
    /// What or whom it waits for, in words.
    pub waits_why: Option<String>,
    /// How many people it takes.
    pub hands: Option<i32>,
    /// Who helps.
    pub helper: Option<String>,
    /// The bigger job that did it as well, or undid it.
    pub undone_by: Option<Named>,
    /// Minutes that it should take.
    pub minutes: Option<i32>,
    /// Tools.
    pub tools: Option<String>,
    /// What came of it.
    pub outcome: Option<String>,
    /// Jobs that must be done before it and are still open.
    pub waits_for: Vec<Named>,
    /// Tries, oldest first.
    pub tries: Vec<TryLine>,
    /// Who put it in that state; several where each did without knowing of the others, nobody where it was entered so.
    pub state_by: Vec<By>,
    /// Who entered it.
    pub by: By,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

/// A hold point in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct HoldLine {
    /// Which.
    pub id: Id,
    /// What must be so.
    pub what: String,
    /// How it is met.
    pub how: How,
    /// How it stands.
    pub state: HoldState,
    /// Whether it is to be met: open, and not struck out.
    pub open: bool,
    /// How many there must be, of what is counted.
    pub wanted: Option<i32>,
    /// What a reading that meets it is held against.
    pub limit: Option<Named>,
    /// What was seen, counted or measured, of one that is met; what was said with a count of one that is not.
    pub met_how: Option<String>,
    /// What was seen before it was open again: evidence of then, and not of now.
    pub seen_before: Option<SeenBefore>,
    /// The points that are to be settled about whether it is met, on the page of its assembly.
    pub asks: Vec<AskedOf>,
    /// The reading or photo by which it was met.
    pub by_what: Option<Named>,
    /// The readings here that do not meet it by themselves, on the page of its assembly, as long as it is not met.
    pub not_by: Vec<NotBy>,
    /// How many were counted; of an open one, where that is not what is wanted.
    pub counted: Option<i32>,
    /// Who put it in that state; several where each did without knowing of the others, nobody where it was entered so.
    pub state_by: Vec<By>,
    /// Who entered it.
    pub by: By,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

/// What was seen of a hold point before it was open again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct SeenBefore {
    /// What was seen.
    pub words: String,
    /// The day that it was met, where it was said.
    pub on: Option<Day>,
    /// Who wrote that, when.
    pub by: By,
}

/// A reading that does not meet a hold point by itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct NotBy {
    /// Which.
    pub reading: Id,
    /// Why not.
    pub says: String,
    /// Whether it meets it where somebody says why.
    pub with_a_word: bool,
}

/// A note of a day sheet that was written from inside the assembly.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct NoteLine {
    /// The sheet that it stands on.
    pub sheet: Ref,
    /// Its day.
    pub day: Day,
    /// Whose sheet.
    pub name: String,
    /// The pattern of their line.
    pub pattern: String,
    /// The note.
    pub text: String,
}

/// What an assembly was closed over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ClosedOver {
    /// What was unfinished.
    pub about: Named,
    /// Which check had found it; nothing where what it is about tells.
    pub check: Option<String>,
    /// Whether it can hurt somebody, and has no end.
    pub danger: bool,
    /// Why it was closed all the same.
    pub why: String,
    /// Who said so, when.
    pub by: By,
}

/// The usual cautions of an assembly, by what is done with it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AssemblyCautions {
    /// Before it is lifted, loosened or undone.
    pub opening: Vec<Note>,
    /// Before it is closed, by what stands in the way too.
    pub closing: Vec<Note>,
    /// Of a closed one, by what it was closed over that can hurt; nothing where there is none of that.
    pub closed: Vec<Note>,
}

/// Inside an assembly.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AssemblyPage {
    /// Which.
    pub id: Id,
    /// What it is called.
    pub name: String,
    /// How it stands.
    pub state: AssemblyState,
    /// Whether it is closed and not on the car.
    pub closed_off_car: bool,
    /// It is on for trial and comes off again: why.
    pub for_trial: Option<String>,
    /// Whether two devices left it in different states.
    pub state_contradicts: bool,
    /// Who put it in that state; several where each did without knowing of the others.
    pub state_by: Vec<By>,
    /// Who took it off closed as it was, where that was not who closed it: two who did so apart are both told.
    pub off_car_by: Vec<By>,
    /// What it lies in, from the outside in.
    pub path: Vec<Named>,
    /// What lies directly in it.
    pub inside: Vec<AssemblyLine>,
    /// Notes.
    pub note: Option<String>,
    /// What stands in the way of closing it up; empty when it may close.
    pub blockers: Vec<Blocker>,
    /// What it was closed over, and why, where it is closed.
    pub closed_over: Vec<ClosedOver>,
    /// Jobs in it that are put off to a later round and stand in nobody's way.
    pub put_off: Vec<Named>,
    /// What to mind of it.
    pub cautions: AssemblyCautions,
    /// Parts.
    pub parts: Vec<PartLine>,
    /// Findings on it or on its parts.
    pub findings: Vec<FindingLine>,
    /// Jobs.
    pub jobs: Vec<JobLine>,
    /// Hold points.
    pub holds: Vec<HoldLine>,
    /// Photos of it, its parts, findings, jobs and hold points.
    pub photos: Vec<PhotoLine>,
    /// Readings.
    pub readings: Vec<ReadingLine>,
    /// Notes that were written from inside it, the newest day first.
    pub notes: Vec<NoteLine>,
    /// Bench answers kept for it, its parts or its jobs.
    pub kept: Vec<super::KeptLine>,
    /// Tightening runs.
    pub runs: Vec<super::RunLine>,
    /// Points to settle that are about it or anything in it.
    pub points: Vec<super::PointOut>,
    /// Struck out.
    pub struck: Option<StruckOut>,
    /// A reference to it.
    pub reference: Ref,
}
