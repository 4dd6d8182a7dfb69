//! Signatures of devices over their changes, the keys that are believed for each device, where the log ended on the day
//! when changes began to be signed here, and what was written twice under one number. Rows are only added: a signature
//! outlives the bytes of its change. Whether a signature holds is never known here.

use record::{ChangeId, Id, Moment};
use rusqlite::{Connection, OptionalExtension, params};

use super::log_name::change_named;
use super::version::{Migration, Older};
use crate::StoreError;

/// An older program neither sees nor breaks it: what it writes is signed by the next run of this one.
pub(super) const MADE: Migration = Migration {
    number: 17,
    older: Older::Survives,
    sql: &["
CREATE TABLE signatures (
    number    INTEGER NOT NULL PRIMARY KEY,
    record    TEXT NOT NULL REFERENCES records (record),
    -- Whose change it is, and whose signature.
    device    TEXT NOT NULL,
    change    TEXT NOT NULL CHECK (length(change) = 64),
    key       TEXT NOT NULL CHECK (length(key) = 64),
    signature BLOB NOT NULL CHECK (length(signature) = 64),
    UNIQUE (record, change)
) STRICT;
CREATE INDEX signatures_of ON signatures (record, device);
CREATE TABLE device_keys (
    number INTEGER NOT NULL PRIMARY KEY,
    record TEXT NOT NULL REFERENCES records (record),
    device TEXT NOT NULL,
    key    TEXT NOT NULL,
    UNIQUE (record, device, key)
) STRICT;
-- Up to where the log went, unsigned, on the day of this migration: that stays as it is.
CREATE TABLE unsigned_before (
    record TEXT NOT NULL PRIMARY KEY REFERENCES records (record),
    upto   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO unsigned_before SELECT record, max(seq) FROM change_log GROUP BY record;
CREATE TABLE written_twice (
    record TEXT NOT NULL REFERENCES records (record),
    actor  TEXT NOT NULL,
    at     INTEGER NOT NULL,
    device TEXT NOT NULL DEFAULT '',
    held   TEXT NOT NULL CHECK (length(held) = 64),
    other  TEXT NOT NULL CHECK (length(other) = 64),
    came   INTEGER NOT NULL DEFAULT 0,
    -- The signatures over either, as the notebook writes them down.
    told   TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (record, actor, at, other)
) STRICT;
CREATE TRIGGER written_twice_stays BEFORE DELETE ON written_twice
BEGIN SELECT RAISE(ABORT, 'proof stays'); END;
"],
};

/// A device's signature over one of its changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// The device.
    pub device: Id,
    /// Its change.
    pub change: ChangeId,
    /// The key that signed, 64 hex digits.
    pub key: String,
    /// The signature.
    pub signature: [u8; 64],
}

/// Two different changes of one run of a device under one number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TwiceRow {
    /// The device; empty where the name is no device's.
    pub device: String,
    /// The actor, in hex.
    pub actor: String,
    /// The number.
    pub number: u64,
    /// The change that is in the record.
    pub held: ChangeId,
    /// The other, which is not.
    pub other: ChangeId,
    /// When it came.
    pub came: Moment,
    /// The signatures over either, opaque here.
    pub told: String,
}

/// Believes a key for a device, beside those that are believed already.
pub(crate) fn believe(db: &Connection, record: &Id, device: &Id, key: &str) -> Result<(), StoreError> {
    let mut sql = db.prepare_cached(
        "INSERT INTO device_keys (record, device, key) VALUES (?1, ?2, ?3)
         ON CONFLICT (record, device, key) DO NOTHING",
    )?;
    sql.execute([record.as_str(), device.as_str(), key])?;
    Ok(())
}

/// The keys that are believed, by device, the oldest first.
pub(crate) fn keys(db: &Connection, record: &Id) -> Result<Vec<(Id, String)>, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT device, key FROM device_keys WHERE record = ?1 ORDER BY number")?;
    let rows: Vec<(String, String)> = sql
        .query_map([record.as_str()], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<Result<_, _>>()?;
    rows.into_iter()
        .map(|(device, key)| {
            let unreadable = |_| StoreError::damaged("a key is kept for no readable device");
            Ok((device.parse().map_err(unreadable)?, key))
        })
        .collect()
}

/// Adds a signature; one over the same change that is kept already stays.
pub(crate) fn add(db: &Connection, record: &Id, one: &Signature) -> Result<(), StoreError> {
    let mut sql = db.prepare_cached(
        "INSERT INTO signatures (record, device, change, key, signature) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (record, change) DO NOTHING",
    )?;
    sql.execute(params![
        record.as_str(),
        one.device.as_str(),
        one.change.hex().as_str(),
        one.key,
        one.signature
    ])?;
    Ok(())
}

type Lying = (String, String, String, [u8; 64]);

fn understood((device, change, key, signature): Lying) -> Result<Signature, StoreError> {
    let bad = || StoreError::damaged("a signature is kept for no readable change");
    Ok(Signature {
        device: device.parse().map_err(|_| bad())?,
        change: ChangeId::from_hex(&change).ok_or_else(bad)?,
        key,
        signature,
    })
}

/// Every signature of a record, in the order in which they came.
pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<Signature>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT device, change, key, signature FROM signatures WHERE record = ?1 ORDER BY number",
    )?;
    let rows: Vec<Lying> = sql
        .query_map([record.as_str()], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })?
        .collect::<Result<_, _>>()?;
    rows.into_iter().map(understood).collect()
}

/// The changes of a device that it signed, each with its place in the log, in the order of those.
pub(crate) fn signed_by(
    db: &Connection,
    record: &Id,
    device: &Id,
) -> Result<Vec<(u32, ChangeId)>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT l.seq, l.hash FROM signatures s JOIN change_log l ON l.record = s.record AND l.hash = s.change
         WHERE s.record = ?1 AND s.device = ?2 AND l.device = s.device ORDER BY l.seq",
    )?;
    let rows = sql.query_map([record.as_str(), device.as_str()], |row| {
        Ok((row.get(0)?, row.get::<_, String>(1)?))
    })?;
    let mut signed = Vec::new();
    for row in rows {
        let (seq, hash) = row?;
        signed.push((seq, change_named(seq, &hash)?));
    }
    Ok(signed)
}

/// The signature over one change.
pub(crate) fn over(db: &Connection, record: &Id, change: &ChangeId) -> Result<Option<Signature>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT device, change, key, signature FROM signatures WHERE record = ?1 AND change = ?2",
    )?;
    let row = sql
        .query_row([record.as_str(), &change.hex()], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })
        .optional()?;
    row.map(understood).transpose()
}

/// The devices of which there is a signature: a key is believed of each.
pub(crate) fn signers(db: &Connection, record: &Id) -> Result<Vec<Id>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT DISTINCT k.device FROM device_keys k WHERE k.record = ?1 AND EXISTS
         (SELECT 1 FROM signatures s WHERE s.record = k.record AND s.device = k.device)",
    )?;
    let rows: Vec<String> = sql
        .query_map([record.as_str()], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    let unreadable = |_| StoreError::damaged("a signature is kept for no readable device");
    rows.iter().map(|id| id.parse().map_err(unreadable)).collect()
}

/// Where the log ended, unsigned, on the day when changes began to be signed here.
pub(crate) fn unsigned_before(db: &Connection, record: &Id) -> Result<u32, StoreError> {
    let mut sql = db.prepare_cached("SELECT upto FROM unsigned_before WHERE record = ?1")?;
    let upto = sql.query_row([record.as_str()], |row| row.get(0)).optional()?;
    Ok(upto.unwrap_or(0))
}

/// Keeps the proof of two changes under one number; what is kept stays.
pub(crate) fn add_twice(db: &Connection, record: &Id, row: &TwiceRow) -> Result<(), StoreError> {
    db.execute(
        "INSERT INTO written_twice (record, actor, at, device, held, other, came, told)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (record, actor, at, other) DO NOTHING",
        params![
            record.as_str(),
            row.actor,
            i64::try_from(row.number).unwrap_or(i64::MAX),
            row.device,
            row.held.hex().as_str(),
            row.other.hex().as_str(),
            row.came.seconds(),
            row.told
        ],
    )?;
    Ok(())
}

/// Every such proof of a record.
pub(crate) fn twice(db: &Connection, record: &Id) -> Result<Vec<TwiceRow>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT device, actor, at, held, other, came, told FROM written_twice WHERE record = ?1
         ORDER BY came, actor, at, other",
    )?;
    let mut rows = sql.query([record.as_str()])?;
    let mut all = Vec::new();
    while let Some(row) = rows.next()? {
        let bad = || StoreError::damaged("a proof names no readable change");
        let (held, other): (String, String) = (row.get(3)?, row.get(4)?);
        all.push(TwiceRow {
            device: row.get(0)?,
            actor: row.get(1)?,
            number: u64::try_from(row.get::<_, i64>(2)?).unwrap_or_default(),
            held: ChangeId::from_hex(&held).ok_or_else(bad)?,
            other: ChangeId::from_hex(&other).ok_or_else(bad)?,
            came: Moment::from_seconds(row.get(5)?),
            told: row.get(6)?,
        });
    }
    Ok(all)
}
