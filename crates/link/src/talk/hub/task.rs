//! What a meeting is told and what it wants done. Plain data; nothing is decided here.

use std::collections::BTreeMap;

use crate::talk::{Effect, Tag, Why};

/// What happened in a meeting, beside what one conversation alone is told ([`super::Hub::tell`]).
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum HubEvent {
    /// These records are shared with the other now and no others, each with the device by which the other is known in it.
    Shares(BTreeMap<Tag, String>),
    /// A frame came, for which [`HubTask::Listen`] had asked.
    Got(Vec<u8>),
    /// The connection is no more, and every frame that came over it was told.
    Broke,
    /// Somebody asks to meet now: what failed and rests begins anew at once.
    Hurry,
    /// This side has no more to do with the other.
    Leave,
}

/// What is to be done next in a meeting.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use = "a meeting goes on only when what it wants is done"]
pub enum HubTask {
    /// A conversation about this record begins: [`super::Hub::begun`] is told what this side brings to it.
    Begin {
        /// Which record.
        tag: Tag,
    },
    /// A conversation wants this, which is no [`Effect::Send`] and no [`Effect::Close`]. What comes of it is told by
    /// [`super::Hub::tell`] before the next task is asked for.
    Do {
        /// Of which record.
        tag: Tag,
        /// What it wants.
        effect: Effect,
    },
    /// Send this frame.
    Send {
        /// Its body.
        frame: Vec<u8>,
        /// Wait until there is room for it. Otherwise it goes at once, even above the usual room.
        wait: bool,
    },
    /// The conversation about this record is over.
    Over {
        /// Which record.
        tag: Tag,
        /// Why; nothing where another about the same record follows.
        why: Option<Why>,
    },
    /// The other does not share this record.
    Unshared {
        /// Which record.
        tag: Tag,
    },
    /// Wait for a frame, no longer than until this moment; not at all where it is over.
    Listen {
        /// In milliseconds of the clock that is told.
        until: u64,
        /// And no longer than until fewer than so many bytes wait to leave.
        below: Option<usize>,
    },
    /// The meeting is over: end the connection. The conversations were over before.
    End(Why),
}
