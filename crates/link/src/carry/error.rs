//! What can be wrong with a carry file, one sentence each, in words a keeper understands.
//!
//! It never names a place on the machine, and never repeats bytes out of the file.

use std::fmt;
use std::io;

use crate::seal::SealError;

/// What was measured against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CarryBound {
    /// Bytes of the head.
    Head,
    /// Bytes of one change, open.
    Change,
    /// Bytes of all changes, open.
    Changes,
    /// Number of changes.
    ChangeCount,
    /// Bytes of one photo.
    Photo,
    /// Number of photos.
    PhotoCount,
}

impl fmt::Display for CarryBound {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            CarryBound::Head => "bytes of its first page",
            CarryBound::Change => "bytes in one change",
            CarryBound::Changes => "bytes of changes",
            CarryBound::ChangeCount => "changes",
            CarryBound::Photo => "bytes in one photo",
            CarryBound::PhotoCount => "photos",
        })
    }
}

/// Why a carry file was refused, or could not be written.
#[derive(Debug, thiserror::Error)]
pub enum CarryError {
    /// The disk, stick or stream failed; the file itself may be sound.
    #[error("The carry file could not be read or written: {0}.")]
    Io(io::Error),
    /// No bytes at all.
    #[error("The file is empty: there is no carry file in it.")]
    Empty,
    /// It begins with something else.
    #[error("This is not a carry file.")]
    Foreign,
    /// A format, or a flag, of a later version.
    #[error(
        "This carry file was made by a newer version of the program (format {format}): bring this device up to date first."
    )]
    Newer {
        /// The format that the file names.
        format: u16,
    },
    /// Sealed in a way that this version cannot open.
    #[error(
        "This carry file is sealed by a newer version of the program: bring this device up to date first."
    )]
    Sealed {
        /// The number of the seal.
        seal: u8,
    },
    /// Sealed to members or to a passphrase, and handed over as it lies.
    #[error("This carry file is sealed: it must be opened first, by this device's key or by its passphrase.")]
    Unopened,
    /// It could not be sealed or opened; one of these for each thing that can be wrong.
    #[error(transparent)]
    Seal(SealError),
    /// A frame that may not be skipped and is not known here. The file is as its sender made it.
    #[error(
        "This carry file holds something that this version does not know: bring this device up to date first."
    )]
    UnknownPart {
        /// The frame's letter.
        letter: u8,
    },
    /// It ends before its end.
    #[error("The carry file is cut short: copy it again from where it was made.")]
    Truncated,
    /// Bytes follow its end.
    #[error("The carry file has something else stuck to its end: copy it again from where it was made.")]
    Trailing,
    /// It is not what its sender wrote.
    #[error("The carry file was damaged on the way: copy it again from where it was made.")]
    Damaged,
    /// It is as its sender made it, but breaks the format.
    #[error("The carry file was not made as it should be ({what}): make it again on the other device.")]
    Malformed {
        /// What is wrong, as a few words.
        what: &'static str,
    },
    /// Something is larger than this device takes.
    #[error("The carry file is too large: this device takes at most {limit} {what}.")]
    TooLarge {
        /// What was measured.
        what: CarryBound,
        /// The largest value taken.
        limit: u64,
    },
    /// It would unpack to far more than any record could.
    #[error("The carry file unpacks to far more than it should, as a trap would: do not use it.")]
    Swells,
    /// A photo on its way into, or out of, the file is not the one that was named.
    #[error(
        "A photo is not the one that the record knows: check this device's photos, then make the carry file again."
    )]
    WrongPhoto,
    /// The counts told in the head are not those of the contents.
    #[error(
        "The carry file holds other numbers of changes or photos than it says: make it again on the other device."
    )]
    CountsDiffer,
}

impl From<SealError> for CarryError {
    fn from(error: SealError) -> Self {
        match error {
            // The same things have the same words.
            SealError::Io(error) => CarryError::Io(error),
            SealError::CutShort => CarryError::Truncated,
            SealError::Damaged => CarryError::Damaged,
            other => CarryError::Seal(other),
        }
    }
}

impl From<io::Error> for CarryError {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::UnexpectedEof => CarryError::Truncated,
            _ => CarryError::Io(error),
        }
    }
}

/// Why reading stopped: the file was at fault, or the one that takes what is in it said no.
#[derive(Debug, thiserror::Error)]
pub enum Stopped<R> {
    /// The file was refused.
    #[error(transparent)]
    File(#[from] CarryError),
    /// The sink refused; its own reason.
    #[error("What the carry file holds was not taken.")]
    Sink(R),
}
