//! What the derived rows of one change or one entry say, as a sum, so that a rebuild tells whether it made them otherwise. A row's
//! number, which is the table's own, is no part of it.

use record::{Id, Ref};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, Params, params};

use crate::StoreError;

/// The sum over what a change touched and did.
pub(super) fn of_change(db: &Connection, record: &Id, seq: u32) -> Result<blake3::Hash, StoreError> {
    const TABLES: [&str; 2] = [
        "SELECT kind, id, field, wrote FROM touched WHERE record = ?1 AND seq = ?2 ORDER BY kind, id, field",
        "SELECT kind, id, field, value, device, at, doer, on_day FROM deeds WHERE record = ?1 AND seq = ?2
         ORDER BY kind, id, field",
    ];
    let mut hasher = blake3::Hasher::new();
    for table in TABLES {
        add(db, &mut hasher, table, params![record.as_str(), seq])?;
    }
    Ok(hasher.finalize())
}

/// The sum over an entry's row, its links and what search looks through.
pub(super) fn of_entry(db: &Connection, record: &Id, name: &Ref) -> Result<blake3::Hash, StoreError> {
    const TABLES: [&str; 3] = [
        "SELECT title, on_day, state, device, struck, blank, sum, json, plain, asks, loose FROM entries
         WHERE record = ?1 AND kind = ?2 AND id = ?3",
        "SELECT l.field, l.target FROM entries e JOIN links l ON l.row = e.row
         WHERE e.record = ?1 AND e.kind = ?2 AND e.id = ?3 ORDER BY l.field, l.target",
        "SELECT s.title, s.body FROM entries e JOIN search s ON s.rowid = e.row
         WHERE e.record = ?1 AND e.kind = ?2 AND e.id = ?3",
    ];
    let mut hasher = blake3::Hasher::new();
    for table in TABLES {
        let named = [record.as_str(), name.kind.word(), name.id.as_str()];
        add(db, &mut hasher, table, named)?;
    }
    Ok(hasher.finalize())
}

/// Adds all rows of a question, each value with its length.
fn add(
    db: &Connection,
    hasher: &mut blake3::Hasher,
    sql: &str,
    named: impl Params,
) -> Result<(), StoreError> {
    let mut sql = db.prepare_cached(sql)?;
    let columns = sql.column_count();
    let mut rows = sql.query(named)?;
    while let Some(row) = rows.next()? {
        for column in 0..columns {
            let bytes = match row.get_ref(column)? {
                ValueRef::Null => Vec::new(),
                ValueRef::Integer(number) => number.to_le_bytes().to_vec(),
                ValueRef::Real(number) => number.to_le_bytes().to_vec(),
                ValueRef::Text(bytes) | ValueRef::Blob(bytes) => bytes.to_vec(),
            };
            hasher.update(&(bytes.len() as u64).to_le_bytes()).update(&bytes);
        }
    }
    hasher.update(b"end");
    Ok(())
}
