//! What this device noted about each drop: opaque here, and at no loss but reading the drop again. Where the drop lies
//! and by which key it is opened is not in here: that is beside the device's own key.

use record::{Id, Moment};
use rusqlite::{Connection, OptionalExtension, params};

use super::summed::Summed;
use super::version::{Migration, Older};
use crate::StoreError;

/// An older program neither sees nor breaks it.
pub(super) const MADE: Migration = Migration {
    number: 13,
    older: Older::Survives,
    sql: &["
CREATE TABLE drops (
    record TEXT NOT NULL REFERENCES records (record),
    place  TEXT NOT NULL CHECK (place <> ''),
    book   BLOB NOT NULL DEFAULT x'',
    -- 0: never.
    looked INTEGER NOT NULL DEFAULT 0,
    told   TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (record, place)
) STRICT;
"],
};

pub(super) const DROPS: Summed = Summed {
    table: "drops",
    keys: &["record", "place"],
    others: "book, looked, told",
    says: "what was noted of a drop is not what was written; the drop is read again at the next look",
};

/// What was noted about a drop.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DropRow {
    /// What lies there, opaque here.
    pub book: Vec<u8>,
    /// When it was last looked at.
    pub looked: Option<Moment>,
    /// What was found then, opaque here.
    pub told: String,
}

pub(crate) fn put(db: &Connection, record: &Id, place: &str, row: &DropRow) -> Result<(), StoreError> {
    db.prepare_cached(
        "INSERT INTO drops (record, place, book, looked, told) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (record, place) DO UPDATE SET book = excluded.book, looked = excluded.looked,
             told = excluded.told",
    )?
    .execute(params![
        record.as_str(),
        place,
        row.book,
        row.looked.map_or(0, Moment::seconds),
        row.told
    ])?;
    DROPS.put(db, &[&record.as_str(), &place])
}

/// What was noted; nothing where it is not what was written, so that the drop is read again.
pub(crate) fn one(db: &Connection, record: &Id, place: &str) -> Result<Option<DropRow>, StoreError> {
    if !DROPS.holds(db, &[&record.as_str(), &place])? {
        return Ok(None);
    }
    let mut sql =
        db.prepare_cached("SELECT book, looked, told FROM drops WHERE record = ?1 AND place = ?2")?;
    let read = |row: &rusqlite::Row<'_>| {
        let looked: i64 = row.get(1)?;
        Ok(DropRow {
            book: row.get(0)?,
            looked: (looked != 0).then(|| Moment::from_seconds(looked)),
            told: row.get(2)?,
        })
    };
    Ok(sql.query_row([record.as_str(), place], read).optional()?)
}

pub(crate) fn remove(db: &Connection, record: &Id, place: &str) -> Result<(), StoreError> {
    db.execute(
        "DELETE FROM drops WHERE record = ?1 AND place = ?2",
        [record.as_str(), place],
    )?;
    Ok(())
}
