//! What crosses to a face: pages that a screen shows as they are, and patches that say which of them to ask for
//! again. No path within a document is in here, and no state said by colour.

mod assembly;
mod bench;
mod came;
mod car;
mod day;
mod drop;
mod entry;
mod folder;
mod health;
mod keepers;
mod live;
mod named;
mod own;
mod photo;
mod points;
mod readings;
pub(crate) mod reply;
mod stores;
mod tonight;
mod tour;

pub use assembly::{
    AssemblyCautions, AssemblyPage, ClosedOver, FindingClosedOver, FindingEnd, FindingLine, FindingPage,
    HoldLine, JobLine, NotBy, NoteLine, PartLine, SeenBefore, TryLine, Waits,
};
pub use bench::{AskedOf, KeptLine, KeptPage, RunLine, RunNext, RunPage, RunPass, RunPlace, TightenedLine};
pub use came::{AwayPage, CameItem, CameLine, CamePage, CamePlace, CameSmaller, ComingLine, Road, Unread};
pub use car::{AssemblyLine, CarPage, DiffersLine, Field, InStruck, InsideOut, Open, RecordLine};
pub use day::{DayEntry, DayItem, DayMark, DayPage, DaySheet};
pub use drop::{
    AsideBy, AsideLine, AsidePage, CarrySeal, CarrySize, DropAheadPage, DropKind, DropLine, DropPlace,
    DropSizes, DropTold, DropsPage, FailedLook,
};
pub use entry::{ClaimSaid, EntryPage, FieldSaid, FormValue, LiesSaid, ValueSaid, WrittenBy};
pub use folder::{FolderDoubt, FolderPage, GivenUp, OldTables, Proposed, Underway};
pub use health::{HealthLine, HealthReport, RebuildReport, RecordDigest};
pub use keepers::{CarryOut, DeviceLine, KeeperLine, KeepersPage, Meeting, PointOut, SideOut};
pub use live::{
    KnewDrop, MeetLine, MeetPhase, MeetingsPage, MemberLine, PairAbout, PairState, PairTicket, Pairs, Revoked,
};
pub use named::{By, Named, StruckOut};
pub use own::CarOwn;
pub use photo::{MissingPhoto, PhotoLine, PhotosBy, PhotosWanted};
pub use points::{
    AgreedLine, ApartLine, AskOther, QuestionChoice, QuestionPage, QuestionSide, ReopenedLine, SaidBefore,
    SaidSo,
};
pub use readings::{
    GridShown, GridValue, JudgedLine, MeasuredThen, ReadingLine, ReadingPage, RemedyLine, VerdictStep,
};
pub use stores::{
    AlikeLine, AlikePage, ContainerLine, Explained, Hit, OldPartLine, OrderLine, StoresPage, Sum,
};
pub use tonight::Tonight;
pub use tour::{Tour, TourStep};

use record::{Id, Kind, Moment, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Where the last words are: the one line at the top of every screen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Saved {
    /// Changes made on this device that no other device is known to have.
    pub only_here: u32,
    /// When the first of those was made.
    pub since: Option<Moment>,
    /// Whether the record has a second device at all.
    pub alone: bool,
    /// How many devices keep the record beside this one; those that are met no more do not count.
    pub others: u32,
    /// The devices that are here now, to which every word goes at once; the one here longest stands first.
    pub here: Vec<HereNow>,
    /// The last meeting, whichever way.
    pub last_met: Option<Moment>,
    /// How many points are to be settled.
    pub points: u32,
    /// Where this device was revoked and knows it: who said so and when, and the one way on, in a sentence.
    pub revoked: Option<String>,
}

/// A device that is here now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct HereNow {
    /// Whose it is.
    pub keeper_name: String,
    /// What its keeper calls it.
    pub name: String,
    /// Since when it is here.
    pub since: Moment,
}

/// An answer, and what it was made of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Answered {
    /// What was asked for.
    #[ts(type = "unknown")]
    pub reply: serde_json::Value,
    /// Marks of all that was looked at: as long as no [`Patch`] has one of them, the answer is the same. Nothing where any patch may
    /// make it another.
    pub looked_at: Option<Vec<String>>,
}

impl Answered {
    /// An answer of which it is not known what it was made of.
    #[must_use]
    pub fn once(reply: serde_json::Value) -> Self {
        Self {
            reply,
            looked_at: None,
        }
    }
}

/// What changed: ask again for whatever shows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Patch {
    /// The record.
    pub record: Id,
    /// The entities whose rows were replaced.
    pub touched: Vec<Ref>,
    /// What was changed, in the marks that an [`Answered`] says it looked at; empty where it may be anything.
    #[serde(default)]
    pub marks: Vec<String>,
    /// Whether the points to settle may have changed.
    pub points: bool,
    /// How far long work is. Nothing of the record is other by it: there is nothing to ask again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub underway: Option<Underway>,
}

/// One change in the history of an entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct HistoryLine {
    /// Who and when.
    pub by: By,
    /// What was done, in the trade's words.
    pub message: String,
    /// Fields it touched, and what each read right after it, the shown value first.
    pub fields: Vec<FieldThen>,
    /// What is to be said of who wrote it, in words, where no signature vouches for that.
    pub claimed: Option<String>,
}

/// What a field read at a moment.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FieldThen {
    /// The field; of a set, with its element.
    pub field: String,
    /// What it is called.
    pub label: String,
    /// Its values then.
    pub values: Vec<Option<record::Scalar>>,
    /// The same in words.
    pub said: Vec<String>,
    /// What would be put to have it read so again, where one value can be: that, or nothing to empty it.
    pub back: Option<PutBack>,
    /// Whether it says nothing to a person: the program keeps it for itself, or it was left empty when the thing was entered.
    pub says_nothing: bool,
}

/// An earlier value, to be put again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct PutBack {
    /// As a form takes it; nothing to empty the field.
    pub value: Option<FormValue>,
}

/// A kind with how many there are.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Count {
    /// The kind.
    pub kind: Kind,
    /// How many stand.
    pub count: u32,
}
