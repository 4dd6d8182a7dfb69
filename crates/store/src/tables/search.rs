//! Full-text search over entries. Whatever a person types is taken as words to look for, never as a query
//! language: no text can make it fail. Derived. It knows no synonyms: whoever asks brings them.

use record::entities::field_of;
use record::field::Shape;
use record::{Entry, Id, Kind};
use rusqlite::{Connection, params};

use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 8,
    older: Older::ReadsOnly,
    // The row number is that of the entry. Accents are ignored; 2 and 3 letters are found fast.
    sql: &["
CREATE VIRTUAL TABLE search USING fts5 (
    title, body, tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3'
);
"],
};

/// Drops what search has of no entry; whether there was any.
pub(crate) fn clear_loose(db: &Connection) -> Result<bool, StoreError> {
    let loose = "DELETE FROM search WHERE rowid IN
        (SELECT s.rowid FROM search s WHERE NOT EXISTS (SELECT 1 FROM entries e WHERE e.row = s.rowid))";
    Ok(db.execute(loose, [])? > 0)
}

/// Most words of one question that are looked for.
const MOST_WORDS: usize = 24;
/// Most words that one is taken for.
const MOST_NEAR: usize = 5;
/// Most letters of one word.
const MOST_LETTERS: usize = 60;

/// One entry that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hit {
    /// Its kind.
    pub kind: Kind,
    /// Which one.
    pub id: Id,
    /// What a list calls it.
    pub title: String,
    /// A stretch of the text around what was found.
    pub excerpt: String,
    /// Whether it was struck out.
    pub struck: bool,
}

/// The words of a question: what stands between spaces and has a letter or a digit.
#[must_use]
pub fn words_of(text: &str) -> Vec<String> {
    let cleaned = |word: &str| -> String {
        let plain = word
            .chars()
            .map(|c| if c == '"' || c.is_control() { ' ' } else { c });
        plain.take(MOST_LETTERS).collect::<String>().trim().to_owned()
    };
    let words = text.split_whitespace().map(cleaned);
    words
        .filter(|word| word.chars().any(char::is_alphanumeric))
        .take(MOST_WORDS)
        .collect()
}

/// The question in FTS5's own language: each word as the beginning of one, in quotes, so that nothing in it is
/// read as an operator. Of alternatives, one must be there.
fn question(words: &[Vec<String>]) -> Option<String> {
    let mut all = Vec::new();
    for alternatives in words.iter().take(MOST_WORDS) {
        let quoted: Vec<String> = alternatives
            .iter()
            .take(MOST_WORDS)
            .map(|phrase| words_of(phrase).join(" "))
            .filter(|phrase| !phrase.is_empty())
            .map(|phrase| format!("\"{phrase}\"*"))
            .collect();
        if !quoted.is_empty() {
            all.push(format!("({})", quoted.join(" OR ")));
        }
    }
    (!all.is_empty()).then(|| all.join(" AND "))
}

/// Entries in which, for every word, it or one of its alternatives begins a word. Best first.
pub(crate) fn find(
    db: &Connection,
    record: &Id,
    words: &[Vec<String>],
    most: u32,
) -> Result<Vec<Hit>, StoreError> {
    let Some(question) = question(words) else {
        return Ok(Vec::new());
    };
    let mut sql = db.prepare_cached(
        "SELECT e.kind, e.id, e.title, snippet(search, 1, '', '', '…', 16), e.struck
         FROM search JOIN entries e ON e.row = search.rowid
         WHERE search MATCH ?2 AND e.record = ?1
         ORDER BY e.struck, bm25(search, 4.0, 1.0), e.kind, e.id LIMIT ?3",
    )?;
    let mut rows = sql.query(params![record.as_str(), question, most])?;
    let mut hits = Vec::new();
    while let Some(row) = rows.next()? {
        let (kind, id): (String, String) = (row.get(0)?, row.get(1)?);
        let (Ok(kind), Ok(id)) = (kind.parse(), id.parse()) else {
            continue;
        };
        hits.push(Hit {
            kind,
            id,
            title: row.get(2)?,
            excerpt: row.get(3)?,
            struck: row.get(4)?,
        });
    }
    Ok(hits)
}

/// The words of entries that are a slip of the fingers away from one, the nearest first; none for a short one, of which many are.
pub(crate) fn near(db: &Connection, word: &str) -> Result<Vec<String>, StoreError> {
    let word = word.to_lowercase();
    let long = word.chars().count();
    let slips = match long {
        // A short word is a slip away from too many others: 'hood' from 'hook' and 'hold'.
        0..=4 => return Ok(Vec::new()),
        5..=7 => 1,
        _ => 2,
    };
    db.execute_batch(
        "CREATE VIRTUAL TABLE IF NOT EXISTS temp.search_words USING fts5vocab('main', 'search', 'row')",
    )?;
    let mut sql =
        db.prepare_cached("SELECT term FROM temp.search_words WHERE length(term) BETWEEN ?1 AND ?2")?;
    let (least, most) = (long.saturating_sub(slips), long.saturating_add(slips));
    let wide = |letters: usize| i64::try_from(letters).unwrap_or(i64::MAX);
    let terms = sql.query_map(params![wide(least), wide(most)], |row| row.get::<_, String>(0))?;
    let mut found: Vec<(usize, String)> = Vec::new();
    for term in terms {
        let term = term?;
        let far = strsim::osa_distance(&word, &term);
        if far <= slips {
            found.push((far, term));
        }
    }
    found.sort();
    Ok(found.into_iter().map(|(_, term)| term).take(MOST_NEAR).collect())
}

pub(super) fn put(db: &Connection, row: i64, title: &str, body: &str) -> Result<(), StoreError> {
    db.prepare_cached("DELETE FROM search WHERE rowid = ?1")?
        .execute([row])?;
    let mut sql = db.prepare_cached("INSERT INTO search (rowid, title, body) VALUES (?1, ?2, ?3)")?;
    sql.execute(params![row, title, body])?;
    Ok(())
}

/// A value as a person says it: a measure as it was typed, a word of a closed set as it is called.
fn as_said(shape: Option<Shape>, text: &str) -> String {
    let typed = |text: &str| text.split(" = ").next().unwrap_or(text).to_owned();
    match shape {
        Some(Shape::Measure) => typed(text),
        Some(Shape::Measures | Shape::Grid) => {
            let all = text.split([';', '|']).map(|one| typed(one.trim()));
            all.collect::<Vec<_>>().join(", ")
        }
        Some(Shape::Word(set)) => set.said(text).unwrap_or(text).to_owned(),
        _ => text.to_owned(),
    }
}

/// The text of an entry that a person may look for: every shown value, but no ids, hashes or order keys.
pub(super) fn body_of(entry: &Entry) -> String {
    let mut lines: Vec<String> = Vec::new();
    for (name, held) in &entry.fields {
        let shape = field_of(entry.kind, name).map(|field| field.shape);
        let pointing = matches!(
            shape,
            Some(Shape::Link(_) | Shape::About(_) | Shape::Set(_) | Shape::Day | Shape::Ending | Shape::Lies)
        );
        let own = (entry.kind == Kind::Photo && name == "hash")
            || (matches!(entry.kind, Kind::Assembly | Kind::Part) && name == "order")
            || (entry.kind == Kind::HoldPoint && name == "met_by")
            || (entry.kind == Kind::Reading && name == "knew_of")
            || (entry.kind == Kind::Tightened && name == "held_for")
            || (entry.kind == Kind::Settlement && name == "stood");
        if !pointing && !own {
            let text = held.value().and_then(|value| value.line());
            lines.extend(
                text.filter(|text| !text.is_empty())
                    .map(|text| as_said(shape, text)),
            );
        }
    }
    lines.join("\n")
}
