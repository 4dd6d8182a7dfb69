//! How long a carry file will be, told before it is written. Changes are packed to be counted, photos are not read.
//! Nothing is written anywhere.

use std::io::{self, Write};

use super::frame::{COUNTS, PHOTO_LENGTH};
use super::{CarryError, Hash, Head, Limits, SLICE_MAX, Writer, sealed};
use crate::vouch::Mark;

/// A letter and a length.
const FRAME: u64 = 5;

/// Counts what a carry file would be.
#[must_use = "it is there to be asked"]
pub struct Size {
    writer: Writer<Counting>,
    record: String,
    photos: u64,
}

impl Size {
    /// A file with this head; what it promises is not held against it here.
    ///
    /// # Errors
    /// Those of [`Writer::new`].
    pub fn new(head: Head, limits: Limits) -> Result<Self, CarryError> {
        let record = head.record.clone();
        let writer = Writer::with_limits(Counting(0), head, limits)?;
        Ok(Size {
            writer,
            record,
            photos: 0,
        })
    }

    /// One more change.
    ///
    /// # Errors
    /// Those of [`Writer::change`].
    pub fn change(&mut self, hash: &Hash, bytes: &[u8]) -> Result<(), CarryError> {
        self.writer.change(hash, bytes)
    }

    /// These signatures, behind all changes.
    ///
    /// # Errors
    /// Those of [`Writer::marks`].
    pub fn marks(&mut self, marks: &[Mark]) -> Result<(), CarryError> {
        self.writer.marks(marks)
    }

    /// One more photo of so many bytes.
    pub fn photo(&mut self, length: u64) {
        let frames = 1 + length.div_ceil(SLICE_MAX as u64);
        self.photos = self
            .photos
            .saturating_add(frames * FRAME + PHOTO_LENGTH as u64)
            .saturating_add(length);
    }

    /// Bytes of the file when open: exact.
    ///
    /// # Errors
    /// Those of [`Writer::change`].
    pub fn open(&mut self) -> Result<u64, CarryError> {
        self.writer.all_changes()?;
        let end = FRAME + COUNTS as u64 + 32;
        Ok(self
            .writer
            .stream()
            .0
            .saturating_add(self.photos)
            .saturating_add(end))
    }

    /// Bytes of the file when sealed to so many members, or to a passphrase with nought of them: at most 200 too many.
    ///
    /// # Errors
    /// Those of [`Writer::change`].
    pub fn sealed(&mut self, readers: usize) -> Result<u64, CarryError> {
        Ok(sealed::around(self.open()?, &self.record, readers))
    }
}

struct Counting(u64);

impl Write for Counting {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0 = self.0.saturating_add(bytes.len() as u64);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
