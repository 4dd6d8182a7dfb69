//! What a batch is inside: which photos lie where, then an open carry file without photos. It never takes more entries
//! than its bytes hold.

use std::convert::Infallible;
use std::io::{self, Read, Seek, SeekFrom, Write};

use serde::{Deserialize, Serialize};

use super::{DropError, Hash};
use crate::carry::{self, CarryError, Head, Sink, Stopped, Wanted, Writer};
use crate::vouch::{MOST_MARKS, Mark};

/// Where a photo lies in the drop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Lies {
    /// BLAKE3 of the photo.
    pub hash: Hash,
    /// The name of the file that it lies in.
    pub name: Hash,
    /// Bytes of the photo.
    pub length: u64,
}

/// An entry of the list: hash, name, length.
const ENTRY: u64 = 72;

/// A batch as it was read.
#[derive(Debug)]
pub(super) struct Inside {
    pub(super) head: Head,
    pub(super) hashes: Vec<Hash>,
    pub(super) changes: Vec<Vec<u8>>,
    pub(super) marks: Vec<Mark>,
    pub(super) photos: Vec<Lies>,
}

/// Writes the list of photos; the carry file comes behind it.
pub(super) fn write_photos(out: &mut impl Write, photos: &[Lies]) -> io::Result<()> {
    let count = u32::try_from(photos.len()).map_err(|_| io::ErrorKind::InvalidInput)?;
    out.write_all(&count.to_le_bytes())?;
    for lies in photos {
        out.write_all(&lies.hash)?;
        out.write_all(&lies.name)?;
        out.write_all(&lies.length.to_le_bytes())?;
    }
    Ok(())
}

/// Writes a batch: the photos, then these changes under this head, whose counts are put right.
pub(super) fn write<W: Write>(
    mut out: W,
    head: &Head,
    limits: &carry::Limits,
    photos: &[Lies],
    changes: &[(Hash, Vec<u8>)],
    marks: &[Mark],
) -> Result<W, DropError> {
    write_photos(&mut out, photos)?;
    let head = Head {
        changes: changes.len() as u64,
        photos: 0,
        ..head.clone()
    };
    let mut writer = Writer::with_limits(out, head, *limits)?;
    for (hash, bytes) in changes {
        writer.change(hash, bytes)?;
    }
    writer.marks(marks)?;
    Ok(writer.finish()?.0)
}

/// Reads a batch out of a spool that holds nothing else.
pub(super) fn read<F: Read + Seek>(spool: &mut F, limits: &carry::Limits) -> Result<Inside, DropError> {
    let bad = |what| DropError::Batch(CarryError::Malformed { what });
    let length = spool.seek(SeekFrom::End(0))?;
    spool.seek(SeekFrom::Start(0))?;
    let mut count = [0; 4];
    spool
        .read_exact(&mut count)
        .map_err(|_| bad("it holds no list of photos"))?;
    let count = u64::from(u32::from_le_bytes(count));
    let behind = 4 + count * ENTRY;
    if count > limits.photo_count || behind > length {
        return Err(bad("its list of photos is longer than it is"));
    }
    let mut photos = Vec::new();
    let mut entry = [0; ENTRY as usize];
    for _ in 0..count {
        spool.read_exact(&mut entry)?;
        let (hash, rest) = entry.split_first_chunk::<32>().unwrap_or((&[0; 32], &[]));
        let (name, rest) = rest.split_first_chunk::<32>().unwrap_or((&[0; 32], &[]));
        let length = rest
            .first_chunk::<8>()
            .map_or(0, |bytes| u64::from_le_bytes(*bytes));
        photos.push(Lies {
            hash: *hash,
            name: *name,
            length,
        });
    }
    let mut collect = Collect::default();
    let mut behind = Behind { spool, at: behind };
    carry::read(&mut behind, limits, &mut collect).map_err(|stopped| match stopped {
        Stopped::File(CarryError::Io(error)) => DropError::Room(error),
        Stopped::File(error) => DropError::Batch(error),
        Stopped::Sink(never) => match never {},
    })?;
    if collect.photos {
        return Err(bad("there is a photo in a batch"));
    }
    Ok(Inside {
        head: collect.head,
        hashes: collect.hashes,
        changes: collect.changes,
        marks: collect.marks,
        photos,
    })
}

#[derive(Default)]
struct Collect {
    head: Head,
    hashes: Vec<Hash>,
    changes: Vec<Vec<u8>>,
    marks: Vec<Mark>,
    photos: bool,
}

impl Sink for Collect {
    type Refusal = Infallible;
    fn head(&mut self, head: &Head) -> Result<(), Infallible> {
        self.head = head.clone();
        Ok(())
    }
    fn change(&mut self, hash: Hash, bytes: Vec<u8>) -> Result<(), Infallible> {
        self.hashes.push(hash);
        self.changes.push(bytes);
        Ok(())
    }
    fn mark(&mut self, mark: Mark) -> Result<(), Infallible> {
        if self.marks.len() < MOST_MARKS {
            self.marks.push(mark);
        }
        Ok(())
    }
    fn photo(&mut self, _: Hash, _: u64) -> Result<Wanted, Infallible> {
        self.photos = true;
        Ok(Wanted::No)
    }
    fn photo_piece(&mut self, _: &[u8]) -> Result<(), Infallible> {
        Ok(())
    }
    fn photo_end(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}

/// The part of a spool behind its first bytes, as if it were all of it.
struct Behind<'a, F> {
    spool: &'a mut F,
    at: u64,
}

impl<F: Read> Read for Behind<'_, F> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.spool.read(into)
    }
}

impl<F: Seek> Seek for Behind<'_, F> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let to = match to {
            SeekFrom::Start(at) => SeekFrom::Start(at.saturating_add(self.at)),
            other => other,
        };
        let stands = self.spool.seek(to)?;
        stands
            .checked_sub(self.at)
            .ok_or_else(|| io::ErrorKind::InvalidInput.into())
    }
}
