//! Photos of a meeting: read piece by piece, kept piece by piece in a file of their own, and put in their place only
//! when all of it is here, has the hash it was named by, and is a picture. What is slow, a host does outside of a turn.
//!
//! A small picture is named by its original's hash, which says nothing of its own bytes: it is bounded, decoded and
//! written anew before it is kept, and shown only for as long as the original is not here.

use std::collections::BTreeMap;
use std::io::Read;

use link::talk::{ASKED_OUT, Event, Hash, Kept, PhotoKey};
use record::entities::Photo;
use record::{Id, Kind, PhotoHash, Ref};
use store::{NewPhoto, Store};

use crate::marks;
use crate::notebook::Notebook;
use crate::photo::{Decoded, MOST_BYTES, small_of};
use crate::refusal::Refusal;
use crate::wire::Patch;

/// A piece of a photo that is being kept.
#[derive(Debug)]
pub struct Piece {
    /// Of which photo.
    pub key: PhotoKey,
    /// From which of its bytes on.
    pub offset: u64,
    /// How many it has.
    pub total: u64,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// Small pictures of which a part is here. They are small: one that breaks off is begun anew at the next meeting.
#[derive(Debug, Default)]
pub struct Smalls(BTreeMap<Hash, Vec<u8>>);

/// How far a photo is after a piece.
#[derive(Debug)]
pub enum Step {
    /// This is what came of it.
    Said(Kept),
    /// All bytes are here, so many, to be held against the hash.
    Judge(u64),
}

impl Notebook {
    /// A piece of a photo that the other wants. Nothing where it is not here, or is none of this record's: whoever shares one
    /// car has no part in the photos of another. Nothing too where the folder does not give it: a check tells of that, and the
    /// other asks again at the next meeting.
    pub fn piece_of(&mut self, record: &Id, key: PhotoKey, offset: u64, most: usize) -> Event {
        let hash = PhotoHash::from_bytes(key.hash);
        let shared = self.store.names_photo(record, &hash).unwrap_or(false);
        let piece = if !shared {
            None
        } else if key.small {
            self.store
                .thumb(&hash)
                .ok()
                .flatten()
                .filter(|thumb| !thumb.is_empty())
                .map(|thumb| {
                    let from = usize::try_from(offset).unwrap_or(usize::MAX);
                    let rest = thumb.get(from..).unwrap_or_default();
                    let piece = rest.get(..most.min(rest.len())).unwrap_or_default();
                    (thumb.len() as u64, piece.to_vec())
                })
        } else {
            self.store.photo(&hash).ok().flatten().and_then(|row| {
                let bytes = self.store.photo_bytes(&hash, offset, most as u64).ok()?;
                Some((row.length, bytes))
            })
        };
        Event::PieceRead { key, offset, piece }
    }

    /// Adds a piece to what is here of an original.
    ///
    /// # Errors
    /// What the store said.
    pub fn add_piece(&mut self, piece: &Piece) -> Result<Step, Refusal> {
        let hash = PhotoHash::from_bytes(piece.key.hash);
        let there = self.store.photo(&hash)?.is_some() && self.store.has_photo(&hash);
        if there {
            self.store.part_drop(&hash)?;
            return Ok(Step::Said(Kept::Whole));
        }
        if piece.total > MOST_BYTES as u64 {
            return Ok(Step::Said(Kept::Wrong));
        }
        let length = self.store.part_length(&hash)?;
        let Some(skip) = length.checked_sub(piece.offset) else {
            // Another meeting brought a part that was wrong, and it was dropped.
            return Ok(Step::Said(Kept::Gone { here: length }));
        };
        let fresh = usize::try_from(skip)
            .ok()
            .and_then(|skip| piece.bytes.get(skip..))
            .unwrap_or_default();
        if !fresh.is_empty() {
            self.store.part_add(&hash, fresh)?;
        }
        let length = length.saturating_add(fresh.len() as u64);
        if length < piece.total {
            return Ok(Step::Said(Kept::More));
        }
        Ok(Step::Judge(piece.total))
    }

    /// Puts an original that was looked at in its place.
    ///
    /// # Errors
    /// What the store said; it is not here then.
    pub fn put_in_place(
        &mut self,
        record: &Id,
        hash: &PhotoHash,
        from: &mut dyn Read,
        seen: Decoded,
    ) -> Result<(), Refusal> {
        let kept = self.store.keep_photo(from, MOST_BYTES as u64, Some(hash))?;
        let added = self.now();
        let new = NewPhoto {
            kept,
            meta: seen.meta,
            thumb: seen.thumb,
            added,
        };
        self.store.enter_photos(&[new])?;
        self.store.part_drop(hash)?;
        self.show_photo(record, hash)
    }

    /// Whatever shows a photo is to show it anew.
    fn show_photo(&mut self, record: &Id, hash: &PhotoHash) -> Result<(), Refusal> {
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Photo])?;
        let touched: Vec<Ref> = view
            .each::<Photo>()
            .filter(|photo| photo.original().as_ref() == Some(hash))
            .map(|photo| photo.entry().name())
            .collect();
        let marks = marks::changed(view, &touched, false);
        self.tell(&Patch {
            record: record.clone(),
            marks,
            touched,
            points: false,
            underway: None,
        });
        Ok(())
    }
}

impl Smalls {
    /// Adds a piece of a small picture: how far it is, or all of it, decoded and written anew.
    ///
    /// # Errors
    /// How far it is, where it is not all here or came to nothing.
    pub fn add(&mut self, piece: &Piece) -> Result<Vec<u8>, Kept> {
        let hash = piece.key.hash;
        if piece.total > Store::SMALL_MOST as u64 {
            self.0.remove(&hash);
            return Err(Kept::Wrong);
        }
        if !self.0.contains_key(&hash) && self.0.len() >= 2 * ASKED_OUT {
            // What is left of pictures that were given up.
            self.0.clear();
        }
        let part = self.0.entry(hash).or_default();
        let Some(known) = usize::try_from(piece.offset)
            .ok()
            .and_then(|offset| part.len().checked_sub(offset))
        else {
            let here = part.len() as u64;
            return Err(Kept::Gone { here });
        };
        part.extend(piece.bytes.iter().skip(known));
        if (part.len() as u64) < piece.total {
            return Err(Kept::More);
        }
        let part = self.0.remove(&hash).unwrap_or_default();
        small_of(&part).ok_or(Kept::Wrong)
    }
}

impl Notebook {
    /// Keeps a small picture that another device made, for as long as its original is not here.
    ///
    /// # Errors
    /// What the store said.
    pub fn keep_small(&mut self, record: &Id, hash: &PhotoHash, picture: &[u8]) -> Result<(), Refusal> {
        self.store.keep_small(hash, picture)?;
        self.show_photo(record, hash)
    }

    /// What is here of an original, at most `most` bytes, to read from the beginning.
    ///
    /// # Errors
    /// What the store said.
    pub fn part_open(&self, hash: &PhotoHash, most: u64) -> Result<Box<dyn Read + Send>, Refusal> {
        Ok(self.store.part_open(hash, most)?)
    }

    /// What is here of an original is of no use.
    ///
    /// # Errors
    /// What the store said.
    pub fn part_drop(&self, hash: &PhotoHash) -> Result<(), Refusal> {
        Ok(self.store.part_drop(hash)?)
    }
}
