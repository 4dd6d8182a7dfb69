//! What a conversation is told, what it wants done, and how it stands. Plain data; nothing is decided here.

use super::message::{Digest, PhotoKey};
use super::wire::Hash;

/// What one side brings to a meeting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mine {
    /// Which record: a hash that its devices share and nobody else can guess.
    pub record: Hash,
    /// This device, as the record names it.
    pub device: String,
    /// The newest changes here.
    pub heads: Vec<Hash>,
}

/// A photo that is wanted from the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Which.
    pub key: PhotoKey,
    /// How many of its bytes are here already, kept from an earlier meeting.
    pub from: u64,
}

/// What came of keeping a piece of a photo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// More must come.
    More,
    /// The photo is whole, its hash is its own, and it is in its place.
    Whole,
    /// It is not the photo that was named. What was kept of it is gone.
    Wrong,
    /// What came before this piece is not here any more, or not so far: go on from this byte. Nobody's fault: another
    /// meeting brought a part that was wrong, and it was dropped.
    Gone {
        /// How many bytes are here.
        here: u64,
    },
    /// It cannot be kept now (no room, a failing disk): no more photos in this meeting.
    Cannot,
}

/// What happened.
///
/// A host answers an `Ask…`, [`Effect::Take`], [`Effect::ReadPiece`] or [`Effect::KeepPiece`] with the event of the
/// same matter, once for each, in the order they were wanted. Between [`Effect::AskLacking`] and [`Event::Lacking`], and between
/// [`Effect::AskDigest`] and [`Event::Mine`], changes may be told by [`Event::Local`]; each change that is new in the record
/// must be told so (or have come from this other device) before the record is asked again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// The connection stands.
    Opened,
    /// A frame's body came.
    Got(Vec<u8>),
    /// Changes that are new here: written here, or brought by another device than this one; each after those it builds on.
    Local {
        /// The changes.
        changes: Vec<Vec<u8>>,
        /// The newest changes here with them.
        heads: Vec<Hash>,
    },
    /// This record's clock, packed.
    Clock(Vec<u8>),
    /// All changes that the other lacks, each after those it builds on; or why its clock could not be read.
    Lacking(Result<Vec<Vec<u8>>, String>),
    /// The changes were taken in (or set aside and shown, if a revoked device wrote them): the newest changes here
    /// now. Or why they were refused.
    Taken(Result<Vec<Hash>, String>),
    /// All photos that are wanted and not here, dearest first. May come at any time; what was wanted before and is not
    /// among them is wanted no more.
    Photos(Vec<Wanted>),
    /// Originals that the record names and that are not here, wanted or not: the other is asked which of them it has.
    /// May come at any time; what was asked about already is passed over.
    Missing(Vec<Hash>),
    /// Which of the photos that the other asked about are wholly here, see [`Effect::AskHeld`].
    Held(Vec<Hash>),
    /// A piece of a photo, and the bytes of the whole; nothing where the photo is not here.
    PieceRead {
        /// Of which.
        key: PhotoKey,
        /// Where it begins.
        offset: u64,
        /// Bytes of the whole photo, and the piece.
        piece: Option<(u64, Vec<u8>)>,
    },
    /// A piece was kept, or not.
    PieceKept {
        /// Of which.
        key: PhotoKey,
        /// What came of it.
        kept: Kept,
    },
    /// A photo is wholly here now, taken here or brought by another device.
    PhotoHere(PhotoKey),
    /// What the record holds.
    Mine(Digest),
    /// The connection broke, or the other closed it.
    Broke,
    /// Time passed. A few times a second while photos run is often enough, and once in five seconds at least.
    Tick,
    /// This side ends the meeting.
    Leave(Why),
}

/// What is to be done, in this order.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use = "a conversation goes on only when what it wants is done"]
pub enum Effect {
    /// Send this as a frame's body.
    Send(Vec<u8>),
    /// The other is this device of this record: it says so itself, so hold it against its key.
    Met {
        /// Its device.
        device: String,
        /// The newest changes it has.
        heads: Vec<Hash>,
    },
    /// The other now has these newest changes.
    Has(Vec<Hash>),
    /// Give this record's clock.
    AskClock,
    /// Give what a device with this packed clock lacks.
    AskLacking(Vec<u8>),
    /// Take these changes into the record.
    Take(Vec<Vec<u8>>),
    /// Read a piece of a photo.
    ReadPiece {
        /// Of which.
        key: PhotoKey,
        /// From where.
        offset: u64,
        /// Most bytes.
        most: usize,
    },
    /// Keep a piece of a photo. Pieces of one photo come without gaps, but another device may have brought some of them
    /// meanwhile: of each piece what is not here yet is kept.
    KeepPiece {
        /// Of which.
        key: PhotoKey,
        /// Where it begins.
        offset: u64,
        /// Bytes of the whole photo.
        total: u64,
        /// The piece.
        bytes: Vec<u8>,
    },
    /// Say which photos are wanted ([`Event::Photos`]), and which are missing ([`Event::Missing`]) before that.
    AskPhotos,
    /// Say which of these originals are wholly here.
    AskHeld(Vec<Hash>),
    /// The other says which originals it has, of those that were missing here.
    Holds {
        /// These it has.
        here: Vec<Hash>,
        /// These it has not.
        not: Vec<Hash>,
    },
    /// The two differ though all changes went across: hold what was derived here against the changes themselves,
    /// and make it anew where it is wrong, before anything else is done.
    Mend,
    /// Say what the record holds.
    AskDigest,
    /// How it stands has changed.
    Status(Status),
    /// End the connection; nothing is to be told any more.
    Close(Why),
}

/// How far a meeting is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// Nothing was said yet.
    #[default]
    Greeting,
    /// Changes go both ways.
    Changes,
    /// All changes are across; photos follow.
    Photos,
    /// Nothing is left; what is new goes at once.
    Live,
    /// It is over.
    Ended,
}

/// How a meeting stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Status {
    /// How far it is.
    pub phase: Phase,
    /// Changes that the other took from here.
    pub sent: u64,
    /// Changes that were taken from the other.
    pub got: u64,
    /// Changes that the other lacks still.
    pub lacking_there: u64,
    /// Changes that are lacking here still, as far as the other has told.
    pub lacking_here: u64,
    /// Photos that are wanted and not here yet.
    pub photos_left: u64,
    /// Photos that came and were not the ones that were named.
    pub photos_wrong: u64,
    /// Whether both hold the same: compared, and not yet overtaken by a change.
    pub alike: bool,
    /// Whether both should hold the same and do not, after everything was gone through a second time.
    pub difference: bool,
}

/// Why a meeting ends.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Why {
    /// This side is done.
    #[error("the meeting was ended on this device")]
    Leaving,
    /// The other side is done.
    #[error("the other device ended the meeting")]
    Left,
    /// The connection broke.
    #[error("the connection broke")]
    Broke,
    /// Nothing was heard for too long.
    #[error("the other device was not heard of for too long")]
    Silent,
    /// The other speaks an older version.
    #[error(
        "the other device's program is older (it speaks version {0} of the meeting, in which changes are not signed): bring it up to date there, or carry a file"
    )]
    Older(u16),
    /// The other speaks a newer version.
    #[error(
        "the other device's program is newer (it speaks version {0} of the meeting): bring this one up to date"
    )]
    Newer(u16),
    /// The other speaks another version, and says so.
    #[error(
        "the other device's program is of another version: bring the older one up to date, or carry a file"
    )]
    OtherVersion,
    /// The other's record is another, or it does not take this device for one that shares it.
    #[error("the other device does not share this record with this one")]
    OtherRecord,
    /// The other sent what is no message, or one that has no place here.
    #[error("the other device does not keep to the conversation: {0}")]
    Garbled(String),
    /// What the other sent was refused by the record.
    #[error("what the other device sent was refused: {0}")]
    Refused(String),
    /// The other says that this side does not keep to the conversation.
    #[error("the other device could not read what this one sent")]
    NotUnderstood,
    /// The other's record refused what was sent.
    #[error("the other device refused what this one sent")]
    NotTaken,
    /// The other is met no more.
    #[error("this device was revoked")]
    Revoked,
}

impl Why {
    /// As the other is told. Numbers stand for good; what is not known reads as [`Why::Left`].
    #[must_use]
    pub fn code(&self) -> u8 {
        match self {
            Why::Leaving | Why::Left | Why::Broke => 0,
            Why::Silent => 1,
            Why::Older(_) | Why::Newer(_) | Why::OtherVersion => 2,
            Why::OtherRecord => 3,
            Why::Garbled(_) | Why::NotUnderstood => 4,
            Why::Refused(_) | Why::NotTaken => 5,
            Why::Revoked => 6,
        }
    }

    /// From what the other tells.
    #[must_use]
    pub fn told(code: u8) -> Self {
        match code {
            1 => Why::Silent,
            2 => Why::OtherVersion,
            3 => Why::OtherRecord,
            4 => Why::NotUnderstood,
            5 => Why::NotTaken,
            6 => Why::Revoked,
            _ => Why::Left,
        }
    }
}
