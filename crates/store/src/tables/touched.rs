//! Which change touched which field of which entry, and what it wrote there: the way from an entry to its history, and to what it read
//! at any time. Derived.

use std::collections::{BTreeMap, BTreeSet};

use record::past::{Strand, StrandRow, WHOLE, Wrote};
use record::{ChangeId, Id, Kind, Logged, Moment, Ref, Stamp};
use rusqlite::{Connection, params};

use super::actors::Actors;
use super::log_name::change_named;
use super::version::{Migration, Older};
use super::wrote;
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

pub(crate) fn add(db: &Connection, record: &Id, seq: u32, change: &Logged) -> Result<(), StoreError> {
    let mut sql = db.prepare_cached(
        "INSERT INTO touched (record, kind, id, field, seq, wrote) VALUES (?1, ?2, ?3, ?4, ?5, ?6) ON CONFLICT DO NOTHING",
    )?;
    let mut actors = Actors::of(db, record);
    for ((kind, id, field), wrote) in rows_of(change) {
        let wrote = match wrote {
            Some(wrote) => wrote::lay(wrote, &mut actors)?,
            None => Vec::new(),
        };
        sql.execute(params![
            record.as_str(),
            kind.word(),
            id.as_str(),
            field,
            seq,
            wrote
        ])?;
    }
    Ok(())
}

/// What one change wrote, by kind, id and field; nothing of what it only touched.
pub(crate) type Rows<W> = BTreeMap<(Kind, Id, String), Option<W>>;

/// The rows of a change.
pub(crate) fn rows_of(change: &Logged) -> Rows<&Wrote> {
    let mut rows = BTreeMap::new();
    for ((kind, id), touched) in &change.touched {
        let written = change.wrote.get(&(*kind, id.clone()));
        let mut fields: BTreeSet<&String> = touched.iter().collect();
        fields.extend(written.into_iter().flatten().map(|(field, _)| field));
        let row = |field: &str| {
            let wrote = written.and_then(|written| written.get(field));
            ((*kind, id.clone(), field.to_owned()), wrote)
        };
        // An entry that was touched in no field has a history too.
        if fields.is_empty() {
            rows.extend([row(WHOLE)]);
        }
        rows.extend(fields.into_iter().map(|field| row(field)));
    }
    rows
}

/// Whether these are the rows of a change.
pub(crate) fn is_told(found: &Rows<Wrote>, change: &Logged) -> bool {
    let wanted = rows_of(change);
    let found = found.iter().map(|(name, wrote)| (name, wrote.as_ref()));
    found.eq(wanted.iter().map(|(name, wrote)| (name, *wrote)))
}

/// The rows of a change as they lie there. One of a kind that only a newer program knows is not among them.
pub(crate) fn of_change(db: &Connection, record: &Id, seq: u32) -> Result<Rows<Wrote>, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT kind, id, field, wrote FROM touched WHERE record = ?1 AND seq = ?2")?;
    let mut rows = sql.query(params![record.as_str(), seq])?;
    let mut actors = Actors::of(db, record);
    let mut found = BTreeMap::new();
    while let Some(row) = rows.next()? {
        let (kind, id): (String, String) = (row.get(0)?, row.get(1)?);
        let (Ok(kind), Ok(id)) = (kind.parse::<Kind>(), id.parse::<Id>()) else {
            continue;
        };
        let bytes = row.get_ref(3)?.as_blob().map_err(rusqlite::Error::from)?;
        let wrote = match bytes.is_empty() {
            true => None,
            false => Some(wrote::read(bytes, &mut actors)?),
        };
        found.insert((kind, id, row.get(2)?), wrote);
    }
    Ok(found)
}

/// All that was ever written into an entry, in the order this device got it.
pub(crate) fn strand(db: &Connection, record: &Id, name: &Ref) -> Result<Strand, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT l.seq, l.hash, l.device, l.at, l.actor, t.field, t.wrote
         FROM touched t JOIN change_log l ON l.record = t.record AND l.seq = t.seq
         WHERE t.record = ?1 AND t.kind = ?2 AND t.id = ?3 ORDER BY l.seq, t.field",
    )?;
    let mut rows = sql.query(params![record.as_str(), name.kind.word(), name.id.as_str()])?;
    let mut actors = Actors::of(db, record);
    let mut written: Vec<(u32, StrandRow)> = Vec::new();
    while let Some(row) = rows.next()? {
        let seq: u32 = row.get(0)?;
        if written.last().is_none_or(|(last, _)| *last != seq) {
            let stamp = Stamp {
                device: row.get::<_, String>(2)?.parse().ok(),
                at: Moment::from_seconds(row.get(3)?),
                change: change_named(seq, &row.get::<_, String>(1)?)?,
            };
            written.push((
                seq,
                StrandRow {
                    stamp,
                    actor: row.get(4)?,
                    fields: BTreeMap::new(),
                },
            ));
        }
        let wrote = wrote::read(
            row.get_ref(6)?.as_blob().map_err(rusqlite::Error::from)?,
            &mut actors,
        )?;
        if let Some((_, last)) = written.last_mut() {
            last.fields.insert(row.get(5)?, wrote);
        }
    }
    let written = written.into_iter().map(|(_, written)| written);
    Ok(Strand::new(name.clone(), written.collect()))
}

/// The entries that a change wrote in.
pub(crate) fn names_of(db: &Connection, record: &Id, change: &ChangeId) -> Result<BTreeSet<Ref>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT DISTINCT t.kind, t.id FROM change_log l JOIN touched t ON t.record = l.record AND t.seq = l.seq
         WHERE l.record = ?1 AND l.hash = ?2",
    )?;
    let mut rows = sql.query([record.as_str(), &change.hex()])?;
    let mut names = BTreeSet::new();
    while let Some(row) = rows.next()? {
        let (kind, id): (String, String) = (row.get(0)?, row.get(1)?);
        let name = kind
            .parse()
            .ok()
            .and_then(|kind| Some(Ref::new(kind, id.parse().ok()?)));
        names.insert(name.ok_or_else(|| {
            StoreError::damaged(format!("a change wrote in {kind} '{id}', which is no entry"))
        })?);
    }
    Ok(names)
}

/// What each change wrote, in an order that is the same on every device: for a digest of what is derived.
pub(crate) fn each_wrote(
    db: &Connection,
    record: &Id,
    mut with: impl FnMut(&Wrote),
) -> Result<(), StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT t.wrote FROM touched t JOIN change_log l ON l.record = t.record AND l.seq = t.seq
         WHERE t.record = ?1 ORDER BY t.kind, t.id, t.field, l.hash",
    )?;
    let mut rows = sql.query([record.as_str()])?;
    let mut actors = Actors::of(db, record);
    while let Some(row) = rows.next()? {
        with(&wrote::read(
            row.get_ref(0)?.as_blob().map_err(rusqlite::Error::from)?,
            &mut actors,
        )?);
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
    // A row of a record that is not here is nobody's either.
    let nobodys = "DELETE FROM touched WHERE record NOT IN (SELECT record FROM records)";
    let strays = db.execute(nobodys, [])? > 0;
    let beyond = "DELETE FROM touched WHERE record = ?1
        AND (seq > (SELECT coalesce(max(seq), 0) FROM change_log WHERE record = ?1) OR seq < 1)";
    Ok(db.execute(beyond, [record.as_str()])? > 0 || strays)
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
        history.push(HistoryRow {
            seq,
            change: change_named(seq, &row.get::<_, String>(1)?)?,
            device: row.get::<_, String>(2)?.parse().ok(),
            at: Moment::from_seconds(row.get(3)?),
            message: row.get(4)?,
            fields: fields.into_iter().collect(),
        });
    }
    Ok(history)
}
