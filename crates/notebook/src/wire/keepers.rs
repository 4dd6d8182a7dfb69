//! Keepers: who, on which devices, when they last met, and what is to be settled.

use record::rules::{Choice, Rule};
use record::{Id, Moment, Ref, Scalar};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::drop::CarrySeal;
use super::named::{By, Named};

/// A device.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DeviceLine {
    /// Which.
    pub id: Id,
    /// What its keeper calls it.
    pub name: String,
    /// Whether it is this one.
    pub this: bool,
    /// When this device last took in something from it.
    pub last_met: Option<Moment>,
    /// How many of the changes that are here, whoever made them, it is not known to have; nothing while nothing is known of it.
    pub lacks: Option<u32>,
}

/// A keeper.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct KeeperLine {
    /// Who.
    pub id: Id,
    /// Their name.
    pub name: String,
    /// The pattern of their line.
    pub pattern: String,
    /// Whether it is this device's keeper.
    pub me: bool,
    /// Their devices.
    pub devices: Vec<DeviceLine>,
}

/// One side of a point, ready to be shown.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct SideOut {
    /// `side_1`, `side_2`, …
    pub key: String,
    /// What it is about.
    pub about: Named,
    /// The value, where the point is about values.
    pub value: Option<Scalar>,
    /// The value in words: a reference by its title, a set element as in or out, a word without underscores.
    pub said: String,
    /// Who, where, when.
    pub by: By,
    /// Whether its writer had the other side's entry.
    pub knew_other: bool,
}

/// A point to settle, ready to be shown.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct PointOut {
    /// The same on every device.
    pub id: String,
    /// Which rule found it.
    pub rule: Rule,
    /// One line that says what it is.
    pub title: String,
    /// What is asked, in whole words: the line for a list.
    pub asks: String,
    /// The point that it is asked with, where one disagreement made several; else itself. A list shows those alone that are asked
    /// by themselves.
    pub question: String,
    /// What it is about.
    pub about: Vec<Ref>,
    /// The same with titles, where the sides are about something else.
    pub things: Vec<Named>,
    /// The field, for two values.
    pub field: Option<String>,
    /// Both sides, or more.
    pub sides: Vec<SideOut>,
    /// Ways to settle it.
    pub choices: Vec<Choice>,
}

/// The Keepers place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct KeepersPage {
    /// Keepers, this device's first.
    pub keepers: Vec<KeeperLine>,
    /// Points to settle, in one order everywhere.
    pub points: Vec<PointOut>,
    /// How many points were settled so far.
    pub settled: u32,
    /// Changes in the record.
    pub changes: u32,
    /// Photos named in the record.
    pub photos: u32,
    /// Photos whose originals are not on this device.
    pub photos_missing: u32,
}

/// What a carry out wrote.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CarryOut {
    /// The file.
    pub file: String,
    /// Its name alone.
    pub name: String,
    /// Its size in bytes.
    #[ts(type = "number")]
    pub bytes: u64,
    /// Changes in it.
    pub changes: u32,
    /// Photos in it.
    pub photos: u32,
    /// Whether it holds everything, so that a newcomer may join by it.
    pub whole: bool,
    /// Who can read it.
    pub seal: CarrySeal,
    /// Who can read it, as a sentence.
    pub says: String,
}

/// What a carry in brought.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Meeting {
    /// Whose device it came from.
    pub from: String,
    /// Changes that were new here.
    pub changes: u32,
    /// Photos that were new here.
    pub photos: u32,
    /// Points to settle now.
    pub points: u32,
    /// What is to be said of it, and then what came in, in sentences; at most fifty of those.
    pub news: Vec<String>,
    /// The coming that tells of it by assembly; nothing where nothing came.
    pub coming: Option<u32>,
    /// Changes that were not taken in but set aside, since the device that wrote the file was revoked.
    pub aside: u32,
    /// Whether those are not kept either: as much is set aside as this device keeps.
    pub aside_not_kept: bool,
}
