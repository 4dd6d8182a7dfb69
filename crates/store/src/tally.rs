//! What the tally beside the database is held against: whether the log still has what was answered for. It never writes
//! to the log, and never takes a loss for mended before the newest change that went is back.

use record::{ChangeId, Id};
use rusqlite::Connection;
use serde::{Deserialize, Serialize};

use crate::tables::{change_log, records, settings};
use crate::{Store, StoreError};

/// How the setting begins that tells of a record's loss.
const LOST: &str = "lost ";

/// That a log was found shorter than it had been.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Lost {
    /// The number of its newest change when it was last answered for.
    pub(crate) had: u32,
    /// That change.
    newest: String,
    /// How many changes it had when it was found short.
    pub(crate) has: u32,
}

impl Store {
    /// Opens the tally and writes down what it tells of that the log has not. Where that cannot be written, the tally is
    /// left to tell it at the next opening.
    pub(crate) fn hold_against_tally(&mut self) -> Result<(), StoreError> {
        let Some(mut tally) = self.folder.tally() else {
            return Ok(());
        };
        let ends: Vec<_> = tally.ends().clone().into_iter().collect();
        for (record, (had, newest)) in ends {
            let (Ok(id), Some(change)) = (record.parse::<Id>(), ChangeId::from_hex(&newest)) else {
                continue;
            };
            if !change_log::has(&self.db, &id, &change)? {
                let has = change_log::last(&self.db, &id)?;
                let lost = Lost { had, newest, has };
                let text =
                    serde_json::to_string(&lost).map_err(|e| StoreError::Unfit { what: e.to_string() })?;
                self.set(&format!("{LOST}{record}"), Some(&text))?;
                if let Some(end) = change_log::newest(&self.db, &id)? {
                    tally.put(&record, end);
                }
            }
        }
        self.tally = Some(tally);
        Ok(())
    }

    /// Writes down that the changes up to the newest of a record are on the disk.
    pub(crate) fn answered_for(&mut self, record: &Id, seq: u32, newest: &ChangeId) {
        if let Some(tally) = &mut self.tally {
            tally.put(record.as_str(), (seq, newest.to_string()));
        }
    }
}

/// The losses of this folder that are not mended yet.
pub(crate) fn losses(db: &Connection, record: Option<&Id>) -> Result<Vec<(Id, Lost)>, StoreError> {
    let mut found = Vec::new();
    for (key, value) in settings::all(db)? {
        let id = key.strip_prefix(LOST).and_then(|id| id.parse::<Id>().ok());
        let lost = serde_json::from_str::<Lost>(&value).ok();
        let (Some(id), Some(lost)) = (id, lost) else {
            continue;
        };
        let wanted = record.is_none_or(|wanted| wanted == &id);
        // It came with all that it stands on, as every change does.
        let back = ChangeId::from_hex(&lost.newest)
            .is_some_and(|change| change_log::has(db, &id, &change).unwrap_or(false));
        if wanted && !back {
            found.push((id, lost));
        }
    }
    Ok(found)
}

/// What a check says of a loss.
pub(crate) fn words(db: &Connection, id: &Id, lost: &Lost) -> String {
    let car = records::one(db, id).map_or_else(|_| id.to_string(), |row| row.car);
    format!(
        "entries of '{car}' that had been kept are gone: its log had {} changes and was found with {}, as when a bit of the \
         write-ahead log turns on the disk. A device that this one has met since has them: meet it, live or by file, and \
         they come back. Look after the disk",
        lost.had, lost.has
    )
}
