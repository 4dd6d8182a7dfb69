//! What the drop asks of the one that keeps the record, and what it tells. Nothing is done here.

use std::collections::BTreeSet;
use std::io::{self, Read};

use super::{DropError, Hash};
use crate::carry::Head;
use crate::vouch::Mark;

/// Whether a device is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MemberStanding {
    /// A member.
    Member,
    /// Revoked: what it wrote is set aside.
    Revoked,
}

/// A change that is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeldChange {
    /// Its hash.
    pub hash: Hash,
    /// Its length in bytes.
    pub length: u64,
}

/// Changes out of a drop.
#[derive(Debug)]
pub struct Batch {
    /// Who wrote it: the public key of the device, and what its batch says of itself. The key is in the record, and its
    /// signature was found good. Several where batches of several files can only be taken together, since each builds on
    /// another.
    pub from: Vec<(Hash, Head)>,
    /// Whether that device is revoked: then none of this may be merged, only set aside and shown.
    pub aside: bool,
    /// The hash that each change came with, in the order of `changes`.
    pub hashes: Vec<Hash>,
    /// The bytes of each change, in the writer's order. They were not compared with the hashes here.
    pub changes: Vec<Vec<u8>>,
    /// Signatures over changes, of the devices that wrote those. None was believed here.
    pub marks: Vec<Mark>,
}

/// What became of a batch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Took {
    /// All of it is held now, or was before; or it is set aside. Only where each change has the hash that it came with:
    /// what is said to be taken is not written to the drop again.
    All,
    /// It builds on what is not held yet; nothing was taken. It is offered again when more is held.
    Waits,
    /// It is not taken, now or later: why, as a sentence.
    Refused(String),
}

/// The one that keeps the record.
pub trait Side {
    /// Every device that the record knows a key of, with this one.
    fn devices(&mut self) -> Vec<(Hash, MemberStanding)>;
    /// Every change held, each after those it builds on.
    fn held(&mut self) -> Vec<HeldChange>;
    /// Seals of the standing members as they are by now; nothing where they are those that the look began with. What was
    /// taken may have brought a member, and nothing is to be written that it could not open.
    fn readers(&mut self) -> Option<Vec<String>> {
        None
    }
    /// Whether whoever wrote these changes under this head knew every member that there is now. What it wrote before it did,
    /// a newcomer cannot open.
    fn knew_all(&mut self, head: &Head, changes: &[Hash]) -> bool {
        let _ = (head, changes);
        true
    }
    /// The bytes of a change that is held.
    ///
    /// # Errors
    /// Those of the disk.
    fn change(&mut self, hash: &Hash) -> io::Result<Vec<u8>>;
    /// The signatures that go with these changes.
    ///
    /// # Errors
    /// Those of the disk.
    fn marks(&mut self, _changes: &[Hash]) -> io::Result<Vec<Mark>> {
        Ok(Vec::new())
    }
    /// Takes a batch, whole or not at all.
    fn take(&mut self, batch: &Batch) -> Took;
    /// Photos that may be put into the drop, with their lengths: those held here, or none.
    fn photos(&mut self) -> Vec<(Hash, u64)>;
    /// The bytes of a photo that may be put there.
    ///
    /// # Errors
    /// Those of the disk.
    fn photo(&mut self, hash: &Hash) -> io::Result<Box<dyn Read + '_>>;
    /// Photos that are wanted.
    fn wanted(&mut self) -> BTreeSet<Hash>;
    /// Keeps a photo; its hash and length were found right.
    ///
    /// # Errors
    /// Those of the disk.
    fn keep(&mut self, hash: &Hash, length: u64, from: &mut dyn Read) -> io::Result<()>;
}

/// Something that was wrong with one file, told once.
#[derive(Debug)]
pub struct DropFault {
    /// In whose folder it lies: public key of the device.
    pub device: Option<Hash>,
    /// What was wrong.
    pub what: DropError,
}

/// What happened at a look.
#[derive(Debug, Default)]
pub struct Told {
    /// Batches that were taken, and were not known before.
    pub batches: usize,
    /// Changes in them; some may have been held already.
    pub changes: usize,
    /// Batches that were set aside, by the key of the revoked device that wrote them.
    pub aside: Vec<Hash>,
    /// Photos that were fetched.
    pub photos_fetched: usize,
    /// Photos that are wanted and announced, and are not here yet.
    pub photos_left: usize,
    /// Bytes that were read.
    pub bytes_read: u64,
    /// Bytes of batches that are there and were left for the next look.
    pub bytes_left: u64,
    /// Files that were written.
    pub written: usize,
    /// Photos among them.
    pub photos_put: usize,
    /// Bytes of them.
    pub bytes_written: u64,
    /// Own files that were taken away.
    pub removed: usize,
    /// Files that are not all there yet; they are looked at again.
    pub unfinished: usize,
    /// Batches that wait for others that are not there yet, or for a device to become known.
    pub waiting: usize,
    /// Files that were found not to be sealed for this device, each counted once: from before it was a member, until
    /// their writers write them anew, or from somebody who takes it for revoked.
    pub not_for_me: usize,
    /// Files in the record's folder that are none of the drop's.
    pub foreign: usize,
    /// Whether there are more files than are ever listed, so that those of strangers were left out.
    pub too_long: bool,
    /// What was wrong, each told once in the life of the book.
    pub faults: Vec<DropFault>,
    /// Why something could not be read, written or removed, where the place failed. Whatever else was done is done.
    pub stopped: Option<DropError>,
    /// Bytes of this record's files in the place as they were listed.
    pub bytes_there: u64,
}
