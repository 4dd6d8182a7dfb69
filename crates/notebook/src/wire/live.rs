//! Meetings: the devices of a record and which of them are met, how pairing stands, and what the keeper chose.

use record::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::By;

/// That a device is met no more.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Revoked {
    /// Why.
    pub why: String,
    /// Who said so, where, when.
    pub by: By,
}

/// A drop that a device which is met no more may still get into.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct KnewDrop {
    /// What it is called here.
    pub name: String,
    /// Whether it is sure: the device has written there.
    pub sure: bool,
}

/// A device of the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct MemberLine {
    /// Which.
    pub device: Id,
    /// What its keeper calls it.
    pub name: String,
    /// Whose it is.
    pub keeper_name: String,
    /// Whether it is this one.
    pub this: bool,
    /// Set for one that was paired here and that the record does not name: whether it is still met.
    pub unnamed: Option<bool>,
    /// The key it is known by, 64 hex digits; nothing where it has never said one, so that it is met by carry file only.
    pub key: Option<String>,
    /// Whether files can be sealed to it.
    pub sealed_to: bool,
    /// That it is met no more.
    pub revoked: Option<Revoked>,
    /// Drops whose password it knew, or may have known, when that was said: it is to be changed there, and then here.
    pub knew: Vec<KnewDrop>,
}

/// How far a meeting is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum MeetPhase {
    /// It is not here.
    #[default]
    Away,
    /// It is here and has said nothing yet.
    Greeting,
    /// Changes go both ways.
    Changes,
    /// All changes are across; photos follow.
    Photos,
    /// Nothing is left; what is new goes at once.
    Live,
}

/// Another device of the record, and how meeting it stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct MeetLine {
    /// Which.
    pub device: Id,
    /// What its keeper calls it.
    pub name: String,
    /// Whose it is.
    pub keeper_name: String,
    /// How far the meeting is; `away` where there is none.
    pub phase: MeetPhase,
    /// Since when it is here; nothing where it is not.
    pub since: Option<record::Moment>,
    /// Changes that it took from here in this meeting.
    pub sent: u32,
    /// Changes that were taken from it in this meeting.
    pub got: u32,
    /// Changes that it lacks still.
    pub lacking_there: u32,
    /// Changes that are lacking here still.
    pub lacking_here: u32,
    /// Photos that are wanted of it and not here yet.
    pub photos_left: u32,
    /// Photos that came and were not the ones that were named.
    pub photos_wrong: u32,
    /// Whether both hold the same.
    pub alike: bool,
    /// Whether both should hold the same and do not.
    pub difference: bool,
    /// When the two last met, by carry file or live.
    pub last_met: Option<record::Moment>,
    /// Why the last meeting with it ended.
    pub ended: Option<String>,
}

/// Meetings as they stand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct MeetingsPage {
    /// Whether the keeper lets this device meet others.
    pub on: bool,
    /// Whether it is reachable now: this program looks after meetings, and there is somebody to meet.
    pub listening: bool,
    /// A relay of one's own.
    pub relay: Option<String>,
    /// Whether the internet's relays are used. They see the devices' keys and addresses, and when and how much they
    /// exchange; never what.
    pub internet_relays: bool,
    /// Which originals are fetched.
    pub photos: super::PhotosWanted,
    /// By which connections.
    pub photos_by: super::PhotosBy,
    /// Whether the face says that this connection is paid by what it carries.
    pub metered: bool,
    /// The other standing devices of this record.
    pub devices: Vec<MeetLine>,
}

/// A ticket by which another device can be paired.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct PairTicket {
    /// As text: the ticket, or the eight digits to read out.
    pub ticket: String,
    /// Whether it is digits to read out, for a device on the same network.
    pub voice: bool,
    /// As the modules of a QR code, row by row from the top, true for dark; the quiet zone of four modules around it
    /// is the drawer's to add. None for digits.
    pub qr: Vec<Vec<bool>>,
    /// Seconds that it lives.
    pub seconds: u32,
}

/// How pairing stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum PairState {
    /// Nobody is being paired.
    #[default]
    Closed,
    /// A ticket is shown.
    Open,
    /// The device that showed the ticket is being reached.
    Reaching,
    /// Digits are shown: are they the same on both?
    Compare,
    /// This side said yes; the other has not yet.
    Waiting,
    /// Done.
    Paired,
    /// It came to nothing.
    Ended,
}

/// What a pairing is about, told before the digits are confirmed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct PairAbout {
    /// The car: as it is called here, where it is kept here.
    pub car: String,
    /// Whose device is at the other end, as it says of itself.
    pub with: String,
    /// Whether whoever comes keeps the record already.
    pub kept: bool,
    /// What it would change, a sentence each.
    pub says: Vec<String>,
    /// Why nothing can come of it.
    pub cannot: Option<String>,
}

/// Pairing as it stands.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Pairs {
    /// How far it is.
    pub state: PairState,
    /// The ticket that is shown, or the digits to read out.
    pub ticket: Option<String>,
    /// The digits to compare.
    pub code: Option<String>,
    /// What it is about; there as soon as the digits are.
    pub about: Option<PairAbout>,
    /// Whose device was paired.
    pub with: Option<String>,
    /// What went wrong.
    pub words: Option<String>,
    /// How often a guest may still be wrong before the ticket ends; counts on the side that shows it.
    pub tries: u32,
    /// Seconds that are left of the ticket.
    pub seconds: u32,
}
