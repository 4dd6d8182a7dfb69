//! The photos' part of a check: every row's original is there and whole, and nothing else lies among them.

use std::collections::BTreeMap;
use std::io::Read as _;

use record::PhotoHash;

use super::depth::{BYTES_OF_ONE, Depth, Left};
use super::trouble::Trouble;
use crate::layer::What;
use crate::tables::photos as table;
use crate::{Incoming, PhotoRow, Store, StoreError};

/// The photos, so many bytes at a time.
#[derive(Debug)]
pub(super) struct Photos {
    /// The originals that lie there, with their lengths; what is no row's is left at the end.
    there: BTreeMap<PhotoHash, u64>,
    rows: std::vec::IntoIter<PhotoRow>,
    reading: Option<Reading>,
    done: u64,
    of: u64,
}

/// An original that is being read.
struct Reading {
    hash: PhotoHash,
    file: Box<dyn Incoming>,
    hasher: blake3::Hasher,
}

impl std::fmt::Debug for Reading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Reading")
            .field("hash", &self.hash)
            .finish_non_exhaustive()
    }
}

impl Photos {
    /// Everything that lies among the photos, and every row. What is no photo is told at once.
    pub(super) fn listed(store: &Store, found: &mut Vec<Trouble>) -> Result<Self, StoreError> {
        let mut there = BTreeMap::new();
        for file in store.folder.list_photos()? {
            match file.what {
                What::Original(hash) => {
                    there.insert(hash, file.length);
                }
                What::Arriving => {
                    let says = format!(
                        "'{}' is a photo that did not arrive whole; it is cleared at the next opening",
                        file.name
                    );
                    found.push(Trouble::note("arriving", None, says));
                }
                What::Stranger => {
                    let says = format!(
                        "'{}' lies among the photos and is none of theirs; it is left alone",
                        file.name
                    );
                    found.push(Trouble::note("stranger", None, says));
                }
            }
        }
        let rows = table::all(&store.db)?;
        Ok(Self {
            there,
            of: rows.len() as u64,
            rows: rows.into_iter(),
            reading: None,
            done: 0,
        })
    }

    /// How many photos are done, and of how many.
    pub(super) fn stands(&self) -> (u64, u64) {
        (self.done, self.of)
    }

    /// Reads as many as are left to this step, and answers whether there are more.
    pub(super) fn step(
        &mut self,
        store: &Store,
        depth: Depth,
        left: &mut Left,
        found: &mut Vec<Trouble>,
    ) -> Result<bool, StoreError> {
        while *left > 0 {
            if self.reading.is_some() {
                self.read_on(left, found)?;
                continue;
            }
            let Some(row) = self.rows.next() else {
                self.end(store, found)?;
                return Ok(false);
            };
            *left = left.saturating_sub(1);
            self.begin(store, depth, &row, found)?;
        }
        Ok(true)
    }

    /// Looks whether the original of a row is there, and begins to read it where that is wanted.
    fn begin(
        &mut self,
        store: &Store,
        depth: Depth,
        row: &PhotoRow,
        found: &mut Vec<Trouble>,
    ) -> Result<(), StoreError> {
        let hash = &row.hash;
        let Some(length) = self.there.remove(hash) else {
            let says = format!(
                "the original of photo {hash} is gone from the disk. It comes back where it is kept elsewhere: put its file back, or meet a device that has it"
            );
            found.push(Trouble::broken("photo_gone", None, says));
            self.done = self.done.saturating_add(1);
            return Ok(());
        };
        if length == row.length && depth == Depth::Whole {
            self.reading = Some(Reading {
                hash: *hash,
                file: store.folder.open_photo(hash)?,
                hasher: blake3::Hasher::new(),
            });
            return Ok(());
        }
        self.done = self.done.saturating_add(1);
        if length != row.length {
            found.push(damaged(hash));
        }
        Ok(())
    }

    /// Reads on in the original that is open.
    fn read_on(&mut self, left: &mut Left, found: &mut Vec<Trouble>) -> Result<(), StoreError> {
        let Some(reading) = &mut self.reading else {
            return Ok(());
        };
        let most = u64::from(*left)
            .saturating_mul(u64::from(BYTES_OF_ONE))
            .min(MOST_AT_ONCE);
        let mut piece = Vec::new();
        reading
            .file
            .by_ref()
            .take(most)
            .read_to_end(&mut piece)
            .map_err(|error| StoreError::io("read a photo", error))?;
        let read = u32::try_from(piece.len()).unwrap_or(u32::MAX);
        *left = left.saturating_sub(read.div_ceil(BYTES_OF_ONE).max(1));
        reading.hasher.update(&piece);
        if (piece.len() as u64) < most
            && let Some(reading) = self.reading.take()
        {
            self.done = self.done.saturating_add(1);
            if reading.hasher.finalize().as_bytes() != reading.hash.bytes() {
                found.push(damaged(&reading.hash));
            }
        }
        Ok(())
    }

    /// What is left when every row was looked at.
    fn end(&mut self, store: &Store, found: &mut Vec<Trouble>) -> Result<(), StoreError> {
        parts(store, found)?;
        for hash in self.there.keys() {
            let says =
                format!("the original {hash} was kept and never entered; it takes up room and harms nothing");
            found.push(Trouble::note("orphan", None, says));
        }
        Ok(())
    }
}

/// Most bytes of an original in memory at once.
const MOST_AT_ONCE: u64 = 1 << 20;

fn damaged(hash: &PhotoHash) -> Trouble {
    let says = format!(
        "the original of photo {hash} is not what was kept. Keep its file all the same, for it may show almost all \
         of the picture: moved out of the photos folder to another place, it comes back from a device that has it, where one has"
    );
    Trouble::broken("photo_damaged", None, says)
}

/// Parts of photos: those that are waited for, those that are not, and what is none.
fn parts(store: &Store, found: &mut Vec<Trouble>) -> Result<(), StoreError> {
    let (mut awaited, mut bytes) = (0_usize, 0_u64);
    for (name, hash, length) in store.folder.parts()? {
        let Some(hash) = hash else {
            let says =
                format!("'{name}' lies among the parts of photos and is none of theirs; it is left alone");
            found.push(Trouble::note("stranger", None, says));
            continue;
        };
        if store.is_awaited(&hash)? {
            awaited = awaited.saturating_add(1);
            bytes = bytes.saturating_add(length);
        } else {
            let says = format!(
                "a part of photo {name} is here that nobody waits for; it is cleared at the next opening"
            );
            found.push(Trouble::note("part_left", None, says));
        }
    }
    if awaited > 0 {
        let photos = if awaited == 1 { "photo is" } else { "photos are" };
        let says =
            format!("{awaited} {photos} here in part ({bytes} bytes); the rest comes with the next meeting");
        found.push(Trouble::note("parts", None, says));
    }
    Ok(())
}
