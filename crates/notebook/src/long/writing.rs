//! The bytes of a carry file on their way to a disk that may be slow. It holds no notebook, and looks at nothing that it writes.

use std::vec::IntoIter;

use link::carry::{CarryError, SLICE_MAX};
use link::vouch::Mark;
use record::{ChangeId, Id, PhotoHash};
use store::{Incoming, Lent};

use super::Progress;
use super::out::Out;
use super::packed::Packed;
use crate::meeting::cannot;
use crate::parcel::hex;
use crate::refusal::Refusal;
use crate::sealing::{CarryWish, Sealing};

/// Bytes that count as one row.
const BYTES_OF_ONE: usize = 4 * 1024;

pub(super) fn rows_of(bytes: usize) -> u32 {
    u32::try_from(bytes.div_ceil(BYTES_OF_ONE))
        .unwrap_or(u32::MAX)
        .max(1)
}

/// What is told of a file at its end.
pub(super) struct CarryWritten {
    pub(super) sealing: Sealing,
    pub(super) changes: usize,
    pub(super) photos: usize,
    pub(super) whole: bool,
    pub(super) place: String,
    pub(super) name: String,
    pub(super) bytes: u64,
    pub(super) sum: String,
}

/// A carry file that is begun and not ended: dropped, it is gone.
pub(super) struct Writing {
    out: Out,
    files: Lent,
    changes: IntoIter<(ChangeId, Vec<u8>)>,
    marks: Option<Vec<Mark>>,
    photos: IntoIter<PhotoHash>,
    photo: Option<Box<dyn Incoming>>,
    told: CarryWritten,
}

impl Writing {
    pub(super) fn begin(
        wish: &CarryWish,
        record: &Id,
        packed: Packed,
        name: &str,
        files: Lent,
        sealing: Sealing,
    ) -> Result<Self, Refusal> {
        let out = files.outgoing(wish.file.as_deref(), name);
        let out = out.map_err(|error| cannot("write the carry file", &error))?;
        let told = CarryWritten {
            changes: packed.changes.len(),
            photos: packed.photos.len(),
            whole: packed.head.whole,
            place: out.place().to_owned(),
            name: out.name(),
            bytes: 0,
            sum: String::new(),
            sealing,
        };
        Ok(Self {
            out: Out::begin(out, &told.sealing, record, packed.head)?,
            files,
            changes: packed.changes.into_iter(),
            marks: Some(packed.marks),
            photos: packed.photos.into_iter(),
            photo: None,
            told,
        })
    }

    /// Writes so much of it; whether there is more.
    pub(super) fn step(&mut self, rows: u32) -> Result<bool, Refusal> {
        let mut left = rows;
        while left > 0 {
            if let Some((id, bytes)) = self.changes.next() {
                self.out.change(id.bytes(), &bytes)?;
                left = left.saturating_sub(rows_of(bytes.len()));
            } else if let Some(marks) = self.marks.take() {
                self.out.marks(&marks)?;
                left = left.saturating_sub(rows_of(marks.len().saturating_mul(Mark::LENGTH)));
            } else if let Some(photo) = &mut self.photo {
                if self.out.photo_piece(photo.as_mut())? == 0 {
                    self.photo = None;
                }
                left = left.saturating_sub(rows_of(SLICE_MAX));
            } else if let Some(hash) = self.photos.next() {
                let photo = self.files.open_photo(&hash)?;
                let length = photo.length().map_err(CarryError::Io)?;
                self.out.begin_photo(hash.bytes(), length)?;
                self.photo = Some(photo);
            } else {
                return Ok(false);
            }
        }
        Ok(true)
    }

    pub(super) fn progress(&self) -> Progress {
        let left = self.changes.len();
        let (what, of, left) = if left > 0 || self.told.photos == 0 {
            ("changes written", self.told.changes, left)
        } else {
            let begun = usize::from(self.photo.is_some());
            (
                "photos written",
                self.told.photos,
                self.photos.len().saturating_add(begun),
            )
        };
        Progress {
            what,
            done: of.saturating_sub(left) as u64,
            of: of as u64,
        }
    }

    /// Ends the file and gives it its name.
    pub(super) fn end(self) -> Result<CarryWritten, Refusal> {
        let (file, sum) = self.out.finish()?;
        let bytes = file
            .keep()
            .map_err(|error| cannot("write the carry file", &error))?;
        Ok(CarryWritten {
            bytes,
            sum: hex(&sum),
            ..self.told
        })
    }
}
