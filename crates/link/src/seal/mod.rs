//! Sealing: content that only its readers can open, and that says who wrote it.
//!
//! A sealed stream is an age file (the specification `age-encryption.org/v1`): to the members' seals (X25519), or to a
//! passphrase (scrypt). Inside it lies the content between its front and a signature:
//!
//! | bytes | what |
//! | --- | --- |
//! | 8 | `wmseal` and the layout's number (2 bytes, little-endian), 1 |
//! | 1 | what the content is: [`SealKind`] |
//! | 1 | length of the record's id, at most [`RECORD_MAX`] |
//! | … | the record's id |
//! | 32 | the sender's Ed25519 key |
//! | … | the content |
//! | 64 | the sender's Ed25519 signature over [`SIGNED`], the front from its ninth byte on and the content's BLAKE3 |
//!
//! So whoever can open it knows who wrote it and for which record, and whoever cannot open it learns nothing but how
//! long it is and for how many readers. There is no long-lived key that all share: every stream has a fresh one, wrapped
//! for each reader, so that a device that no longer is a reader can open nothing written from then on.
//!
//! What this module never does: it hands on no byte of the content before the signature was found good (opening writes
//! into a spool of the caller's, which is emptied when anything is wrong), it makes room for no length that was only
//! said, it opens no file, and it judges nobody: whether the sender is a member is for the caller to say. The randomness
//! of a stream's key is age's own, out of the system; nothing else here is random.
//!
//! # Example
//!
//! ```
//! use std::io::{Cursor, Write};
//! use link::seal::{self, SealKind, Opener, OpeningKey, Readers, Sealing, SigningKey, Subject};
//!
//! let (mine, theirs) = (SigningKey::from_bytes([7; 32]), OpeningKey::generate());
//! let about = Subject { record: "a record's id", kind: SealKind::Carry };
//!
//! let mut sealing = Sealing::new(Vec::new(), &mine, &about, &Readers::Members(&[theirs.seal()]))?;
//! sealing.write_all(b"what only they may read")?;
//! let sealed = sealing.finish()?;
//!
//! let mut spool = Cursor::new(Vec::new());
//! let opened = seal::open(sealed.as_slice(), &Opener::Device(&theirs), SealKind::Carry, None, 1_000, &mut spool)?;
//! assert_eq!((opened.sender, opened.record.as_str()), (mine.public(), about.record));
//! assert_eq!(spool.into_inner(), b"what only they may read");
//! # Ok::<(), seal::SealError>(())
//! ```
//!
//! Sources: age's specification (C2SP, age), Ed25519 is RFC 8032, scrypt RFC 7914, BLAKE3 its published specification.
//! What lies inside is our own.

mod error;
mod front;
mod keys;
mod reader;
mod size;
mod spool;
mod writer;

pub use error::SealError;
pub use front::{SealKind, Subject};
pub use keys::{OpeningKey, SigningKey, is_seal};
pub use reader::{Opened, Opener, claimed_record, open};
pub use size::sealed_size;
pub use spool::Spool;
pub use writer::{Readers, Sealing};

/// How many bytes a record's id may have. A UUID as text has 36.
pub const RECORD_MAX: usize = 64;

/// To how many members one stream is sealed at most: more than any club's devices, and few enough that opening one costs
/// a phone some milliseconds.
pub const READERS_MAX: usize = 200;

/// What stands before everything that is signed, so that a signature over something else is never taken for one of these.
pub const SIGNED: &[u8] = b"witnessmark sealed content 1\0";

/// The work of a passphrase that this version writes: scrypt with N = 2^16 and r = 8, which takes 64 MiB and, on a phone,
/// about half a second. (The memory is 128·r·N bytes: RFC 7914. The time is common practice, no source.)
pub const WORK: u8 = 16;

/// The most work that is done for a passphrase when reading: N = 2^17, 128 MiB. A stream that asks for more is refused
/// before any of it is done.
pub const WORK_MAX: u8 = 17;
