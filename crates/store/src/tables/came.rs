//! What came in by which meeting, when and from whom: so that a keeper who was away can read it, and it is known what was read.
//! It is this device's own and stands in no record. It is bounded: the oldest comings are forgotten, and what they brought stays.

use record::{ChangeId, Id, Kind, Moment, Ref, Stamp};
use rusqlite::{Connection, OptionalExtension, params};

use super::{Migration, Older, deeds};
use crate::{DeedRow, StoreError};

/// An older program takes changes in and does not say by which meeting: those are not told of, and nothing else is wrong.
pub(super) const MADE: Migration = Migration {
    number: 20,
    older: Older::Survives,
    sql: &["
CREATE TABLE comings (
    record TEXT NOT NULL REFERENCES records (record),
    number INTEGER NOT NULL CHECK (number > 0),
    road   TEXT NOT NULL CHECK (road <> ''),
    began  INTEGER NOT NULL,
    ended  INTEGER NOT NULL,
    -- What of it was read: all up to this place in the log.
    read   INTEGER NOT NULL DEFAULT 0,
    PRIMARY KEY (record, number)
) STRICT;
CREATE TABLE came (
    record TEXT NOT NULL,
    number INTEGER NOT NULL,
    -- A stretch of the log, both ends in it.
    first  INTEGER NOT NULL,
    last   INTEGER NOT NULL,
    -- From which device; empty where nobody vouches for that.
    device TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (record, number, first),
    FOREIGN KEY (record, number) REFERENCES comings (record, number)
) STRICT, WITHOUT ROWID;
"],
};

/// What fields read before a coming wrote them otherwise: whoever is told of that is told both. An older program leaves it out, and
/// then only what they read now is told.
pub(super) const WAS: Migration = Migration {
    number: 21,
    older: Older::Survives,
    sql: &["
CREATE TABLE came_was (
    record TEXT NOT NULL,
    number INTEGER NOT NULL,
    kind   TEXT NOT NULL,
    id     TEXT NOT NULL,
    field  TEXT NOT NULL,
    -- Empty where there was nothing.
    was    TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (record, number, kind, id, field),
    FOREIGN KEY (record, number) REFERENCES comings (record, number)
) STRICT, WITHOUT ROWID;
"],
};

/// What a field read before a coming wrote it otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WasRow {
    /// Of which entry.
    pub name: Ref,
    /// Which field.
    pub field: String,
    /// What it read; empty where it read nothing.
    pub was: String,
}

/// As many comings are kept of a record.
const MOST_COMINGS: u32 = 60;
/// As many stretches of the log has one of them; then the last grows over what was written here between.
const MOST_STRETCHES: u32 = 400;
/// Seconds without a word after which the next of the same road is another coming.
const PAUSE: i64 = 4 * 3_600;

/// How changes that are committed came in.
#[derive(Clone, Copy, Debug)]
pub struct Came<'a> {
    /// By which road; not known here.
    pub road: &'a str,
    /// From which device, where that is known.
    pub device: Option<&'a Id>,
    /// When.
    pub at: Moment,
    /// Whether it goes on with the last one of the same road, if that was not long ago.
    pub goes_on: bool,
}

/// One coming.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ComingRow {
    /// Its number in this record, from 1.
    pub number: u32,
    /// By which road.
    pub road: String,
    /// When it began.
    pub began: Moment,
    /// When the last of it came.
    pub ended: Moment,
    /// From which devices, as far as that is known, in order.
    pub devices: Vec<Id>,
    /// Whether all of it was read.
    pub read: bool,
}

/// How much a coming brought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Amount {
    /// Changes.
    pub changes: u32,
    /// Entries that they touched.
    pub things: u32,
}

/// One change that came in, with what it touched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CameChange {
    /// Its place in this device's log.
    pub seq: u32,
    /// The change.
    pub stamp: Stamp,
    /// The entries that it touched, each with its fields.
    pub touched: Vec<(Ref, Vec<String>)>,
}

/// Writes down that the rows after `before` up to `last` came in.
pub(crate) fn add(
    db: &Connection,
    record: &Id,
    came: Came<'_>,
    was: &[WasRow],
    (before, last): (u32, u32),
) -> Result<(), StoreError> {
    let first = before.saturating_add(1);
    if last < first {
        return Ok(());
    }
    let at = came.at.seconds();
    let device = came.device.map_or("", Id::as_str);
    let going_on: Option<u32> = db
        .prepare_cached(
            "SELECT number FROM comings WHERE record = ?1 AND road = ?2 AND ?3 - ended BETWEEN 0 AND ?4
             ORDER BY number DESC LIMIT 1",
        )?
        .query_row(params![record.as_str(), came.road, at, PAUSE], |row| row.get(0))
        .optional()?
        .filter(|_| came.goes_on);
    let number = match going_on {
        Some(number) => {
            db.prepare_cached("UPDATE comings SET ended = ?3 WHERE record = ?1 AND number = ?2")?
                .execute(params![record.as_str(), number, at])?;
            number
        }
        None => begin(db, record, came.road, at)?,
    };
    // Of what it wrote twice, the first says what stood before it.
    let mut sql = db.prepare_cached(
        "INSERT INTO came_was (record, number, kind, id, field, was) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
         ON CONFLICT DO NOTHING",
    )?;
    for row in was {
        let (kind, id) = (row.name.kind.word(), row.name.id.as_str());
        sql.execute(params![record.as_str(), number, kind, id, row.field, row.was])?;
    }
    let grown = db
        .prepare_cached(
            "UPDATE came SET last = ?5 WHERE record = ?1 AND number = ?2 AND (
                 (last = ?4 - 1 AND device = ?3)
                 OR (first = (SELECT max(first) FROM came WHERE record = ?1 AND number = ?2)
                     AND (SELECT count(*) FROM came WHERE record = ?1 AND number = ?2) >= ?6))",
        )?
        .execute(params![
            record.as_str(),
            number,
            device,
            first,
            last,
            MOST_STRETCHES
        ])?;
    if grown == 0 {
        db.prepare_cached(
            "INSERT INTO came (record, number, first, last, device) VALUES (?1, ?2, ?3, ?4, ?5)",
        )?
        .execute(params![record.as_str(), number, first, last, device])?;
    }
    Ok(())
}

fn begin(db: &Connection, record: &Id, road: &str, at: i64) -> Result<u32, StoreError> {
    let number: u32 = db
        .prepare_cached("SELECT coalesce(max(number), 0) + 1 FROM comings WHERE record = ?1")?
        .query_row([record.as_str()], |row| row.get(0))?;
    let forgotten = number.saturating_sub(MOST_COMINGS);
    for sql in [
        "DELETE FROM came_was WHERE record = ?1 AND number <= ?2",
        "DELETE FROM came WHERE record = ?1 AND number <= ?2",
        "DELETE FROM comings WHERE record = ?1 AND number <= ?2",
    ] {
        db.prepare_cached(sql)?
            .execute(params![record.as_str(), forgotten])?;
    }
    db.prepare_cached(
        "INSERT INTO comings (record, number, road, began, ended) VALUES (?1, ?2, ?3, ?4, ?4)",
    )?
    .execute(params![record.as_str(), number, road, at])?;
    Ok(number)
}

/// What is kept of comings, the newest first.
pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<ComingRow>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT number, road, began, ended,
                read >= (SELECT coalesce(max(last), 0) FROM came c WHERE c.record = o.record AND c.number = o.number)
         FROM comings o WHERE record = ?1 ORDER BY ended DESC, number DESC",
    )?;
    let mut devices = db.prepare_cached(
        "SELECT DISTINCT device FROM came WHERE record = ?1 AND number = ?2 AND device <> '' ORDER BY device",
    )?;
    let mut rows = sql.query([record.as_str()])?;
    let mut out = Vec::new();
    while let Some(row) = rows.next()? {
        let number: u32 = row.get(0)?;
        let from: Vec<String> = devices
            .query_map(params![record.as_str(), number], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        out.push(ComingRow {
            number,
            road: row.get(1)?,
            began: Moment::from_seconds(row.get(2)?),
            ended: Moment::from_seconds(row.get(3)?),
            devices: from.iter().filter_map(|id| id.parse().ok()).collect(),
            read: row.get(4)?,
        });
    }
    Ok(out)
}

/// What of the log a coming brought that another device than `own` wrote; with `unread`, only what was not read.
const BROUGHT: &str = "came c JOIN comings o ON o.record = c.record AND o.number = c.number
    JOIN change_log l ON l.record = c.record AND l.seq BETWEEN c.first AND c.last
    WHERE c.record = ?1 AND c.number = ?2 AND l.device <> ?3 AND l.device <> '' AND (?4 = 0 OR l.seq > o.read)";

/// How much a coming brought, as it is told of: bolts and waivers with what they belong to, all that one act settled as one, and what a
/// device says of itself not at all.
pub(crate) fn amount(
    db: &Connection,
    record: &Id,
    number: u32,
    own: &Id,
    unread: bool,
) -> Result<Amount, StoreError> {
    let asked = params![record.as_str(), number, own.as_str(), unread];
    let changes = db
        .prepare_cached(&format!("SELECT count(*) FROM {BROUGHT}"))?
        .query_row(asked, |row| row.get(0))?;
    let things = db
        .prepare_cached(&format!(
            "WITH brought AS (SELECT l.seq FROM {BROUGHT})
             SELECT count(*) FROM (
                 SELECT t.kind || ':' || CASE t.kind WHEN 'settlement' THEN t.seq ELSE t.id END FROM touched t
                 WHERE t.record = ?1 AND t.kind NOT IN ('waiver', 'tightened', 'device')
                     AND t.seq IN (SELECT seq FROM brought)
                 UNION
                 SELECT k.target FROM touched t
                 JOIN entries e ON e.record = t.record AND e.kind = t.kind AND e.id = t.id
                 JOIN links k ON k.row = e.row AND k.field = 'run'
                 WHERE t.record = ?1 AND t.kind = 'tightened' AND t.seq IN (SELECT seq FROM brought))"
        ))?
        .query_row(asked, |row| row.get(0))?;
    Ok(Amount { changes, things })
}

/// The hashes of the changes that a coming brought.
pub(crate) fn hashes(
    db: &Connection,
    record: &Id,
    number: u32,
    own: &Id,
    unread: bool,
) -> Result<Vec<ChangeId>, StoreError> {
    let mut sql = db.prepare_cached(&format!("SELECT l.hash FROM {BROUGHT} ORDER BY l.seq"))?;
    let rows = sql.query_map(params![record.as_str(), number, own.as_str(), unread], |row| {
        row.get::<_, String>(0)
    })?;
    let hashes: Vec<String> = rows.collect::<Result<_, _>>()?;
    Ok(hashes
        .iter()
        .filter_map(|hash| ChangeId::from_hex(hash))
        .collect())
}

/// The changes that a coming brought, in the order they came, and what was done by them.
pub(crate) fn brought(
    db: &Connection,
    record: &Id,
    number: u32,
    own: &Id,
) -> Result<(Vec<CameChange>, Vec<DeedRow>), StoreError> {
    let mut sql = db.prepare_cached(&format!(
        "SELECT l.seq, l.hash, l.device, l.at FROM {BROUGHT} ORDER BY l.seq"
    ))?;
    let mut touched = db.prepare_cached(
        "SELECT kind, id, field FROM touched WHERE record = ?1 AND seq = ?2 ORDER BY kind, id, field",
    )?;
    let mut rows = sql.query(params![record.as_str(), number, own.as_str(), false])?;
    let (mut changes, mut done) = (Vec::new(), Vec::new());
    while let Some(row) = rows.next()? {
        let (seq, hash): (u32, String) = (row.get(0)?, row.get(1)?);
        let device: String = row.get(2)?;
        let mut change = CameChange {
            seq,
            stamp: Stamp {
                device: device.parse().ok(),
                at: Moment::from_seconds(row.get(3)?),
                change: ChangeId::from_hex(&hash).ok_or_else(|| {
                    StoreError::damaged(format!("row {seq} of the log has no readable hash"))
                })?,
            },
            touched: Vec::new(),
        };
        let mut names = touched.query(params![record.as_str(), seq])?;
        while let Some(row) = names.next()? {
            let (kind, id, field): (String, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
            // A kind that only a newer program knows is told of by none here.
            let (Ok(kind), Ok(id)) = (kind.parse::<Kind>(), id.parse::<Id>()) else {
                continue;
            };
            let name = Ref::new(kind, id);
            match change.touched.last_mut().filter(|(last, _)| *last == name) {
                Some((_, fields)) => fields.push(field),
                None => change.touched.push((name, vec![field])),
            }
        }
        done.extend(deeds::by(db, record, seq)?);
        changes.push(change);
    }
    Ok((changes, done))
}

/// What was written otherwise by a coming, as it read before.
pub(crate) fn was(db: &Connection, record: &Id, number: u32) -> Result<Vec<WasRow>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT kind, id, field, was FROM came_was WHERE record = ?1 AND number = ?2 ORDER BY kind, id, field",
    )?;
    let mut rows = sql.query(params![record.as_str(), number])?;
    let mut out = Vec::new();
    while let Some(row) = rows.next()? {
        let (kind, id): (String, String) = (row.get(0)?, row.get(1)?);
        // A kind that only a newer program knows is told of by none here.
        if let (Ok(kind), Ok(id)) = (kind.parse::<Kind>(), id.parse::<Id>()) {
            out.push(WasRow {
                name: Ref::new(kind, id),
                field: row.get(2)?,
                was: row.get(3)?,
            });
        }
    }
    Ok(out)
}

/// All that a coming brought so far was read.
pub(crate) fn read(db: &Connection, record: &Id, number: u32) -> Result<(), StoreError> {
    db.prepare_cached(
        "UPDATE comings SET read = (SELECT coalesce(max(last), 0) FROM came WHERE record = ?1 AND number = ?2)
         WHERE record = ?1 AND number = ?2",
    )?
    .execute(params![record.as_str(), number])?;
    Ok(())
}
