//! Day: the sheets of both keepers for one date, and what else they entered on it.

use record::{Day, Id, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{Named, PhotoLine, StruckOut};

/// Something entered on a day, in the order it was entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DayEntry {
    /// What it is.
    pub name: Ref,
    /// What it says.
    pub title: String,
    /// What it is about, where it is about something.
    pub about: Option<Named>,
    /// One more word: how bad a finding is, a reading's value, how a job or order stands.
    pub word: Option<String>,
    /// The photo, where it is one.
    pub photo: Option<PhotoLine>,
    /// When it was entered, by its device's clock.
    pub at: record::Moment,
    /// Struck out.
    pub struck: Option<StruckOut>,
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
    /// What else they entered.
    pub entries: Vec<DayEntry>,
}

/// A day in the strip of dates.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DayMark {
    /// The day.
    pub day: Day,
    /// The patterns of those who entered something, in the keepers' order.
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
    /// Days with entries, newest first, at most 60 up to this day's month and those after it.
    pub days: Vec<DayMark>,
}
