//! A snapshot where the log has grown long, in three steps, so that the slow one in the middle needs nobody to wait:
//! take it, open it once to see that it reads as the record does, and let it stand for the changes it holds. Nothing
//! of the log is let go for a snapshot that did not.

use record::{Digest, Id, Record, Seat};

use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Changes after the newest snapshot at which a new one is made.
const COMPACT_AT: u32 = 2_000;

/// Changes after which a snapshot that could not be made is tried again.
const TRY_AGAIN: u32 = 200;

/// A snapshot that was not opened yet.
#[derive(Debug)]
pub struct Due {
    bytes: Vec<u8>,
    upto: u32,
    digest: Digest,
    seat: Seat,
}

/// One that reads as the record did.
#[derive(Debug)]
pub struct Sound(Due);

impl Due {
    /// Opens it once. Needs no notebook.
    ///
    /// # Errors
    /// When it does not read as the record does.
    pub fn read(self) -> Result<Sound, Refusal> {
        let again = Record::open(Some(&self.bytes), &[], self.seat)?;
        if again.digest() == self.digest {
            return Ok(Sound(self));
        }
        Err(Refusal::failed(
            "snapshot",
            "a snapshot did not read as the record does; it was not used",
        ))
    }
}

impl Notebook {
    /// A snapshot of a record whose log has grown long.
    pub fn snapshot_due(&mut self, record: &Id) -> Result<Option<Due>, Refusal> {
        if self.store.since_snapshot(record)? < COMPACT_AT {
            return Ok(None);
        }
        let upto = self.store.last(record)?;
        if self.put_off.get(record).is_some_and(|at| upto < *at) {
            return Ok(None);
        }
        // Until this one stands: where the disk refuses it, not every edit is to wait for another.
        self.put_off
            .insert(record.clone(), upto.saturating_add(TRY_AGAIN));
        let seat = self.seat(&self.device()?.id)?;
        let document = &self.document(record)?.record;
        Ok(Some(Due {
            bytes: document.snapshot(),
            upto,
            digest: document.digest(),
            seat,
        }))
    }

    /// Lets a snapshot stand for the changes it holds.
    pub fn stand_for(&mut self, record: &Id, Sound(due): &Sound) -> Result<(), Refusal> {
        let now = self.now();
        self.store.compact(record, &due.bytes, due.upto, now)?;
        self.put_off.remove(record);
        Ok(())
    }

    /// All three steps, where the log has grown long.
    pub(crate) fn compact_if_due(&mut self, record: &Id) -> Result<(), Refusal> {
        match self.snapshot_due(record)? {
            Some(due) => self.stand_for(record, &due.read()?),
            None => Ok(()),
        }
    }
}
