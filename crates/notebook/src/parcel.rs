//! What is taken out of a carry file: its changes at one reading, its photos at another, so that nothing is kept
//! before all changes were found good; and the sum at its end, by which a sealed one is known again. It opens no document.

use std::collections::BTreeSet;
use std::io::SeekFrom;

use data_encoding::{HEXLOWER, HEXLOWER_PERMISSIVE};
use link::carry::{self, Head, Sink, Wanted};
use link::vouch::{MOST_MARKS, Mark};
use record::PhotoHash;
use record::document::SCHEMA;
use store::Incoming;

use crate::refusal::Refusal;
use crate::turns::Turns;

/// A hash out of its 64 hex digits.
pub fn bytes_of(hex: &str) -> Result<carry::Hash, Refusal> {
    let bytes = HEXLOWER_PERMISSIVE.decode(hex.as_bytes()).ok();
    bytes
        .and_then(|bytes| bytes.try_into().ok())
        .ok_or_else(|| Refusal::failed("hash", "a hash cannot be read"))
}

/// A hash as its 64 hex digits.
pub fn hex(hash: &carry::Hash) -> String {
    HEXLOWER.encode(hash)
}

/// How much of a file's sum is remembered: half of it is enough to tell files apart.
pub(crate) const SUM_LETTERS: usize = 32;

/// The sum at the end of a carry file, half of it.
pub(crate) fn sum_of(file: &mut dyn Incoming) -> Option<String> {
    let mut sum = [0; 32];
    file.seek(SeekFrom::End(-32)).ok()?;
    file.read_exact(&mut sum).ok()?;
    Some(hex(&sum).chars().take(SUM_LETTERS).collect())
}

/// The changes of a carry file, collected; its photos are left for a second reading.
#[derive(Default)]
pub(crate) struct Parcel {
    pub(crate) changes: Vec<Vec<u8>>,
    /// The signatures in it; none is believed yet.
    pub(crate) marks: Vec<Mark>,
    /// The photos in it, which its sender has.
    pub(crate) photos: BTreeSet<PhotoHash>,
}

impl Sink for Parcel {
    type Refusal = Refusal;

    fn head(&mut self, head: &Head) -> Result<(), Refusal> {
        if head.schema > SCHEMA {
            return Err(Refusal::input(
                "newer_record",
                format!(
                    "this carry file is of version {} and this program knows version {SCHEMA}; nothing was changed",
                    head.schema
                ),
            ));
        }
        Ok(())
    }

    fn change(&mut self, _: carry::Hash, bytes: Vec<u8>) -> Result<(), Refusal> {
        self.changes.push(bytes);
        Ok(())
    }

    fn mark(&mut self, mark: Mark) -> Result<(), Refusal> {
        if self.marks.len() < MOST_MARKS {
            self.marks.push(mark);
        }
        Ok(())
    }

    fn photo(&mut self, hash: carry::Hash, _: u64) -> Result<Wanted, Refusal> {
        self.photos.insert(PhotoHash::from_bytes(hash));
        Ok(Wanted::No)
    }

    fn photo_piece(&mut self, _: &[u8]) -> Result<(), Refusal> {
        Ok(())
    }

    fn photo_end(&mut self) -> Result<(), Refusal> {
        Ok(())
    }
}

/// The photos of a carry file, kept one by one: each is looked at between two turns with the notebook.
pub(crate) struct PhotoSink<T> {
    turns: T,
    hash: PhotoHash,
    bytes: Vec<u8>,
    pub(crate) refused: Vec<String>,
}

impl<T: Turns> PhotoSink<T> {
    pub(crate) fn new(turns: T) -> Self {
        Self {
            turns,
            hash: PhotoHash::from_bytes([0; 32]),
            bytes: Vec::new(),
            refused: Vec::new(),
        }
    }
}

impl<T: Turns> Sink for PhotoSink<T> {
    type Refusal = Refusal;

    fn head(&mut self, _: &Head) -> Result<(), Refusal> {
        Ok(())
    }

    fn change(&mut self, _: carry::Hash, _: Vec<u8>) -> Result<(), Refusal> {
        Ok(())
    }

    fn photo(&mut self, hash: carry::Hash, _: u64) -> Result<Wanted, Refusal> {
        self.hash = PhotoHash::from_bytes(hash);
        self.bytes.clear();
        let hash = &self.hash;
        let here = self.turns.turn(|notebook| notebook.store.photo(hash))?.is_some();
        Ok(if here { Wanted::No } else { Wanted::Yes })
    }

    fn photo_piece(&mut self, piece: &[u8]) -> Result<(), Refusal> {
        self.bytes.extend_from_slice(piece);
        Ok(())
    }

    fn photo_end(&mut self) -> Result<(), Refusal> {
        let bytes = std::mem::take(&mut self.bytes);
        let hash = &self.hash;
        let seen = self.turns.look(&bytes);
        let kept = seen.and_then(|seen| {
            self.turns.turn(|notebook| {
                let (new, _) = notebook.original(&bytes, Some(hash), seen)?;
                Ok(notebook.store.enter_photos(&[new])?)
            })
        });
        match kept {
            Err(refusal) if refusal.code == "no_photo" => {
                let short: String = self.hash.hex().chars().take(12).collect();
                self.refused.push(format!("left out {short}…, which is no photo"));
                Ok(())
            }
            kept => kept,
        }
    }
}
