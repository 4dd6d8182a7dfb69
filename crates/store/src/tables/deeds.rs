//! What was done, by whom and when: a row for each deed of each change in the log, so that a day finds its own however long the
//! record is. Derived from the changes alone; what a deed means is not known here.

use record::entities::Part;
use record::{ChangeId, Day, Deed, Id, Kind, Logged, Moment, Ref, Stamp};
use rusqlite::{Connection, Row, params};

use super::version::{Migration, Older};
use crate::StoreError;

/// An older program would log changes and leave out what was done by them.
pub(super) const MADE: Migration = Migration {
    number: 19,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE deeds (
    record TEXT NOT NULL,
    kind   TEXT NOT NULL,
    id     TEXT NOT NULL,
    field  TEXT NOT NULL,
    seq    INTEGER NOT NULL,
    -- What was put into the field; empty where it was emptied.
    value  TEXT NOT NULL DEFAULT '',
    device TEXT NOT NULL DEFAULT '',
    at     INTEGER NOT NULL DEFAULT 0,
    -- Who did it and on which day, where the keeper said another; empty where not.
    doer   TEXT NOT NULL DEFAULT '',
    on_day TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (record, kind, id, field, seq),
    FOREIGN KEY (record, seq) REFERENCES change_log (record, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX deeds_at ON deeds (record, at) WHERE on_day = '';
CREATE INDEX deeds_day ON deeds (record, on_day) WHERE on_day <> '';
CREATE INDEX deeds_by ON deeds (record, seq);
"],
};

/// One deed, with the change that did it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeedRow {
    /// What was done.
    pub deed: Deed,
    /// The change.
    pub stamp: Stamp,
    /// What the field had been put to before, as far as this device's log tells.
    pub before: Option<String>,
}

impl DeedRow {
    /// The container that it was put into, or was taken out of.
    #[must_use]
    pub fn container(&self) -> Option<Ref> {
        let field = self.deed.name.kind == Kind::Part && self.deed.field == Part::container;
        let id = self
            .deed
            .value
            .as_ref()
            .or(self.before.as_ref())
            .filter(|_| field)?;
        Some(Ref::new(Kind::Container, id.parse().ok()?))
    }
}

pub(crate) fn add(db: &Connection, record: &Id, seq: u32, change: &Logged) -> Result<(), StoreError> {
    if change.deeds.is_empty() {
        return Ok(());
    }
    let mut sql = db.prepare_cached(
        "INSERT INTO deeds (record, kind, id, field, seq, value, device, at, doer, on_day)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10) ON CONFLICT DO NOTHING",
    )?;
    for deed in &change.deeds {
        sql.execute(params![
            record.as_str(),
            deed.name.kind.word(),
            deed.name.id.as_str(),
            deed.field,
            seq,
            deed.value.as_deref().unwrap_or_default(),
            change.device.as_ref().map_or("", Id::as_str),
            change.at.seconds(),
            deed.by.as_ref().map_or("", Id::as_str),
            deed.on.map(|day| day.to_string()).unwrap_or_default(),
        ])?;
    }
    Ok(())
}

/// Drops the rows of one change.
pub(crate) fn clear(db: &Connection, record: &Id, seq: u32) -> Result<(), StoreError> {
    db.prepare_cached("DELETE FROM deeds WHERE record = ?1 AND seq = ?2")?
        .execute(params![record.as_str(), seq])?;
    Ok(())
}

/// Drops the rows of changes that the log has not; whether there were any.
pub(crate) fn clear_beyond(db: &Connection, record: &Id) -> Result<bool, StoreError> {
    // A row of a record that is not here is nobody's either.
    let nobodys = "DELETE FROM deeds WHERE record NOT IN (SELECT record FROM records)";
    let strays = db.execute(nobodys, [])? > 0;
    let beyond = "DELETE FROM deeds WHERE record = ?1
        AND (seq > (SELECT coalesce(max(seq), 0) FROM change_log WHERE record = ?1) OR seq < 1)";
    Ok(db.execute(beyond, [record.as_str()])? > 0 || strays)
}

const COLUMNS: &str = "d.kind, d.id, d.field, d.value, d.device, d.at, d.doer, d.on_day, l.hash, d.seq,
    coalesce((SELECT b.value FROM deeds b WHERE b.record = d.record AND b.kind = d.kind AND b.id = d.id
              AND b.field = d.field AND b.seq < d.seq ORDER BY b.seq DESC LIMIT 1), '')";
const FROM: &str = "deeds d JOIN change_log l ON l.record = d.record AND l.seq = d.seq";
/// The index is named: by itself SQLite goes over every deed of the record for the few of which a day was said.
const FROM_SAID: &str =
    "deeds d INDEXED BY deeds_day JOIN change_log l ON l.record = d.record AND l.seq = d.seq";

/// What was done on a day, in the order of its writers' clocks: what was said to have been done on it, and what was done from
/// `from` up to `until`, in seconds.
pub(crate) fn on(
    db: &Connection,
    record: &Id,
    day: Day,
    (from, until): (i64, i64),
) -> Result<Vec<DeedRow>, StoreError> {
    let mut sql = db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM {FROM_SAID} WHERE d.record = ?1 AND d.on_day = ?2 AND d.on_day <> ''
         UNION ALL
         SELECT {COLUMNS} FROM {FROM} WHERE d.record = ?1 AND d.on_day = '' AND d.at >= ?3 AND d.at < ?4"
    ))?;
    let rows = sql.query_map(params![record.as_str(), day.to_string(), from, until], read)?;
    let mut rows = understood(rows)?;
    rows.sort_by_key(|(seq, row)| (row.stamp.at, *seq));
    Ok(rows.into_iter().map(|(_, row)| row).collect())
}

/// What was done to an entry, in the order this device got to know of it.
pub(crate) fn of(db: &Connection, record: &Id, name: &Ref) -> Result<Vec<DeedRow>, StoreError> {
    let mut sql = db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM {FROM} WHERE d.record = ?1 AND d.kind = ?2 AND d.id = ?3 ORDER BY d.seq, d.field"
    ))?;
    let rows = sql.query_map(params![record.as_str(), name.kind.word(), name.id.as_str()], read)?;
    Ok(understood(rows)?.into_iter().map(|(_, row)| row).collect())
}

/// What one change did.
pub(crate) fn by(db: &Connection, record: &Id, seq: u32) -> Result<Vec<DeedRow>, StoreError> {
    let mut sql = db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM {FROM} WHERE d.record = ?1 AND d.seq = ?2 ORDER BY d.kind, d.id, d.field"
    ))?;
    let rows = sql.query_map(params![record.as_str(), seq], read)?;
    Ok(understood(rows)?.into_iter().map(|(_, row)| row).collect())
}

type Lying = ([String; 9], i64, u32);

fn read(row: &Row<'_>) -> rusqlite::Result<Lying> {
    let text = |at: usize| row.get::<_, String>(at);
    let texts = [
        text(0)?,
        text(1)?,
        text(2)?,
        text(3)?,
        text(4)?,
        text(6)?,
        text(7)?,
        text(8)?,
        text(10)?,
    ];
    Ok((texts, row.get(5)?, row.get(9)?))
}

fn understood(
    rows: impl Iterator<Item = rusqlite::Result<Lying>>,
) -> Result<Vec<(u32, DeedRow)>, StoreError> {
    let mut out = Vec::new();
    for row in rows {
        let ([kind, id, field, value, device, doer, on, hash, before], at, seq) = row?;
        // A kind that only a newer program knows is told of by none here.
        let (Ok(kind), Ok(id)) = (kind.parse::<Kind>(), id.parse::<Id>()) else {
            continue;
        };
        let change = ChangeId::from_hex(&hash)
            .ok_or_else(|| StoreError::damaged("a row of the log has no readable hash"))?;
        let row = DeedRow {
            deed: Deed {
                name: Ref::new(kind, id),
                field,
                value: (!value.is_empty()).then_some(value),
                by: doer.parse().ok(),
                on: on.parse().ok(),
            },
            stamp: Stamp {
                device: device.parse().ok(),
                at: Moment::from_seconds(at),
                change,
            },
            before: (!before.is_empty()).then_some(before),
        };
        out.push((seq, row));
    }
    Ok(out)
}
