//! The log of every change a device has ever had of a record, in the order it got them. Rows are only added.
//! After a compaction the bytes of old changes are emptied, since two snapshots hold them; who, when and what
//! was done stay for the history.
//!
//! Each row carries the BLAKE3 hash of its bytes, and a chain: a hash over the row and the chain of the row
//! before. So a byte that turns on the disk, or a row that goes missing, is found. What a change means is not
//! known here; its own hash is a name.

use std::collections::{BTreeMap, BTreeSet};

use record::{ChangeId, Id, Logged, Moment};
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::log_name::change_named;
use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 3,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE change_log (
    record  TEXT NOT NULL REFERENCES records (record),
    seq     INTEGER NOT NULL CHECK (seq > 0),
    hash    TEXT NOT NULL CHECK (length(hash) = 64),
    actor   TEXT NOT NULL DEFAULT '',
    device  TEXT NOT NULL DEFAULT '',
    at      INTEGER NOT NULL DEFAULT 0,
    message TEXT NOT NULL DEFAULT '',
    -- The hashes it builds on, with a space between.
    deps    TEXT NOT NULL DEFAULT '',
    -- BLAKE3 of the bytes, and of this row after the one before.
    sum     BLOB NOT NULL CHECK (length(sum) = 32),
    chain   BLOB NOT NULL CHECK (length(chain) = 32),
    length  INTEGER NOT NULL DEFAULT 0,
    -- Emptied once two snapshots hold the change.
    bytes   BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (record, seq),
    UNIQUE (record, hash)
) STRICT;
"],
};

/// Which of its device's changes each one is, counted from 1 in the order of this log. A trigger counts, so that rows which
/// an older program adds are counted as well.
pub(super) const COUNTED: Migration = Migration {
    number: 23,
    older: Older::Survives,
    sql: &["
ALTER TABLE change_log ADD COLUMN nth INTEGER NOT NULL DEFAULT 0;
UPDATE change_log SET nth = counted.nth FROM (
    SELECT record, seq, row_number() OVER (PARTITION BY record, device ORDER BY seq) AS nth FROM change_log
) AS counted WHERE change_log.record = counted.record AND change_log.seq = counted.seq;
CREATE INDEX change_log_nth ON change_log (record, device, nth);
CREATE TRIGGER change_log_counts AFTER INSERT ON change_log
    BEGIN UPDATE change_log SET nth = 1 + (
        SELECT coalesce(max(nth), 0) FROM change_log WHERE record = NEW.record AND device = NEW.device
    ) WHERE record = NEW.record AND seq = NEW.seq; END;
"],
};

/// One change as the log has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogRow {
    /// Its place in this device's log, from 1. Another device has the same changes in another order.
    pub seq: u32,
    /// The change.
    pub change: ChangeId,
    /// The changes it was made on top of.
    pub deps: Vec<ChangeId>,
    /// The actor, in hex: a device and one run of the program.
    pub actor: String,
    /// The device; none for what the program laid down itself.
    pub device: Option<Id>,
    /// When, by that device's clock.
    pub at: Moment,
    /// What was done, in the trade's words.
    pub message: String,
}

const COLUMNS: &str = "seq, hash, deps, actor, device, at, message";

/// The row as it lies in the table, not yet understood.
struct Lying {
    seq: u32,
    hash: String,
    deps: String,
    actor: String,
    device: String,
    at: i64,
    message: String,
}

impl Lying {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            seq: row.get(0)?,
            hash: row.get(1)?,
            deps: row.get(2)?,
            actor: row.get(3)?,
            device: row.get(4)?,
            at: row.get(5)?,
            message: row.get(6)?,
        })
    }

    fn understood(self) -> Result<LogRow, StoreError> {
        let bad = || StoreError::damaged(format!("row {} of the log has no readable hash", self.seq));
        let deps = self.deps.split(' ').filter(|dep| !dep.is_empty());
        Ok(LogRow {
            seq: self.seq,
            change: ChangeId::from_hex(&self.hash).ok_or_else(bad)?,
            deps: deps
                .map(|dep| ChangeId::from_hex(dep).ok_or_else(bad))
                .collect::<Result<_, _>>()?,
            actor: self.actor,
            device: self.device.parse().ok(),
            at: Moment::from_seconds(self.at),
            message: self.message,
        })
    }

    fn chain(&self, before: &[u8; 32], sum: &[u8; 32]) -> [u8; 32] {
        let mut hasher = blake3::Hasher::new();
        hasher
            .update(before)
            .update(&self.seq.to_le_bytes())
            .update(sum)
            .update(&self.at.to_le_bytes());
        for text in [&self.hash, &self.deps, &self.actor, &self.device, &self.message] {
            hasher
                .update(&(text.len() as u64).to_le_bytes())
                .update(text.as_bytes());
        }
        *hasher.finalize().as_bytes()
    }
}

/// The newest row's number and chain.
fn end(db: &Connection, record: &Id) -> Result<(u32, [u8; 32]), StoreError> {
    let mut sql =
        db.prepare_cached("SELECT seq, chain FROM change_log WHERE record = ?1 ORDER BY seq DESC LIMIT 1")?;
    let found = sql
        .query_row([record.as_str()], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    Ok(found.unwrap_or((0, [0; 32])))
}

/// Adds changes at the end; gives the number of the newest row.
pub(crate) fn append(db: &Connection, record: &Id, changes: &[Logged]) -> Result<u32, StoreError> {
    let (mut seq, mut chain) = end(db, record)?;
    let mut sql = db.prepare_cached(
        "INSERT INTO change_log (record, seq, hash, actor, device, at, message, deps, sum, chain, length, bytes)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12) ON CONFLICT (record, hash) DO NOTHING",
    )?;
    let mut fresh: BTreeSet<&ChangeId> = BTreeSet::new();
    for change in changes {
        // A log that lacks what one of its changes stands on gives no document.
        for dep in &change.deps {
            if !fresh.contains(dep) && !has(db, record, dep)? {
                return Err(StoreError::Gap {
                    change: change.id,
                    lacks: *dep,
                });
            }
        }
        fresh.insert(&change.id);
        if change.bytes.is_empty() {
            return Err(StoreError::Unfit {
                what: format!("the change {} has no bytes", change.id),
            });
        }
        seq = seq.saturating_add(1);
        let deps: Vec<String> = change.deps.iter().map(ChangeId::to_string).collect();
        let row = Lying {
            seq,
            hash: change.id.to_string(),
            deps: deps.join(" "),
            actor: change.actor.clone(),
            device: change.device.as_ref().map_or("", Id::as_str).to_owned(),
            at: change.at.seconds(),
            message: change.message.clone(),
        };
        let sum = *blake3::hash(&change.bytes).as_bytes();
        chain = row.chain(&chain, &sum);
        let length = i64::try_from(change.bytes.len()).unwrap_or(i64::MAX);
        let added = sql.execute(params![
            record.as_str(),
            row.seq,
            row.hash,
            row.actor,
            row.device,
            row.at,
            row.message,
            row.deps,
            sum,
            chain,
            length,
            change.bytes
        ])?;
        if added == 0 {
            return Err(StoreError::Twice(change.id));
        }
        super::touched::add(db, record, seq, change)?;
        super::deeds::add(db, record, seq, change)?;
    }
    Ok(seq)
}

/// Whether a change may be stood on: the log has it, or it is the fixed beginning, which is in no log.
pub(crate) fn has(db: &Connection, record: &Id, change: &ChangeId) -> Result<bool, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT EXISTS (SELECT 1 FROM change_log WHERE record = ?1 AND hash = ?2)")?;
    let logged: bool = sql.query_row([record.as_str(), &change.hex()], |row| row.get(0))?;
    Ok(logged || record::document::beginning().as_ref() == Some(change))
}

/// The changes that are in the log.
pub(crate) fn hashes(db: &Connection, record: &Id) -> Result<BTreeSet<ChangeId>, StoreError> {
    let mut sql = db.prepare_cached("SELECT hash FROM change_log WHERE record = ?1")?;
    let rows = sql.query_map([record.as_str()], |row| row.get::<_, String>(0))?;
    let rows: Vec<String> = rows.collect::<Result<_, _>>()?;
    Ok(rows.iter().filter_map(|hash| ChangeId::from_hex(hash)).collect())
}

/// A change of the log, with the changes it builds on.
pub(crate) type WithDeps = (ChangeId, Vec<ChangeId>);

/// The stretch of the log from the first of these changes to the last, as far as they are in it.
pub(crate) fn between<'a>(
    db: &Connection,
    record: &Id,
    changes: impl IntoIterator<Item = &'a ChangeId>,
) -> Result<Vec<WithDeps>, StoreError> {
    let mut sql = db.prepare_cached("SELECT seq FROM change_log WHERE record = ?1 AND hash = ?2")?;
    let (mut first, mut last) = (u32::MAX, 0_u32);
    for change in changes {
        let seq: Option<u32> = sql
            .query_row([record.as_str(), &change.hex()], |row| row.get(0))
            .optional()?;
        if let Some(seq) = seq {
            (first, last) = (first.min(seq), last.max(seq));
        }
    }
    let mut sql = db.prepare_cached(
        "SELECT seq, hash, deps FROM change_log WHERE record = ?1 AND seq BETWEEN ?2 AND ?3 ORDER BY seq",
    )?;
    let mut rows = sql.query(params![record.as_str(), first, last])?;
    let mut stretch = Vec::new();
    while let Some(row) = rows.next()? {
        stretch.push(with_deps(row)?);
    }
    Ok(stretch)
}

/// One change on the way back from another.
struct Step {
    seq: u32,
    device: String,
    deps: String,
}

/// Whether whoever wrote a change had another. It goes back over what was written since the two had last heard of each other, and
/// no further: a device has whatever it wrote before, and what lies before the other in the log builds on nothing of it.
pub(crate) fn knew(
    db: &Connection,
    record: &Id,
    change: &ChangeId,
    other: &ChangeId,
) -> Result<bool, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT seq, device, deps FROM change_log WHERE record = ?1 AND hash = ?2")?;
    let mut step = |hash: &str| {
        let read = |row: &Row<'_>| {
            Ok(Step {
                seq: row.get(0)?,
                device: row.get(1)?,
                deps: row.get(2)?,
            })
        };
        sql.query_row([record.as_str(), hash], read).optional()
    };
    let (Some(other), Some(from)) = (step(&other.hex())?, step(&change.hex())?) else {
        return Ok(false);
    };
    let mut open = BTreeMap::from([(from.seq, from)]);
    while let Some((seq, at)) = open.pop_last() {
        if seq <= other.seq {
            return Ok(seq == other.seq);
        }
        if !other.device.is_empty() && at.device == other.device {
            return Ok(true);
        }
        for dep in at.deps.split(' ').filter(|dep| !dep.is_empty()) {
            open.extend(step(dep)?.map(|dep| (dep.seq, dep)));
        }
    }
    Ok(false)
}

/// Reads number, hash and what it builds on.
fn with_deps(row: &Row<'_>) -> Result<WithDeps, StoreError> {
    let seq: u32 = row.get(0)?;
    let text = |at: usize| row.get_ref(at)?.as_str().map_err(rusqlite::Error::from);
    let deps = text(2)?.split(' ').filter(|dep| !dep.is_empty());
    let deps = deps.map(|dep| change_named(seq, dep));
    Ok((change_named(seq, text(1)?)?, deps.collect::<Result<_, _>>()?))
}

/// The changes of the log that no other builds on, in order, and how many there are in all.
pub(crate) fn heads(db: &Connection, record: &Id) -> Result<(Vec<ChangeId>, u32), StoreError> {
    let mut sql =
        db.prepare_cached("SELECT seq, hash, deps FROM change_log WHERE record = ?1 ORDER BY seq")?;
    let mut rows = sql.query([record.as_str()])?;
    let mut heads = BTreeSet::new();
    let mut count = 0_u32;
    while let Some(row) = rows.next()? {
        let (change, deps) = with_deps(row)?;
        for dep in &deps {
            heads.remove(dep);
        }
        heads.insert(change);
        count = count.saturating_add(1);
    }
    Ok((heads.into_iter().collect(), count))
}

/// The changes that are in the log, each with its number.
pub(crate) fn numbers(db: &Connection, record: &Id) -> Result<BTreeMap<ChangeId, u32>, StoreError> {
    let mut sql = db.prepare_cached("SELECT hash, seq FROM change_log WHERE record = ?1")?;
    let rows = sql.query_map([record.as_str()], |row| {
        Ok((row.get::<_, String>(0)?, row.get(1)?))
    })?;
    let mut numbers = BTreeMap::new();
    for row in rows {
        let (hash, seq): (String, u32) = row?;
        let change = ChangeId::from_hex(&hash)
            .ok_or_else(|| StoreError::damaged(format!("row {seq} of the log has no readable hash")))?;
        numbers.insert(change, seq);
    }
    Ok(numbers)
}

/// The changes that others of the log stand on and that are not in it.
pub(crate) fn gaps(db: &Connection, record: &Id) -> Result<BTreeSet<ChangeId>, StoreError> {
    let mut all = hashes(db, record)?;
    all.extend(record::document::beginning());
    let mut sql = db.prepare_cached("SELECT deps FROM change_log WHERE record = ?1 AND deps <> ''")?;
    let mut rows = sql.query([record.as_str()])?;
    let mut gaps = BTreeSet::new();
    while let Some(row) = rows.next()? {
        let deps: String = row.get(0)?;
        let deps = deps.split(' ').filter_map(ChangeId::from_hex);
        gaps.extend(deps.filter(|dep| !all.contains(dep)));
    }
    Ok(gaps)
}

/// How many changes a device made after its first `skip`, and when the first of those was made.
pub(crate) fn made_after(
    db: &Connection,
    record: &Id,
    device: &Id,
    skip: u32,
) -> Result<(u32, Option<Moment>), StoreError> {
    let all: u32 = db
        .prepare_cached("SELECT coalesce(max(nth), 0) FROM change_log WHERE record = ?1 AND device = ?2")?
        .query_row(params![record.as_str(), device.as_str()], |row| row.get(0))?;
    let first = db
        .prepare_cached("SELECT at FROM change_log WHERE record = ?1 AND device = ?2 AND nth = ?3")?
        .query_row(
            params![record.as_str(), device.as_str(), skip.saturating_add(1)],
            |row| row.get::<_, i64>(0),
        )
        .optional()?;
    Ok((all.saturating_sub(skip), first.map(Moment::from_seconds)))
}

/// The newest row's number and change.
pub(crate) fn newest(db: &Connection, record: &Id) -> Result<Option<(u32, String)>, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT seq, hash FROM change_log WHERE record = ?1 ORDER BY seq DESC LIMIT 1")?;
    let row = sql.query_row([record.as_str()], |row| Ok((row.get(0)?, row.get(1)?)));
    Ok(row.optional()?)
}

pub(crate) fn last(db: &Connection, record: &Id) -> Result<u32, StoreError> {
    end(db, record).map(|(seq, _)| seq)
}

/// The bytes of every change after `upto`, each checked, none missing.
pub(crate) fn bytes_after(db: &Connection, record: &Id, upto: u32) -> Result<Vec<Vec<u8>>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT seq, sum, bytes FROM change_log WHERE record = ?1 AND seq > ?2 ORDER BY seq",
    )?;
    let mut rows = sql.query(params![record.as_str(), upto])?;
    let mut all = Vec::new();
    let mut wanted = upto;
    while let Some(row) = rows.next()? {
        wanted = wanted.saturating_add(1);
        let (seq, sum, bytes): (u32, [u8; 32], Vec<u8>) = (row.get(0)?, row.get(1)?, row.get(2)?);
        if seq != wanted {
            return Err(StoreError::damaged(format!(
                "change {wanted} is missing from the log"
            )));
        }
        if blake3::hash(&bytes).as_bytes() != &sum {
            return Err(StoreError::damaged(format!(
                "change {seq} in the log is not what was written"
            )));
        }
        all.push(bytes);
    }
    Ok(all)
}

/// Empties the bytes of the changes up to and with `upto`; gives how many there were.
pub(crate) fn empty_bytes(db: &Connection, record: &Id, upto: u32) -> Result<usize, StoreError> {
    let emptied = db.execute(
        "UPDATE change_log SET bytes = x'' WHERE record = ?1 AND seq <= ?2 AND length(bytes) > 0",
        params![record.as_str(), upto],
    )?;
    Ok(emptied)
}

/// The row of a change; none where it is not in the log.
pub(crate) fn of_change(
    db: &Connection,
    record: &Id,
    change: &ChangeId,
) -> Result<Option<LogRow>, StoreError> {
    let mut sql = db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM change_log WHERE record = ?1 AND hash = ?2"
    ))?;
    let row = sql
        .query_row([record.as_str(), &change.hex()], Lying::read)
        .optional()?;
    row.map(Lying::understood).transpose()
}

/// A reading of a record's whole log, in order, that says what is wrong with it.
#[derive(Debug)]
pub(crate) struct Walk {
    /// Where the oldest snapshot ends: no change after it may be without its bytes.
    oldest: u32,
    /// The number of the row that was read last.
    after: i64,
    wanted: u32,
    chain: [u8; 32],
}

impl Walk {
    pub(crate) fn to(oldest: u32) -> Self {
        Self {
            oldest,
            after: i64::MIN,
            wanted: 1,
            chain: [0; 32],
        }
    }

    /// Reads as many rows as are left; what is wrong with them, and whether there are more.
    pub(crate) fn troubles(
        &mut self,
        db: &Connection,
        record: &Id,
        left: &mut u32,
    ) -> Result<(Vec<String>, bool), StoreError> {
        let mut sql = db.prepare_cached(&format!(
            "SELECT {COLUMNS}, sum, chain, length, bytes FROM change_log WHERE record = ?1 AND seq > ?2
             ORDER BY seq LIMIT ?3"
        ))?;
        let mut rows = sql.query(params![record.as_str(), self.after, *left])?;
        let mut says = Vec::new();
        while let Some(row) = rows.next()? {
            *left = left.saturating_sub(1);
            self.look(row, &mut says)?;
        }
        Ok((says, *left == 0))
    }

    fn look(&mut self, row: &Row<'_>, says: &mut Vec<String>) -> Result<(), StoreError> {
        let lying = Lying::read(row)?;
        let (seq, wanted) = (lying.seq, self.wanted);
        let (sum, kept_chain, length): ([u8; 32], [u8; 32], i64) = (row.get(7)?, row.get(8)?, row.get(9)?);
        let bytes: Vec<u8> = row.get(10)?;
        if seq != wanted {
            says.push(format!(
                "changes {wanted} to {} are missing from the log",
                seq.saturating_sub(1)
            ));
        } else if lying.chain(&self.chain, &sum) != kept_chain {
            says.push(format!(
                "row {seq} of the log is not what was written, or does not follow the row before"
            ));
        }
        if bytes.is_empty() && seq > self.oldest {
            says.push(format!(
                "change {seq} has no bytes, and no older snapshot holds it"
            ));
        }
        let whole = i64::try_from(bytes.len()) == Ok(length) && blake3::hash(&bytes).as_bytes() == &sum;
        if !bytes.is_empty() && !whole {
            says.push(format!("the bytes of change {seq} are not what was written"));
        }
        if lying.understood().is_err() {
            says.push(format!("row {seq} of the log has no readable hash"));
        }
        self.after = i64::from(seq);
        self.wanted = seq.saturating_add(1);
        self.chain = kept_chain;
        Ok(())
    }
}
