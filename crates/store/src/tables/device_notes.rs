//! What this device notes of another one of a record: how many changes it is known to have, counted so that no screen need open the
//! document for it, and from which changes on it was sent no photos.

use record::{ChangeId, Id};
use rusqlite::{Connection, OptionalExtension, params};

use super::summed::Summed;
use crate::StoreError;

/// Part of migration 24.
pub(super) const TABLES: &str = "
CREATE TABLE device_notes (
    record          TEXT NOT NULL REFERENCES records (record),
    device          TEXT NOT NULL,
    -- How many changes it is known to have: in all, and of this device's own.
    known           INTEGER NOT NULL DEFAULT 0,
    known_own       INTEGER NOT NULL DEFAULT 0,
    photos_left_out INTEGER NOT NULL DEFAULT 0 CHECK (photos_left_out IN (0, 1)),
    sum             BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (record, device)
) STRICT, WITHOUT ROWID;
-- What it was known to have when photos were first left out; none: from the beginning on.
CREATE TABLE left_out_from (
    record TEXT NOT NULL,
    device TEXT NOT NULL,
    change TEXT NOT NULL CHECK (length(change) = 64),
    sum    BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (record, device, change),
    FOREIGN KEY (record, device) REFERENCES device_notes (record, device)
) STRICT, WITHOUT ROWID;
";

pub(super) const DEVICE_NOTES: Summed = Summed {
    table: "device_notes",
    keys: &["record", "device"],
    others: "known, known_own, photos_left_out",
    says: "how much another device is known to have is not what was written; the next meeting with it puts that right",
};

pub(super) const LEFT_OUT_FROM: Summed = Summed {
    table: "left_out_from",
    keys: &["record", "device", "change"],
    others: "",
    says: "from where on a device was sent no photos is not what was written; a carry file with photos puts that right",
};

/// How many changes a device is known to have.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct KnownOf {
    /// In all.
    pub all: u32,
    /// Of this device's own.
    pub own: u32,
}

fn begun(db: &Connection, record: &Id, device: &Id) -> Result<(), StoreError> {
    db.prepare_cached("INSERT INTO device_notes (record, device) VALUES (?1, ?2) ON CONFLICT DO NOTHING")?
        .execute([record.as_str(), device.as_str()])?;
    Ok(())
}

pub(crate) fn put_known(db: &Connection, record: &Id, device: &Id, known: KnownOf) -> Result<(), StoreError> {
    begun(db, record, device)?;
    db.prepare_cached(
        "UPDATE device_notes SET known = ?3, known_own = ?4 WHERE record = ?1 AND device = ?2",
    )?
    .execute(params![record.as_str(), device.as_str(), known.all, known.own])?;
    DEVICE_NOTES.put(db, &[&record.as_str(), &device.as_str()])
}

/// What cannot be read counts as nothing known: more is sent than needed, and nothing is taken for safe that may not be.
pub(crate) fn known(db: &Connection, record: &Id, device: &Id) -> Result<KnownOf, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT known, known_own FROM device_notes WHERE record = ?1 AND device = ?2")?;
    let count = |at: i64| u32::try_from(at).unwrap_or(0);
    let read = |row: &rusqlite::Row<'_>| {
        Ok(KnownOf {
            all: count(row.get(0)?),
            own: count(row.get(1)?),
        })
    };
    let found = sql.query_row([record.as_str(), device.as_str()], read);
    Ok(found.optional()?.unwrap_or_default())
}

/// From which changes on a device is sent no photos; nothing where it is sent them all from now on.
pub(crate) fn put_left_out(
    db: &Connection,
    record: &Id,
    device: &Id,
    from: Option<&[ChangeId]>,
) -> Result<(), StoreError> {
    let (record_id, device_id) = (record.as_str(), device.as_str());
    db.prepare_cached("DELETE FROM left_out_from WHERE record = ?1 AND device = ?2")?
        .execute([record_id, device_id])?;
    begun(db, record, device)?;
    db.prepare_cached("UPDATE device_notes SET photos_left_out = ?3 WHERE record = ?1 AND device = ?2")?
        .execute(params![record_id, device_id, from.is_some()])?;
    DEVICE_NOTES.put(db, &[&record_id, &device_id])?;
    for change in from.unwrap_or_default() {
        let change = change.to_string();
        db.prepare_cached(
            "INSERT INTO left_out_from (record, device, change) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
        )?
        .execute([record_id, device_id, &change])?;
        LEFT_OUT_FROM.put(db, &[&record_id, &device_id, &change])?;
    }
    Ok(())
}

pub(crate) fn left_out(
    db: &Connection,
    record: &Id,
    device: &Id,
) -> Result<Option<Vec<ChangeId>>, StoreError> {
    let key = [record.as_str(), device.as_str()];
    let mut sql =
        db.prepare_cached("SELECT photos_left_out FROM device_notes WHERE record = ?1 AND device = ?2")?;
    let left_out: Option<bool> = sql.query_row(key, |row| row.get(0)).optional()?;
    if left_out != Some(true) {
        return Ok(None);
    }
    let mut sql = db.prepare_cached(
        "SELECT change FROM left_out_from WHERE record = ?1 AND device = ?2 ORDER BY change",
    )?;
    let rows = sql.query_map(key, |row| row.get::<_, String>(0))?;
    let words: Vec<String> = rows.collect::<Result<_, _>>()?;
    Ok(Some(
        words.iter().filter_map(|hex| ChangeId::from_hex(hex)).collect(),
    ))
}
