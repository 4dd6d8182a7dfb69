//! What the tally beside the database is held against: whether the log still has what was answered for. It never writes
//! to the log, and never takes a loss for mended before the newest change that went is back.

use record::{ChangeId, Id};
use rusqlite::Connection;

use crate::layer::{Stood, Tally};
use crate::tables::upkeep::{self, Gone, Lost, Upkeep};
use crate::tables::{change_log, records};
use crate::{Store, StoreError};

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
                let lost = Lost {
                    had,
                    newest: change,
                    has,
                };
                let tx = self.writing()?;
                upkeep::put_loss(&tx, &id, &lost)?;
                tx.commit()?;
                match change_log::newest(&self.db, &id)? {
                    Some(end) => tally.put(&record, end),
                    None => tally.forget(&record),
                }
            }
        }
        self.tally = Some(tally);
        let mut row = upkeep::get(&self.db)?;
        let gone = match stood {
            Stood::Whole => None,
            Stood::Missing => Some(Gone::Missing),
            Stood::Damaged => Some(Gone::Damaged),
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
            if begun && row.tally {
                row.tally_gone = Some(gone);
                self.put_upkeep(&row)?;
            }
        }
        if !row.tally {
            row.tally = true;
            self.put_upkeep(&row)?;
        }
        Ok(())
    }

    fn put_upkeep(&mut self, row: &Upkeep) -> Result<(), StoreError> {
        let tx = self.writing()?;
        upkeep::put(&tx, row)?;
        Ok(tx.commit()?)
    }

    /// Gives up what the tally tells of: a check is silent about it from then on. Answers what was given up, a sentence each;
    /// should a device that has the changes be met later, they come back all the same.
    ///
    /// # Errors
    /// Nothing was given up then.
    pub fn let_go(&mut self) -> Result<Vec<String>, StoreError> {
        let losses = losses(&self.db, None)?;
        let mut says = Vec::new();
        for (id, lost) in &losses {
            says.push(format!(
                "given up: what '{}' had had beyond what is here. Its log had come to {} changes, and {} were found",
                car(&self.db, id),
                lost.had,
                lost.has
            ));
        }
        let row = upkeep::get(&self.db)?;
        if let Some(gone) = row.tally_gone {
            let gone = gone.word();
            says.push(format!(
                "given up: to know whether entries went while the tally was {gone}"
            ));
        }
        let tx = self.writing()?;
        for (id, _) in &losses {
            upkeep::forget_loss(&tx, id)?;
        }
        let known = Upkeep {
            tally_gone: None,
            ..row
        };
        upkeep::put(&tx, &known)?;
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
    for (id, lost) in upkeep::losses(db)? {
        let wanted = record.is_none_or(|wanted| wanted == &id);
        // It came with all that it stands on, as every change does.
        if wanted && !change_log::has(db, &id, &lost.newest)? {
            found.push((id, lost));
        }
    }
    Ok(found)
}

/// What a check says of a tally that was not as it was left; nothing where it was.
pub(crate) fn gone(db: &Connection) -> Result<Option<String>, StoreError> {
    Ok(upkeep::get(db)?.tally_gone.map(|gone| {
        let gone = gone.word();
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
