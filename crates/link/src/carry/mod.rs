//! The carry file: one file that carries a meeting by USB stick, message or shared folder.
//!
//! It holds what the other device lacks, or everything where nothing is known of the other. This module never
//! judges what is inside a change, and never hands on a byte of a file whose whole was not checked first.
//!
//! # Layout (format 1)
//!
//! All whole numbers are little-endian.
//!
//! | bytes | what |
//! | --- | --- |
//! | 8 | [`MAGIC`] |
//! | 2 | format version, 1 |
//! | 1 | flags a reader must understand; none yet, anything but 0 is refused |
//! | 1 | flags a reader may ignore |
//! | 1 | seal: 0 is open, 1 is sealed to members, 2 is sealed to a passphrase; anything else is refused |
//! | 3 | zero, kept free for the seal |
//!
//! Where it is sealed, what follows is a sealed stream ([`crate::seal`]) whose content is a whole carry file with the
//! seal 0, and at the end the BLAKE3 (32) of everything before it, so that damage is told from a seal that this device
//! cannot open. Otherwise frames follow, each a letter, the payload's length (4 bytes, never above [`FRAME_MAX`]) and the payload:
//!
//! | letter | once? | payload |
//! | --- | --- | --- |
//! | `H` | once, first | the [`Head`] as JSON |
//! | `C` | any number | a slice of the list of changes: packing (1 byte: 0 plain, 1 DEFLATE), open length (4), packed bytes |
//! | `s` | any number, behind the slices | signatures over changes, one after the other ([`crate::vouch::Mark`]) |
//! | `P` | one a photo, after all slices | BLAKE3 (32) and length (8) of a photo |
//! | `B` | after its `P` | the next bytes of that photo |
//! | `E` | once, last | counts of changes and photos, bytes of changes and photos (8 each), BLAKE3 (32) of everything before it |
//!
//! The open slices, put together, are the list of changes: hash (32), length (4), bytes, and so on; a change may
//! cross slices. Each slice is a DEFLATE stream of its own, so a reader needs one slice's room and no more. A
//! lower-case letter is a frame that an older reader may skip; an unknown capital must be refused.
//!
//! # Example
//!
//! ```
//! use std::io::Cursor;
//! use link::carry::{self, CarryError, Head, Limits, Writer};
//!
//! let head = Head { car: "Aunt Dilys's Tern".into(), whole: true, changes: 1, ..Head::default() };
//! let mut writer = Writer::new(Vec::new(), head)?;
//! writer.change(&[7; 32], b"one change, as the record keeps it")?;
//! let (file, wrote) = writer.finish()?;
//!
//! let found = carry::check(&mut Cursor::new(&file), &Limits::default())?;
//! assert_eq!(found, wrote);
//! let cut = carry::check(&mut Cursor::new(&file[..100]), &Limits::default());
//! assert!(matches!(cut, Err(CarryError::Truncated)));
//! # Ok::<(), CarryError>(())
//! ```
//!
//! Sources: DEFLATE is RFC 1951, BLAKE3 its published specification, JSON RFC 8259. The frame is our own.

mod error;
mod frame;
mod head;
mod limits;
mod list;
mod reader;
mod sealed;
mod sink;
mod size;
mod slice;
mod writer;

pub use error::{CarryBound, CarryError, Stopped};
pub use head::Head;
pub use limits::Limits;
pub use reader::{check, peek, read};
pub use sealed::{Seal, Sealed, claimed_record, seal_of, unseal};
pub use sink::{Sink, Wanted};
pub use size::Size;
pub use writer::Writer;

/// The first eight bytes of every carry file. 0xE7 before an ASCII letter is no UTF-8, so no text begins so.
pub const MAGIC: [u8; 8] = *b"\xE7wmcarry";

/// The format this version writes, and the newest that it reads.
pub const FORMAT: u16 = 1;

/// What files of this kind are named: `NAME.carry`.
pub const EXTENSION: &str = "carry";

/// How many bytes a slice may be when open, and how many bytes of a photo go into one frame.
///
/// 256 KiB: long enough that a slice packs as well as the whole would, short enough to hold anywhere.
pub const SLICE_MAX: usize = 256 * 1024;

/// The longest payload a frame may have: a plain slice with its five bytes of front matter, and some to spare.
pub const FRAME_MAX: usize = SLICE_MAX + 64;

/// How many times longer than its packed bytes an open slice may be.
///
/// A list of changes cannot be packed far: every change brings its own hash and those of its parents, which do not
/// pack at all, so an honest list stays below 6 to 1. DEFLATE can reach 1032 to 1, which is what a bomb lives on.
/// 32 to 1 lets a file of 260 KB open to 8 MB at most. The writer keeps to the same figure (it leaves a slice plain
/// where packing would go beyond), so no honest file is ever refused for it, however dull its contents.
pub const SWELL_MAX: usize = 32;

/// A SHA-256 of a change, or a BLAKE3 of a photo: 32 bytes.
pub type Hash = [u8; 32];

/// What a carry file was found to hold, or what was written into it.
#[derive(Debug, Clone, PartialEq)]
pub struct Contents {
    /// Who sent it, of which record, and what it starts from.
    pub head: Head,
    /// How many changes.
    pub changes: u64,
    /// How many photos.
    pub photos: u64,
    /// Bytes of all changes together, open.
    pub change_bytes: u64,
    /// Bytes of all photos together.
    pub photo_bytes: u64,
    /// BLAKE3 of the whole file up to its last 32 bytes, which hold the same value.
    pub digest: Hash,
}
