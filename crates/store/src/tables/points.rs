//! The points to settle of a record, in the order the rules gave them. Derived. What a point means is not known
//! here.

use record::Id;
use rusqlite::{Connection, params};

use super::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 7,
    older: Older::ReadsOnly,
    sql: "
CREATE TABLE points (
    record TEXT NOT NULL REFERENCES records (record),
    rank   INTEGER NOT NULL,
    id     TEXT NOT NULL,
    json   TEXT NOT NULL,
    PRIMARY KEY (record, id)
) STRICT;
",
};

/// One point to settle, as JSON.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PointRow {
    /// Its stable identity.
    pub id: String,
    /// The point.
    pub json: String,
}

/// Puts these points, in this order, in place of those that were there.
pub(crate) fn put(db: &Connection, record: &Id, points: &[PointRow]) -> Result<(), StoreError> {
    clear(db, record)?;
    let mut sql = db.prepare_cached("INSERT INTO points (record, rank, id, json) VALUES (?1, ?2, ?3, ?4)")?;
    for (rank, point) in (0_u32..).zip(points) {
        sql.execute(params![record.as_str(), rank, point.id, point.json])?;
    }
    Ok(())
}

pub(crate) fn clear(db: &Connection, record: &Id) -> Result<(), StoreError> {
    db.prepare_cached("DELETE FROM points WHERE record = ?1")?
        .execute([record.as_str()])?;
    Ok(())
}

pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<PointRow>, StoreError> {
    let mut sql = db.prepare_cached("SELECT id, json FROM points WHERE record = ?1 ORDER BY rank, id")?;
    let rows = sql.query_map([record.as_str()], |row| {
        Ok(PointRow {
            id: row.get(0)?,
            json: row.get(1)?,
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}
