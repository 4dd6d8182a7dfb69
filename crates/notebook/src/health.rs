//! Check, rebuild and digest: whether what is on the disk is what was written, and making the derived part anew.

use record::Id;
use record::entities::Photo;
use record::rules::FoundPoints;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::{Depth, Level};
use ts_rs::TS;

use crate::home::asked;
use crate::notebook::point_rows;
use crate::{Notebook, Refusal};

/// After how many entries it is told how far the derived rows are.
const TOLD_EVERY: u32 = 1_000;

/// One thing that a check found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct HealthLine {
    /// Whether something is broken; else it is worth knowing and nothing is wrong.
    pub broken: bool,
    /// What sort of thing it is.
    pub code: String,
    /// The record it is in.
    pub record: Option<Id>,
    /// What was found, what it means, what to do.
    pub says: String,
}

/// What a check found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct HealthReport {
    /// Whether nothing is broken.
    pub sound: bool,
    /// What was found, what is broken first.
    pub found: Vec<HealthLine>,
}

/// A digest of a record and its photos.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RecordDigest {
    /// BLAKE3 over the document's digest and the photos it names.
    pub digest: String,
    /// The newest changes.
    pub heads: Vec<String>,
    /// How many changes.
    pub changes: u32,
    /// How many entries.
    pub entries: u32,
    /// How many photos it names.
    pub photos: u32,
    /// How many points are to be settled.
    pub points: u32,
}

/// What a rebuild made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RebuildReport {
    /// Entries made anew.
    pub entries: u32,
    /// Points found.
    pub points: u32,
    /// Whether the tables are now other than they were.
    pub changed: bool,
}

impl Notebook {
    /// Digests a record.
    pub(crate) fn digest(&mut self, record: &Id) -> Result<RecordDigest, Refusal> {
        let points = u32::try_from(self.store.points(record)?.len()).unwrap_or(u32::MAX);
        let document = &self.document(record)?.record;
        let inner = document.digest();
        let photos: std::collections::BTreeSet<&str> = document
            .view()
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

    /// Reads everything and says what is wrong.
    pub(crate) fn check(&mut self) -> Result<HealthReport, Refusal> {
        let mut found: Vec<HealthLine> = self
            .store
            .check(None, Depth::Whole)?
            .into_iter()
            .map(|trouble| HealthLine {
                broken: trouble.level == Level::Broken,
                code: trouble.code.to_owned(),
                record: trouble.record,
                says: trouble.says,
            })
            .collect();
        match self.doubt_now() {
            Ok(None) => {}
            Ok(Some(doubt)) => found.push(HealthLine {
                broken: doubt.is_of_key(),
                code: if doubt.is_of_key() {
                    "device_key"
                } else {
                    "same_or_copy"
                }
                .to_owned(),
                record: None,
                says: asked(doubt).words,
            }),
            Err(refusal) => found.push(HealthLine {
                broken: true,
                code: "device_key".to_owned(),
                record: None,
                says: format!("the key of this folder cannot be read: {}", refusal.words),
            }),
        }
        let records = self.store.records().unwrap_or_else(|error| {
            found.push(HealthLine {
                broken: true,
                code: "records".to_owned(),
                record: None,
                says: format!("which cars the folder keeps cannot be read: {error}"),
            });
            Vec::new()
        });
        for row in records {
            if let Err(refusal) = self.compare(&row.id, &mut found) {
                found.push(HealthLine {
                    broken: true,
                    code: "document".to_owned(),
                    record: Some(row.id),
                    says: format!("the document of '{}' does not open: {}", row.car, refusal.words),
                });
            }
        }
        found.sort_by_key(|line| !line.broken);
        Ok(HealthReport {
            sound: !found.iter().any(|line| line.broken),
            found,
        })
    }

    /// Opens a record's document anew and compares the read tables with it.
    fn compare(&mut self, record: &Id, found: &mut Vec<HealthLine>) -> Result<(), Refusal> {
        let (document, passed_over) = self.read_document(record)?;
        found.extend(passed_over.into_iter().map(|says| HealthLine {
            broken: true,
            code: "snapshot".to_owned(),
            record: Some(record.clone()),
            says,
        }));
        let row = self.store.record(record)?;
        let own = self.otherwise(&row, document.view())?;
        found.extend(own.says.into_iter().map(|says| HealthLine {
            broken: true,
            code: "own_row".to_owned(),
            record: Some(record.clone()),
            says,
        }));
        let mut differ = |what: String| {
            found.push(HealthLine {
                broken: true,
                code: "read_tables".to_owned(),
                record: Some(record.clone()),
                says: format!("{what}; the document is whole: rebuild makes the read tables anew"),
            });
        };
        if &self.store.view(record)? != document.view() {
            differ("the read tables do not read as the document does".to_owned());
        }
        let points =
            FoundPoints::of(document.view(), document.ledger()).list(document.view(), document.ledger());
        if self.store.points(record)? != point_rows(&points)? {
            differ("the points to settle are not those that the rules find".to_owned());
        }
        let logged = self.store.last(record)?;
        // The fixed beginning is in every document and in no log.
        if u32::try_from(document.count()).unwrap_or(u32::MAX) != logged.saturating_add(1) {
            differ(format!(
                "the log has {logged} changes and the document {}",
                document.count().saturating_sub(1)
            ));
        }
        self.check_signatures(record, &document, found)
    }

    /// Makes the read tables of a record anew from its document.
    pub(crate) fn rebuild(&mut self, record: &Id) -> Result<RebuildReport, Refusal> {
        self.may_write()?;
        let before = self.store.derived_digest(record)?;
        let row = self.store.record(record)?;
        // From the disk, whatever is in memory; twice only where this folder took itself for another device.
        self.forget(record);
        let view = self.document(record)?.record.view().clone();
        let own = self.put_right(&row, &view)?;
        if own {
            self.forget(record);
        }
        let (entries, points) = self.derive(record, &mut |_, _| {})?;
        Ok(RebuildReport {
            entries,
            points,
            changed: own || self.store.derived_digest(record)? != before,
        })
    }

    /// Makes the derived rows of a record anew from its document, and tells of how many entries they are made. How many
    /// entries and how many points there are.
    pub(crate) fn derive(
        &mut self,
        record: &Id,
        told: &mut dyn FnMut(u32, u32),
    ) -> Result<(u32, u32), Refusal> {
        let opened = self.document(record)?;
        let rows = opened.record.log_rows();
        let entries: Vec<record::Entry> = opened.record.view().everything().cloned().collect();
        let points = opened.points.list(opened.record.view(), opened.record.ledger());
        let of = u32::try_from(entries.len()).unwrap_or(u32::MAX);
        let each = entries.iter().zip(0_u32..).map(|(entry, done)| {
            if done.is_multiple_of(TOLD_EVERY) {
                told(done, of);
            }
            entry
        });
        let rebuilt = self.store.rebuild(record, &rows, each, &point_rows(&points)?)?;
        told(of, of);
        self.read_anew(record);
        Ok((rebuilt.entries, crate::page::count(&points)))
    }
}
