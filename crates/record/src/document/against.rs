//! Why a change from outside is not taken in, and the change itself, kept as it came. Nothing is judged here: that is
//! `gate`.

use crate::hash::ChangeId;
use crate::name::Id;
use crate::time::Moment;

/// Why a change is not taken in.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Against {
    /// It stands on one that was not taken in.
    #[error("it stands on {0}, which was not taken in")]
    StandsOn(ChangeId),
    /// It is no change of a document, or not written as one is.
    #[error("it fits no document ({0})")]
    Unfit(String),
    /// Its operations are numbered otherwise than every honest writer numbers them.
    #[error(
        "its operations are numbered from {found} on where {wanted} comes next, after which nobody could write"
    )]
    Number {
        /// The first number.
        found: u64,
        /// What it would be.
        wanted: u64,
    },
    /// It is not the next one of its writer.
    #[error("it is number {found} of its writer and does not stand on the one before it")]
    OutOfTurn {
        /// Its number.
        found: u64,
    },
    /// Two different changes under one actor and number.
    #[error("two devices wrote under one name, as after a copied folder; the changes cannot be joined")]
    SameName,
    /// It is at the root, and none of the fixed changes.
    #[error("it changes what every record begins with")]
    Root,
    /// It says that it lays down day sheets, and is not that change.
    #[error("it is not the change that lays down these day sheets")]
    Laying,
    /// It deletes an entry, puts something over one, or makes one again.
    #[error("it {what} {kind} '{key}'")]
    Entry {
        /// Does what.
        what: &'static str,
        /// Of which kind.
        kind: &'static str,
        /// Which.
        key: String,
    },
    /// It deletes a text or puts something over it.
    #[error("it takes the whole text '{0}' away instead of what is written in it")]
    Text(String),
    /// What no record has.
    #[error("it holds what no record has: {0}")]
    Shape(&'static str),
    /// It names what is not there.
    #[error("it names what is not there")]
    Nowhere,
}

/// A change that was not taken in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Its hash.
    pub id: ChangeId,
    /// The device that it says wrote it.
    pub device: Option<Id>,
    /// The actor, in hex.
    pub actor: String,
    /// When, by that device's clock.
    pub at: Moment,
    /// What it says was done, in one line.
    pub message: String,
    /// Why not.
    pub why: Against,
    /// The change itself, uncompressed.
    pub bytes: Vec<u8>,
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.message.as_str() {
            "" => write!(f, "a change of {}: {}", self.at, self.why),
            said => write!(f, "'{said}' of {}: {}", self.at, self.why),
        }
    }
}
