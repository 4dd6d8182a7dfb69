//! What faces read: entries, days, history, points, search, photos, peers. All of it from the tables and the files
//! of photos; the document is never needed.

use std::collections::BTreeSet;
use std::io::{Read as _, Seek as _, SeekFrom};

use record::{ChangeId, Day, Entry, Id, Kind, Moment, PhotoHash, Ref, View};

use crate::tables::{
    change_log, days, deeds, entries, folder, peers, photos, points, records, search, touched,
};
use crate::{
    DayMark, DeedRow, HistoryRow, Hit, Incoming, LogRow, Peer, PhotoRow, PointRow, RecordRow, Store,
    StoreError, ThisDevice,
};

impl Store {
    /// Which device this folder is; none before its first record.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn device(&self) -> Result<Option<ThisDevice>, StoreError> {
        folder::device(&self.db)
    }

    /// The records that the folder keeps, the longest kept first.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn records(&self) -> Result<Vec<RecordRow>, StoreError> {
        records::all(&self.db)
    }

    /// One of them.
    ///
    /// # Errors
    /// [`StoreError::NoRecord`], or where the folder cannot be read.
    pub fn record(&self, record: &Id) -> Result<RecordRow, StoreError> {
        records::one(&self.db, record)
    }

    /// One entry, struck out or not.
    ///
    /// # Errors
    /// Where the folder or the row cannot be read.
    pub fn entry(&self, record: &Id, kind: Kind, id: &Id) -> Result<Option<Entry>, StoreError> {
        entries::one(&self.db, record, kind, id)
    }

    /// One entry by reference.
    ///
    /// # Errors
    /// Where the folder or the row cannot be read.
    pub fn find(&self, record: &Id, name: &Ref) -> Result<Option<Entry>, StoreError> {
        entries::one(&self.db, record, name.kind, &name.id)
    }

    /// The entries of a kind, struck out or not, by id.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn entries(&self, record: &Id, kind: Kind) -> Result<Vec<Entry>, StoreError> {
        entries::some(&self.db, record, Some(kind))
    }

    /// Every entry, as the rules read them.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn view(&self, record: &Id) -> Result<View, StoreError> {
        entries::view(&self.db, record)
    }

    /// The newest days on which something was entered or done, at most `most`, and whose it is; oldest first. `east` is how many
    /// seconds the keeper's clock is ahead of UTC.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn days(&self, record: &Id, east: i64, most: usize) -> Result<Vec<DayMark>, StoreError> {
        days::newest(&self.db, record, east, most)
    }

    /// The entries that stand on a day of their own, struck out or not.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn entered_on(&self, record: &Id, day: Day) -> Result<Vec<Entry>, StoreError> {
        entries::on(&self.db, record, day)
    }

    /// The entries of a kind in which a word of a closed set stands somewhere, shown or not: whoever asks looks at each.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn saying(&self, record: &Id, kind: Kind, word: &str) -> Result<Vec<Entry>, StoreError> {
        entries::saying(&self.db, record, kind, word)
    }

    /// The photo that an original was entered as, the first of them by id where it was entered twice; one that is struck out is none.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn entered_as(&self, record: &Id, original: &PhotoHash) -> Result<Option<Id>, StoreError> {
        entries::with_original(&self.db, record, original)
    }

    /// The entries of a kind that name another in one of their fields.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn naming(&self, record: &Id, kind: Kind, to: &Ref) -> Result<Vec<Entry>, StoreError> {
        entries::naming(&self.db, record, kind, to)
    }

    /// The entries of a kind that ask for something by their own word.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn asking(&self, record: &Id, kind: Kind) -> Result<Vec<Entry>, StoreError> {
        entries::asking(&self.db, record, kind)
    }

    /// The entries of a kind that do not say what they are of, or name an assembly that is not there.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn loose(&self, record: &Id, kind: Kind) -> Result<Vec<Entry>, StoreError> {
        entries::loose(&self.db, record, kind)
    }

    /// How many entries of a kind stand in each assembly.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn counted(&self, record: &Id, kind: Kind) -> Result<Vec<(Id, u32)>, StoreError> {
        entries::counted(&self.db, record, kind)
    }

    /// The entries of a kind that are called something, given in small letters.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn called(&self, record: &Id, kind: Kind, title: &str) -> Result<Vec<Entry>, StoreError> {
        entries::called(&self.db, record, kind, title)
    }

    /// What was done on a day, by a clock that is `east` seconds ahead of UTC.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn done_on(&self, record: &Id, day: Day, east: i64) -> Result<Vec<DeedRow>, StoreError> {
        deeds::on(&self.db, record, day, day.span(east))
    }

    /// What was done to an entry, in the order this device got to know of it.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn deeds_of(&self, record: &Id, name: &Ref) -> Result<Vec<DeedRow>, StoreError> {
        deeds::of(&self.db, record, name)
    }

    /// The points to settle, in the order the rules gave them.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn points(&self, record: &Id) -> Result<Vec<PointRow>, StoreError> {
        points::all(&self.db, record)
    }

    /// The changes that touched an entry, or one field of it, in the order this device got them: newest last.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn history(
        &self,
        record: &Id,
        kind: Kind,
        id: &Id,
        field: Option<&str>,
    ) -> Result<Vec<HistoryRow>, StoreError> {
        touched::history(&self.db, record, kind, id, field)
    }

    /// The log's row of a change; none where it is not there.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn logged(&self, record: &Id, change: &ChangeId) -> Result<Option<LogRow>, StoreError> {
        change_log::of_change(&self.db, record, change)
    }

    /// Whether a change is in the log, or is the fixed beginning, which is in none.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn has_change(&self, record: &Id, change: &ChangeId) -> Result<bool, StoreError> {
        change_log::has(&self.db, record, change)
    }

    /// The changes that are in the log.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn hashes(&self, record: &Id) -> Result<BTreeSet<ChangeId>, StoreError> {
        change_log::hashes(&self.db, record)
    }

    /// Whether changes of the log stand on ones that are not in it, as a program before this one could leave it.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn has_gaps(&self, record: &Id) -> Result<bool, StoreError> {
        Ok(!change_log::gaps(&self.db, record)?.is_empty())
    }

    /// How many changes a device made after its first `skip`, and when the first of those was made.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn made_after(
        &self,
        record: &Id,
        device: &Id,
        skip: u32,
    ) -> Result<(u32, Option<Moment>), StoreError> {
        change_log::made_after(&self.db, record, device, skip)
    }

    /// The number of the newest change in the log; it is also how many there are.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn last(&self, record: &Id) -> Result<u32, StoreError> {
        change_log::last(&self.db, record)
    }

    /// Entries in which every word begins some word; best first, what was struck out last. Each may stand as any of several:
    /// itself and its synonyms, which may be phrases. Any text may be given: none of it is read as a query language.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn search_any(&self, record: &Id, words: &[Vec<String>], most: u32) -> Result<Vec<Hit>, StoreError> {
        search::find(&self.db, record, words, most)
    }

    /// The words that stand in entries and are a slip of the fingers away from one.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn near_words(&self, word: &str) -> Result<Vec<String>, StoreError> {
        search::near(&self.db, word)
    }

    /// What is known of a photo whose original is here.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn photo(&self, hash: &PhotoHash) -> Result<Option<PhotoRow>, StoreError> {
        photos::one(&self.db, hash)
    }

    /// The small picture of a photo: the one made here of its original, or the one that came from another device where
    /// the original is not here. Empty bytes where none could be made.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn thumb(&self, hash: &PhotoHash) -> Result<Option<Vec<u8>>, StoreError> {
        photos::thumb(&self.db, hash)
    }

    /// Whether the original of a photo lies here.
    #[must_use]
    pub fn has_photo(&self, hash: &PhotoHash) -> bool {
        self.folder.has_photo(hash)
    }

    /// The hashes of a record's photos whose originals are here, in order.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn photos_here(&self, record: &Id) -> Result<Vec<PhotoHash>, StoreError> {
        let mut here = photos::named(&self.db, record, true)?;
        here.retain(|hash| self.folder.has_photo(hash));
        Ok(here)
    }

    /// The hashes of a record's photos of which neither the original nor a small picture is here, in order.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn smalls_wanted(&self, record: &Id) -> Result<Vec<PhotoHash>, StoreError> {
        photos::without_small(&self.db, record)
    }

    /// Whether a small picture of a photo is here.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn has_small(&self, hash: &PhotoHash) -> Result<bool, StoreError> {
        photos::has_small(&self.db, hash)
    }

    /// What other devices said of one photo: the device, whether it has it.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn holdings_of(&self, record: &Id, hash: &PhotoHash) -> Result<Vec<(String, bool)>, StoreError> {
        peers::photo(&self.db, record, hash)
    }

    /// What other devices said of the photos they were asked about: the device, the photo's hash, whether it has it.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn holdings(&self, record: &Id) -> Result<Vec<(String, PhotoHash, bool)>, StoreError> {
        peers::photos(&self.db, record)
    }

    /// Whether a record names this photo: no other record's devices are given it.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn names_photo(&self, record: &Id, hash: &PhotoHash) -> Result<bool, StoreError> {
        photos::is_named(&self.db, record, hash)
    }

    /// The hashes of a record's photos whose originals are not here: those that never came, and those that are
    /// gone from the disk; in order.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn photos_wanted(&self, record: &Id) -> Result<Vec<PhotoHash>, StoreError> {
        let mut wanted = photos::named(&self.db, record, false)?;
        wanted.extend(
            photos::named(&self.db, record, true)?
                .into_iter()
                .filter(|hash| !self.folder.has_photo(hash)),
        );
        wanted.sort();
        Ok(wanted)
    }

    /// Opens an original, to read all of it from the beginning.
    ///
    /// # Errors
    /// [`StoreError::NoPhoto`], or where it cannot be read.
    pub fn open_photo(&self, hash: &PhotoHash) -> Result<Box<dyn Incoming>, StoreError> {
        self.folder.open_photo(hash)
    }

    /// A stretch of an original: at most `most` bytes from `start`.
    ///
    /// # Errors
    /// [`StoreError::NoPhoto`], or where it cannot be read.
    pub fn photo_bytes(&self, hash: &PhotoHash, start: u64, most: u64) -> Result<Vec<u8>, StoreError> {
        let mut file = self.folder.open_photo(hash)?;
        let mut bytes = Vec::new();
        file.seek(SeekFrom::Start(start))
            .and_then(|_| file.take(most).read_to_end(&mut bytes))
            .map_err(|error| StoreError::io("read a photo", error))?;
        Ok(bytes)
    }

    /// What is known of a record's other devices, by their ids.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn peers(&self, record: &Id) -> Result<Vec<Peer>, StoreError> {
        peers::all(&self.db, record)
    }

    /// The entries of a record after one of them, at most `most`, in an order of their own: for whoever goes over all of them in
    /// several steps.
    ///
    /// # Errors
    /// Where the folder, or one of them, cannot be read.
    pub fn entries_after(
        &self,
        record: &Id,
        after: Option<&Ref>,
        most: u32,
    ) -> Result<Vec<Entry>, StoreError> {
        entries::after(&self.db, record, after, most)
    }
}
