//! What once stood as text under a key and stands in tables with columns since: the bag as it was made, and how it was emptied. What
//! this program does not know of it, or cannot read, is never thrown away: it stays in `unknown_settings`, a table that is there only
//! where something is in it.

use std::collections::BTreeSet;

use rusqlite::Connection;

use super::summed::Summed;
use super::version::{Migration, Older};
use crate::StoreError;

mod moved;
#[cfg(test)]
mod tests;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 11,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE settings (
    key   TEXT NOT NULL PRIMARY KEY CHECK (key <> ''),
    value TEXT NOT NULL DEFAULT ''
) STRICT, WITHOUT ROWID;
"],
};

/// The bag, while it is emptied.
const BAG: Summed = Summed {
    table: "unknown_settings",
    keys: &["key"],
    others: "value",
    says: "",
};

/// An older program looks for all of this in the bag, and would write there what nobody reads: it only reads. It finds which car is
/// shown, and of the rest what it would find in a new folder.
pub(super) const MOVED: Migration = Migration {
    number: 24,
    older: Older::ReadsOnly,
    sql: &[
        super::choices::TABLES,
        super::home::TABLES,
        super::upkeep::TABLES,
        super::roads::TABLES,
        super::paired::TABLES,
        super::noted::TABLES,
        super::device_notes::TABLES,
        "
ALTER TABLE settings RENAME TO unknown_settings;
CREATE VIEW settings (key, value, sum) AS SELECT 'current', current, x'' FROM choices WHERE current <> '';
",
    ],
};

/// Moves what stands in the bag into the tables, where a folder of that version had one.
pub(super) fn empty(db: &Connection, version: u32) -> Result<(), StoreError> {
    if version >= MOVED.number {
        return Ok(());
    }
    let mut sql = db.prepare("SELECT key, value FROM unknown_settings ORDER BY key")?;
    let rows = sql.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let mut bag: Vec<(String, String)> = rows.collect::<Result<_, _>>()?;
    // A row that is not what was written says nothing that could be believed.
    let mut whole = BTreeSet::new();
    for (key, _) in &bag {
        if BAG.holds(db, &[key])? {
            whole.insert(key.clone());
        }
    }
    bag.retain(|(key, _)| whole.contains(key));
    for key in moved::all(db, &bag)? {
        db.execute("DELETE FROM unknown_settings WHERE key = ?1", [key])?;
    }
    if unknown(db)? == 0 {
        db.execute_batch("DROP TABLE unknown_settings")?;
    }
    Ok(())
}

/// How many settings are kept that this program does not know or could not read.
pub(crate) fn unknown(db: &Connection) -> Result<u32, StoreError> {
    let there =
        "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'unknown_settings')";
    if db.query_row(there, [], |row| row.get(0))? {
        Ok(db.query_row("SELECT count(*) FROM unknown_settings", [], |row| row.get(0))?)
    } else {
        Ok(0)
    }
}
