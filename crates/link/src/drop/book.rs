//! What a device has noted about a drop: which files it has read, what was in them, and what it put there itself. It can
//! be thrown away at the cost of reading the drop again; it holds no secret and no word of the record.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::listing::{Files, Listing};
use super::{DropError, Hash, Lies};

/// The first half of a change's hash: enough to tell changes apart.
pub(super) type Short = [u8; 16];

/// Who could open a file, as it was written: the beginning of the BLAKE3 of each seal.
pub(super) type Reader = [u8; 8];

const VERSION: u16 = 1;

/// At how many looks a file may be missing before what was noted about it is forgotten.
const FORGOTTEN: u64 = 64;

/// What is known about a batch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum State {
    /// This device wrote it.
    Own(Own),
    /// It was taken.
    Taken {
        /// Who wrote it.
        by: Hash,
        changes: Vec<Short>,
        photos: Vec<Lies>,
        /// At which look.
        look: u64,
    },
    /// It was set aside.
    Aside,
    /// It waits: so many changes were held, and so many devices known, when it was offered.
    Waits { held: u64, devices: u64 },
    /// It was not all there, with these marks.
    Unfinished { mark: String },
    /// Its bytes were others, with these marks; and whether that was told.
    Wrong { mark: String, told: bool },
    /// It was refused for good, and that was told.
    Closed,
}

/// A batch that this device wrote.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Own {
    pub(super) changes: Vec<Short>,
    pub(super) photos: Vec<Lies>,
    /// Which of [`Book::readers`] could open it.
    pub(super) readers: u32,
    pub(super) size: u64,
    /// When it was written, in seconds.
    pub(super) at: i64,
    /// The batches that hold all of it now.
    pub(super) replaced: Vec<Hash>,
    /// At how many looks it was listed whole.
    pub(super) confirmed: u64,
}

/// A file and the look at which it was last listed, or written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Noted {
    pub(super) seen: u64,
    pub(super) state: State,
}

/// A photo that this device put.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Put {
    pub(super) hash: Hash,
    pub(super) length: u64,
    pub(super) readers: u32,
    pub(super) size: u64,
    pub(super) seen: u64,
    /// When a newer file of the same photo was put.
    pub(super) replaced: Option<i64>,
}

/// What a device has noted about one drop of one record.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Book {
    version: u16,
    pub(super) looks: u64,
    pub(super) readers: Vec<BTreeSet<Reader>>,
    pub(super) batches: BTreeMap<Hash, Noted>,
    pub(super) put: BTreeMap<Hash, Put>,
    /// Photo files that hold another photo than was announced, with their marks.
    pub(super) wrong_photos: BTreeMap<Hash, String>,
    /// Photo files in this device's folder that it does not know, and when they were first seen.
    pub(super) stray: BTreeMap<Hash, i64>,
    /// Written behind the rest, which is all that an older program reads and wrote.
    #[serde(skip)]
    pub(super) reach: Reach,
}

/// Whom the batches of others can reach, as far as can be told: nobody sees in a sealed file for whom it is sealed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Reach {
    /// At which look each member's seal was known first.
    since: BTreeMap<Reader, u64>,
    /// Batches whose writers did not know every member when they were taken.
    partly: BTreeSet<Hash>,
}

impl Book {
    /// A book with nothing in it.
    pub fn new() -> Self {
        Book {
            version: VERSION,
            ..Book::default()
        }
    }

    /// Out of the bytes of [`Book::to_bytes`].
    ///
    /// # Errors
    /// [`DropError::BadBook`]: begin a new one.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, DropError> {
        let (book, behind) = postcard::take_from_bytes::<Book>(bytes).map_err(|_| DropError::BadBook)?;
        if book.version != VERSION {
            return Err(DropError::BadBook);
        }
        // A book of an older program ends here: everybody counts as known since ever.
        let reach = if behind.is_empty() {
            Reach::default()
        } else {
            postcard::from_bytes(behind).map_err(|_| DropError::BadBook)?
        };
        Ok(Book { reach, ..book })
    }

    /// As bytes, to keep beside the record: some 16 for each change that lies in the drop.
    ///
    /// # Errors
    /// [`DropError::BadBook`], which does not happen.
    pub fn to_bytes(&self) -> Result<Vec<u8>, DropError> {
        let book = postcard::to_allocvec(self).map_err(|_| DropError::BadBook)?;
        postcard::to_extend(&self.reach, book).map_err(|_| DropError::BadBook)
    }

    /// How many times this drop was looked at.
    pub fn looks(&self) -> u64 {
        self.looks
    }

    /// Which photos lie in the drop as the batches of others say, by the keys of those who put them.
    pub fn lying(&self) -> BTreeMap<Hash, BTreeSet<Hash>> {
        let mut lying: BTreeMap<Hash, BTreeSet<Hash>> = BTreeMap::new();
        for noted in self.batches.values() {
            if let State::Taken { by, photos, .. } = &noted.state
                && !photos.is_empty()
            {
                let its = lying.entry(*by).or_default();
                its.extend(photos.iter().map(|lies| lies.hash));
            }
        }
        lying
    }

    /// Whether a batch of this device was taken out of the drop.
    pub fn has_written(&self, key: &Hash) -> bool {
        let taken = |noted: &Noted| matches!(&noted.state, State::Taken { by, .. } if by == key);
        self.batches.values().any(taken)
    }

    /// A look begins: what was listed is seen, what was long missing is forgotten. Where the listing was `cut`, nothing counts
    /// as missing that is not in it.
    pub(super) fn begin(&mut self, listing: &Listing, me: &Hash, now: i64, cut: bool) {
        if cut {
            let looks = self.looks;
            self.batches.values_mut().for_each(|noted| noted.seen += 1);
            self.put.values_mut().for_each(|put| put.seen += 1);
            self.looks = looks + 1;
            return;
        }
        self.looks += 1;
        let looks = self.looks;
        for (name, noted) in &mut self.batches {
            if let State::Own(own) = &mut noted.state {
                if Listing::lies_whole(&listing.batches, name, me, own.size) {
                    noted.seen = looks;
                    own.confirmed += 1;
                }
            } else if listing.batches.contains_key(name) {
                noted.seen = looks;
            }
        }
        for (name, put) in &mut self.put {
            if Listing::lies_whole(&listing.photos, name, me, put.size) {
                put.seen = looks;
            }
        }
        self.batches.retain(|_, noted| noted.seen + FORGOTTEN >= looks);
        self.put.retain(|_, put| put.seen + FORGOTTEN >= looks);
        self.wrong_photos
            .retain(|name, _| listing.photos.contains_key(name));
        let mine = |files: &Files, name: &Hash| {
            files
                .get(name)
                .is_some_and(|copies| copies.iter().any(|copy| copy.device == *me))
        };
        self.stray.retain(|name, _| mine(&listing.photos, name));
        for name in listing.photos.keys() {
            if mine(&listing.photos, name) && !self.put.contains_key(name) {
                self.stray.entry(*name).or_insert(now);
            }
        }
    }

    /// These are the members' seals now; what others wrote before one of them was known is not sealed to it.
    pub(super) fn knows(&mut self, seals: &[String]) {
        // A book of an older program does not say since when.
        let at = if self.reach.since.is_empty() && self.looks > 1 {
            0
        } else {
            self.looks
        };
        for reader in readers(seals) {
            self.reach.since.entry(reader).or_insert(at);
        }
        let Book { reach, batches, .. } = self;
        reach.partly.retain(|name| batches.contains_key(name));
    }

    /// A batch was taken whose writer did not know everybody.
    pub(super) fn reaches_some(&mut self, name: Hash) {
        self.reach.partly.insert(name);
    }

    /// Whether all of these members can open a batch of another that was taken at that look, as far as can be told. Where
    /// not, and its writer is away, a newcomer would wait for it for as long: somebody who is here writes it anew.
    pub(super) fn reaches(&self, name: &Hash, look: u64, seals: &BTreeSet<Reader>) -> bool {
        let known = |reader: &Reader| self.reach.since.get(reader).is_none_or(|since| *since <= look);
        !self.reach.partly.contains(name) && seals.iter().all(known)
    }

    /// The number of a set of readers.
    pub(super) fn readers(&mut self, seals: &[String]) -> u32 {
        let set = readers(seals);
        let at = self
            .readers
            .iter()
            .position(|known| *known == set)
            .unwrap_or_else(|| {
                self.readers.push(set);
                self.readers.len() - 1
            });
        u32::try_from(at).unwrap_or(u32::MAX)
    }

    /// Whether all of these could open what was written for that number of readers.
    pub(super) fn opens_for(&self, number: u32, seals: &BTreeSet<Reader>) -> bool {
        self.readers
            .get(number as usize)
            .is_some_and(|could| seals.is_subset(could))
    }
}

/// What is noted of seals.
pub(super) fn readers(seals: &[String]) -> BTreeSet<Reader> {
    let short = |seal: &String| {
        let hash = blake3::hash(seal.as_bytes());
        hash.as_bytes().first_chunk::<8>().copied().unwrap_or_default()
    };
    seals.iter().map(short).collect()
}

/// What is noted of a change.
pub(super) fn short(hash: &Hash) -> Short {
    hash.first_chunk::<16>().copied().unwrap_or_default()
}
