//! Which change touched which field of which entry: the way from an entry to its history. Derived.

use record::{ChangeId, Id, Kind, Moment, Touched};
use rusqlite::{Connection, params};

use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 5,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE touched (
    record TEXT NOT NULL,
    kind   TEXT NOT NULL,
    id     TEXT NOT NULL,
    field  TEXT NOT NULL DEFAULT '',
    seq    INTEGER NOT NULL,
    PRIMARY KEY (record, kind, id, field, seq),
    FOREIGN KEY (record, seq) REFERENCES change_log (record, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX touched_by ON touched (record, seq);
"],
};

/// One change in the history of an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HistoryRow {
    /// Its place in this device's log.
    pub seq: u32,
    /// The change.
    pub change: ChangeId,
    /// The device that made it; none for what the program laid down itself.
    pub device: Option<Id>,
    /// When, by that device's clock.
    pub at: Moment,
    /// What was done.
    pub message: String,
    /// The fields of the entry that it touched, by name.
    pub fields: Vec<String>,
}

pub(crate) fn add(db: &Connection, record: &Id, seq: u32, touched: &Touched) -> Result<(), StoreError> {
    let mut sql = db.prepare_cached(
        "INSERT INTO touched (record, kind, id, field, seq) VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT DO NOTHING",
    )?;
    for ((kind, id), fields) in touched {
        // An entry that came to be without any field has a history too.
        let whole = fields.is_empty().then_some("");
        for field in fields.iter().map(String::as_str).chain(whole) {
            sql.execute(params![record.as_str(), kind.word(), id.as_str(), field, seq])?;
        }
    }
    Ok(())
}

/// Drops the rows of one change.
pub(crate) fn clear(db: &Connection, record: &Id, seq: u32) -> Result<(), StoreError> {
    db.prepare_cached("DELETE FROM touched WHERE record = ?1 AND seq = ?2")?
        .execute(params![record.as_str(), seq])?;
    Ok(())
}

/// Drops the rows of changes that the log has not; whether there were any.
pub(crate) fn clear_beyond(db: &Connection, record: &Id) -> Result<bool, StoreError> {
    let beyond = "DELETE FROM touched WHERE record = ?1
        AND (seq > (SELECT coalesce(max(seq), 0) FROM change_log WHERE record = ?1) OR seq < 1)";
    Ok(db.execute(beyond, [record.as_str()])? > 0)
}

/// The changes that touched an entry, or one field of it, in the order this device got them: newest last.
pub(crate) fn history(
    db: &Connection,
    record: &Id,
    kind: Kind,
    id: &Id,
    field: Option<&str>,
) -> Result<Vec<HistoryRow>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT l.seq, l.hash, l.device, l.at, l.message, t.field
         FROM touched t JOIN change_log l ON l.record = t.record AND l.seq = t.seq
         WHERE t.record = ?1 AND t.kind = ?2 AND t.id = ?3 AND (?4 IS NULL OR t.field = ?4)
         ORDER BY l.seq, t.field",
    )?;
    let mut rows = sql.query(params![record.as_str(), kind.word(), id.as_str(), field])?;
    let mut history: Vec<HistoryRow> = Vec::new();
    while let Some(row) = rows.next()? {
        let (seq, field): (u32, String) = (row.get(0)?, row.get(5)?);
        let fields = (!field.is_empty()).then_some(field);
        if let Some(last) = history.last_mut().filter(|last| last.seq == seq) {
            last.fields.extend(fields);
            continue;
        }
        let change = ChangeId::from_hex(&row.get::<_, String>(1)?);
        history.push(HistoryRow {
            seq,
            change: change
                .ok_or_else(|| StoreError::damaged(format!("row {seq} of the log has no readable hash")))?,
            device: row.get::<_, String>(2)?.parse().ok(),
            at: Moment::from_seconds(row.get(3)?),
            message: row.get(4)?,
            fields: fields.into_iter().collect(),
        });
    }
    Ok(history)
}
