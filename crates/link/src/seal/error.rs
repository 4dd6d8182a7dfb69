//! What can be wrong with something sealed, one sentence each. It never repeats a key, a passphrase or bytes of a stream.

use std::io;

/// Why something sealed was not opened, or could not be sealed.
#[derive(Debug, thiserror::Error)]
pub enum SealError {
    /// The disk, stick or stream failed; what is sealed may be sound.
    #[error("What is sealed could not be read or written: {0}.")]
    Io(#[from] io::Error),
    /// None of its readers is this device.
    #[error(
        "This was not sealed for this device: it was made before this device was a member, or after it was revoked."
    )]
    NotForMe,
    /// It ends before its end.
    #[error("What is sealed is cut short: copy it again.")]
    CutShort,
    /// It is not what its sender wrote.
    #[error("What is sealed was damaged on the way: copy it again.")]
    Damaged,
    /// The signature is not that of the key it names.
    #[error("This was not written by the device that it names: do not use it.")]
    NotSigned,
    /// It belongs to another record.
    #[error("This belongs to the record of another car.")]
    OtherRecord,
    /// It is something else of this record: a photo in the place of a carry file, say.
    #[error("This is not what it should be: something else of this record was put in its place.")]
    OtherKind,
    /// It holds more than the caller takes.
    #[error("What is sealed is too large: at most {limit} bytes are taken here.")]
    TooLarge {
        /// The largest content taken, in bytes.
        limit: u64,
    },
    /// The passphrase does not open it.
    #[error(
        "The passphrase is another one. Capital letters count; how many spaces stand between words does not."
    )]
    WrongPassphrase,
    /// Opening it would keep this device busy for long.
    #[error("Opening this would keep the device busy for far too long, as a trap would: do not use it.")]
    TooMuchWork,
    /// Sealed to a passphrase where a device's key was given, or the other way round.
    #[error(
        "This is sealed in the other way: a passphrase in the place of a device's key, or a key in its place."
    )]
    OtherWay,
    /// A layout of a later version.
    #[error("This was sealed by a newer version of the program: bring this device up to date first.")]
    Newer,
    /// It was sealed by a key that may well be sound, but what is inside breaks the layout.
    #[error("What is sealed was not made as it should be: make it again on the other device.")]
    Malformed,
    /// Nobody is there to seal to, or too many are.
    #[error("It can be sealed to at least one member and at most {most}.", most = super::READERS_MAX)]
    Readers,
    /// A member's seal is none.
    #[error("A member's seal cannot be read: pair that device again.")]
    BadSeal,
    /// A key as text is none.
    #[error("This device's key cannot be read.")]
    BadKey,
    /// The record's id is longer than one may be.
    #[error("The record's id is too long.")]
    BadRecord,
}
