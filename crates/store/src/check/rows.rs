//! The database's part of a check: pages and indexes, references, log, snapshots, derived rows.

use record::Id;
use rusqlite::{Connection, params};

use super::depth::Left;
use super::trouble::Trouble;
use crate::tables::entries::{self, Columns};
use crate::tables::{change_log, photos, records, settings, snapshots, sums};
use crate::{StoreError, tally};

/// SQLite's own check, which covers pages, indexes, types, and the search index, then the references.
pub(super) fn database(db: &Connection, found: &mut Vec<Trouble>) -> Result<(), StoreError> {
    let mut sql = db.prepare("PRAGMA integrity_check(100)")?;
    let lines: Vec<String> = sql.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
    for line in lines.iter().filter(|line| *line != "ok") {
        let (code, what) = if line.contains("fts5") || line.contains("search") {
            ("search", "the search index is damaged; rebuild makes it anew")
        } else {
            (
                "database",
                "the database is damaged; copy the folder, then join again from the other device",
            )
        };
        found.push(Trouble::broken(code, None, format!("{what} ({line})")));
    }
    let mut sql = db.prepare("PRAGMA foreign_key_check")?;
    let lines: Vec<String> = sql
        .query_map([], |row| {
            Ok(format!(
                "{} refers to {}",
                row.get::<_, String>(0)?,
                row.get::<_, String>(2)?
            ))
        })?
        .collect::<Result<_, _>>()?;
    for line in lines {
        found.push(Trouble::broken(
            "reference",
            None,
            format!("a row in {line} that is not there"),
        ));
    }
    Ok(())
}

/// The small rows, and what the tally tells of.
pub(super) fn small(
    db: &Connection,
    record: Option<&Id>,
    found: &mut Vec<Trouble>,
) -> Result<(), StoreError> {
    let has_sums: bool = db.query_row(
        "SELECT EXISTS (SELECT 1 FROM pragma_table_info('folder') WHERE name = 'sum')",
        [],
        |row| row.get(0),
    )?;
    if has_sums {
        for table in sums::ALL {
            if table.wrong(db)? > 0 {
                found.push(Trouble::broken("own_row", None, table.says));
            }
        }
    }
    let unknown = settings::unknown(db)?;
    if unknown > 0 {
        let says = format!(
            "settings of before that this program does not know or could not read: {unknown}. They are kept in the table 'unknown_settings' of the database"
        );
        found.push(Trouble::note("settings", None, says));
    }
    for (id, lost) in tally::losses(db, record)? {
        found.push(Trouble::broken("lost", Some(&id), tally::words(db, &id, &lost)));
    }
    if let Some(says) = tally::gone(db)? {
        found.push(Trouble::note("tally", None, says));
    }
    Ok(())
}

/// How many rows of a record a check goes over.
pub(super) fn count(db: &Connection, record: &Id) -> Result<u64, StoreError> {
    let sql = "SELECT (SELECT count(*) FROM change_log WHERE record = ?1) + (SELECT count(*) FROM entries WHERE record = ?1)";
    let rows: i64 = db.query_row(sql, [record.as_str()], |row| row.get(0))?;
    Ok(u64::try_from(rows).unwrap_or(0))
}

/// One record's snapshots, log and derived rows, so many at a time.
#[derive(Debug)]
pub(super) struct Rows {
    record: Id,
    at: At,
}

#[derive(Debug)]
enum At {
    Snapshots,
    Log(change_log::Walk),
    /// After which kind and id the next entry stands.
    Entries(String, String),
}

impl Rows {
    pub(super) fn of(record: Id) -> Self {
        Self {
            record,
            at: At::Snapshots,
        }
    }

    /// Goes over as many rows as are left to this step, and answers whether there are more.
    pub(super) fn step(
        &mut self,
        db: &Connection,
        left: &mut Left,
        found: &mut Vec<Trouble>,
    ) -> Result<bool, StoreError> {
        let record = &self.record;
        match &mut self.at {
            At::Snapshots => {
                let oldest = snapshots_of(db, record, found)?;
                self.at = At::Log(change_log::Walk::to(oldest));
            }
            At::Log(walk) => {
                let (says, more) = walk.troubles(db, record, left)?;
                let broken = |says| Trouble::broken("log", Some(record), says);
                found.extend(says.into_iter().map(broken));
                if !more {
                    self.at = At::Entries(String::new(), String::new());
                }
            }
            At::Entries(kind, id) => {
                if !entries_after(db, record, (kind, id), left, found)? {
                    rest(db, record, found)?;
                    return Ok(false);
                }
            }
        }
        Ok(true)
    }
}

/// Looks at the snapshots; answers where the oldest one ends that changes without bytes may lean on.
fn snapshots_of(db: &Connection, record: &Id, found: &mut Vec<Trouble>) -> Result<u32, StoreError> {
    let last = change_log::last(db, record)?;
    let all = snapshots::ends(db, record)?;
    for &upto in &all {
        if snapshots::whole(db, record, upto).is_none() {
            let says = format!(
                "the snapshot up to change {upto} is not what was written. The one before it and the log are used \
                 in its place"
            );
            found.push(Trouble::broken("snapshot", Some(record), says));
        }
        if upto > last {
            let says = format!("a snapshot goes up to change {upto}, but the log ends at {last}");
            found.push(Trouble::broken("snapshot", Some(record), says));
        }
    }
    // The bytes of a change may be gone only where two snapshots held it.
    Ok(if all.len() > 1 {
        all.last().copied().unwrap_or(0)
    } else {
        0
    })
}

/// Looks at the entries after one of them, in the order of their names; answers whether there are more.
fn entries_after(
    db: &Connection,
    record: &Id,
    (at_kind, at_id): (&mut String, &mut String),
    left: &mut Left,
    found: &mut Vec<Trouble>,
) -> Result<bool, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT row, kind, id, sum, json FROM entries WHERE record = ?1 AND (kind, id) > (?2, ?3)
         ORDER BY kind, id LIMIT ?4",
    )?;
    let mut rows = sql.query(params![record.as_str(), at_kind.as_str(), at_id.as_str(), *left])?;
    while let Some(row) = rows.next()? {
        *left = left.saturating_sub(1);
        let (number, kind, id): (i64, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
        let (sum, json): ([u8; 32], String) = (row.get(3)?, row.get(4)?);
        let wrong = match entries::understood(&json, &kind, &id) {
            Err(error) => Some(bare(&error)),
            Ok(_) if blake3::hash(json.as_bytes()).as_bytes() != &sum => {
                Some(format!("the read row of {kind} '{id}' is not what was written"))
            }
            Ok(entry) if Columns::of(&entry) != Columns::lying(db, number)? => {
                Some(format!("the read rows of {kind} '{id}' do not agree"))
            }
            Ok(_) => None,
        };
        if let Some(wrong) = wrong {
            let says = format!("{wrong}; rebuild makes them anew");
            found.push(Trouble::broken("read_row", Some(record), says));
        }
        (*at_kind, *at_id) = (kind, id);
    }
    Ok(*left == 0)
}

/// What is looked at of a record once, at the end.
fn rest(db: &Connection, record: &Id, found: &mut Vec<Trouble>) -> Result<(), StoreError> {
    if records::derived(db, record)? != crate::tables::DERIVED {
        let says = "the read tables were made by another version of the program; rebuild makes them anew";
        found.push(Trouble::note("stale", Some(record), says));
    }
    let orphans =
        "SELECT count(*) FROM search s WHERE NOT EXISTS (SELECT 1 FROM entries e WHERE e.row = s.rowid)";
    let orphans: u32 = db.query_row(orphans, [], |row| row.get(0))?;
    if orphans > 0 {
        let says = format!("{orphans} search rows belong to no entry");
        found.push(Trouble::broken("search", None, says));
    }
    let mut sql = db.prepare("SELECT id, json FROM points WHERE record = ?1 ORDER BY rank")?;
    let mut rows = sql.query([record.as_str()])?;
    while let Some(row) = rows.next()? {
        let (id, json): (String, String) = (row.get(0)?, row.get(1)?);
        if serde_json::from_str::<serde_json::Value>(&json).is_err() {
            let says = format!("the row of point to settle '{id}' cannot be read; rebuild makes it anew");
            found.push(Trouble::broken("read_row", Some(record), says));
        }
    }
    let away = photos::named(db, record, false)?.len();
    if away > 0 {
        let photos = if away == 1 {
            "1 photo is"
        } else {
            &format!("{away} photos are")
        };
        let says =
            format!("{photos} not on this device yet; what a device that is met has comes with the meeting");
        found.push(Trouble::note("photos_away", Some(record), says));
    }
    Ok(())
}

/// What happened, without the advice that goes with a failed command.
fn bare(error: &StoreError) -> String {
    match error {
        StoreError::Damaged { what } => what.clone(),
        other => other.to_string(),
    }
}
