//! Photos on their way to the other: one piece read at a time, in the order they were asked for, and never more than a
//! window of bytes that the other has not yet kept. It opens no file.

use std::collections::BTreeSet;

use super::event::Effect;
use super::message::{Message, PhotoKey};
use super::wire::{Bytes, Hash};

/// Most bytes of a piece.
pub const PIECE: usize = 64 * 1024;

/// Most bytes of photos on their way unkept: what a break may cost.
pub const WINDOW: u64 = 8 * PIECE as u64;

/// Most bytes of a photo, as in a carry file.
pub const PHOTO_MAX: u64 = 64 << 20;

/// Most photos that the other may ask for at a time.
const MOST_ASKED: usize = 64;

/// Most photos remembered of those that were wanted and not here.
const MOST_DENIED: usize = 100_000;

#[derive(Clone, Copy, Debug)]
struct Serve {
    key: PhotoKey,
    next: u64,
    kept: u64,
    total: Option<u64>,
}

/// What the other wants.
#[derive(Debug, Default)]
pub(super) struct Serving {
    serves: Vec<Serve>,
    reading: Option<(PhotoKey, u64)>,
    denied: BTreeSet<PhotoKey>,
}

impl Serving {
    /// The other wants one. Whether it may want so many.
    pub(super) fn want(&mut self, key: PhotoKey, from: u64) -> bool {
        self.denied.remove(&key);
        self.serves.retain(|serve| serve.key != key);
        if self.serves.len() >= MOST_ASKED {
            return false;
        }
        self.serves.push(Serve {
            key,
            next: from,
            kept: from,
            total: None,
        });
        true
    }

    /// The next piece to read.
    pub(super) fn go(&mut self) -> Option<Effect> {
        if self.reading.is_some() {
            return None;
        }
        let out = self.serves.iter().fold(0_u64, |out, serve| {
            out.saturating_add(serve.next.saturating_sub(serve.kept))
        });
        if out >= WINDOW {
            return None;
        }
        let serve = self
            .serves
            .iter()
            .find(|serve| serve.total.is_none_or(|total| serve.next < total))?;
        self.reading = Some((serve.key, serve.next));
        Some(Effect::ReadPiece {
            key: serve.key,
            offset: serve.next,
            most: PIECE,
        })
    }

    /// A piece was read, or the photo is not here. Whether it was asked for.
    pub(super) fn read(
        &mut self,
        key: PhotoKey,
        offset: u64,
        piece: Option<(u64, Vec<u8>)>,
        say: &mut impl FnMut(Message),
    ) -> bool {
        if self.reading.take() != Some((key, offset)) {
            return false;
        }
        // The other may have given it up, or begun it anew, while it was read.
        let Some(at) = self
            .serves
            .iter()
            .position(|serve| serve.key == key && serve.next == offset)
        else {
            return true;
        };
        let end = piece
            .as_ref()
            .map(|(_, bytes)| offset.saturating_add(bytes.len() as u64));
        match (piece, end) {
            // One that is shorter than the other thinks, or stops before its end, is not the photo that was named.
            (Some((total, bytes)), Some(end))
                if end <= total
                    && total <= PHOTO_MAX
                    && bytes.len() <= PIECE
                    && (!bytes.is_empty() || offset == total) =>
            {
                if let Some(serve) = self.serves.get_mut(at) {
                    serve.next = end;
                    serve.total = Some(total);
                }
                say(Message::Piece {
                    key,
                    offset,
                    total,
                    bytes: Bytes(bytes),
                });
            }
            _ => {
                self.serves.remove(at);
                if self.denied.len() < MOST_DENIED {
                    self.denied.insert(key);
                }
                say(Message::NoPhoto { key, at: offset });
            }
        }
        true
    }

    /// The other kept one up to a byte.
    pub(super) fn kept(&mut self, key: PhotoKey, to: u64) {
        if let Some(serve) = self.serves.iter_mut().find(|serve| serve.key == key) {
            if to == u64::MAX {
                // It is not wanted any more.
                serve.total = Some(serve.next);
            }
            serve.kept = serve.kept.max(to.min(serve.next));
        }
        self.serves
            .retain(|serve| serve.total.is_none_or(|total| serve.kept < total));
    }

    /// The other asked about these and they are not here: it is told when they are.
    pub(super) fn missing(&mut self, hashes: impl Iterator<Item = Hash>) {
        for hash in hashes {
            if self.denied.len() < MOST_DENIED {
                self.denied.insert(PhotoKey { hash, small: false });
            }
        }
    }

    /// A photo is here. Whether the other once wanted it in vain.
    pub(super) fn here(&mut self, key: PhotoKey) -> bool {
        self.denied.remove(&key)
    }

    /// Whether the other still waits for any.
    pub(super) fn is_idle(&self) -> bool {
        self.serves.is_empty()
    }
}
