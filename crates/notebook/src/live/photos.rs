//! Photos of a meeting: read piece by piece, kept piece by piece in a file of their own, and put in their place only
//! when all of it is here, has the hash it was named by, and is a picture. What is slow is done outside of a turn.
//!
//! A small picture is named by its original's hash, which says nothing of its own bytes: it is bounded, decoded and
//! written anew before it is kept, and shown only for as long as the original is not here.

use std::collections::BTreeMap;
use std::io::{self, Read};
use std::sync::{Mutex, Weak};

use link::talk::{ASKED_OUT, Event, Hash, Kept, PhotoKey};
use record::entities::Photo;
use record::{Id, Kind};
use store::{NewPhoto, Store};

use super::shared::turn;
use crate::parcel::hex;
use crate::photo::{Darkroom, Decoded, MOST_BYTES, small_of};
use crate::wire::Patch;
use crate::{Notebook, Refusal};

/// A piece of a photo that is being kept.
pub(super) struct Piece {
    pub(super) key: PhotoKey,
    pub(super) offset: u64,
    pub(super) total: u64,
    pub(super) bytes: Vec<u8>,
}

/// Small pictures of which a part is here. They are small: one that breaks off is begun anew at the next meeting.
pub(super) type Smalls = BTreeMap<Hash, Vec<u8>>;

/// How far a photo is after a piece.
enum Step {
    Said(Kept),
    /// All bytes are here, so many, to be held against the hash.
    Judge(u64),
}

impl Notebook {
    /// A piece of a photo that the other wants. Nothing where it is not here, or is none of this record's: whoever shares one
    /// car has no part in the photos of another. Nothing too where the folder does not give it: a check tells of that, and the
    /// other asks again at the next meeting.
    pub(super) fn piece_of(&mut self, record: &Id, key: PhotoKey, offset: u64, most: usize) -> Event {
        let hash = hex(&key.hash);
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

    fn add_piece(&mut self, piece: &Piece) -> Result<Step, Refusal> {
        let hash = hex(&piece.key.hash);
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

    pub(crate) fn put_in_place(
        &mut self,
        record: &Id,
        hash: &str,
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
    fn show_photo(&mut self, record: &Id, hash: &str) -> Result<(), Refusal> {
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Photo])?;
        let touched = view
            .each::<Photo>()
            .filter(|photo| photo.hash() == Some(hash))
            .map(|photo| photo.entry().name())
            .collect();
        self.tell(&Patch {
            record: record.clone(),
            touched,
            points: false,
        });
        Ok(())
    }
}

fn keep_small(
    notebook: &Weak<Mutex<Notebook>>,
    record: &Id,
    piece: &Piece,
    smalls: &mut Smalls,
) -> Option<Kept> {
    let hash = piece.key.hash;
    if piece.total > Store::SMALL_MOST as u64 {
        smalls.remove(&hash);
        return Some(Kept::Wrong);
    }
    if !smalls.contains_key(&hash) && smalls.len() >= 2 * ASKED_OUT {
        // What is left of pictures that were given up.
        smalls.clear();
    }
    let part = smalls.entry(hash).or_default();
    let Some(known) = usize::try_from(piece.offset)
        .ok()
        .and_then(|offset| part.len().checked_sub(offset))
    else {
        let here = part.len() as u64;
        return Some(Kept::Gone { here });
    };
    part.extend(piece.bytes.iter().skip(known));
    if (part.len() as u64) < piece.total {
        return Some(Kept::More);
    }
    let part = smalls.remove(&hash).unwrap_or_default();
    let Some(picture) = small_of(&part) else {
        return Some(Kept::Wrong);
    };
    let name = hex(&hash);
    turn(notebook, |notebook| -> Result<(), Refusal> {
        notebook.store.keep_small(&name, &picture)?;
        notebook.show_photo(record, &name)
    })
    .map(|kept| kept.map_or(Kept::Cannot, |()| Kept::Whole))
}

/// What is seen of a photo that came, where it is the one that was named and a picture at all.
fn look_at(part: &mut impl Read, named: Hash) -> io::Result<Option<Decoded>> {
    let darkroom = Darkroom::enter();
    let mut bytes = Vec::new();
    part.read_to_end(&mut bytes)?;
    let right = *blake3::hash(&bytes).as_bytes() == named;
    Ok(if right { darkroom.decode(&bytes).ok() } else { None })
}

/// Keeps a piece, and the photo when it is whole.
pub(super) fn keep(
    notebook: &Weak<Mutex<Notebook>>,
    record: &Id,
    piece: &Piece,
    smalls: &mut Smalls,
) -> Option<Kept> {
    if piece.key.small {
        return keep_small(notebook, record, piece, smalls);
    }
    let total = match turn(notebook, |notebook| notebook.add_piece(piece))? {
        Ok(Step::Said(kept)) => return Some(kept),
        Ok(Step::Judge(total)) => total,
        Err(_) => return Some(Kept::Cannot),
    };
    let hash = hex(&piece.key.hash);
    // Outside of a turn; what is read into memory for it is gone again before the next.
    let Ok(mut part) = turn(notebook, |notebook| notebook.store.part_open(&hash, total))? else {
        return Some(Kept::Cannot);
    };
    let Ok(seen) = look_at(&mut part, piece.key.hash) else {
        return Some(Kept::Cannot);
    };
    let put = turn(notebook, |notebook| match seen {
        Some(seen) => notebook
            .store
            .part_open(&hash, total)
            .map_err(Refusal::from)
            .and_then(|mut part| notebook.put_in_place(record, &hash, &mut part, seen))
            .map(|()| Kept::Whole),
        None => notebook
            .store
            .part_drop(&hash)
            .map(|()| Kept::Wrong)
            .map_err(Refusal::from),
    })?;
    Some(put.unwrap_or(Kept::Cannot))
}
