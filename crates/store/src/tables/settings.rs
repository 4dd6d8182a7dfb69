//! What a device keeps for itself and no record has: units preferred, theme, glove mode, which car is open.

use rusqlite::{Connection, OptionalExtension};

use super::{Migration, Older, sums};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 11,
    older: Older::ReadsOnly,
    sql: "
CREATE TABLE settings (
    key   TEXT NOT NULL PRIMARY KEY CHECK (key <> ''),
    value TEXT NOT NULL DEFAULT ''
) STRICT, WITHOUT ROWID;
",
};

pub(crate) fn put(db: &Connection, key: &str, value: Option<&str>) -> Result<(), StoreError> {
    match value {
        Some(value) => {
            db.prepare_cached(
                "INSERT INTO settings (key, value) VALUES (?1, ?2)
                 ON CONFLICT (key) DO UPDATE SET value = excluded.value",
            )?
            .execute([key, value])?;
            sums::SETTINGS.put(db, &[&key])
        }
        None => {
            db.prepare_cached("DELETE FROM settings WHERE key = ?1")?
                .execute([key])?;
            Ok(())
        }
    }
}

pub(crate) fn one(db: &Connection, key: &str) -> Result<Option<String>, StoreError> {
    let mut sql = db.prepare_cached("SELECT value FROM settings WHERE key = ?1")?;
    Ok(sql.query_row([key], |row| row.get(0)).optional()?)
}

pub(crate) fn all(db: &Connection) -> Result<Vec<(String, String)>, StoreError> {
    let mut sql = db.prepare_cached("SELECT key, value FROM settings ORDER BY key")?;
    let rows = sql.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}
