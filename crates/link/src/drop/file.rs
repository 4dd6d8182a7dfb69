//! One file of a drop: made, named, and looked at as it comes in. It never believes a length that was not counted.

use std::io::{self, SeekFrom, Write};

use super::{DropError, Hash, Place};
use crate::seal::{self, Readers, SealKind, Sealing, SigningKey, Spool, Subject};

/// The length of what follows.
pub(super) const FRONT: usize = 8;

/// How much longer a sealed file is than what is in it, at the most: the readers and the tags of age's pieces.
pub(super) const AROUND: u64 = 128 * 1024;

/// Seals what `fill` writes, at most some `content` bytes, and names it.
pub(super) fn made(
    sign: &SigningKey,
    record: &str,
    kind: SealKind,
    readers: &[String],
    content: u64,
    fill: impl FnOnce(&mut Sealing<&SigningKey, Vec<u8>>) -> Result<(), DropError>,
) -> Result<(Hash, Vec<u8>), DropError> {
    let about = Subject { record, kind };
    // Room for all of it at once: a large photo is not to be copied from room to room.
    let room = seal::sealed_size(content, record, readers.len()).saturating_add(FRONT as u64);
    let mut bytes = Vec::with_capacity(usize::try_from(room).unwrap_or(FRONT));
    bytes.extend_from_slice(&[0; FRONT]);
    let mut sealing = Sealing::new(bytes, sign, &about, &Readers::Members(readers))?;
    fill(&mut sealing)?;
    let mut bytes = sealing.finish()?;
    let length = (bytes.len() - FRONT) as u64;
    if let Some(front) = bytes.first_chunk_mut::<FRONT>() {
        *front = length.to_le_bytes();
    }
    Ok((*blake3::hash(&bytes).as_bytes(), bytes))
}

/// What a copy of a file turned out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Copy {
    /// It is what its name says; the sealed stream is in the spool, which stands at its beginning.
    Whole,
    /// It is shorter than it says, or not there.
    Unfinished,
    /// It is as long as it says, and something else.
    Wrong,
}

/// Reads a copy of the file of this name into the spool, with at most `limit` bytes.
pub(super) fn read(
    place: &mut dyn Place,
    path: &str,
    name: &Hash,
    limit: u64,
    spool: &mut dyn Spool,
) -> Result<Copy, DropError> {
    spool.empty()?;
    let mut coming = Coming {
        front: Vec::with_capacity(FRONT),
        hasher: blake3::Hasher::new(),
        spool,
    };
    let read = place.read(path, limit, &mut coming);
    let Coming { front, hasher, spool } = coming;
    match read {
        Ok(()) => {}
        Err(DropError::Gone) => return Ok(Copy::Unfinished),
        Err(error) => return Err(error),
    }
    let whole = hasher.finalize().as_bytes() == name;
    let Some(said) = front.first_chunk::<FRONT>() else {
        return Ok(Copy::Unfinished);
    };
    let there = hasher.count().saturating_sub(FRONT as u64);
    if whole {
        spool.seek(SeekFrom::Start(0))?;
        return Ok(Copy::Whole);
    }
    spool.empty()?;
    Ok(if there < u64::from_le_bytes(*said) {
        Copy::Unfinished
    } else {
        Copy::Wrong
    })
}

/// Takes the front off, hashes all, and spools the rest.
struct Coming<'a> {
    front: Vec<u8>,
    hasher: blake3::Hasher,
    spool: &'a mut dyn Spool,
}

impl Write for Coming<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.hasher.update(bytes);
        let missing = FRONT - self.front.len();
        let (front, rest) = bytes.split_at_checked(missing).unwrap_or((bytes, &[]));
        self.front.extend_from_slice(front);
        self.spool.write_all(rest)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.spool.flush()
    }
}
