//! Day: the sheets of both keepers for one date, and what else each did on it.

use record::{Day, Id, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::{Named, StruckOut};
use super::photo::PhotoLine;

/// Something done or entered on a day, under whoever did it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DayEntry {
    /// What it was done to, or what was entered.
    pub name: Ref,
    /// What was done, as it is said before the title.
    pub did: String,
    /// What it was done to, as it was called then.
    pub title: String,
    /// What of this line reads otherwise now: what it is called, how bad it is, a value.
    pub now: Option<String>,
    /// What that is about, where it is about something.
    pub about: Option<Named>,
    /// One more word: how bad a finding is, a reading's value, what was counted, why a point was settled so.
    pub word: Option<String>,
    /// The photo, where it is one.
    pub photo: Option<PhotoLine>,
    /// Photos of the same day that show it.
    pub photos: Vec<PhotoLine>,
    /// What it was done to, where it was done to many alike.
    pub many: Vec<DayItem>,
    /// Who else did the same, without knowing of it.
    pub also: Vec<String>,
    /// Whether it is among the points to settle.
    pub asks: bool,
    /// Who entered it, where that was another than who did it.
    pub entered_by: Option<String>,
    /// When it was done, by the clock of the device that it was entered on.
    pub at: record::Moment,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

/// One of many that the same was done to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DayItem {
    /// Which.
    pub name: Ref,
    /// What it is called.
    pub title: String,
    /// A reading's value.
    pub word: Option<String>,
}

/// One keeper's sheet of the day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DaySheet {
    /// The keeper.
    pub keeper: Id,
    /// Their name.
    pub name: String,
    /// The pattern of their line.
    pub pattern: String,
    /// Whether it is this device's keeper, who may write on it here.
    pub mine: bool,
    /// The notes.
    pub text: String,
    /// Hours at the bench, as written.
    pub hours: Option<String>,
    /// What else they did, in the order it was done.
    pub entries: Vec<DayEntry>,
}

/// A day in the strip of dates.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DayMark {
    /// The day.
    pub day: Day,
    /// The patterns of those who did or entered something, in the keepers' order.
    pub patterns: Vec<String>,
    /// Their names.
    pub names: Vec<String>,
}

/// The Day place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DayPage {
    /// The day.
    pub day: Day,
    /// What the car is called.
    pub car: String,
    /// This device's keeper first, then the others by name; those with nothing on the day are left out, except
    /// this device's own.
    pub sheets: Vec<DaySheet>,
    /// Days on which something was done, newest first: the newest sixty.
    pub days: Vec<DayMark>,
}
