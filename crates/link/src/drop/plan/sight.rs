//! What a plan is made of and what it says: what one device sees of a drop, and what it does next. It plans nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::super::file::AROUND;
use super::super::names::Names;
use super::super::{DropLimits, Hash, HeldChange, Lies, MemberStanding, Seen};

/// What one device sees of a drop.
#[derive(Debug)]
pub struct Sight<'a> {
    /// Public key of this device.
    pub me: &'a Hash,
    /// Names of the record.
    pub names: &'a Names,
    /// What the place listed.
    pub listing: &'a [Seen],
    /// Every device that the record knows a key of.
    pub devices: &'a BTreeMap<Hash, MemberStanding>,
    /// Every change held, each after those it builds on.
    pub held: &'a [HeldChange],
    /// Photos that may be put, with their lengths.
    pub photos: &'a [(Hash, u64)],
    /// Photos that are wanted.
    pub wanted: &'a BTreeSet<Hash>,
    /// Seals of the members.
    pub readers: &'a [String],
    /// The moment, in seconds.
    pub now: i64,
    /// How much is taken and put.
    pub limits: &'a DropLimits,
}

/// A file to read: its name, and the paths where it may lie, the best first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::drop) struct Read {
    pub(in crate::drop) name: Hash,
    pub(in crate::drop) paths: Vec<String>,
    pub(in crate::drop) mark: String,
    pub(in crate::drop) device: Hash,
    pub(in crate::drop) size: u64,
}

/// A photo to fetch, and the files that are said to hold it, the likeliest first: any of them will do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::drop) struct Fetch {
    pub(in crate::drop) files: Vec<(Lies, Read)>,
}

impl Fetch {
    /// Bytes of the photo, as said of the first file.
    pub(super) fn length(&self) -> u64 {
        self.files.first().map_or(0, |(lies, _)| lies.length)
    }
}

/// A photo to put.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::drop) struct Putting {
    pub(in crate::drop) hash: Hash,
    pub(in crate::drop) length: u64,
    /// The file whose place it takes.
    pub(in crate::drop) replaces: Option<Hash>,
}

/// A batch to write.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(in crate::drop) struct Write {
    pub(in crate::drop) changes: Vec<HeldChange>,
    pub(in crate::drop) photos: Vec<Lies>,
}

/// What a device does next. Ask it for sizes before it is carried out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Plan {
    pub(in crate::drop) reads: Vec<Read>,
    pub(in crate::drop) fetches: Vec<Fetch>,
    pub(in crate::drop) puts: Vec<Putting>,
    pub(in crate::drop) writes: Vec<Write>,
    /// Own batches that the writes hold all of.
    pub(in crate::drop) replaces: Vec<Hash>,
    /// Own photos that no standing batch of this device announces yet.
    pub(in crate::drop) announce: Vec<Lies>,
    /// Own files to take away: paths.
    pub(in crate::drop) removals: Vec<String>,
    pub(in crate::drop) left: u64,
    pub(in crate::drop) photos_left: usize,
    pub(in crate::drop) unknown: usize,
    pub(in crate::drop) foreign: usize,
    pub(in crate::drop) there: u64,
}

impl Plan {
    /// Whether there is nothing to do.
    pub fn is_idle(&self) -> bool {
        self.reads.is_empty()
            && self.fetches.is_empty()
            && self.puts.is_empty()
            && self.writes.is_empty()
            && self.removals.is_empty()
    }

    /// Batches that are there and were not read, and their bytes as listed.
    pub fn to_read(&self) -> (usize, u64) {
        (self.reads.len(), self.reads.iter().map(|read| read.size).sum())
    }

    /// Photos that would be fetched, and their bytes.
    pub fn to_fetch(&self) -> (usize, u64) {
        let bytes = self.fetches.iter().map(Fetch::length).sum();
        (self.fetches.len(), bytes)
    }

    /// Photos that would be put, and their bytes.
    pub fn to_put(&self) -> (usize, u64) {
        (self.puts.len(), self.puts.iter().map(|put| put.length).sum())
    }

    /// Changes that would be written, and their bytes, at the most: they are packed.
    pub fn to_write(&self) -> (usize, u64) {
        let changes = || self.writes.iter().flat_map(|write| &write.changes);
        (changes().count(), changes().map(|held| held.length + 36).sum())
    }

    /// The devices whose batches there are new, by their keys.
    pub fn news_from(&self) -> BTreeSet<Hash> {
        self.reads.iter().map(|read| read.device).collect()
    }

    /// Bytes of this record's files in the place, as listed.
    pub fn bytes_there(&self) -> u64 {
        self.there
    }
}

/// At most how long a file that holds so much is.
pub(in crate::drop) fn file_limit(content: u64) -> u64 {
    content.saturating_add(content / 1_024).saturating_add(AROUND)
}
