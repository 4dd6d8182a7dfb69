//! Devices that were paired here, until the record itself says more of them. What a key or an address means is not known here.

use record::{Id, Moment};
use rusqlite::{Connection, params};

use super::summed::Summed;
use crate::StoreError;

/// Part of migration 24.
pub(super) const TABLES: &str = "
CREATE TABLE paired (
    record TEXT NOT NULL REFERENCES records (record),
    device TEXT NOT NULL,
    -- The key that it proved to hold, as it is spelled.
    key    TEXT NOT NULL CHECK (key <> ''),
    -- When, in seconds; 0: an older program did not say.
    since  INTEGER NOT NULL,
    -- Whether both had all that the other had, once.
    met    INTEGER NOT NULL CHECK (met IN (0, 1)),
    -- Whose device it is, in the words of its keeper; empty: an older program did not say.
    whose  TEXT NOT NULL,
    sum    BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (record, device)
) STRICT, WITHOUT ROWID;
CREATE TABLE paired_addresses (
    record  TEXT NOT NULL,
    device  TEXT NOT NULL,
    rank    INTEGER NOT NULL,
    address TEXT NOT NULL,
    sum     BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (record, device, rank),
    FOREIGN KEY (record, device) REFERENCES paired (record, device)
) STRICT, WITHOUT ROWID;
";

pub(super) const PAIRED: Summed = Summed {
    table: "paired",
    keys: &["record", "device"],
    others: "key, since, met, whose",
    says: "what is remembered of a device that was paired is not what was written; pair it anew, or cut it off",
};

pub(super) const PAIRED_ADDRESSES: Summed = Summed {
    table: "paired_addresses",
    keys: &["record", "device", "rank"],
    others: "address",
    says: "where a device was paired is not what was written; the next meeting with it puts that right",
};

/// A device that was paired.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PairedRow {
    /// Which.
    pub device: Id,
    /// The key that it proved to hold, as it is spelled.
    pub key: String,
    /// Where it was, each as it is spelled.
    pub addresses: Vec<String>,
    /// When; nothing where an older program did not say.
    pub since: Option<Moment>,
    /// Whether both had all that the other had, once.
    pub met: bool,
    /// Whose it is, in the words of its keeper; nothing where an older program did not say.
    pub whose: Option<String>,
}

pub(crate) fn put(db: &Connection, record: &Id, row: &PairedRow) -> Result<(), StoreError> {
    remove(db, record, &row.device)?;
    let (record, device) = (record.as_str(), row.device.as_str());
    db.execute(
        "INSERT INTO paired (record, device, key, since, met, whose) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        params![
            record,
            device,
            row.key,
            row.since.map_or(0, Moment::seconds),
            row.met,
            row.whose.as_deref().unwrap_or_default()
        ],
    )?;
    PAIRED.put(db, &[&record, &device])?;
    for (rank, address) in (0_u32..).zip(&row.addresses) {
        db.execute(
            "INSERT INTO paired_addresses (record, device, rank, address) VALUES (?1, ?2, ?3, ?4)",
            params![record, device, rank, address],
        )?;
        PAIRED_ADDRESSES.put(db, &[&record, &device, &rank])?;
    }
    Ok(())
}

pub(crate) fn remove(db: &Connection, record: &Id, device: &Id) -> Result<(), StoreError> {
    let key = [record.as_str(), device.as_str()];
    db.execute(
        "DELETE FROM paired_addresses WHERE record = ?1 AND device = ?2",
        key,
    )?;
    db.execute("DELETE FROM paired WHERE record = ?1 AND device = ?2", key)?;
    Ok(())
}

/// Those of a record; one whose id cannot be read is none, and is told by its sum.
pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<PairedRow>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT device, key, since, met, whose FROM paired WHERE record = ?1 ORDER BY device",
    )?;
    let mut addresses = db.prepare_cached(
        "SELECT address FROM paired_addresses WHERE record = ?1 AND device = ?2 ORDER BY rank",
    )?;
    let mut rows = sql.query([record.as_str()])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        let (device, since, whose): (String, i64, String) = (row.get(0)?, row.get(2)?, row.get(4)?);
        let Ok(id) = device.parse() else { continue };
        let at = addresses.query_map([record.as_str(), &device], |row| row.get(0))?;
        found.push(PairedRow {
            device: id,
            key: row.get(1)?,
            addresses: at.collect::<Result<_, _>>()?,
            since: (since != 0).then(|| Moment::from_seconds(since)),
            met: row.get(3)?,
            whose: Some(whose).filter(|whose| !whose.is_empty()),
        });
    }
    Ok(found)
}
