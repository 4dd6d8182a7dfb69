//! One command, one transaction: the changes, the read rows, the search rows and whatever else the command writes
//! are on the disk together, or none of them is.

use record::{Entry, Id, Logged, PhotoHash, Ref};

use crate::tables::{
    came, change_log, device_notes, entries, folder, paired, peers, photos, points, records, signatures,
};
use crate::{
    Came, KnownOf, NewPhoto, PairedRow, Peer, PointRow, RecordRow, Signature, Store, StoreError, ThisDevice,
    TwiceRow, WasRow,
};

/// Everything that one command writes. What is left at its default writes nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Batch<'a> {
    /// The record itself, where this is the command that begins or joins it.
    pub begin: Option<&'a RecordRow>,
    /// The record's row as it is to read from now on: the car's name, the keeper whose device this is.
    pub row: Option<&'a RecordRow>,
    /// Which device this folder is.
    pub device: Option<&'a ThisDevice>,
    /// New changes, each after those it builds on.
    pub changes: &'a [Logged],
    /// How the changes came in, where they are another's.
    pub came: Option<Came<'a>>,
    /// What fields read before that came, of which whoever is told of it is told both.
    pub was: &'a [WasRow],
    /// The entries they touched, as they read now.
    pub entries: &'a [Entry],
    /// What they touched and has nothing to read any more: its rows are taken away.
    pub blank: &'a [Ref],
    /// All points to settle, in their order, where they were worked out anew.
    pub points: Option<&'a [PointRow]>,
    /// Photos whose originals are kept.
    pub photos: &'a [NewPhoto],
    /// Signatures over changes that are in the log or among the new ones. One that is kept already stays.
    pub signatures: &'a [Signature],
    /// Keys that are believed for a device from now on; those before stay.
    pub keys: &'a [(Id, String)],
    /// What was written a second time under one number.
    pub twice: &'a [TwiceRow],
    /// What is now known of other devices.
    pub peers: &'a [Peer],
    /// How many changes other devices are now known to have.
    pub known: &'a [(Id, KnownOf)],
    /// A device that photos were left out for, and that lacks none of them now.
    pub lacks_no_photos: Option<&'a Id>,
    /// A device that was paired for this record.
    pub paired: Option<&'a PairedRow>,
}

impl Store {
    /// Most bytes of a small picture that came from another device.
    pub const SMALL_MOST: usize = 256 * 1024;

    /// Writes a command, whole or not at all, and answers when it is on the disk. Gives the number of the newest
    /// change in the record's log.
    ///
    /// # Errors
    /// Whatever the reason, nothing of the batch was written.
    pub fn commit(&mut self, record: &Id, batch: &Batch<'_>) -> Result<u32, StoreError> {
        let tx = self.writing()?;
        if let Some(row) = batch.begin {
            records::add(&tx, row)?;
        }
        match batch.row {
            Some(row) => records::put(&tx, row)?,
            None => records::one(&tx, record).map(drop)?,
        }
        if let Some(device) = batch.device {
            folder::set_device(&tx, device)?;
        }
        let before = change_log::last(&tx, record)?;
        let last = change_log::append(&tx, record, batch.changes)?;
        if let Some(came) = batch.came {
            came::add(&tx, record, came, batch.was, (before, last))?;
        }
        for (device, key) in batch.keys {
            signatures::believe(&tx, record, device, key)?;
        }
        for signature in batch.signatures {
            signatures::add(&tx, record, signature)?;
        }
        for twice in batch.twice {
            signatures::add_twice(&tx, record, twice)?;
        }
        for entry in batch.entries {
            entries::put(&tx, record, entry)?;
        }
        for name in batch.blank {
            entries::remove(&tx, record, name)?;
        }
        if let Some(rows) = batch.points {
            points::put(&tx, record, rows)?;
        }
        for photo in batch.photos {
            photos::put(&tx, photo)?;
        }
        for peer in batch.peers {
            peers::put(&tx, record, peer)?;
        }
        for (device, known) in batch.known {
            device_notes::put_known(&tx, record, device, *known)?;
        }
        if let Some(device) = batch.lacks_no_photos {
            device_notes::put_left_out(&tx, record, device, None)?;
        }
        if let Some(row) = batch.paired {
            paired::put(&tx, record, row)?;
        }
        tx.commit()?;
        if let Some(newest) = batch.changes.last() {
            self.answered_for(record, last, &newest.id);
        }
        Ok(last)
    }

    /// Enters photos that came without a change, as in a meeting that brings what was named before.
    ///
    /// # Errors
    /// Nothing was written then; the originals stay, and are entered when they come again.
    pub fn enter_photos(&mut self, new: &[NewPhoto]) -> Result<(), StoreError> {
        let tx = self.writing()?;
        for photo in new {
            photos::put(&tx, photo)?;
        }
        tx.commit()?;
        for photo in new {
            // By whichever road it came, nobody waits for a part of it any more. What cannot be cleared away now is swept
            // at the next opening.
            let _ = self.folder.part_drop(photo.kept.hash());
        }
        Ok(())
    }

    /// Keeps a small picture that came from another device, for as long as its original is not here.
    ///
    /// # Errors
    /// When it is empty or has more than [`Store::SMALL_MOST`] bytes, or when the disk refuses.
    pub fn keep_small(&mut self, hash: &PhotoHash, picture: &[u8]) -> Result<(), StoreError> {
        let tx = self.writing()?;
        photos::put_small(&tx, hash, picture)?;
        tx.commit()?;
        Ok(())
    }

    /// Writes down which photos a device has and has not, as it said when it was asked.
    ///
    /// # Errors
    /// Nothing was written then.
    pub fn keep_holdings(
        &mut self,
        record: &Id,
        device: &Id,
        here: &[PhotoHash],
        not: &[PhotoHash],
    ) -> Result<(), StoreError> {
        let tx = self.writing()?;
        peers::put_photos(&tx, record, device, here, not)?;
        tx.commit()?;
        Ok(())
    }

    /// Keeps the original of a photo: on the disk, whole, under its BLAKE3 hash, before this answers. `most` is
    /// the most bytes it may have; `wanted` is the hash that it was announced under, where it was.
    ///
    /// Its row is written afterwards, with [`Batch::photos`] or [`Store::enter_photos`].
    ///
    /// # Errors
    /// Nothing is kept then: not a part of it under any name.
    pub fn keep_photo(
        &self,
        from: &mut dyn std::io::Read,
        most: u64,
        wanted: Option<&PhotoHash>,
    ) -> Result<crate::Kept, StoreError> {
        self.writable()?;
        let (hash, length) = self.folder.keep_photo(from, most, wanted)?;
        Ok(crate::Kept { hash, length })
    }
}
