//! What was done once for this folder, or found out about it at an opening: one row of what is done, and one for each log that was
//! found shorter than it had been.

use record::{ChangeId, Id};
use rusqlite::{Connection, OptionalExtension, params};

use super::summed::Summed;
use crate::StoreError;

/// Part of migration 24.
pub(super) const TABLES: &str = "
CREATE TABLE upkeep (
    one        INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    -- Whether no change of its logs stands on one that is not in them.
    whole_logs INTEGER NOT NULL CHECK (whole_logs IN (0, 1)),
    -- By which rules the points were found; 0: not known.
    rules      INTEGER NOT NULL CHECK (rules >= 0),
    -- Whether a tally is kept beside this database.
    tally      INTEGER NOT NULL CHECK (tally IN (0, 1)),
    -- How the tally was found otherwise than it was left; empty: it was not.
    tally_gone TEXT NOT NULL CHECK (tally_gone IN ('', 'missing', 'damaged')),
    sum        BLOB NOT NULL DEFAULT x''
) STRICT;
-- A record of which the folder lost even the row has its loss here all the same.
CREATE TABLE losses (
    record TEXT NOT NULL PRIMARY KEY,
    had    INTEGER NOT NULL,
    newest TEXT NOT NULL CHECK (length(newest) = 64),
    has    INTEGER NOT NULL,
    sum    BLOB NOT NULL DEFAULT x''
) STRICT, WITHOUT ROWID;
";

pub(super) const UPKEEP: Summed = Summed {
    table: "upkeep",
    keys: &["one"],
    others: "whole_logs, rules, tally, tally_gone",
    says: "what was done once for this folder is not what was written; rebuild clears it, and it is done again at the next start",
};

pub(super) const LOSSES: Summed = Summed {
    table: "losses",
    keys: &["record"],
    others: "had, newest, has",
    says: "that entries of a record are gone was noted, and the note is not what was written: whether they are back cannot be told. Meet the other device, which has them",
};

/// How a tally was found that is not as it was left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Gone {
    Missing,
    Damaged,
}

impl Gone {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::Damaged => "damaged",
        }
    }

    pub(super) fn read(word: &str) -> Option<Self> {
        [Self::Missing, Self::Damaged]
            .into_iter()
            .find(|gone| gone.word() == word)
    }
}

/// The row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Upkeep {
    pub(crate) whole_logs: bool,
    pub(crate) rules: u32,
    pub(crate) tally: bool,
    pub(crate) tally_gone: Option<Gone>,
}

/// That a log was found shorter than it had been.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Lost {
    /// The number of its newest change when it was last answered for.
    pub(crate) had: u32,
    /// That change.
    pub(crate) newest: ChangeId,
    /// How many changes it had when it was found short.
    pub(crate) has: u32,
}

pub(crate) fn put(db: &Connection, row: &Upkeep) -> Result<(), StoreError> {
    db.prepare_cached(
        "INSERT OR REPLACE INTO upkeep (one, whole_logs, rules, tally, tally_gone) VALUES (1, ?1, ?2, ?3, ?4)",
    )?
    .execute(params![
        row.whole_logs,
        row.rules,
        row.tally,
        row.tally_gone.map_or("", Gone::word),
    ])?;
    UPKEEP.put(db, &[&1])
}

pub(crate) fn get(db: &Connection) -> Result<Upkeep, StoreError> {
    let mut sql = db.prepare_cached("SELECT whole_logs, rules, tally, tally_gone FROM upkeep")?;
    let read = |row: &rusqlite::Row<'_>| {
        let (rules, gone): (i64, String) = (row.get(1)?, row.get(3)?);
        Ok(Upkeep {
            whole_logs: row.get(0)?,
            // A number that cannot be is that of no rules: the points are found anew.
            rules: u32::try_from(rules).unwrap_or(0),
            tally: row.get(2)?,
            tally_gone: Gone::read(&gone),
        })
    };
    Ok(sql.query_row([], read).optional()?.unwrap_or_default())
}

pub(crate) fn put_loss(db: &Connection, record: &Id, lost: &Lost) -> Result<(), StoreError> {
    db.prepare_cached("INSERT OR REPLACE INTO losses (record, had, newest, has) VALUES (?1, ?2, ?3, ?4)")?
        .execute(params![
            record.as_str(),
            lost.had,
            lost.newest.to_string(),
            lost.has
        ])?;
    LOSSES.put(db, &[&record.as_str()])
}

pub(crate) fn forget_loss(db: &Connection, record: &Id) -> Result<(), StoreError> {
    db.execute("DELETE FROM losses WHERE record = ?1", [record.as_str()])?;
    Ok(())
}

/// All of them. One that cannot be read says nothing of the loss; that it is not what was written is told by its sum.
pub(crate) fn losses(db: &Connection) -> Result<Vec<(Id, Lost)>, StoreError> {
    let mut sql = db.prepare_cached("SELECT record, had, newest, has FROM losses ORDER BY record")?;
    let mut rows = sql.query([])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        let (record, newest): (String, String) = (row.get(0)?, row.get(2)?);
        let (had, has): (i64, i64) = (row.get(1)?, row.get(3)?);
        let (Ok(record), Some(newest)) = (record.parse(), ChangeId::from_hex(&newest)) else {
            continue;
        };
        if let (Ok(had), Ok(has)) = (u32::try_from(had), u32::try_from(has)) {
            found.push((record, Lost { had, newest, has }));
        }
    }
    Ok(found)
}
