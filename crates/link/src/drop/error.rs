//! What can be wrong with a drop, one sentence each. It never names a place on the machine or a key.

use std::io;

use crate::carry::CarryError;
use crate::seal::SealError;

/// Why a drop, or a file in it, could not be used.
#[derive(Debug, thiserror::Error)]
pub enum DropError {
    /// The place cannot be reached, or refuses.
    #[error("The drop could not be reached: {0}.")]
    Place(String),
    /// What was given as a place is none.
    #[error("This is no place for a drop: {0}.")]
    NoPlace(String),
    /// A file that was listed is not there any more, or not yet.
    #[error("A file of the drop is not there.")]
    Gone,
    /// A file is longer than any may be.
    #[error("A file of the drop is too large: at most {limit} bytes are taken.")]
    TooLarge {
        /// The largest file taken, in bytes.
        limit: u64,
    },
    /// The copy is not finished; it will be looked at again.
    #[error("A file of the drop is not all there yet.")]
    Unfinished,
    /// Its bytes are not those that its name says.
    #[error("A file of the drop was damaged on the way.")]
    Wrong,
    /// It could not be opened.
    #[error("A file of the drop was not opened. {0}")]
    Seal(#[from] SealError),
    /// What is in it breaks the form of a batch.
    #[error("A file of the drop was not made as it should be. {0}")]
    Batch(#[from] CarryError),
    /// A photo in it is not the one that was announced.
    #[error("A photo in the drop is not the one that was announced.")]
    WrongPhoto,
    /// It was written by a device that the record does not know.
    #[error("A file of the drop was written by a device that this record does not know.")]
    Stranger,
    /// The record would not take what is in it.
    #[error("What a file of the drop holds was not taken: {0}")]
    Refused(String),
    /// A spool of the caller's failed.
    #[error("The drop needs room on this device that could not be used: {0}.")]
    Room(#[from] io::Error),
    /// What was kept about the drop cannot be read: begin it anew, at the cost of reading the drop again.
    #[error("What this device had noted about the drop cannot be read.")]
    BadBook,
}
