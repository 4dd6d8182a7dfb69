//! What this device notes of a record for itself: whether one that was joined has come whole, what came and could not be kept aside,
//! which photos were asked for by hand, and which sealed files were written or taken in here.

use std::collections::BTreeSet;

use record::{Id, Moment, PhotoHash};
use rusqlite::{Connection, OptionalExtension, params};

use super::photos::hash_at;
use super::summed::Summed;
use crate::StoreError;

/// Part of migration 24.
pub(super) const TABLES: &str = "
CREATE TABLE record_notes (
    record        TEXT NOT NULL PRIMARY KEY REFERENCES records (record),
    came_whole    INTEGER NOT NULL DEFAULT 0 CHECK (came_whole IN (0, 1)),
    -- How many parcels were not kept aside, and when the last one came, in seconds; 0: none did.
    not_kept      INTEGER NOT NULL DEFAULT 0,
    not_kept_last INTEGER NOT NULL DEFAULT 0,
    sum           BLOB NOT NULL DEFAULT x''
) STRICT, WITHOUT ROWID;
CREATE TABLE photos_asked (
    record TEXT NOT NULL REFERENCES records (record),
    hash   TEXT NOT NULL CHECK (length(hash) = 64),
    sum    BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (record, hash)
) STRICT, WITHOUT ROWID;
CREATE TABLE carry_files (
    record TEXT NOT NULL REFERENCES records (record),
    -- 0: the one that was written or taken in last.
    rank   INTEGER NOT NULL,
    -- The beginning of the sum that stands at its end.
    file   TEXT NOT NULL CHECK (file <> ''),
    sum    BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (record, rank)
) STRICT, WITHOUT ROWID;
";

pub(super) const RECORD_NOTES: Summed = Summed {
    table: "record_notes",
    keys: &["record"],
    others: "came_whole, not_kept, not_kept_last",
    says: "what this device noted of a record is not what was written: whether it came whole, or how much could not be kept aside",
};

pub(super) const PHOTOS_ASKED: Summed = Summed {
    table: "photos_asked",
    keys: &["record", "hash"],
    others: "",
    says: "which photo was asked for is not what was written; ask for it again",
};

pub(super) const CARRY_FILES: Summed = Summed {
    table: "carry_files",
    keys: &["record", "rank"],
    others: "file",
    says: "which carry files were written or taken in here is not what was written; such a file is left as it lies",
};

/// What came and could not be kept aside.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct NotKept {
    /// How many parcels.
    pub parcels: u32,
    /// When the last of them came.
    pub last: Option<Moment>,
}

fn begun(db: &Connection, record: &Id) -> Result<(), StoreError> {
    db.prepare_cached("INSERT INTO record_notes (record) VALUES (?1) ON CONFLICT DO NOTHING")?
        .execute([record.as_str()])?;
    Ok(())
}

pub(crate) fn put_came_whole(db: &Connection, record: &Id) -> Result<(), StoreError> {
    begun(db, record)?;
    db.prepare_cached("UPDATE record_notes SET came_whole = 1 WHERE record = ?1")?
        .execute([record.as_str()])?;
    RECORD_NOTES.put(db, &[&record.as_str()])
}

pub(crate) fn came_whole(db: &Connection, record: &Id) -> Result<bool, StoreError> {
    let mut sql = db.prepare_cached("SELECT came_whole FROM record_notes WHERE record = ?1")?;
    let came = sql.query_row([record.as_str()], |row| row.get(0)).optional()?;
    Ok(came.unwrap_or(false))
}

pub(crate) fn put_not_kept(db: &Connection, record: &Id, row: NotKept) -> Result<(), StoreError> {
    begun(db, record)?;
    db.prepare_cached("UPDATE record_notes SET not_kept = ?2, not_kept_last = ?3 WHERE record = ?1")?
        .execute(params![
            record.as_str(),
            row.parcels,
            row.last.map_or(0, Moment::seconds)
        ])?;
    RECORD_NOTES.put(db, &[&record.as_str()])
}

pub(crate) fn not_kept(db: &Connection, record: &Id) -> Result<NotKept, StoreError> {
    let mut sql = db.prepare_cached("SELECT not_kept, not_kept_last FROM record_notes WHERE record = ?1")?;
    let read = |row: &rusqlite::Row<'_>| {
        let (parcels, last): (i64, i64) = (row.get(0)?, row.get(1)?);
        Ok(NotKept {
            parcels: u32::try_from(parcels).unwrap_or(u32::MAX),
            last: (last != 0).then(|| Moment::from_seconds(last)),
        })
    };
    Ok(sql
        .query_row([record.as_str()], read)
        .optional()?
        .unwrap_or_default())
}

pub(crate) fn ask_photo(db: &Connection, record: &Id, hash: &PhotoHash) -> Result<(), StoreError> {
    let hash = hash.hex();
    db.prepare_cached("INSERT INTO photos_asked (record, hash) VALUES (?1, ?2) ON CONFLICT DO NOTHING")?
        .execute([record.as_str(), hash.as_str()])?;
    PHOTOS_ASKED.put(db, &[&record.as_str(), &hash.as_str()])
}

pub(crate) fn ask_photo_no_more(db: &Connection, record: &Id, hash: &PhotoHash) -> Result<(), StoreError> {
    db.prepare_cached("DELETE FROM photos_asked WHERE record = ?1 AND hash = ?2")?
        .execute([record.as_str(), hash.hex().as_str()])?;
    Ok(())
}

/// One that cannot be read is asked for no more; that it is not what was written is told by its sum.
pub(crate) fn photos_asked(db: &Connection, record: &Id) -> Result<BTreeSet<PhotoHash>, StoreError> {
    let mut sql = db.prepare_cached("SELECT hash FROM photos_asked WHERE record = ?1")?;
    let rows = sql.query_map([record.as_str()], |row| hash_at(row, 0))?;
    Ok(rows.filter_map(Result::transpose).collect::<Result<_, _>>()?)
}

pub(crate) fn is_photo_asked(db: &Connection, record: &Id, hash: &PhotoHash) -> Result<bool, StoreError> {
    let mut sql = db.prepare_cached("SELECT 1 FROM photos_asked WHERE record = ?1 AND hash = ?2")?;
    Ok(sql.exists([record.as_str(), hash.hex().as_str()])?)
}

/// The sealed files that are remembered from now on, the newest first.
pub(crate) fn put_carry_files(db: &Connection, record: &Id, files: &[String]) -> Result<(), StoreError> {
    db.execute("DELETE FROM carry_files WHERE record = ?1", [record.as_str()])?;
    for (rank, file) in (0_u32..).zip(files) {
        db.execute(
            "INSERT INTO carry_files (record, rank, file) VALUES (?1, ?2, ?3)",
            params![record.as_str(), rank, file],
        )?;
        CARRY_FILES.put(db, &[&record.as_str(), &rank])?;
    }
    Ok(())
}

pub(crate) fn carry_files(db: &Connection, record: &Id) -> Result<Vec<String>, StoreError> {
    let mut sql = db.prepare_cached("SELECT file FROM carry_files WHERE record = ?1 ORDER BY rank")?;
    let rows = sql.query_map([record.as_str()], |row| row.get(0))?;
    Ok(rows.collect::<Result<_, _>>()?)
}
