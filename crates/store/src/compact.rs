//! Opening a record from its newest whole snapshot and the log after it, and making such snapshots.
//!
//! The bytes of a change stay in the log until two snapshots hold it. So one damaged snapshot costs nothing: the
//! one before, and the log after that, give the same document.

use record::{Id, Moment};

use crate::tables::snapshots::State;
use crate::tables::{change_log, records, snapshots};
use crate::{Store, StoreError};

/// What a document is opened from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Loaded {
    /// The newest snapshot that is whole.
    pub snapshot: Option<Vec<u8>>,
    /// The last change that it holds; 0 where there is no snapshot.
    pub upto: u32,
    /// The changes after it, each as it was logged.
    pub log: Vec<Vec<u8>>,
    /// The number of the newest change; 0 where there is none.
    pub last: u32,
    /// Whether a newer snapshot was damaged and passed over. Nothing is lost by it; a check says more.
    pub passed_over: bool,
}

impl Store {
    /// What a record's document is opened from, every byte checked.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] where neither the snapshots nor the log give the whole document.
    pub fn load(&self, record: &Id) -> Result<Loaded, StoreError> {
        self.load_below(record, u32::MAX)
    }

    /// The same from an older snapshot: the newest whole one that ends before a change. For when a newer one turned out
    /// to give no document.
    ///
    /// # Errors
    /// As [`Store::load`].
    pub fn load_below(&self, record: &Id, below: u32) -> Result<Loaded, StoreError> {
        let _moment = self.moment()?;
        let read = &self.db;
        records::one(read, record)?;
        let ends = snapshots::ends(read, record)?;
        let newest = ends.first().copied().unwrap_or(0);
        let mut older = ends.into_iter().filter(|upto| *upto < below);
        let snapshot = older.find_map(|upto| snapshots::whole(read, record, upto));
        let upto = snapshot.as_ref().map_or(0, |(upto, _)| *upto);
        let log = change_log::bytes_after(read, record, upto)?;
        let last = change_log::last(read, record)?.max(upto);
        Ok(Loaded {
            snapshot: snapshot.map(|(_, bytes)| bytes),
            upto,
            log,
            last,
            passed_over: upto < newest,
        })
    }

    /// How many changes there are after the newest snapshot: what opening the record has to go through.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn since_snapshot(&self, record: &Id) -> Result<u32, StoreError> {
        Ok(change_log::last(&self.db, record)?.saturating_sub(snapshots::newest(&self.db, record)?))
    }

    /// Stores a snapshot of the whole document up to and with a change of the log, keeps the whole one before it,
    /// and empties the bytes of the changes that both hold. Gives how many were emptied. History stays.
    ///
    /// The caller has opened the bytes and found them to be the document.
    ///
    /// # Errors
    /// [`StoreError::Unfit`] where `upto` is not after the newest snapshot or is beyond the log.
    pub fn compact(
        &mut self,
        record: &Id,
        bytes: &[u8],
        upto: u32,
        now: Moment,
    ) -> Result<usize, StoreError> {
        // Asked before the transaction: SQLite lets nothing be written in one that has met a damaged page. For the same
        // reason a snapshot that lies on one is left where it is, and does no harm there.
        let (mut before, mut older) = (0, Vec::new());
        for old in snapshots::ends(&self.db, record)? {
            match snapshots::state(&self.db, record, old) {
                // A damaged snapshot must not push out a whole one, nor count as holding anything.
                State::Whole(_) if before == 0 => before = old,
                State::Whole(_) | State::Other => older.push(old),
                State::Unreadable => {}
            }
        }
        let tx = self.writing()?;
        records::one(&tx, record)?;
        let (newest, last) = (snapshots::newest(&tx, record)?, change_log::last(&tx, record)?);
        if upto <= newest || upto > last || bytes.is_empty() {
            let what = format!(
                "a snapshot up to change {upto} does not fit a log that ends at {last}, with a snapshot up to {newest}"
            );
            return Err(StoreError::Unfit { what });
        }
        snapshots::add(&tx, record, upto, bytes, now)?;
        for old in older {
            snapshots::remove(&tx, record, old)?;
        }
        let emptied = change_log::empty_bytes(&tx, record, before)?;
        tx.commit()?;
        Ok(emptied)
    }
}
