//! What goes out at a look: photos and batches are sealed, named and written. It never writes what is not held, and never
//! over another file.

use std::io::{self, Read as _};

use super::book::{Book, Noted, Own, Put, State, short};
use super::look::Looking;
use super::plan::{Putting, Write};
use super::{DropError, DropFault, Hash, Place, Shelf, Side, Told, batch, file};
use crate::carry::Head;
use crate::seal::SealKind;
use crate::vouch::Mark;

impl Looking<'_> {
    pub(super) fn put(
        &self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        told: &mut Told,
        putting: &Putting,
    ) -> Result<(), DropError> {
        let Putting {
            hash,
            length,
            replaces,
        } = putting;
        let mut from = side.photo(hash)?.take(length.saturating_add(1));
        let mut hasher = blake3::Hasher::new();
        let (name, bytes) = file::made(
            self.mine.sign,
            self.mine.record,
            SealKind::Photo,
            &self.readers,
            *length,
            |sealing| {
                let mut both = Both {
                    hasher: &mut hasher,
                    out: sealing,
                };
                io::copy(&mut from, &mut both)?;
                Ok(())
            },
        )?;
        if hasher.finalize().as_bytes() != hash || hasher.count() != *length {
            told.faults.push(DropFault {
                device: Some(self.me),
                what: DropError::WrongPhoto,
            });
            return Ok(());
        }
        let size = bytes.len() as u64;
        place.write(&self.mine.names.path(&self.me, Shelf::Photos, &name), bytes)?;
        let readers = book.readers(&self.readers);
        if let Some(old) = replaces.and_then(|old| book.put.get_mut(&old)) {
            old.replaced = Some(self.now);
        }
        book.put.insert(
            name,
            Put {
                hash: *hash,
                length: *length,
                readers,
                size,
                seen: book.looks,
                replaced: None,
            },
        );
        told.written += 1;
        told.photos_put += 1;
        told.bytes_written = told.bytes_written.saturating_add(size);
        Ok(())
    }

    pub(super) fn write(
        &self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        told: &mut Told,
        write: &Write,
    ) -> Result<Hash, DropError> {
        let mut changes = Vec::with_capacity(write.changes.len());
        for held in &write.changes {
            changes.push((held.hash, side.change(&held.hash)?));
        }
        let hashes: Vec<Hash> = write.changes.iter().map(|held| held.hash).collect();
        let marks = side.marks(&hashes)?;
        let each = write.changes.iter().map(|held| held.length + 36);
        let content = each.sum::<u64>()
            + write.photos.len() as u64 * 72
            + (marks.len() * Mark::LENGTH) as u64
            + 8 * 1_024;
        let head = Head {
            record: self.mine.record.to_owned(),
            ..self.mine.head.clone()
        };
        let (name, bytes) = file::made(
            self.mine.sign,
            self.mine.record,
            SealKind::Batch,
            &self.readers,
            content,
            |sealing| {
                let limits = &self.mine.limits.carry;
                batch::write(sealing, &head, limits, &write.photos, &changes, &marks).map(drop)
            },
        )?;
        let size = bytes.len() as u64;
        place.write(&self.mine.names.path(&self.me, Shelf::Batches, &name), bytes)?;
        let own = Own {
            changes: changes.iter().map(|(hash, _)| short(hash)).collect(),
            photos: write.photos.clone(),
            readers: book.readers(&self.readers),
            size,
            at: self.now,
            replaced: Vec::new(),
            confirmed: 0,
        };
        let seen = book.looks;
        let state = State::Own(own);
        book.batches.insert(name, Noted { seen, state });
        told.written += 1;
        told.bytes_written = told.bytes_written.saturating_add(size);
        Ok(name)
    }
}

/// Hashes what is written on.
struct Both<'a, W> {
    hasher: &'a mut blake3::Hasher,
    out: W,
}

impl<W: io::Write> io::Write for Both<'_, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.out.write(bytes)?;
        self.hasher.update(bytes.get(..taken).unwrap_or_default());
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}
