//! The drop: a meeting through a place that several can write to and none trusts. A stick, a folder that another program
//! copies, a bucket, a WebDAV server.
//!
//! # What lies there
//!
//! `<record>/<device>/<hash>`: every file belongs to one device, is written once, and is named by the BLAKE3 of its
//! bytes. The folders are tags that only members can work out ([`Names`]); each device has two, one of batches and one of
//! photos, which look alike. A file is the length of what follows (8 bytes, little-endian) and a sealed stream
//! ([`crate::seal`]) to the members' seals: a [`Batch`] (changes, and which photo lies under which name) or a photo.
//!
//! So a file that is not all there is told from a damaged one, a copy of a file under another name or in another folder
//! is the same file, and two devices never write to one name: there is nothing to lock and nothing to come into conflict.
//! What a device finds twice it takes once; what it does not find yet it finds later.
//!
//! # What a device does there
//!
//! At each look it lists the place, reads the batches that it has not read, fetches the photos that it wants, and writes
//! what no batch there holds: one more batch of its own. When its own batches are many, or were sealed before somebody
//! joined, it writes all of them as one and takes the old ones away, but not before the new one was listed at two further
//! looks and a day has passed: another's copy may lag. What comes from a revoked device is handed out set aside.
//!
//! [`plan`] decides all this from the listing and the [`Book`] alone; [`look`] carries it out over a [`Place`], and
//! [`ahead`] tells before how much that would be.
//!
//! What this module never does: it removes or changes no file of another device, it takes no lock, it reads no clock
//! (the moment is given), and it hands on nothing whose name, seal, signature and form were not all found good.

mod batch;
mod book;
mod error;
mod file;
mod give;
mod listing;
mod look;
mod names;
mod place;
mod plan;
mod side;
#[cfg(feature = "places")]
mod store;
mod take;

pub use batch::Lies;
pub use book::Book;
pub use error::DropError;
pub use look::{Mine, Spools, ahead, look};
pub use names::{Names, Shelf};
pub use place::{Listed, Place, Seen};
pub use plan::{Plan, Sight, plan};
pub use side::{Batch, DropFault, HeldChange, MemberStanding, Side, Told, Took};
#[cfg(feature = "places")]
pub use store::{Bucket, Store, WebDav};

use crate::carry;

/// A BLAKE3 or a SHA-256: 32 bytes.
pub type Hash = [u8; 32];

/// How much a device takes from a drop and puts there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct DropLimits {
    /// What a batch may hold.
    pub carry: carry::Limits,
    /// Bytes of changes, open, that go into one batch of this device. 16 MiB: a third of what a reader takes.
    pub batch: u64,
    /// Bytes that are read at one look; what is over is read at the next.
    pub read: u64,
    /// How many batches are read at one look, and how many photos.
    pub files: usize,
    /// Bytes of photos that are put at one look; what is over is put at the next. One photo always goes.
    pub put: u64,
    /// How many batches of its own a device leaves before it writes them as one.
    pub batches: usize,
    /// How long, in seconds, files that were written anew stay beside the new one.
    pub grace: i64,
    /// At how many looks a file that was put may be missing in the listing before it counts as gone. One that was listed once
    /// and is not any more counts as gone at once.
    pub lag: u64,
}

impl Default for DropLimits {
    fn default() -> Self {
        const MIB: u64 = 1024 * 1024;
        DropLimits {
            carry: carry::Limits::default(),
            batch: 16 * MIB,
            read: 256 * MIB,
            files: 2_000,
            put: 256 * MIB,
            batches: 12,
            grace: 24 * 60 * 60,
            lag: 4,
        }
    }
}
