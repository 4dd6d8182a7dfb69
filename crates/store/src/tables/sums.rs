//! Sums over the small rows that are no entries and no changes: which device this folder is, its records, what is known of
//! other devices, what was chosen on this one, photos. With them a check finds a digit that turned on the disk there too. A row that an older
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
    sql: &["
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
"],
};

/// The tables that had none, as above.
pub(super) const MORE: Migration = Migration {
    number: 18,
    older: Older::Survives,
    sql: &["
ALTER TABLE aside ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE small_pictures ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE drops ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE peer_photos ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
CREATE TRIGGER small_pictures_sum AFTER UPDATE OF picture ON small_pictures
    WHEN NEW.sum = OLD.sum AND NEW.picture <> OLD.picture
    BEGIN UPDATE small_pictures SET sum = x'' WHERE hash = NEW.hash; END;
CREATE TRIGGER drops_sum AFTER UPDATE OF book, looked, told ON drops
    WHEN NEW.sum = OLD.sum AND (NEW.book <> OLD.book OR NEW.looked <> OLD.looked OR NEW.told <> OLD.told)
    BEGIN UPDATE drops SET sum = x'' WHERE record = NEW.record AND place = NEW.place; END;
CREATE TRIGGER peer_photos_sum AFTER UPDATE OF held ON peer_photos
    WHEN NEW.sum = OLD.sum AND NEW.held <> OLD.held
    BEGIN UPDATE peer_photos SET sum = x''
        WHERE record = NEW.record AND device = NEW.device AND hash = NEW.hash; END;
"],
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
/// The bag of before, while it is emptied.
pub(super) const BAG: Summed = Summed {
    table: "unknown_settings",
    keys: &["key"],
    others: "value",
    says: "",
};

pub(crate) const CHOICES: Summed = Summed {
    table: "choices",
    keys: &["one"],
    others: "current, pages_port, meets, relay, internet_relays, only_asked, only_unmetered",
    says: "what was chosen on this device is not what was written; choose it again",
};

pub(crate) const HOME: Summed = Summed {
    table: "home",
    keys: &["one"],
    others: "settled, since, machine, folder, asked",
    says: "where this folder is at home is not what was written; say that it is the same, or a copy ('witnessmark folder same', or 'witnessmark folder copy')",
};

pub(crate) const UPKEEP: Summed = Summed {
    table: "upkeep",
    keys: &["one"],
    others: "whole_logs, rules, tally, tally_gone",
    says: "what was done once for this folder is not what was written; rebuild clears it, and it is done again at the next start",
};

pub(crate) const LOSSES: Summed = Summed {
    table: "losses",
    keys: &["record"],
    others: "had, newest, has",
    says: "that entries of a record are gone was noted, and the note is not what was written: whether they are back cannot be told. Meet the other device, which has them",
};

pub(crate) const SOCKETS: Summed = Summed {
    table: "sockets",
    keys: &["rank"],
    others: "socket",
    says: "where this device listened is not what was written; rebuild clears it, and it is written anew when others are met",
};

pub(crate) const FOUND: Summed = Summed {
    table: "found",
    keys: &["key", "rank"],
    others: "address",
    says: "where another device was found is not what was written; rebuild clears it, and the next meeting with it puts that right",
};

pub(crate) const PAIRED: Summed = Summed {
    table: "paired",
    keys: &["record", "device"],
    others: "key, since, met, whose",
    says: "what is remembered of a device that was paired is not what was written; pair it anew, or cut it off",
};

pub(crate) const PAIRED_ADDRESSES: Summed = Summed {
    table: "paired_addresses",
    keys: &["record", "device", "rank"],
    others: "address",
    says: "where a device was paired is not what was written; the next meeting with it puts that right",
};

pub(crate) const RECORD_NOTES: Summed = Summed {
    table: "record_notes",
    keys: &["record"],
    others: "came_whole, not_kept, not_kept_last",
    says: "what this device noted of a record is not what was written: whether it came whole, or how much could not be kept aside",
};

pub(crate) const PHOTOS_ASKED: Summed = Summed {
    table: "photos_asked",
    keys: &["record", "hash"],
    others: "",
    says: "which photo was asked for is not what was written; ask for it again",
};

pub(crate) const CARRY_FILES: Summed = Summed {
    table: "carry_files",
    keys: &["record", "rank"],
    others: "file",
    says: "which carry files were written or taken in here is not what was written; such a file is left as it lies",
};

pub(crate) const DEVICE_NOTES: Summed = Summed {
    table: "device_notes",
    keys: &["record", "device"],
    others: "known, known_own, photos_left_out",
    says: "how much another device is known to have is not what was written; the next meeting with it puts that right",
};

pub(crate) const LEFT_OUT_FROM: Summed = Summed {
    table: "left_out_from",
    keys: &["record", "device", "change"],
    others: "",
    says: "from where on a device was sent no photos is not what was written; a carry file with photos puts that right",
};

pub(crate) const PHOTOS: Summed = Summed {
    table: "photos",
    keys: &["hash"],
    others: "length, mime, width, height, camera, added, thumb",
    says: "what is kept of a photo beside its original, the small picture among it, is not what was written; hand the photo in again",
};

pub(crate) const ASIDE: Summed = Summed {
    table: "aside",
    keys: &["record", "parcel"],
    others: "number, device, road, came, told, bytes",
    says: "what was set aside of a device that is met no more is not what came; where the file that brought it is still there, take it in once more",
};

pub(crate) const SMALL: Summed = Summed {
    table: "small_pictures",
    keys: &["hash"],
    others: "picture",
    says: "a small picture out of a meeting is not what came; rebuild clears it, and it comes again with the next meeting",
};

pub(crate) const DROPS: Summed = Summed {
    table: "drops",
    keys: &["record", "place"],
    others: "book, looked, told",
    says: "what was noted of a drop is not what was written; the drop is read again at the next look",
};

pub(crate) const PEER_PHOTOS: Summed = Summed {
    table: "peer_photos",
    keys: &["record", "device", "hash"],
    others: "held",
    says: "which photos another device has is not what it said; rebuild clears it, and it is asked again at the next meeting",
};

/// All of them: those of the first sums, those that got theirs later, and those that were made with them.
pub(crate) const ALL: [&Summed; 21] = [
    &FOLDER,
    &RECORDS,
    &PEERS,
    &PHOTOS,
    &ASIDE,
    &SMALL,
    &DROPS,
    &PEER_PHOTOS,
    &CHOICES,
    &HOME,
    &UPKEEP,
    &LOSSES,
    &SOCKETS,
    &FOUND,
    &PAIRED,
    &PAIRED_ADDRESSES,
    &RECORD_NOTES,
    &PHOTOS_ASKED,
    &CARRY_FILES,
    &DEVICE_NOTES,
    &LEFT_OUT_FROM,
];
/// Those that a folder of before the sums has rows of, and of them those that got theirs later.
const FIRST: [&Summed; 8] = [
    &FOLDER,
    &RECORDS,
    &PEERS,
    &PHOTOS,
    &ASIDE,
    &SMALL,
    &DROPS,
    &PEER_PHOTOS,
];
const LATER: [&Summed; 4] = [&ASIDE, &SMALL, &DROPS, &PEER_PHOTOS];
/// Those whose rows come again by themselves.
const COME_AGAIN: [&Summed; 6] = [&SMALL, &DROPS, &PEER_PHOTOS, &UPKEEP, &SOCKETS, &FOUND];

impl Summed {
    /// The same rows in a table of another name.
    #[cfg(test)]
    pub(super) const fn under(self, table: &'static str) -> Self {
        Self { table, ..self }
    }

    fn columns(&self) -> String {
        let others = Some(self.others).filter(|others| !others.is_empty());
        let all: Vec<&str> = self.keys.iter().copied().chain(others).collect();
        all.join(", ")
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
        Ok(self.wrong_ones(db)?.len())
    }

    /// Whether a row is what was written; one that is not there, or has no sum, is.
    pub(crate) fn holds(&self, db: &Connection, key: &[&dyn ToSql]) -> Result<bool, StoreError> {
        let (table, columns, named) = (self.table, self.columns(), self.named());
        let mut sql = db.prepare_cached(&format!("SELECT {columns}, sum FROM {table} WHERE {named}"))?;
        let count = sql.column_count().saturating_sub(1);
        let holds = sql.query_row(key, |row| {
            let kept: Vec<u8> = row.get(count)?;
            Ok(kept.is_empty() || kept == sum_of(row, count)?)
        });
        Ok(holds.optional()?.unwrap_or(true))
    }

    /// The keys of the rows that are not what was written.
    fn wrong_ones(&self, db: &Connection) -> Result<Vec<Vec<Value>>, StoreError> {
        let (table, columns) = (self.table, self.columns());
        let mut sql = db.prepare(&format!(
            "SELECT {columns}, sum FROM {table} WHERE length(sum) > 0"
        ))?;
        let count = sql.column_count().saturating_sub(1);
        let mut rows = sql.query([])?;
        let mut wrong = Vec::new();
        while let Some(row) = rows.next()? {
            let kept: Vec<u8> = row.get(count)?;
            if kept != sum_of(row, count)? {
                let keys = (0..self.keys.len()).map(|at| row.get(at));
                wrong.push(keys.collect::<Result<_, _>>()?);
            }
        }
        Ok(wrong)
    }
}

/// Sums the rows that have no sum yet, as a folder of that version was left.
pub(super) fn fill(db: &Connection, version: u32) -> Result<(), StoreError> {
    let tables = if version < MADE.number {
        &FIRST[..]
    } else if version < MORE.number {
        &LATER[..]
    } else {
        &[]
    };
    tables.iter().try_for_each(|table| table.fill(db))
}

/// Clears away rows that are not what was written and come again by themselves; whether there were any.
pub(crate) fn clear(db: &Connection) -> Result<bool, StoreError> {
    let mut any = false;
    for table in COME_AGAIN {
        let mut sql = db.prepare(&format!("DELETE FROM {} WHERE {}", table.table, table.named()))?;
        for key in table.wrong_ones(db)? {
            sql.execute(rusqlite::params_from_iter(key))?;
            any = true;
        }
    }
    Ok(any)
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
