//! Which records a folder keeps: one row a car. What is in a record is not here.

use record::{Id, Moment};
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::summed::Summed;
use super::version::{DERIVED, Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 2,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE records (
    record  TEXT NOT NULL PRIMARY KEY CHECK (record <> ''),
    -- What the car is called, as the record last said.
    car     TEXT NOT NULL DEFAULT '',
    -- The keeper, in this record, whose device this folder is.
    keeper  TEXT NOT NULL DEFAULT '',
    since   INTEGER NOT NULL DEFAULT 0,
    -- The version of the derived rows.
    derived INTEGER NOT NULL DEFAULT 0
) STRICT;
"],
};

pub(super) const RECORDS: Summed = Summed {
    table: "records",
    keys: &["record"],
    others: "car, keeper, since",
    says: "the car's name, or whose device this is, is not what was written; rebuild takes both from the record",
};

/// One record that the folder keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordRow {
    /// Its id, the same on every device that keeps it.
    pub id: Id,
    /// What the car is called.
    pub car: String,
    /// The keeper, in this record, whose device this is; none until they are known.
    pub keeper: Option<Id>,
    /// Since when this device keeps it.
    pub since: Moment,
}

fn read(row: &Row<'_>) -> rusqlite::Result<(String, String, String, i64)> {
    Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
}

fn understood((id, car, keeper, since): (String, String, String, i64)) -> Result<RecordRow, StoreError> {
    let id = id
        .parse()
        .map_err(|_| StoreError::damaged("a record has no readable id"))?;
    Ok(RecordRow {
        id,
        car,
        keeper: keeper.parse().ok(),
        since: Moment::from_seconds(since),
    })
}

pub(crate) fn all(db: &Connection) -> Result<Vec<RecordRow>, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT record, car, keeper, since FROM records ORDER BY since, record")?;
    let rows: Vec<_> = sql.query_map([], read)?.collect::<Result<_, _>>()?;
    rows.into_iter().map(understood).collect()
}

pub(crate) fn one(db: &Connection, record: &Id) -> Result<RecordRow, StoreError> {
    let mut sql = db.prepare_cached("SELECT record, car, keeper, since FROM records WHERE record = ?1")?;
    let row = sql.query_row([record.as_str()], read).optional()?;
    understood(row.ok_or_else(|| StoreError::NoRecord(record.clone()))?)
}

pub(crate) fn add(db: &Connection, row: &RecordRow) -> Result<(), StoreError> {
    let added = db.execute(
        "INSERT INTO records (record, car, keeper, since, derived) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT DO NOTHING",
        params![
            row.id.as_str(),
            row.car,
            keeper_text(row),
            row.since.seconds(),
            DERIVED
        ],
    )?;
    if added == 1 {
        RECORDS.put(db, &[&row.id.as_str()])
    } else {
        Err(StoreError::RecordThere(row.id.clone()))
    }
}

pub(crate) fn put(db: &Connection, row: &RecordRow) -> Result<(), StoreError> {
    let changed = db.execute(
        "UPDATE records SET car = ?2, keeper = ?3 WHERE record = ?1",
        params![row.id.as_str(), row.car, keeper_text(row)],
    )?;
    if changed == 1 {
        RECORDS.put(db, &[&row.id.as_str()])
    } else {
        Err(StoreError::NoRecord(row.id.clone()))
    }
}

fn keeper_text(row: &RecordRow) -> &str {
    row.keeper.as_ref().map_or("", Id::as_str)
}

pub(crate) fn derived(db: &Connection, record: &Id) -> Result<u32, StoreError> {
    let mut sql = db.prepare_cached("SELECT derived FROM records WHERE record = ?1")?;
    // A number that no version has is none of this one's.
    let read = |row: &rusqlite::Row<'_>| Ok(u32::try_from(row.get::<_, i64>(0)?).unwrap_or(0));
    let version = sql.query_row([record.as_str()], read).optional()?;
    version.ok_or_else(|| StoreError::NoRecord(record.clone()))
}

pub(crate) fn set_derived(db: &Connection, record: &Id) -> Result<(), StoreError> {
    db.execute(
        "UPDATE records SET derived = ?2 WHERE record = ?1",
        params![record.as_str(), DERIVED],
    )?;
    Ok(())
}
