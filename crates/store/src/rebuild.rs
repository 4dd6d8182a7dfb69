//! Making the derived tables anew from the document: entries, links, touched fields, deeds, search and points. And a
//! digest over them, by which two ways of deriving the same record are compared. The log and the snapshots are
//! never written here.

mod print;

use std::collections::{BTreeMap, BTreeSet};

use record::{ChangeId, Entry, Id, Logged, Ref};

use crate::tables::{change_log, deeds, entries, points, records, search, sums, touched};
use crate::{PointRow, Store, StoreError};

/// What came of a rebuild.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rebuilt {
    /// Entries derived.
    pub entries: u32,
    /// Changes of the document that are not in the log: its fixed beginning, which every program has built in.
    pub unlogged: u32,
}

/// Derived rows on their way to being made anew, some at a time, each time in one transaction. What was not come to yet reads as
/// before, so that whatever is written between two steps, and an end half-way, leave nothing worse than it was.
#[derive(Debug)]
pub struct Rebuilding {
    record: Id,
    numbers: BTreeMap<ChangeId, u32>,
    /// Between which rows the next is looked at that may be nobody's. What is written meanwhile lies behind them.
    between: (i64, i64),
    changed: bool,
    rebuilt: Rebuilt,
}

impl Rebuilding {
    /// What was made so far.
    #[must_use]
    pub fn rebuilt(&self) -> Rebuilt {
        self.rebuilt
    }

    /// Whether any row that was come to is other than it was.
    #[must_use]
    pub fn changed(&self) -> bool {
        self.changed
    }
}

impl Store {
    /// Makes a record's derived rows anew, all of them. `rows` are all changes of the document with what they touched;
    /// `now_read` are all entries.
    ///
    /// # Errors
    /// As [`rebuilding`](Self::rebuilding).
    pub fn rebuild<'e>(
        &mut self,
        record: &Id,
        rows: &[Logged],
        now_read: impl IntoIterator<Item = &'e Entry>,
        to_settle: &[PointRow],
    ) -> Result<Rebuilt, StoreError> {
        let mut rebuilding = self.rebuilding(record, rows, u32::MAX)?;
        let entries: Vec<&Entry> = now_read.into_iter().collect();
        let names: BTreeSet<Ref> = entries.iter().map(|entry| entry.name()).collect();
        self.rebuild_changes(&mut rebuilding, rows)?;
        self.rebuild_entries(&mut rebuilding, &entries)?;
        self.rebuild_leftovers(&mut rebuilding, |name| names.contains(name), u32::MAX)?;
        self.rebuild_end(&mut rebuilding, to_settle)?;
        Ok(rebuilding.rebuilt)
    }

    /// Begins to make a record's derived rows anew. `rows` are all changes of the document as it was when the log went up to `upto`.
    ///
    /// # Errors
    /// [`StoreError::Unfit`] where the document lacks a change that the log has.
    pub fn rebuilding(&self, record: &Id, rows: &[Logged], upto: u32) -> Result<Rebuilding, StoreError> {
        self.writable()?;
        records::one(&self.db, record)?;
        let numbers = change_log::numbers(&self.db, record)?;
        let mut lacking = numbers.clone();
        lacking.retain(|_, seq| *seq <= upto);
        let mut unlogged = 0_u32;
        for row in rows {
            lacking.remove(&row.id);
            if !numbers.contains_key(&row.id) {
                unlogged = unlogged.saturating_add(1);
            }
        }
        if let Some((change, seq)) = lacking.into_iter().next() {
            let what = format!("the document lacks change {seq} of the log ({change})");
            return Err(StoreError::Unfit { what });
        }
        Ok(Rebuilding {
            record: record.clone(),
            numbers,
            between: (i64::MIN, entries::newest_row(&self.db)?),
            changed: false,
            rebuilt: Rebuilt { entries: 0, unlogged },
        })
    }

    /// Makes the rows of these changes anew: what they touched, and what was done by them.
    ///
    /// # Errors
    /// Where the disk refuses; the rows are as before then.
    pub fn rebuild_changes(&mut self, at: &mut Rebuilding, rows: &[Logged]) -> Result<(), StoreError> {
        let tx = self.writing()?;
        let record = &at.record;
        let logged = rows
            .iter()
            .filter_map(|row| Some((*at.numbers.get(&row.id)?, row)));
        let mut changed = false;
        for (seq, row) in logged {
            let before = print::of_change(&tx, record, seq)?;
            touched::clear(&tx, record, seq)?;
            deeds::clear(&tx, record, seq)?;
            touched::add(&tx, record, seq, row)?;
            deeds::add(&tx, record, seq, row)?;
            changed |= before != print::of_change(&tx, record, seq)?;
        }
        tx.commit()?;
        at.changed |= changed;
        Ok(())
    }

    /// Makes the rows of these entries anew.
    ///
    /// # Errors
    /// Where the disk refuses; the rows are as before then.
    pub fn rebuild_entries(&mut self, at: &mut Rebuilding, now_read: &[&Entry]) -> Result<(), StoreError> {
        let tx = self.writing()?;
        let mut changed = false;
        for entry in now_read {
            let name = entry.name();
            let before = print::of_entry(&tx, &at.record, &name)?;
            entries::remove(&tx, &at.record, &name)?;
            entries::put(&tx, &at.record, entry)?;
            changed |= before != print::of_entry(&tx, &at.record, &name)?;
        }
        tx.commit()?;
        at.changed |= changed;
        let made = u32::try_from(now_read.len()).unwrap_or(u32::MAX);
        at.rebuilt.entries = at.rebuilt.entries.saturating_add(made);
        Ok(())
    }

    /// Takes away the rows of what is no entry of the record, looking at so many rows; answers whether there are more.
    ///
    /// # Errors
    /// Where the disk refuses; the rows are as before then.
    pub fn rebuild_leftovers(
        &mut self,
        at: &mut Rebuilding,
        is_entry: impl Fn(&Ref) -> bool,
        most: u32,
    ) -> Result<bool, StoreError> {
        let tx = self.writing()?;
        let names = entries::names_between(&tx, &at.record, at.between, most)?;
        let more = u32::try_from(names.len()) == Ok(most);
        let mut changed = false;
        for (row, kind, id) in &names {
            let name = kind
                .parse()
                .ok()
                .and_then(|kind| Some(Ref::new(kind, id.parse().ok()?)));
            if !name.is_some_and(|name| is_entry(&name)) {
                entries::remove_row(&tx, *row)?;
                changed = true;
            }
        }
        tx.commit()?;
        at.changed |= changed;
        if let Some((row, ..)) = names.last() {
            at.between.0 = *row;
        }
        Ok(more)
    }

    /// Puts the points, takes away what belongs to nothing, and says by which version the rows were made.
    ///
    /// # Errors
    /// Where the disk refuses; the record is as stale as before then.
    pub fn rebuild_end(&mut self, at: &mut Rebuilding, to_settle: &[PointRow]) -> Result<(), StoreError> {
        let tx = self.writing()?;
        let mut changed = touched::clear_beyond(&tx, &at.record)?;
        changed |= deeds::clear_beyond(&tx, &at.record)?;
        changed |= search::clear_loose(&tx)?;
        changed |= points::put(&tx, &at.record, to_settle)? > 0;
        records::set_derived(&tx, &at.record)?;
        // What comes again by itself only stands in its own way where it is damaged.
        sums::clear(&tx)?;
        tx.commit()?;
        at.changed |= changed;
        Ok(())
    }

    /// Whether a record's derived rows were made by another version of the program and are to be rebuilt.
    ///
    /// # Errors
    /// [`StoreError::NoRecord`], or where the folder cannot be read.
    pub fn is_stale(&self, record: &Id) -> Result<bool, StoreError> {
        Ok(records::derived(&self.db, record)? != crate::tables::DERIVED)
    }

    /// BLAKE3 over everything derived of a record, in one order on every device: row numbers and places in the
    /// log, which differ from device to device, are left out.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn derived_digest(&self, record: &Id) -> Result<String, StoreError> {
        const TABLES: &[&str] = &[
            "SELECT kind, id, title, on_day, state, device, struck, blank, json FROM entries
             WHERE record = ?1 ORDER BY kind, id",
            "SELECT e.kind, e.id, l.field, l.target FROM links l JOIN entries e ON e.row = l.row
             WHERE e.record = ?1 ORDER BY e.kind, e.id, l.field, l.target",
            "SELECT e.kind, e.id, s.title, s.body FROM search s JOIN entries e ON e.row = s.rowid
             WHERE e.record = ?1 ORDER BY e.kind, e.id",
            "SELECT t.kind, t.id, t.field, l.hash FROM touched t
             JOIN change_log l ON l.record = t.record AND l.seq = t.seq
             WHERE t.record = ?1 ORDER BY t.kind, t.id, t.field, l.hash",
            "SELECT d.kind, d.id, d.field, d.value, d.doer, d.on_day, l.hash FROM deeds d
             JOIN change_log l ON l.record = d.record AND l.seq = d.seq
             WHERE d.record = ?1 ORDER BY d.kind, d.id, d.field, l.hash",
            "SELECT id, json FROM points WHERE record = ?1 ORDER BY rank, id",
        ];
        let _moment = self.moment()?;
        let read = &self.db;
        let mut hasher = blake3::Hasher::new();
        for (number, table) in (0_u8..).zip(TABLES) {
            hasher.update(&[number]);
            let mut sql = read.prepare_cached(table)?;
            let columns = sql.column_count();
            let mut rows = sql.query([record.as_str()])?;
            while let Some(row) = rows.next()? {
                for column in 0..columns {
                    let value = match row.get_ref(column)? {
                        rusqlite::types::ValueRef::Text(text) => text.to_vec(),
                        rusqlite::types::ValueRef::Integer(number) => number.to_string().into_bytes(),
                        other => {
                            return Err(StoreError::damaged(format!(
                                "a derived column holds {:?}",
                                other.data_type()
                            )));
                        }
                    };
                    hasher.update(&(value.len() as u64).to_le_bytes()).update(&value);
                }
            }
        }
        // Actors have numbers of this device's own.
        touched::each_wrote(read, record, |wrote| {
            hasher.update(format!("{wrote:?}").as_bytes());
        })?;
        Ok(hasher.finalize().to_hex().to_string())
    }
}
