//! Entries as they read now, each as JSON, with the few columns that lists are made by, and their links to each
//! other. Derived: all of it can be made anew from the document. No rule of the trade is decided here.

use std::collections::BTreeSet;

use record::title::{named, title};
use record::{Day, Entity as _, Entry, Id, Kind, PhotoHash, Ref, Scalar, View, across, entities as e};
use rusqlite::{Connection, OptionalExtension, params};

use super::{Migration, Older, search};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 6,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE entries (
    row     INTEGER NOT NULL PRIMARY KEY,
    record  TEXT NOT NULL REFERENCES records (record),
    kind    TEXT NOT NULL,
    id      TEXT NOT NULL,
    -- What a list calls it.
    title   TEXT NOT NULL DEFAULT '',
    -- The day it belongs to; empty where it has none.
    on_day  TEXT NOT NULL DEFAULT '',
    state   TEXT NOT NULL DEFAULT '',
    -- The device that made it.
    device  TEXT NOT NULL DEFAULT '',
    struck  INTEGER NOT NULL DEFAULT 0,
    -- Nothing was ever written in it, as in a day sheet laid ahead.
    blank   INTEGER NOT NULL DEFAULT 0,
    -- BLAKE3 of the JSON.
    sum     BLOB NOT NULL CHECK (length(sum) = 32),
    json    TEXT NOT NULL,
    UNIQUE (record, kind, id)
) STRICT;
CREATE INDEX entries_day ON entries (record, on_day) WHERE on_day <> '' AND blank = 0;
CREATE TABLE links (
    row     INTEGER NOT NULL REFERENCES entries (row),
    field   TEXT NOT NULL,
    -- `kind:id`, or `blake3:hash` for a photo's original.
    target  TEXT NOT NULL,
    PRIMARY KEY (row, field, target)
) STRICT, WITHOUT ROWID;
CREATE INDEX links_target ON links (target, field, row);
"],
};

/// What is called alike is found by its key. A program that does not know the column derives the record anew, and so does this one after it.
pub(super) const PLAIN: Migration = Migration {
    number: 22,
    older: Older::Survives,
    sql: &["
-- The title in small letters.
ALTER TABLE entries ADD COLUMN plain TEXT NOT NULL DEFAULT '';
CREATE INDEX entries_plain ON entries (record, kind, plain);
-- By its own word it asks for something, or does not say what it is of.
ALTER TABLE entries ADD COLUMN asks INTEGER NOT NULL DEFAULT 0;
ALTER TABLE entries ADD COLUMN loose INTEGER NOT NULL DEFAULT 0;
CREATE INDEX entries_asks ON entries (record, kind) WHERE asks = 1;
CREATE INDEX entries_loose ON entries (record, kind) WHERE loose = 1;
"],
};

/// Everything that the rows of an entry hold beside its JSON: made from the entry alone, here and in a check.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Columns {
    pub(crate) title: String,
    pub(crate) plain: String,
    /// What search gives most weight to: what it calls itself.
    pub(crate) called: String,
    pub(crate) on_day: String,
    pub(crate) state: String,
    pub(crate) device: String,
    pub(crate) struck: bool,
    pub(crate) blank: bool,
    pub(crate) asks: bool,
    pub(crate) loose: bool,
    /// What search looks through beside the title.
    pub(crate) body: String,
    /// Field and target.
    pub(crate) links: BTreeSet<(String, String)>,
}

impl Columns {
    pub(crate) fn of(entry: &Entry) -> Self {
        let title = title(entry);
        Self {
            plain: title.to_lowercase(),
            title,
            called: named(entry).unwrap_or_default(),
            on_day: day_of(entry).map(|day| day.to_string()).unwrap_or_default(),
            state: across::state(entry).unwrap_or_default().to_owned(),
            device: entry.made.device.as_ref().map_or("", Id::as_str).to_owned(),
            struck: !entry.stands(),
            blank: is_blank(entry),
            asks: record::own_word::asks(entry),
            loose: record::own_word::is_loose(entry),
            body: search::body_of(entry),
            links: links_of(entry),
        }
    }

    /// The columns as they lie in the tables, for a check.
    pub(crate) fn lying(db: &Connection, row: i64) -> Result<Self, StoreError> {
        let mut sql = db.prepare_cached("SELECT field, target FROM links WHERE row = ?1")?;
        let links = sql
            .query_map([row], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<Result<_, _>>()?;
        let mut sql = db.prepare_cached(
            "SELECT e.title, e.on_day, e.state, e.device, e.struck, e.blank, s.title, s.body, e.plain,
                 e.asks, e.loose
             FROM entries e LEFT JOIN search s ON s.rowid = e.row WHERE e.row = ?1",
        )?;
        let columns = sql.query_row([row], |row| {
            Ok(Self {
                title: row.get(0)?,
                // A search row that is missing shows as what cannot be right.
                called: row
                    .get::<_, Option<String>>(6)?
                    .unwrap_or_else(|| "\n".to_owned()),
                on_day: row.get(1)?,
                state: row.get(2)?,
                device: row.get(3)?,
                struck: row.get(4)?,
                blank: row.get(5)?,
                body: row.get::<_, Option<String>>(7)?.unwrap_or_default(),
                plain: row.get(8)?,
                asks: row.get(9)?,
                loose: row.get(10)?,
                links,
            })
        });
        Ok(columns?)
    }
}

/// Puts an entry's rows in place of whatever was there for it.
pub(crate) fn put(db: &Connection, record: &Id, entry: &Entry) -> Result<(), StoreError> {
    let json = serde_json::to_string(entry).map_err(|e| StoreError::Unfit { what: e.to_string() })?;
    let columns = Columns::of(entry);
    let mut sql = db.prepare_cached(
        "INSERT INTO entries (record, kind, id, title, on_day, state, device, struck, blank, sum, json, plain,
             asks, loose)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)
         ON CONFLICT (record, kind, id) DO UPDATE SET title = excluded.title, on_day = excluded.on_day,
             state = excluded.state, device = excluded.device, struck = excluded.struck,
             blank = excluded.blank, sum = excluded.sum, json = excluded.json, plain = excluded.plain,
             asks = excluded.asks, loose = excluded.loose
         RETURNING row",
    )?;
    let row: i64 = sql.query_row(
        params![
            record.as_str(),
            entry.kind.word(),
            entry.id.as_str(),
            columns.title,
            columns.on_day,
            columns.state,
            columns.device,
            columns.struck,
            columns.blank,
            blake3::hash(json.as_bytes()).as_bytes(),
            json,
            columns.plain,
            columns.asks,
            columns.loose
        ],
        |row| row.get(0),
    )?;
    db.prepare_cached("DELETE FROM links WHERE row = ?1")?
        .execute([row])?;
    let mut sql = db.prepare_cached("INSERT INTO links (row, field, target) VALUES (?1, ?2, ?3)")?;
    for (field, target) in &columns.links {
        sql.execute(params![row, field, target])?;
    }
    search::put(db, row, &columns.called, &columns.body)
}

/// Drops the rows of one entry, where it has any.
pub(crate) fn remove(db: &Connection, record: &Id, name: &Ref) -> Result<(), StoreError> {
    let of_entry = "(SELECT row FROM entries WHERE record = ?1 AND kind = ?2 AND id = ?3)";
    let named = [record.as_str(), name.kind.word(), name.id.as_str()];
    db.prepare_cached(&format!("DELETE FROM search WHERE rowid IN {of_entry}"))?
        .execute(named)?;
    db.prepare_cached(&format!("DELETE FROM links WHERE row IN {of_entry}"))?
        .execute(named)?;
    db.prepare_cached("DELETE FROM entries WHERE record = ?1 AND kind = ?2 AND id = ?3")?
        .execute(named)?;
    Ok(())
}

/// Drops the rows of an entry by the number of its row, whatever its name says.
pub(crate) fn remove_row(db: &Connection, row: i64) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM search WHERE rowid = ?1",
        "DELETE FROM links WHERE row = ?1",
        "DELETE FROM entries WHERE row = ?1",
    ] {
        db.prepare_cached(sql)?.execute([row])?;
    }
    Ok(())
}

/// The number of the newest row, of whichever record; nought where there is none.
pub(crate) fn newest_row(db: &Connection) -> Result<i64, StoreError> {
    Ok(db.query_row("SELECT coalesce(max(row), 0) FROM entries", [], |row| row.get(0))?)
}

/// A record's rows with a number after `after` and up to `upto`, at most `most`: each one's number, kind and id as they lie there.
pub(crate) fn names_between(
    db: &Connection,
    record: &Id,
    (after, upto): (i64, i64),
    most: u32,
) -> Result<Vec<(i64, String, String)>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT row, kind, id FROM entries NOT INDEXED WHERE record = ?1 AND row > ?2 AND row <= ?3
         ORDER BY row LIMIT ?4",
    )?;
    let rows = sql.query_map(params![record.as_str(), after, upto, most], |row| {
        Ok((row.get(0)?, row.get(1)?, row.get(2)?))
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Understands an entry's JSON; an error says which row it is.
pub(crate) fn understood(json: &str, kind: &str, id: &str) -> Result<Entry, StoreError> {
    let entry: Entry = serde_json::from_str(json)
        .map_err(|e| StoreError::damaged(format!("the read row of {kind} '{id}' cannot be read ({e})")))?;
    if entry.kind.word() == kind && entry.id.as_str() == id {
        return Ok(entry);
    }
    Err(StoreError::damaged(format!(
        "the read row of {kind} '{id}' is another entry's"
    )))
}

pub(crate) fn one(db: &Connection, record: &Id, kind: Kind, id: &Id) -> Result<Option<Entry>, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT json FROM entries WHERE record = ?1 AND kind = ?2 AND id = ?3")?;
    let json: Option<String> = sql
        .query_row([record.as_str(), kind.word(), id.as_str()], |row| row.get(0))
        .optional()?;
    json.map(|json| understood(&json, kind.word(), id.as_str()))
        .transpose()
}

/// The entries of a kind, or of all of them, by kind and id.
pub(crate) fn some(db: &Connection, record: &Id, kind: Option<Kind>) -> Result<Vec<Entry>, StoreError> {
    // Two statements: one for both would leave the kind out of the index, and go over every key of the record for each kind.
    match kind {
        Some(kind) => listed(
            db,
            "SELECT json, kind, id FROM entries WHERE record = ?1 AND kind = ?2",
            [record.as_str(), kind.word()],
        ),
        None => listed(
            db,
            "SELECT json, kind, id FROM entries WHERE record = ?1",
            [record.as_str()],
        ),
    }
}

/// What a statement gives of entries, by kind and id.
fn listed(db: &Connection, sql: &str, by: impl rusqlite::Params) -> Result<Vec<Entry>, StoreError> {
    let mut sql = db.prepare_cached(sql)?;
    let mut rows = sql.query(by)?;
    let mut entries = Vec::new();
    while let Some(row) = rows.next()? {
        let (json, kind, id): (String, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
        entries.push(understood(&json, &kind, &id)?);
    }
    entries.sort_by(|a, b| (a.kind, &a.id).cmp(&(b.kind, &b.id)));
    Ok(entries)
}

/// The entries after one of them, in the order of their names as they lie there, at most `most`.
pub(crate) fn after(
    db: &Connection,
    record: &Id,
    name: Option<&Ref>,
    most: u32,
) -> Result<Vec<Entry>, StoreError> {
    let (kind, id) = name.map_or(("", ""), |name| (name.kind.word(), name.id.as_str()));
    let mut sql = db.prepare_cached(
        "SELECT json, kind, id FROM entries WHERE record = ?1 AND (kind, id) > (?2, ?3)
         ORDER BY kind, id LIMIT ?4",
    )?;
    let mut rows = sql.query(params![record.as_str(), kind, id, most])?;
    let mut entries = Vec::new();
    while let Some(row) = rows.next()? {
        let (json, kind, id): (String, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
        entries.push(understood(&json, &kind, &id)?);
    }
    Ok(entries)
}

/// The entries of a day, by kind and id.
pub(crate) fn on(db: &Connection, record: &Id, day: Day) -> Result<Vec<Entry>, StoreError> {
    listed(
        db,
        "SELECT json, kind, id FROM entries WHERE record = ?1 AND on_day = ?2 AND on_day <> '' AND blank = 0",
        params![record.as_str(), day.to_string()],
    )
}

/// The entries of a kind with a word between quotes in their JSON, by id.
pub(crate) fn saying(db: &Connection, record: &Id, kind: Kind, word: &str) -> Result<Vec<Entry>, StoreError> {
    listed(
        db,
        "SELECT json, kind, id FROM entries WHERE record = ?1 AND kind = ?2 AND instr(json, ?3) > 0",
        params![record.as_str(), kind.word(), format!("\"{word}\"")],
    )
}

/// The entries of a kind that name another, by id.
pub(crate) fn naming(db: &Connection, record: &Id, kind: Kind, to: &Ref) -> Result<Vec<Entry>, StoreError> {
    listed(
        db,
        "SELECT DISTINCT e.json, e.kind, e.id FROM links l JOIN entries e ON e.row = l.row
         WHERE l.target = ?3 AND e.record = ?1 AND e.kind = ?2",
        params![record.as_str(), kind.word(), to.to_string()],
    )
}

/// The photo that stands with an original, the first by id.
pub(crate) fn with_original(
    db: &Connection,
    record: &Id,
    original: &PhotoHash,
) -> Result<Option<Id>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT e.id FROM links l JOIN entries e ON e.row = l.row
         WHERE l.target = ?2 AND e.record = ?1 AND e.kind = 'photo' AND e.struck = 0 ORDER BY e.id LIMIT 1",
    )?;
    let target = format!("blake3:{original}");
    let id: Option<String> = sql
        .query_row([record.as_str(), &target], |row| row.get(0))
        .optional()?;
    let unreadable = |_| StoreError::damaged("a photo is kept under no readable id");
    id.map(|id| id.parse().map_err(unreadable)).transpose()
}

/// The entries of a kind that ask for something by their own word, by id.
pub(crate) fn asking(db: &Connection, record: &Id, kind: Kind) -> Result<Vec<Entry>, StoreError> {
    listed(
        db,
        "SELECT json, kind, id FROM entries WHERE record = ?1 AND kind = ?2 AND asks = 1",
        params![record.as_str(), kind.word()],
    )
}

/// The entries of a kind that do not say what they are of, and those that name an assembly that is not there, by id.
pub(crate) fn loose(db: &Connection, record: &Id, kind: Kind) -> Result<Vec<Entry>, StoreError> {
    let mut all = listed(
        db,
        "SELECT json, kind, id FROM entries WHERE record = ?1 AND kind = ?2 AND loose = 1",
        params![record.as_str(), kind.word()],
    )?;
    all.extend(listed(
        db,
        "SELECT e.json, e.kind, e.id FROM links l JOIN entries e ON e.row = l.row
         WHERE e.record = ?1 AND e.kind = ?2 AND l.field = 'assembly'
             AND NOT EXISTS (SELECT 1 FROM entries a
                 WHERE a.record = ?1 AND a.kind = 'assembly' AND a.id = substr(l.target, 10))",
        params![record.as_str(), kind.word()],
    )?);
    Ok(all)
}

/// How many entries of a kind stand in each assembly.
pub(crate) fn counted(db: &Connection, record: &Id, kind: Kind) -> Result<Vec<(Id, u32)>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT substr(l.target, 10), count(*) FROM entries e JOIN links l ON l.row = e.row AND l.field = 'assembly'
         WHERE e.record = ?1 AND e.kind = ?2 AND e.struck = 0 GROUP BY l.target",
    )?;
    let mut rows = sql.query(params![record.as_str(), kind.word()])?;
    let mut counts = Vec::new();
    while let Some(row) = rows.next()? {
        let id: String = row.get(0)?;
        if let Ok(id) = id.parse() {
            counts.push((id, row.get(1)?));
        }
    }
    Ok(counts)
}

/// The entries of a kind that are called something in small letters, by id.
pub(crate) fn called(
    db: &Connection,
    record: &Id,
    kind: Kind,
    plain: &str,
) -> Result<Vec<Entry>, StoreError> {
    listed(
        db,
        "SELECT json, kind, id FROM entries WHERE record = ?1 AND kind = ?2 AND plain = ?3",
        params![record.as_str(), kind.word(), plain],
    )
}

pub(crate) fn view(db: &Connection, record: &Id) -> Result<View, StoreError> {
    some(db, record, None).map(View::of)
}

/// The day it belongs to: the one it says, or a sheet's own.
fn day_of(entry: &Entry) -> Option<Day> {
    let said = across::on(entry).and_then(|text| text.parse().ok());
    said.or_else(|| sheet_parts(entry).map(|(day, _)| day))
}

fn sheet_parts(entry: &Entry) -> Option<(Day, Id)> {
    let of_sheet = (entry.kind == Kind::Sheet).then_some(&entry.id)?;
    record::document::sheet_parts(of_sheet)
}

fn is_blank(entry: &Entry) -> bool {
    let written = |scalar: &Scalar| scalar.line().is_none_or(|text| !text.is_empty());
    !entry.fields.values().any(|held| {
        held.claims()
            .iter()
            .any(|claim| claim.value.as_ref().is_some_and(written))
    })
}

/// Where an entry points, and of a photo which original is its own.
fn links_of(entry: &Entry) -> BTreeSet<(String, String)> {
    let mut links = record::links_of(entry);
    if let Some(photo) = e::Photo::of(entry) {
        links.extend(
            photo
                .original()
                .map(|hash| (e::Photo::hash.to_owned(), format!("blake3:{hash}"))),
        );
    }
    links
}

#[cfg(test)]
mod tests {
    use record::{ChangeId, Moment, Stamp};

    use super::*;

    fn photo(hash: &str) -> Entry {
        let made = Stamp {
            device: None,
            at: Moment::from_seconds(0),
            change: ChangeId::from_hex(&"0".repeat(64)).unwrap(),
        };
        let claims = serde_json::json!({ "hash": [{ "value": hash, "stamp": &made }] });
        Entry {
            kind: Kind::Photo,
            id: Id::car(),
            made,
            fields: serde_json::from_value(claims).unwrap(),
        }
    }

    #[test]
    fn only_what_is_a_hash_names_a_photo() {
        let right = "0123456789abcdef".repeat(4);
        assert_eq!(
            links_of(&photo(&right)),
            [("hash".to_owned(), format!("blake3:{right}"))].into()
        );
        // As an implementation of its own could enter it.
        for wrong in [&right[1..], &right.to_uppercase(), "../../device.key", ""] {
            assert!(links_of(&photo(wrong)).is_empty(), "{wrong}");
        }
    }
}
