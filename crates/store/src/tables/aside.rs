//! What a revoked device wrote later, and what was refused: kept as it came, and never a part of the record. A parcel that
//! holds the same changes as one before is the same parcel. Nothing here is read by Automerge. Nothing is ever taken away, and
//! nothing written over but a row that the disk has damaged.

use record::{Id, Moment};
use rusqlite::{Connection, ToSql, params};

use super::summed::Summed;
use super::version::{Migration, Older};
use crate::StoreError;

/// An older program neither sees nor breaks it.
pub(super) const MADE: Migration = Migration {
    number: 12,
    older: Older::Survives,
    sql: &["
CREATE TABLE aside (
    number  INTEGER NOT NULL PRIMARY KEY,
    record  TEXT NOT NULL REFERENCES records (record),
    -- The BLAKE3 of its changes.
    parcel  TEXT NOT NULL CHECK (length(parcel) = 64),
    -- The device that brought it, as the record names it.
    device  TEXT NOT NULL,
    -- By which road: drop, carry, meeting.
    road    TEXT NOT NULL DEFAULT '',
    came    INTEGER NOT NULL DEFAULT 0,
    -- What could be read of it without merging it: JSON of the notebook's own.
    told    TEXT NOT NULL DEFAULT '',
    -- The changes as they came; empty where there was no more room for them.
    bytes   BLOB NOT NULL DEFAULT x'',
    UNIQUE (record, parcel)
) STRICT;
CREATE TRIGGER aside_stays BEFORE DELETE ON aside BEGIN SELECT RAISE(ABORT, 'what was set aside stays'); END;
"],
};

pub(super) const ASIDE: Summed = Summed {
    table: "aside",
    keys: &["record", "parcel"],
    others: "number, device, road, came, told, bytes",
    says: "what was set aside of a device that is met no more is not what came; where the file that brought it is still there, take it in once more",
};

/// A parcel that was set aside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AsideRow {
    /// The BLAKE3 of its changes, 64 hex digits.
    pub parcel: String,
    /// The device that brought it.
    pub device: Id,
    /// By which road.
    pub road: String,
    /// When.
    pub came: Moment,
    /// What could be read of it, opaque here.
    pub told: String,
    /// The changes as they came; empty where there was no more room for them.
    pub bytes: Vec<u8>,
}

/// Adds a parcel; whether it is new.
pub(crate) fn add(db: &Connection, record: &Id, row: &AsideRow) -> Result<bool, StoreError> {
    let key: [&dyn ToSql; 2] = [&record.as_str(), &row.parcel];
    // What lies there whole stays; what was damaged on the disk is put anew, here it is once more as it came.
    let whole = ASIDE.holds(db, &key)?;
    let written = db.execute(
        "INSERT INTO aside (record, parcel, device, road, came, told, bytes) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
         ON CONFLICT (record, parcel) DO UPDATE SET device = excluded.device, road = excluded.road,
         came = excluded.came, told = excluded.told, bytes = excluded.bytes WHERE NOT ?8",
        params![
            record.as_str(),
            row.parcel,
            row.device.as_str(),
            row.road,
            row.came.seconds(),
            row.told,
            row.bytes,
            whole
        ],
    )?;
    if written == 1 {
        ASIDE.put(db, &key)?;
    }
    Ok(written == 1 && whole)
}

/// Every parcel of a record in the order in which they came, without its changes' bytes.
pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<AsideRow>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT parcel, device, road, came, told FROM aside WHERE record = ?1 ORDER BY number",
    )?;
    let mut rows = sql.query([record.as_str()])?;
    let mut all = Vec::new();
    while let Some(row) = rows.next()? {
        let device: String = row.get(1)?;
        all.push(AsideRow {
            parcel: row.get(0)?,
            device: device
                .parse()
                .map_err(|_| StoreError::damaged("what was set aside names no readable device"))?,
            road: row.get(2)?,
            came: Moment::from_seconds(row.get(3)?),
            told: row.get(4)?,
            bytes: Vec::new(),
        });
    }
    Ok(all)
}

/// How many parcels a record has, and how many bytes of changes.
pub(crate) fn size(db: &Connection, record: &Id) -> Result<(u32, u64), StoreError> {
    let mut sql =
        db.prepare_cached("SELECT count(*), coalesce(sum(length(bytes)), 0) FROM aside WHERE record = ?1")?;
    let (count, bytes): (u32, i64) =
        sql.query_row([record.as_str()], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok((count, u64::try_from(bytes).unwrap_or(0)))
}
