//! Whole documents as bytes, the newest and the one before, each with its BLAKE3 hash and the last change it
//! holds. What the bytes mean is not known here; whoever stores one has opened it first.

use record::{Id, Moment};
use rusqlite::{Connection, params};

use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 4,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE snapshots (
    record TEXT NOT NULL REFERENCES records (record),
    -- The last row of the log that it holds.
    upto   INTEGER NOT NULL CHECK (upto > 0),
    made   INTEGER NOT NULL DEFAULT 0,
    sum    BLOB NOT NULL CHECK (length(sum) = 32),
    bytes  BLOB NOT NULL,
    PRIMARY KEY (record, upto)
) STRICT;
"],
};

/// Where the snapshots of a record end, the newest first. Their pages are not read for it, as long as the index is whole.
pub(crate) fn ends(db: &Connection, record: &Id) -> Result<Vec<u32>, StoreError> {
    let read = |sql: &str| -> rusqlite::Result<Vec<u32>> {
        let mut sql = db.prepare_cached(sql)?;
        let rows = sql.query_map([record.as_str()], |row| row.get(0))?;
        rows.collect()
    };
    let indexed = read("SELECT upto FROM snapshots WHERE record = ?1 ORDER BY upto DESC");
    let ends = indexed
        .or_else(|_| read("SELECT upto FROM snapshots NOT INDEXED WHERE record = ?1 ORDER BY upto DESC"));
    Ok(ends?)
}

/// What the disk gives of a snapshot.
pub(crate) enum State {
    /// Every byte, as it was written.
    Whole(Vec<u8>),
    /// Other bytes.
    Other,
    /// Nothing: it lies on a page that is damaged.
    Unreadable,
}

/// Reads a snapshot: whatever the disk does with one must not take the others along.
pub(crate) fn state(db: &Connection, record: &Id, upto: u32) -> State {
    let read = || -> rusqlite::Result<([u8; 32], Vec<u8>)> {
        let mut sql =
            db.prepare_cached("SELECT sum, bytes FROM snapshots WHERE record = ?1 AND upto = ?2")?;
        sql.query_row(params![record.as_str(), upto], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
    };
    match read() {
        Ok((sum, bytes)) if blake3::hash(&bytes).as_bytes() == &sum => State::Whole(bytes),
        Ok(_) => State::Other,
        Err(_) => State::Unreadable,
    }
}

/// A snapshot, if every byte of it is what was written.
pub(crate) fn whole(db: &Connection, record: &Id, upto: u32) -> Option<(u32, Vec<u8>)> {
    match state(db, record, upto) {
        State::Whole(bytes) => Some((upto, bytes)),
        State::Other | State::Unreadable => None,
    }
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

/// Drops a snapshot.
pub(crate) fn remove(db: &Connection, record: &Id, upto: u32) -> Result<(), StoreError> {
    db.execute(
        "DELETE FROM snapshots WHERE record = ?1 AND upto = ?2",
        params![record.as_str(), upto],
    )?;
    Ok(())
}
