//! Writes a carry file. It never writes what a reader with the same limits would refuse, and never opens, names or
//! syncs a file: that is the caller's.

use std::io::{Read, Write};

use super::frame::{HEAD, MARKS, Output, PHOTO, PIECE, SLICE};
use super::list::{Tally, front};
use super::{CarryBound, CarryError, Contents, Hash, Head, Limits, SLICE_MAX, slice};
use crate::vouch::Mark;

/// Writes a carry file: the head at once, then all changes, then all photos, then [`Writer::finish`].
///
/// The same calls give the same bytes. After an error nothing written so far is of use: throw it away.
#[must_use = "a carry file without its end is refused by every reader: call finish"]
pub struct Writer<W: Write> {
    out: Output<W>,
    head: Head,
    limits: Limits,
    /// The slice that is being filled.
    slice: Vec<u8>,
    changes: Tally,
    photos: u64,
    photo_bytes: u64,
    /// The photo that is being added.
    photo: Option<Photo>,
}

/// A photo of which not all bytes are there yet.
struct Photo {
    hash: Hash,
    length: u64,
    left: u64,
    hasher: blake3::Hasher,
}

impl<W: Write> Writer<W> {
    /// Starts a file with the default limits. Wants a buffered `out`. `head.changes` and `head.photos` are promises that
    /// [`Writer::finish`] holds the caller to.
    pub fn new(out: W, head: Head) -> Result<Self, CarryError> {
        Writer::with_limits(out, head, Limits::default())
    }

    /// Starts a file for readers of other limits.
    pub fn with_limits(out: W, head: Head, limits: Limits) -> Result<Self, CarryError> {
        let bytes = head.to_bytes(&limits)?;
        let mut out = Output::new(out)?;
        out.frame(HEAD, &bytes)?;
        let slice = Vec::with_capacity(SLICE_MAX);
        Ok(Writer {
            out,
            head,
            limits,
            slice,
            changes: Tally::default(),
            photos: 0,
            photo_bytes: 0,
            photo: None,
        })
    }

    /// Adds a change: its hash and its bytes as the record keeps them. All changes come before the first photo.
    pub fn change(&mut self, hash: &Hash, bytes: &[u8]) -> Result<(), CarryError> {
        if self.photos > 0 || self.photo.is_some() {
            return Err(CarryError::Malformed {
                what: "a change comes after a photo",
            });
        }
        self.changes.add(bytes.len() as u64, &self.limits)?;
        let length = u32::try_from(bytes.len()).map_err(|_| CarryError::TooLarge {
            what: CarryBound::Change,
            limit: u64::from(u32::MAX),
        })?;
        self.fill(&front(hash, length))?;
        self.fill(bytes)
    }

    /// Adds signatures over changes. They stand behind the changes and before the first photo.
    ///
    /// # Errors
    /// Those of the stream, and for a signature that would come after a photo.
    pub fn marks(&mut self, marks: &[Mark]) -> Result<(), CarryError> {
        if self.photos > 0 || self.photo.is_some() {
            return Err(CarryError::Malformed {
                what: "a signature comes after a photo",
            });
        }
        self.flush_slice()?;
        for some in marks.chunks(SLICE_MAX / Mark::LENGTH) {
            let bytes: Vec<u8> = some.iter().flat_map(Mark::to_bytes).collect();
            self.out.frame(MARKS, &bytes)?;
        }
        Ok(())
    }

    /// Adds a photo of `length` bytes out of `from`, a piece at a time. Refused as [`CarryError::WrongPhoto`] when there
    /// are fewer or more bytes, or their BLAKE3 is another.
    pub fn photo(&mut self, hash: &Hash, length: u64, from: &mut impl Read) -> Result<(), CarryError> {
        self.begin_photo(hash, length)?;
        while self.photo_piece(from)? > 0 {}
        Ok(())
    }

    /// Begins a photo of `length` bytes: [`photo_piece`](Self::photo_piece) adds them until it answers that none are left.
    pub fn begin_photo(&mut self, hash: &Hash, length: u64) -> Result<(), CarryError> {
        self.flush_slice()?;
        if self.photo.is_some() {
            return Err(CarryError::Malformed {
                what: "a photo begins inside another",
            });
        }
        if length > self.limits.photo {
            return Err(CarryError::TooLarge {
                what: CarryBound::Photo,
                limit: self.limits.photo,
            });
        }
        if self.photos >= self.limits.photo_count {
            return Err(CarryError::TooLarge {
                what: CarryBound::PhotoCount,
                limit: self.limits.photo_count,
            });
        }
        let mut payload = hash.to_vec();
        payload.extend_from_slice(&length.to_le_bytes());
        self.out.frame(PHOTO, &payload)?;
        self.photo = Some(Photo {
            hash: *hash,
            length,
            left: length,
            hasher: blake3::Hasher::new(),
        });
        Ok(())
    }

    /// Adds the next piece of the photo that was begun; answers how many bytes are left. With the last one the photo is ended, and
    /// refused as [`CarryError::WrongPhoto`] where `from` has more bytes, or their BLAKE3 is another.
    pub fn photo_piece(&mut self, from: &mut impl Read) -> Result<u64, CarryError> {
        let Some(photo) = &mut self.photo else {
            return Err(CarryError::Malformed {
                what: "a piece of no photo",
            });
        };
        // The room of the slices is free now.
        let piece = &mut self.slice;
        if photo.left > 0 {
            from.by_ref()
                .take(photo.left.min(SLICE_MAX as u64))
                .read_to_end(piece)
                .map_err(CarryError::Io)?;
            if piece.is_empty() {
                return Err(CarryError::WrongPhoto);
            }
            photo.hasher.update(piece);
            photo.left = photo.left.saturating_sub(piece.len() as u64);
            self.out.frame(PIECE, piece)?;
            piece.clear();
        }
        if photo.left > 0 {
            return Ok(photo.left);
        }
        let more = from.by_ref().take(1).read_to_end(piece).map_err(CarryError::Io)?;
        piece.clear();
        if more > 0 || photo.hasher.finalize().as_bytes() != &photo.hash {
            return Err(CarryError::WrongPhoto);
        }
        self.photos += 1;
        self.photo_bytes = self.photo_bytes.saturating_add(photo.length);
        self.photo = None;
        Ok(0)
    }

    /// Ends the list of changes and writes what is left of it, where no photo follows yet.
    pub(super) fn all_changes(&mut self) -> Result<(), CarryError> {
        self.flush_slice()
    }

    /// The stream as far as it was written.
    pub(super) fn stream(&self) -> &W {
        self.out.stream()
    }

    /// Ends the file; gives back the stream, flushed but not synced, and what was written. Refused as
    /// [`CarryError::CountsDiffer`] when the head promised other counts.
    pub fn finish(mut self) -> Result<(W, Contents), CarryError> {
        self.flush_slice()?;
        let whole = self.photo.is_none();
        if !whole || (self.changes.count, self.photos) != (self.head.changes, self.head.photos) {
            return Err(CarryError::CountsDiffer);
        }
        let (changes, photos) = (self.changes.count, self.photos);
        let (change_bytes, photo_bytes) = (self.changes.bytes, self.photo_bytes);
        let (out, digest) = self.out.end([changes, photos, change_bytes, photo_bytes])?;
        Ok((
            out,
            Contents {
                head: self.head,
                changes,
                photos,
                change_bytes,
                photo_bytes,
                digest,
            },
        ))
    }

    /// Puts bytes of the list into slices.
    fn fill(&mut self, mut bytes: &[u8]) -> Result<(), CarryError> {
        while !bytes.is_empty() {
            let (now, later) = bytes
                .split_at_checked(SLICE_MAX - self.slice.len())
                .unwrap_or((bytes, &[]));
            self.slice.extend_from_slice(now);
            bytes = later;
            if self.slice.len() == SLICE_MAX {
                self.flush_slice()?;
            }
        }
        Ok(())
    }

    fn flush_slice(&mut self) -> Result<(), CarryError> {
        if !self.slice.is_empty() {
            let payload = slice::pack(&self.slice)?;
            self.out.frame(SLICE, &payload)?;
            self.slice.clear();
        }
        Ok(())
    }
}
