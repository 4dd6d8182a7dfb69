//! The messages of a meeting, and their bytes: one tag and a body, by postcard. Reading one never panics, never makes
//! room for more than its frame holds, and says one clear thing of what is wrong.
//!
//! The tag is the place in the list below: a message may be added at the end, none may be moved or taken out.

use serde::{Deserialize, Serialize};

use super::urgency::Urgency;
use super::wire::{Bytes, Hash, Hashes};
use crate::frame::FRAME_MAX;

/// The version of the conversation that this program speaks.
pub const VERSION: u16 = 3;

/// The number of the digest that this program compares: what it is made of is the record's own. Both compare the lower
/// of the two numbers that they greet with.
pub const DIGEST: u16 = 1;

/// The first message of each side. Its version stands first in every version there will be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hello {
    /// [`VERSION`] of the sender.
    pub version: u16,
    /// Which record: the same on all of its devices, and says nothing to others.
    pub record: Hash,
    /// The sender's device, as its record names it.
    pub device: String,
    /// The newest changes it has.
    pub heads: Hashes,
    /// [`DIGEST`] of the sender.
    pub digest: u16,
}

/// A photo: the original, or its small picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct PhotoKey {
    /// BLAKE3 of the original.
    pub hash: Hash,
    /// Whether its small picture is meant.
    pub small: bool,
}

/// What a record holds, in few bytes. Two that hold the same have the same.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Digest {
    /// The newest changes.
    pub heads: Hashes,
    /// How many changes.
    pub changes: u64,
    /// Digest of every entry as it reads.
    pub entries: Hash,
    /// Digest of the photos that are wholly here.
    pub photos: Hash,
    /// Photos that the record names and that are not here.
    pub photos_missing: u64,
}

/// One message.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Message {
    /// First of each side.
    Hello(Hello),
    /// Last: why it ends, see [`super::Why::code`].
    Bye {
        /// The reason's number.
        why: u8,
    },
    /// A part of the sender's clock: which changes it has.
    Have {
        /// Of which exchange, from 1.
        round: u32,
        /// Where in the clock this part begins.
        at: u64,
        /// The part.
        part: Bytes,
        /// Whether it is the last.
        last: bool,
    },
    /// The next part of the sender's stream of changes, see [`super::pack`].
    Changes {
        /// Its number, from 1.
        number: u64,
        /// The exchange that ends with it; 0 for none.
        ends: u32,
        /// Changes that follow in later parts, as far as the sender knows.
        left: u32,
        /// Bytes of the part when open.
        open: u32,
        /// Whether it is packed (DEFLATE).
        packed: bool,
        /// The part.
        part: Bytes,
    },
    /// Parts that were taken in, all up to a number.
    Took {
        /// The last part's number.
        parts: u64,
        /// The newest changes that the sender has now.
        heads: Hashes,
    },
    /// A photo is wanted.
    Want {
        /// Which.
        key: PhotoKey,
        /// From which byte on.
        from: u64,
    },
    /// A piece of a photo.
    Piece {
        /// Of which.
        key: PhotoKey,
        /// Where it begins.
        offset: u64,
        /// Bytes of the whole photo.
        total: u64,
        /// The piece.
        bytes: Bytes,
    },
    /// A photo was kept up to a byte.
    Kept {
        /// Which.
        key: PhotoKey,
        /// Up to where; `u64::MAX` where it is whole, or no more of it is wanted.
        to: u64,
    },
    /// The photo is not here, or not so far.
    NoPhoto {
        /// Which.
        key: PhotoKey,
        /// Where the piece was to begin.
        at: u64,
    },
    /// A photo is here now that was not when it was wanted.
    Here {
        /// Which.
        key: PhotoKey,
    },
    /// What the sender holds, having sent and taken so many parts.
    Compare {
        /// Parts sent before.
        sent: u64,
        /// Parts taken before.
        taken: u64,
        /// What it holds.
        digest: Digest,
    },
    /// Nothing, so that the other knows that somebody is there.
    Still,
    /// These originals are missing at the sender: which of them has the other?
    Who {
        /// The question's number, from 1.
        number: u64,
        /// Which.
        hashes: Hashes,
    },
    /// Those of a question that the sender has.
    Holds {
        /// The question's number.
        number: u64,
        /// Which it has.
        hashes: Hashes,
    },
}

/// Why bytes are no message.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Garbled {
    /// Longer than any frame.
    #[error("the other device sent a message that is longer than any may be")]
    TooLong,
    /// It is cut, or a count in it goes beyond its end, or it is of a kind that is not known.
    #[error("the other device sent a message that cannot be read")]
    Unreadable,
    /// Bytes follow its end.
    #[error("the other device sent a message with something stuck to its end")]
    Trailing,
}

impl Message {
    /// Its bytes, without the frame's length.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        // Numbers, bytes and short words: there is nothing in a message that postcard could not write.
        postcard::to_allocvec(self).unwrap_or_default()
    }

    /// Reads a message from a frame's body.
    ///
    /// # Errors
    /// When the bytes are no message; nothing of them is kept.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, Garbled> {
        if bytes.len() > FRAME_MAX {
            return Err(Garbled::TooLong);
        }
        match postcard::take_from_bytes(bytes) {
            Ok((message, [])) => Ok(message),
            Ok(_) => Err(Garbled::Trailing),
            Err(_) => Err(Garbled::Unreadable),
        }
    }

    /// How urgent a message is, by its bytes. What answers for a photo comes in one order with that photo's pieces, and
    /// everything else may overtake them.
    #[must_use]
    pub fn urgency_of(bytes: &[u8]) -> Urgency {
        match postcard::take_from_bytes::<(u8, PhotoKey)>(bytes) {
            // `Piece`, `NoPhoto` and `Here`.
            Ok(((6 | 8 | 9, key), _)) => Urgency::of(key.small),
            _ => Urgency::Changes,
        }
    }

    /// The version that a greeting names, whatever follows it there; nothing where the bytes are no greeting.
    #[must_use]
    pub fn version_of(bytes: &[u8]) -> Option<u16> {
        match postcard::take_from_bytes::<(u8, u16)>(bytes) {
            Ok(((0, version), _)) => Some(version),
            _ => None,
        }
    }
}
