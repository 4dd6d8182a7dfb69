//! Sums over the small rows that are no entries and no changes: which device this folder is, its records, what is known of
//! other devices, the settings, photos. With them a check finds a digit that turned on the disk there too. A row that an older
//! program wrote has no sum and is not held against one; triggers see to that.

use rusqlite::types::{Value, ValueRef};
use rusqlite::{Connection, OptionalExtension, Row, ToSql};

use super::{Migration, Older};
use crate::StoreError;

/// Only columns and triggers are added: an older program writes its rows, and the trigger takes away a sum that they have
/// no more.
pub(super) const MADE: Migration = Migration {
    number: 16,
    older: Older::Survives,
    sql: "
ALTER TABLE folder ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE records ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE peers ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE settings ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE photos ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
CREATE TRIGGER folder_sum AFTER UPDATE OF needs, device, named ON folder
    WHEN NEW.sum = OLD.sum AND (NEW.needs <> OLD.needs OR NEW.device <> OLD.device OR NEW.named <> OLD.named)
    BEGIN UPDATE folder SET sum = x''; END;
CREATE TRIGGER records_sum AFTER UPDATE OF car, keeper ON records
    WHEN NEW.sum = OLD.sum AND (NEW.car <> OLD.car OR NEW.keeper <> OLD.keeper)
    BEGIN UPDATE records SET sum = x'' WHERE record = NEW.record; END;
CREATE TRIGGER peers_sum AFTER UPDATE OF name, heads, state, met ON peers
    WHEN NEW.sum = OLD.sum AND (NEW.name <> OLD.name OR NEW.heads <> OLD.heads OR NEW.state <> OLD.state OR NEW.met <> OLD.met)
    BEGIN UPDATE peers SET sum = x'' WHERE record = NEW.record AND device = NEW.device; END;
CREATE TRIGGER photos_sum AFTER UPDATE OF mime, width, height, camera, thumb ON photos
    WHEN NEW.sum = OLD.sum AND (NEW.mime <> OLD.mime OR NEW.width <> OLD.width OR NEW.height <> OLD.height
        OR NEW.camera <> OLD.camera OR NEW.thumb <> OLD.thumb)
    BEGIN UPDATE photos SET sum = x'' WHERE hash = NEW.hash; END;
CREATE TRIGGER settings_sum AFTER UPDATE OF value ON settings
    WHEN NEW.sum = OLD.sum AND NEW.value <> OLD.value
    BEGIN UPDATE settings SET sum = x'' WHERE key = NEW.key; END;
",
};

/// A table of small rows: its keys, what else is summed, and what a check says of a wrong one.
pub(crate) struct Summed {
    table: &'static str,
    keys: &'static [&'static str],
    others: &'static str,
    pub(crate) says: &'static str,
}

pub(crate) const FOLDER: Summed = Summed {
    table: "folder",
    keys: &["one"],
    others: "needs, made, device, named",
    says: "which device this folder is, is not what was written; rebuild holds it against the device's key and the record",
};
pub(crate) const RECORDS: Summed = Summed {
    table: "records",
    keys: &["record"],
    others: "car, keeper, since",
    says: "the car's name, or whose device this is, is not what was written; rebuild takes both from the record",
};
pub(crate) const PEERS: Summed = Summed {
    table: "peers",
    keys: &["record", "device"],
    others: "name, heads, state, met",
    says: "what another device is known to have is not what was written; the next meeting with it puts that right",
};
pub(crate) const SETTINGS: Summed = Summed {
    table: "settings",
    keys: &["key"],
    others: "value",
    says: "a setting of this device is not what was written; choose it again",
};

pub(crate) const PHOTOS: Summed = Summed {
    table: "photos",
    keys: &["hash"],
    others: "length, mime, width, height, camera, added, thumb",
    says: "what is kept of a photo beside its original, the small picture among it, is not what was written; hand the photo in again",
};

/// All of them.
pub(crate) const ALL: [&Summed; 5] = [&FOLDER, &RECORDS, &PEERS, &SETTINGS, &PHOTOS];

impl Summed {
    fn columns(&self) -> String {
        format!("{}, {}", self.keys.join(", "), self.others)
    }

    fn named(&self) -> String {
        let keys: Vec<String> = (1..)
            .zip(self.keys)
            .map(|(at, key)| format!("{key} = ?{at}"))
            .collect();
        keys.join(" AND ")
    }

    /// Sums a row that was just written.
    pub(crate) fn put(&self, db: &Connection, key: &[&dyn ToSql]) -> Result<(), StoreError> {
        let (table, columns, named) = (self.table, self.columns(), self.named());
        let mut sql = db.prepare_cached(&format!("SELECT {columns} FROM {table} WHERE {named}"))?;
        let count = sql.column_count();
        let sum = sql.query_row(key, |row| sum_of(row, count)).optional()?;
        if let Some(sum) = sum {
            let last = key.len().saturating_add(1);
            let mut sql = db.prepare_cached(&format!("UPDATE {table} SET sum = ?{last} WHERE {named}"))?;
            let mut all = key.to_vec();
            all.push(&sum);
            sql.execute(all.as_slice())?;
        }
        Ok(())
    }

    /// Sums every row, when the columns are made.
    fn fill(&self, db: &Connection) -> Result<(), StoreError> {
        let mut sql = db.prepare(&format!("SELECT {} FROM {}", self.keys.join(", "), self.table))?;
        let count = sql.column_count();
        let read = |row: &Row<'_>| (0..count).map(|at| row.get(at)).collect();
        let keys: Vec<Vec<Value>> = sql.query_map([], read)?.collect::<Result<_, _>>()?;
        for key in keys {
            let key: Vec<&dyn ToSql> = key.iter().map(|value| value as &dyn ToSql).collect();
            self.put(db, &key)?;
        }
        Ok(())
    }

    /// How many rows are not what was written.
    pub(crate) fn wrong(&self, db: &Connection) -> Result<usize, StoreError> {
        let (table, columns) = (self.table, self.columns());
        let mut sql = db.prepare(&format!(
            "SELECT {columns}, sum FROM {table} WHERE length(sum) > 0"
        ))?;
        let count = sql.column_count().saturating_sub(1);
        let mut rows = sql.query([])?;
        let mut wrong = 0_usize;
        while let Some(row) = rows.next()? {
            let kept: Vec<u8> = row.get(count)?;
            if kept != sum_of(row, count)? {
                wrong = wrong.saturating_add(1);
            }
        }
        Ok(wrong)
    }
}

/// Sums the rows of all tables.
pub(super) fn fill(db: &Connection) -> Result<(), StoreError> {
    ALL.iter().try_for_each(|table| table.fill(db))
}

/// BLAKE3 of the first columns of a row, each with its length.
fn sum_of(row: &Row<'_>, count: usize) -> rusqlite::Result<Vec<u8>> {
    let mut hasher = blake3::Hasher::new();
    for at in 0..count {
        let bytes = match row.get_ref(at)? {
            ValueRef::Null => Vec::new(),
            ValueRef::Integer(number) => number.to_le_bytes().to_vec(),
            ValueRef::Real(number) => number.to_le_bytes().to_vec(),
            ValueRef::Text(bytes) | ValueRef::Blob(bytes) => bytes.to_vec(),
        };
        hasher.update(&(bytes.len() as u64).to_le_bytes()).update(&bytes);
    }
    Ok(hasher.finalize().as_bytes().to_vec())
}
