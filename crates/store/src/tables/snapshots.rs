//! Whole documents as bytes, the newest and the one before, each with its BLAKE3 hash and the last change it
//! holds. What the bytes mean is not known here; whoever stores one has opened it first.

use record::{Id, Moment};
use rusqlite::{Connection, params};

use super::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 4,
    older: Older::ReadsOnly,
    sql: "
CREATE TABLE snapshots (
    record TEXT NOT NULL REFERENCES records (record),
    -- The last row of the log that it holds.
    upto   INTEGER NOT NULL CHECK (upto > 0),
    made   INTEGER NOT NULL DEFAULT 0,
    sum    BLOB NOT NULL CHECK (length(sum) = 32),
    bytes  BLOB NOT NULL,
    PRIMARY KEY (record, upto)
) STRICT;
",
};

/// One snapshot, and whether it is what was written.
pub(crate) struct Snapshot {
    pub(crate) upto: u32,
    pub(crate) bytes: Vec<u8>,
    pub(crate) whole: bool,
}

/// Every snapshot of a record, the newest first.
pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<Snapshot>, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT upto, sum, bytes FROM snapshots WHERE record = ?1 ORDER BY upto DESC")?;
    let rows = sql.query_map([record.as_str()], |row| {
        let (upto, sum, bytes): (u32, [u8; 32], Vec<u8>) = (row.get(0)?, row.get(1)?, row.get(2)?);
        let whole = blake3::hash(&bytes).as_bytes() == &sum;
        Ok(Snapshot { upto, bytes, whole })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Where the newest one ends; 0 where there is none.
pub(crate) fn newest(db: &Connection, record: &Id) -> Result<u32, StoreError> {
    let mut sql = db.prepare_cached("SELECT coalesce(max(upto), 0) FROM snapshots WHERE record = ?1")?;
    Ok(sql.query_row([record.as_str()], |row| row.get(0))?)
}

pub(crate) fn add(
    db: &Connection,
    record: &Id,
    upto: u32,
    bytes: &[u8],
    now: Moment,
) -> Result<(), StoreError> {
    db.execute(
        "INSERT INTO snapshots (record, upto, made, sum, bytes) VALUES (?1, ?2, ?3, ?4, ?5)",
        params![
            record.as_str(),
            upto,
            now.seconds(),
            blake3::hash(bytes).as_bytes(),
            bytes
        ],
    )?;
    Ok(())
}

/// Drops every snapshot but these two.
pub(crate) fn keep_only(db: &Connection, record: &Id, newest: u32, before: u32) -> Result<(), StoreError> {
    db.execute(
        "DELETE FROM snapshots WHERE record = ?1 AND upto NOT IN (?2, ?3)",
        params![record.as_str(), newest, before],
    )?;
    Ok(())
}
