//! Check, rebuild and digest: whether what is on the disk is what was written, and making the derived part anew.

use std::vec::IntoIter;

use record::entities::Photo;
use record::rules::FoundPoints;
use record::{Digest, Id, Logged, Record, Ref};
use store::{RecordRow, StoreError};

use crate::long::rebuild::RebuildWork;
use crate::long::{Next, Progress, Work as _, at_once};
use crate::notebook::Notebook;
use crate::opened::point_rows;
use crate::refusal::Refusal;
use crate::vouching::Signatures;
use crate::wire::{HealthLine, RebuildReport, RecordDigest};

/// After how many entries it is told how far the derived rows are.
const TOLD_EVERY: u32 = 1_000;

impl Notebook {
    /// Digests a record, as its pages read it. That the document says the same is what a check holds against it.
    pub(crate) fn digest(&self, record: &Id) -> Result<RecordDigest, Refusal> {
        let points = u32::try_from(self.store.points(record)?.len()).unwrap_or(u32::MAX);
        let view = self.store.view(record)?;
        let (heads, logged) = self.store.heads(record)?;
        let beginning = record::document::beginning();
        // The fixed beginning is in every document and in no log.
        let heads = match heads.is_empty() {
            true => beginning.into_iter().collect(),
            false => heads,
        };
        let inner = Digest::of(heads, logged.saturating_add(1), &view);
        let photos: std::collections::BTreeSet<&str> = view
            .each::<Photo>()
            // As it is written, by whomever: the mark covers what is there.
            .filter_map(|photo| photo.hash())
            .collect();
        let mut hasher = blake3::Hasher::new();
        hasher.update(inner.digest.as_bytes());
        for hash in &photos {
            hasher.update(hash.as_bytes());
        }
        Ok(RecordDigest {
            digest: hasher.finalize().to_hex().to_string(),
            heads: inner.heads.iter().map(ToString::to_string).collect(),
            changes: inner.changes,
            entries: inner.entries,
            photos: u32::try_from(photos.len()).unwrap_or(u32::MAX),
            points,
        })
    }

    /// Makes the read tables of a record anew from its document.
    pub(crate) fn rebuild(&mut self, record: &Id) -> Result<RebuildReport, Refusal> {
        at_once(self, RebuildWork::of(record))
    }

    /// Makes the derived rows of a record anew where another version made them, and tells of how many entries they are made.
    pub(crate) fn derive(&mut self, record: &Id, told: &mut dyn FnMut(u64, u64)) -> Result<(), Refusal> {
        let mut work = RebuildWork::of_rows(record);
        loop {
            match work.next() {
                Next::Turn => work.turn(self, TOLD_EVERY)?,
                Next::Beside => work.beside(TOLD_EVERY)?,
                Next::Nothing => return Ok(()),
            }
            if let Some((done, of)) = work.entries() {
                told(done, of);
            }
        }
    }
}

/// A record's read tables, held against its document so many rows at a time.
pub(crate) struct Compared {
    row: RecordRow,
    at: At,
    done: u64,
    of: u64,
}

enum At {
    Begun,
    /// The document, and after which entry the next is compared.
    Entries(Box<Record>, Option<Ref>, u64),
    /// The changes that are still to be compared.
    Changes(Box<Record>, IntoIter<Logged>),
    Points(Box<Record>),
    Signatures(Box<Record>, Box<Signatures>),
}

impl Compared {
    pub(crate) fn begin(row: RecordRow) -> Self {
        Self {
            row,
            at: At::Begun,
            done: 0,
            of: 0,
        }
    }

    /// How far it is.
    pub(crate) fn progress(&self) -> Progress {
        let what = match &self.at {
            At::Begun => "the document",
            At::Entries(..) => "entries",
            At::Changes(..) => "what was written",
            At::Points(_) => "points to settle",
            At::Signatures(..) => "signatures",
        };
        Progress {
            what,
            done: self.done,
            of: self.of,
        }
    }

    /// A step; whether there is more. Opening the document and finding all points are one step each.
    pub(crate) fn step(&mut self, notebook: &mut Notebook, rows: u32, found: &mut Vec<HealthLine>) -> bool {
        match self.look(notebook, rows, found) {
            Ok(more) => more,
            Err(refusal) => {
                found.push(HealthLine {
                    broken: true,
                    code: "document".to_owned(),
                    record: Some(self.row.id.clone()),
                    says: format!(
                        "the document of '{}' does not open: {}",
                        self.row.car, refusal.words
                    ),
                });
                false
            }
        }
    }

    fn look(
        &mut self,
        notebook: &mut Notebook,
        rows: u32,
        found: &mut Vec<HealthLine>,
    ) -> Result<bool, Refusal> {
        let record = self.row.id.clone();
        let broken = |code: &str, says: String| HealthLine {
            broken: true,
            code: code.to_owned(),
            record: Some(record.clone()),
            says,
        };
        let differ = |what: String| {
            let says = format!("{what}; the document is whole: rebuild makes the read tables anew");
            broken("read_tables", says)
        };
        self.at = match std::mem::replace(&mut self.at, At::Begun) {
            At::Begun => {
                let (document, passed_over) = notebook.read_document(&record)?;
                found.extend(passed_over.into_iter().map(|says| broken("snapshot", says)));
                let row = notebook.store.record(&record)?;
                let own = notebook.otherwise(&row, document.view())?;
                found.extend(own.says.into_iter().map(|says| broken("own_row", says)));
                self.of = document.view().count() as u64;
                At::Entries(Box::new(document), None, 0)
            }
            At::Entries(mut document, after, same) => {
                let entries = notebook.store.entries_after(&record, after.as_ref(), rows)?;
                let view = document.view();
                let alike = entries.iter().filter(|one| view.find(&one.name()) == Some(one));
                let same = same.saturating_add(alike.count() as u64);
                self.done = self.done.saturating_add(entries.len() as u64);
                match entries.last() {
                    Some(last) if u32::try_from(entries.len()) == Ok(rows) => {
                        At::Entries(document, Some(last.name()), same)
                    }
                    _ => {
                        if (self.done, same) != (self.of, self.of) {
                            found.push(differ(
                                "the read tables do not read as the document does".to_owned(),
                            ));
                        }
                        let changes = document.log_rows();
                        (self.done, self.of) = (0, changes.len() as u64);
                        At::Changes(document, changes.into_iter())
                    }
                }
            }
            At::Changes(document, mut changes) => {
                let some: Vec<Logged> = changes.by_ref().take(rows as usize).collect();
                self.done = self.done.saturating_add(some.len() as u64);
                let alike = tells_alike(notebook, &record, &some)?;
                if !alike {
                    found.push(differ("histories do not tell what changes wrote".to_owned()));
                }
                match alike && changes.len() > 0 {
                    true => At::Changes(document, changes),
                    false => At::Points(document),
                }
            }
            At::Points(document) => {
                found.extend(of_points(notebook, &record, &document)?.into_iter().map(differ));
                let signatures = Signatures::read(&notebook.store, &record)?;
                (self.done, self.of) = signatures.stands();
                At::Signatures(document, Box::new(signatures))
            }
            At::Signatures(document, mut signatures) => {
                let more = signatures.step(&notebook.store, &document, rows, found)?;
                (self.done, self.of) = signatures.stands();
                if !more {
                    return Ok(false);
                }
                At::Signatures(document, signatures)
            }
        };
        Ok(true)
    }
}

/// What is wrong with the points to settle, and with how many changes there are.
fn of_points(notebook: &Notebook, record: &Id, document: &Record) -> Result<Vec<String>, Refusal> {
    let mut says = Vec::new();
    let (view, ledger) = (document.view(), document.ledger());
    let points = FoundPoints::of(view, ledger).list(view, ledger);
    if notebook.store.points(record)? != point_rows(&points)? {
        says.push("the points to settle are not those that the rules find".to_owned());
    }
    let logged = notebook.store.last(record)?;
    // The fixed beginning is in every document and in no log.
    if u32::try_from(document.count()).unwrap_or(u32::MAX) != logged.saturating_add(1) {
        let count = document.count().saturating_sub(1);
        says.push(format!("the log has {logged} changes and the document {count}"));
    }
    Ok(says)
}

/// Whether the rows of these changes tell what the document says that they wrote; rows that cannot be read do not.
fn tells_alike(notebook: &Notebook, record: &Id, changes: &[Logged]) -> Result<bool, Refusal> {
    match notebook.store.told_otherwise(record, changes) {
        Err(StoreError::Derived { .. }) => Ok(false),
        otherwise => Ok(otherwise? == 0),
    }
}
