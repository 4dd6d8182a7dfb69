//! What came in while one was away: each coming, and what it brought, told by assembly.

use record::{Day, Moment, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::keepers::PointOut;
use super::named::Named;
use super::photo::PhotoLine;

/// By which road something came.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
pub enum Road {
    /// A carry file.
    File,
    /// A live meeting.
    Live,
    /// A drop.
    Drop,
    /// The whole record came, when this device joined.
    Joined,
}

/// One coming: a file, a look at a drop, or the live meetings of an evening.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ComingLine {
    /// Its number on this device.
    pub number: u32,
    /// By which road.
    pub road: Road,
    /// Whose devices it came from, as far as that is known.
    pub from: Vec<String>,
    /// When the last of it came, by this device's clock.
    pub at: Moment,
    /// How many things it brought something of.
    pub things: u32,
    /// How many points to settle came with it and stand.
    pub points: u32,
    /// Whether some of it was not read yet.
    pub unread: bool,
}

/// What was not read yet, of all comings.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Unread {
    /// The oldest coming of them: where to begin.
    pub first: u32,
    /// How many comings they are.
    pub comings: u32,
    /// How many things.
    pub things: u32,
    /// How many points to settle came with them and stand.
    pub points: u32,
}

/// What came in while one was away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AwayPage {
    /// What was not read yet; nothing where all of it was.
    pub unread: Option<Unread>,
    /// The comings, newest first: the newest sixty.
    pub comings: Vec<ComingLine>,
}

/// One of many that the same was done to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CameItem {
    /// Which.
    pub name: Ref,
    /// What it is called.
    pub title: String,
    /// One more word: a reading's value and verdict.
    pub word: Option<String>,
}

/// What one keeper did to one thing, or to many alike.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CameLine {
    /// The thing, or the first of them.
    pub name: Ref,
    /// Who: a name, or `You`.
    pub who: String,
    /// The pattern of their line.
    pub pattern: String,
    /// What they did, as it is said after their name: `closed up the gearbox`.
    pub says: String,
    /// One more word, which a person wrote or the record reckons: a reading's value, what came of a job.
    pub word: Option<String>,
    /// When the first of it was done, by the clock of the device that it was entered on.
    pub since: Moment,
    /// When the last of it was done.
    pub at: Moment,
    /// The day that was said, where one was.
    pub on: Option<Day>,
    /// Whether it can hurt somebody, and holds.
    pub hurts: bool,
    /// Whether it is among the points to settle.
    pub asks: bool,
    /// Which, where it was done to many alike.
    pub many: Vec<CameItem>,
    /// Photos that show it and came with it.
    pub photos: Vec<PhotoLine>,
}

/// What was only worded or entered otherwise.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CameSmaller {
    /// What.
    pub what: Named,
    /// Who.
    pub who: String,
    /// The fields, as a form calls them.
    pub fields: Vec<String>,
}

/// What came of one assembly, or of what stands in none.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CamePlace {
    /// Its heading.
    pub title: String,
    /// The assembly, or the car.
    pub about: Option<Ref>,
    /// What was done, in the order it was done.
    pub lines: Vec<CameLine>,
    /// How many lines more there were.
    pub more: u32,
    /// Photos that are of none of those lines.
    pub photos: Vec<PhotoLine>,
    /// Smaller changes.
    pub smaller: Vec<CameSmaller>,
}

/// What one coming brought.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CamePage {
    /// The coming.
    pub coming: ComingLine,
    /// The points to settle that came with it and stand.
    pub points: Vec<PointOut>,
    /// What it brought, by place.
    pub places: Vec<CamePlace>,
    /// Whether nothing came but smaller changes.
    pub only_smaller: bool,
    /// The next one after it that was not read.
    pub next: Option<u32>,
}
