//! What the tally beside the database is held against: whether the log still has what was answered for. It never writes
//! to the log, and never takes a loss for mended before the newest change that went is back.

use record::{ChangeId, Id};
use rusqlite::Connection;
use serde::{Deserialize, Serialize};

use crate::layer::{Stood, Tally};
use crate::tables::{change_log, records, settings};
use crate::{Store, StoreError};

/// How the setting begins that tells of a record's loss.
const LOST: &str = "lost ";
/// The setting that says that a tally is kept beside this database.
const KEPT: &str = "tally kept";
/// The setting that tells how the tally was found otherwise than it was left.
const GONE: &str = "tally gone";

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
        let Some(mut tally) = self.folder.tally().map(Tally::of) else {
            return Ok(());
        };
        let ends: Vec<_> = tally.ends().clone().into_iter().collect();
        let stood = tally.stood();
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
                match change_log::newest(&self.db, &id)? {
                    Some(end) => tally.put(&record, end),
                    None => tally.forget(&record),
                }
            }
        }
        self.tally = Some(tally);
        let kept = self.setting(KEPT)?.is_some();
        let gone = match stood {
            Stood::Whole => None,
            Stood::Missing => Some("missing"),
            Stood::Damaged => Some("damaged"),
        };
        // Begun at once for a folder of before there were tallies too, or the next start would miss it.
        if let Some(gone) = gone {
            let mut begun = false;
            for row in records::all(&self.db)? {
                if let Some(end) = change_log::newest(&self.db, &row.id)? {
                    begun = true;
                    if let Some(tally) = &mut self.tally {
                        tally.put(row.id.as_str(), end);
                    }
                }
            }
            if begun && kept {
                self.set(GONE, Some(gone))?;
            }
        }
        if !kept {
            self.set(KEPT, Some("yes"))?;
        }
        Ok(())
    }

    /// Gives up what the tally tells of: a check is silent about it from then on. Answers what was given up, a sentence each;
    /// should a device that has the changes be met later, they come back all the same.
    ///
    /// # Errors
    /// Nothing was given up then.
    pub fn let_go(&mut self) -> Result<Vec<String>, StoreError> {
        let mut says = Vec::new();
        let mut keys = Vec::new();
        for (id, lost) in losses(&self.db, None)? {
            says.push(format!(
                "given up: what '{}' had had beyond what is here. Its log had come to {} changes, and {} were found",
                car(&self.db, &id),
                lost.had,
                lost.has
            ));
            keys.push(format!("{LOST}{id}"));
        }
        if let Some(gone) = self.setting(GONE)? {
            says.push(format!(
                "given up: to know whether entries went while the tally was {gone}"
            ));
            keys.push(GONE.to_owned());
        }
        let tx = self.writing()?;
        for key in &keys {
            settings::put(&tx, key, None)?;
        }
        tx.commit()?;
        Ok(says)
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
        // A note that cannot be read says nothing of the loss; that it is not what was written is told by its row's sum.
        let lost = serde_json::from_str::<Lost>(&value).ok();
        let (Some(id), Some(lost)) = (id, lost) else {
            continue;
        };
        let wanted = record.is_none_or(|wanted| wanted == &id);
        // It came with all that it stands on, as every change does.
        let back = match ChangeId::from_hex(&lost.newest) {
            Some(change) => change_log::has(db, &id, &change)?,
            None => false,
        };
        if wanted && !back {
            found.push((id, lost));
        }
    }
    Ok(found)
}

/// What a check says of a tally that was not as it was left; nothing where it was.
pub(crate) fn gone(db: &Connection) -> Result<Option<String>, StoreError> {
    let gone = settings::one(db, GONE)?;
    Ok(gone.map(|gone| {
        format!(
            "the tally beside the database ('witnessmark.tally') was {gone} when the folder was opened, and was begun anew: whether entries went before that cannot be told. Meet the other device, and whatever it has comes back; 'witnessmark check --let-go' says that this is known"
        )
    }))
}

fn car(db: &Connection, id: &Id) -> String {
    records::one(db, id).map_or_else(
        |_| format!("a record that is not kept here ({id})"),
        |row| row.car,
    )
}

/// What a check says of a loss.
pub(crate) fn words(db: &Connection, id: &Id, lost: &Lost) -> String {
    let car = car(db, id);
    format!(
        "entries of '{car}' that had been kept are gone: its log had {} changes and was found with {}, as when a bit of the \
         write-ahead log turns on the disk. A device that this one has met since has them: meet it, live or by file, and \
         they come back. Where nobody has them, or an older copy of the database was put here by intent, 'witnessmark check \
         --let-go' gives them up. Look after the disk",
        lost.had, lost.has
    )
}
