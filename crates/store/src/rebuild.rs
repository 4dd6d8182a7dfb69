//! Making the derived tables anew from the document: entries, links, touched fields, deeds, search and points. And a
//! digest over them, by which two ways of deriving the same record are compared. The log and the snapshots are
//! never written here.

use std::collections::BTreeMap;

use record::{Entry, Id, Logged};

use crate::tables::{change_log, deeds, entries, points, records, sums, touched};
use crate::{PointRow, Store, StoreError};

/// What came of a rebuild.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rebuilt {
    /// Entries derived.
    pub entries: u32,
    /// Changes of the document that are not in the log: its fixed beginning, which every program has built in.
    pub unlogged: u32,
}

impl Store {
    /// Drops a record's derived rows and makes them anew, in one transaction. `rows` are all changes of the
    /// document with what they touched; `now_read` are all entries.
    ///
    /// # Errors
    /// [`StoreError::Unfit`] where the document lacks a change that the log has: then nothing was written.
    pub fn rebuild<'e>(
        &mut self,
        record: &Id,
        rows: &[Logged],
        now_read: impl IntoIterator<Item = &'e Entry>,
        to_settle: &[PointRow],
    ) -> Result<Rebuilt, StoreError> {
        let tx = self.writing()?;
        records::one(&tx, record)?;
        let logged = change_log::since(&tx, record, 0, u32::MAX)?;
        let mut numbers: BTreeMap<_, _> = logged.iter().map(|row| (&row.change, row.seq)).collect();
        touched::clear(&tx, record)?;
        deeds::clear(&tx, record)?;
        entries::clear(&tx, record)?;
        let mut rebuilt = Rebuilt {
            entries: 0,
            unlogged: 0,
        };
        for row in rows {
            match numbers.remove(&row.id) {
                Some(seq) => {
                    touched::add(&tx, record, seq, &row.touched)?;
                    deeds::add(&tx, record, seq, row)?;
                }
                None => rebuilt.unlogged = rebuilt.unlogged.saturating_add(1),
            }
        }
        if let Some((change, seq)) = numbers.into_iter().next() {
            let what = format!("the document lacks change {seq} of the log ({change})");
            return Err(StoreError::Unfit { what });
        }
        for entry in now_read {
            entries::put(&tx, record, entry)?;
            rebuilt.entries = rebuilt.entries.saturating_add(1);
        }
        points::put(&tx, record, to_settle)?;
        records::set_derived(&tx, record)?;
        // What comes again by itself only stands in its own way where it is damaged.
        sums::clear(&tx)?;
        tx.commit()?;
        Ok(rebuilt)
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
        let read = self.db.unchecked_transaction()?;
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
        Ok(hasher.finalize().to_hex().to_string())
    }
}
