//! What is kept of a look: the book, what was told, and who is known by it to have which photos. It asks no place, and what a
//! device said of its photos itself stands over what lies in a drop.

use std::collections::BTreeSet;

use link::drop::{Book, Told};
use link::identity::Key;
use record::{Id, PhotoHash};
use store::DropRow;

use super::places::{Kept, plain};
use super::ready::Ready;
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::DropTold;

/// Most sentences about single files.
const MOST_FAULTS: usize = 20;

impl Notebook {
    /// Whoever put a photo that is not here has it, as far as is known: a keeper is told whom to ask.
    fn note_holders(&mut self, record: &Id, book: &Book) -> Result<(), Refusal> {
        let missing = self.store.photos_wanted(record)?;
        if missing.is_empty() {
            return Ok(());
        }
        let lying = book.lying();
        let said: BTreeSet<(String, PhotoHash)> = self
            .store
            .holdings(record)?
            .into_iter()
            .map(|(device, hash, _)| (device, hash))
            .collect();
        let mut news = false;
        for member in self.members(record)? {
            let Some(key) = member.key.as_deref().and_then(|key| key.parse::<Key>().ok()) else {
                continue;
            };
            let lying = lying.get(key.as_bytes()).into_iter().flatten();
            let put: BTreeSet<PhotoHash> = lying.map(|hash| PhotoHash::from_bytes(*hash)).collect();
            let new =
                |hash: &PhotoHash| put.contains(hash) && !said.contains(&(member.device.to_string(), *hash));
            let holds: Vec<PhotoHash> = missing.iter().copied().filter(new).collect();
            if !holds.is_empty() {
                self.store.keep_holdings(record, &member.device, &holds, &[])?;
                news = true;
            }
        }
        if news {
            self.show(record);
        }
        Ok(())
    }
}

impl Notebook {
    /// Notes what is known of a place now, what a look told, and who has photos that are not here. Nothing where the drop was
    /// removed meanwhile.
    ///
    /// # Errors
    /// Nothing was noted then.
    pub fn note_look(&mut self, ready: &Ready, book: &Book, told: Option<&DropTold>) -> Result<(), Refusal> {
        let bytes = book
            .to_bytes()
            .map_err(|error| Refusal::failed("drop_book", error.to_string()))?;
        if self.drop_of(&ready.kept.id)?.is_none() {
            return Ok(());
        }
        let (looked, told) = match told {
            Some(told) => (Some(self.now()), text(told)?),
            None => (ready.row.looked, ready.row.told.clone()),
        };
        let row = DropRow {
            book: bytes,
            looked,
            told,
        };
        self.store
            .note_drop(&ready.kept.record, &ready.kept.id, Some(&row))?;
        self.note_holders(&ready.kept.record, book)
    }

    /// Notes that there was no look, and keeps what was known before.
    ///
    /// # Errors
    /// Nothing was noted then.
    pub fn note_stopped(&mut self, kept: &Kept, row: Option<&DropRow>, words: String) -> Result<(), Refusal> {
        let was = match row {
            Some(row) => row.clone(),
            None => self.store.drop_row(&kept.record, &kept.id)?.unwrap_or_default(),
        };
        // Whether anything ever lay there is to be known still when the stick is back.
        // A row that was never noted, or whose words cannot be read, says nothing of what lay there: the next look does.
        let before: DropTold = serde_json::from_str(&was.told).unwrap_or_default();
        let told = DropTold {
            bytes_there: before.bytes_there.max(before.bytes_written),
            stopped: Some(words),
            ..DropTold::default()
        };
        if before == told {
            return Ok(());
        }
        let row = DropRow {
            looked: Some(self.now()),
            told: text(&told)?,
            book: was.book,
        };
        Ok(self.store.note_drop(&kept.record, &kept.id, Some(&row))?)
    }
}

fn text(told: &DropTold) -> Result<String, Refusal> {
    serde_json::to_string(told).map_err(|error| Refusal::failed("json", error.to_string()))
}

/// What a look told, as it is kept and shown.
pub fn told_of(told: Told, mut faults: Vec<String>) -> DropTold {
    faults.extend(told.faults.iter().map(|fault| plain(&fault.what)));
    faults.truncate(MOST_FAULTS);
    DropTold {
        batches: small(told.batches),
        changes: small(told.changes),
        photos_fetched: small(told.photos_fetched),
        photos_left: small(told.photos_left),
        written: small(told.written),
        photos_put: small(told.photos_put),
        bytes_written: told.bytes_written,
        bytes_read: told.bytes_read,
        bytes_there: told.bytes_there,
        waiting: small(told.waiting),
        unfinished: small(told.unfinished),
        not_for_me: small(told.not_for_me),
        aside: small(told.aside.len()),
        faults,
        stopped: told.stopped.as_ref().map(plain),
    }
}

fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
