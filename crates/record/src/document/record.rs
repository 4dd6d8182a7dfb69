//! The record of one car, in memory: opened from what lies on a disk, read as it is now and as it was. What is written in it and what
//! comes into it is done in files of their own.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use automerge::{Automerge, ChangeHash, LoadOptions, OnPartialLoad, ReadDoc as _};

use super::bad::{BadRecord, SCHEMA, refused};
use super::ledger::Ledger;
use super::named::{change_hash, change_id};
use super::seat::Seat;
use super::written::{Logged, Touched, Written};
use super::{anew, genesis, guard, hydrate, ops, reach};
use crate::entry::{Claim, Entry};
use crate::hash::ChangeId;
use crate::name::{Id, Kind, Ref};
use crate::view::View;

/// Changes applied at a time. Automerge's batch apply is superlinear over scattered edits (measured: 3,000 at once
/// 21 s, in slices of 32 0.41 s), so nothing is ever fed to it in larger pieces.
pub(crate) const SLICE: usize = 32;

/// A digest of everything a record holds. Two devices that have the same changes have the same digest.
#[derive(
    Clone, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema, ts_rs::TS,
)]
pub struct Digest {
    /// BLAKE3 over the heads and over every entry as it reads.
    pub digest: String,
    /// The changes that no other builds on.
    pub heads: Vec<ChangeId>,
    /// How many changes there are.
    #[ts(type = "number")]
    pub changes: u32,
    /// How many entries there are.
    pub entries: u32,
}

impl Digest {
    /// Over the changes that no other builds on, in order, and over every entry; so many changes are in all.
    #[must_use]
    pub fn of(heads: Vec<ChangeId>, changes: u32, view: &View) -> Self {
        let mut hasher = blake3::Hasher::new();
        for head in &heads {
            hasher.update(head.hex().as_bytes());
        }
        let mut entries = 0_u32;
        for entry in view.everything() {
            entries = entries.saturating_add(1);
            match serde_json::to_vec(entry) {
                Ok(bytes) => hasher.update(&bytes),
                // An entry is strings, numbers and maps in order, so that this is never come by; two that differ must not read
                // alike all the same.
                Err(_) => hasher.update(format!("{entry:?}").as_bytes()),
            };
        }
        Self {
            digest: hasher.finalize().to_hex().to_string(),
            heads,
            changes,
            entries,
        }
    }
}

/// The record of one car, in memory.
#[derive(Debug)]
pub struct Record {
    pub(super) doc: Automerge,
    pub(super) ledger: Ledger,
    pub(super) view: View,
    pub(super) reach: reach::Reach,
    pub(super) ops: ops::Ops,
    /// Changes from outside that were not taken in since the record was opened.
    pub(super) refused: BTreeSet<ChangeId>,
}

impl Record {
    /// A record with nothing in it but its fixed beginning.
    ///
    /// # Errors
    /// Only if the beginning that is built into the program is damaged.
    pub fn begin(seat: Seat) -> Result<Self, BadRecord> {
        Self::over(genesis::document()?, seat)
    }

    /// The record as it is now, for whoever reads it while this one goes on: memory is copied, which costs a small part of what
    /// opening costs. What was remembered to judge changes is found again when it is asked for.
    #[must_use]
    pub fn copied(&self) -> Self {
        Self {
            doc: self.doc.clone(),
            ledger: self.ledger.clone(),
            view: self.view.clone(),
            reach: reach::Reach::default(),
            ops: ops::Ops::default(),
            refused: self.refused.clone(),
        }
    }

    /// Opens a record from a snapshot and the changes logged after it, each as it was logged.
    ///
    /// # Errors
    /// When any byte of it is not what was saved, when a change is missing, or when it is a newer program's.
    pub fn open(snapshot: Option<&[u8]>, log: &[Vec<u8>], seat: Seat) -> Result<Self, BadRecord> {
        let options = LoadOptions::new().on_partial_load(OnPartialLoad::Error);
        let mut doc = match snapshot {
            Some(bytes) => Automerge::load_with_options(bytes, options).map_err(refused)?,
            None => genesis::document()?,
        };
        for slice in log.chunks(SLICE) {
            doc.load_incremental(&slice.concat()).map_err(refused)?;
        }
        let mut record = Self::over(doc, seat)?;
        // `load_incremental` passes over what it cannot read and says nothing: ask for every one by name.
        let mut lacking = Vec::new();
        for bytes in log {
            let chunk = guard::read_chunk(bytes)?;
            if !record.ledger.has(&chunk.id) {
                lacking.push(chunk);
            }
        }
        while let Some(first) = lacking.first() {
            let anew = anew::layings(&record.doc, &lacking)?;
            if anew.is_empty() {
                return Err(BadRecord::Damaged(format!(
                    "change {} did not come back from the log",
                    first.id
                )));
            }
            record.doc.apply_changes(anew).map_err(refused)?;
            for slice in lacking.chunks(SLICE) {
                let bytes: Vec<u8> = slice.iter().flat_map(|chunk| chunk.bytes.clone()).collect();
                record.doc.load_incremental(&bytes).map_err(refused)?;
            }
            record = Self::over(record.doc, seat)?;
            lacking.retain(|chunk| !record.ledger.has(&chunk.id));
        }
        Ok(record)
    }

    /// The layings that this record has and a log lacks, as a program before this one could leave it: they belong in the
    /// log before anything else is written. `logged` says what the log has.
    pub fn unlogged(&mut self, logged: impl Fn(&ChangeId) -> bool) -> Written {
        let beginning = beginning();
        let mut written = Written::default();
        for row in self.log_rows() {
            if row.device.is_none() && Some(&row.id) != beginning.as_ref() && !logged(&row.id) {
                written.add_touched(&row.touched);
                written.changes.push(row);
            }
        }
        written
    }

    pub(super) fn over(mut doc: Automerge, seat: Seat) -> Result<Self, BadRecord> {
        doc.set_actor(seat.actor());
        let found = genesis::schema(&doc);
        if found > i64::from(SCHEMA) {
            return Err(BadRecord::Newer { found });
        }
        let ledger = Ledger::of(&doc);
        let view = hydrate::everything(&doc, &ledger);
        let mut record = Self {
            doc,
            ledger,
            view,
            reach: reach::Reach::default(),
            ops: ops::Ops::default(),
            refused: BTreeSet::new(),
        };
        record.read_letters(None);
        Ok(record)
    }

    /// The device that writes here.
    #[must_use]
    pub fn device(&self) -> Option<Id> {
        Seat::device_of(self.doc.get_actor())
    }

    /// The record as it reads now.
    #[must_use]
    pub fn view(&self) -> &View {
        &self.view
    }

    /// Who knew what, by change ancestry.
    #[must_use]
    pub fn ledger(&self) -> &Ledger {
        &self.ledger
    }

    /// The whole document as one snapshot.
    #[must_use]
    pub fn snapshot(&self) -> Vec<u8> {
        self.doc.save()
    }

    /// The changes that no other builds on, in order.
    #[must_use]
    pub fn heads(&self) -> Vec<ChangeId> {
        self.doc.get_heads().iter().map(change_id).collect()
    }

    /// Every change that is not among `known` or under it, each after those it builds on. A known change that
    /// this record does not have says nothing and is passed over.
    #[must_use]
    pub fn changes_since(&self, known: &[ChangeId]) -> Vec<(ChangeId, Vec<u8>)> {
        let known: Vec<ChangeHash> = known.iter().filter_map(|id| self.known(id)).collect();
        let changes = self.doc.get_changes(&known);
        changes
            .iter()
            .map(|change| (change_id(&change.hash()), change.raw_bytes().to_vec()))
            .collect()
    }

    /// The bytes of one change.
    #[must_use]
    pub fn change(&self, id: &ChangeId) -> Option<Vec<u8>> {
        let hash = self.known(id)?;
        let change = self.doc.get_change_by_hash(&hash)?;
        Some(change.raw_bytes().to_vec())
    }

    /// A change as Automerge names it, where it is here.
    fn known(&self, id: &ChangeId) -> Option<ChangeHash> {
        self.ledger.has(id).then(|| change_hash(id))
    }

    /// How many changes there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.ledger.len()
    }

    /// A digest of the whole.
    #[must_use]
    pub fn digest(&self) -> Digest {
        self.digest_over(&self.view)
    }

    /// The same digest over entries that are kept elsewhere and should read as this record's do: read tables that say
    /// anything else have another.
    #[must_use]
    pub fn digest_over(&self, view: &View) -> Digest {
        Digest::of(
            self.heads(),
            u32::try_from(self.count()).unwrap_or(u32::MAX),
            view,
        )
    }

    /// What a field read right after each of these changes, the shown value first.
    #[must_use]
    pub fn field_after(&self, kind: Kind, id: &Id, field: &str, change: &ChangeId) -> Vec<Claim> {
        let Some(hash) = self.known(change) else {
            return Vec::new();
        };
        hydrate::field_at(&self.doc, &self.ledger, kind, id, field, &[hash])
    }

    /// An entry as it read right after these changes together; nothing where it was not there yet.
    #[must_use]
    pub fn entry_after(&self, kind: Kind, id: &Id, changes: &[ChangeId]) -> Option<Entry> {
        let heads: Vec<ChangeHash> = changes.iter().filter_map(|change| self.known(change)).collect();
        hydrate::entry_at(&self.doc, &self.ledger, kind, id, &heads)
    }

    /// An entry as whoever wrote a change had it; nothing where it was not there yet.
    #[must_use]
    pub fn entry_before(&self, kind: Kind, id: &Id, change: &ChangeId) -> Option<Entry> {
        let hash = self.known(change)?;
        let change = self.doc.get_change_by_hash(&hash)?;
        hydrate::entry_at(&self.doc, &self.ledger, kind, id, change.deps())
    }

    /// The record as whoever made a change knew it before.
    ///
    /// # Errors
    /// Where it has no such change.
    pub(crate) fn before(&self, change: &ChangeId) -> Result<Self, BadRecord> {
        let none = || BadRecord::Damaged(format!("there is no change {change}"));
        let hash = self.known(change).ok_or_else(none)?;
        let deps = self
            .doc
            .get_change_by_hash(&hash)
            .ok_or_else(none)?
            .deps()
            .to_vec();
        Self::over(
            self.doc.fork_at(&deps).map_err(refused)?,
            Seat {
                device: uuid::Uuid::nil(),
                run: [0; 8],
            },
        )
    }

    /// Hydrates the touched entries anew and puts them into the view.
    pub(super) fn refresh(&mut self, touched: &Touched) {
        for (kind, id) in touched.keys() {
            match hydrate::entry(&self.doc, &self.ledger, *kind, id) {
                Some(entry) => self.view.put(entry),
                None => self.view.remove(*kind, id),
            }
        }
        self.read_letters(Some(touched));
    }

    /// The touched entries as they read now.
    #[must_use]
    pub fn entries_of(&self, touched: &Touched) -> Vec<Entry> {
        touched
            .keys()
            .filter_map(|(kind, id)| self.view.get(*kind, id).cloned())
            .collect()
    }

    /// What was touched and has nothing to read now: sheets that were emptied, or laid and never written on.
    #[must_use]
    pub fn blank_of(&self, touched: &Touched) -> Vec<Ref> {
        touched
            .keys()
            .filter(|(kind, id)| self.view.get(*kind, id).is_none())
            .map(|(kind, id)| Ref::new(*kind, id.clone()))
            .collect()
    }
}

/// The fixed beginning as a log would have it. It made the car, and is in no log.
pub(crate) fn begun() -> &'static [Logged] {
    static ROWS: OnceLock<Vec<Logged>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let nobody = Seat {
            device: uuid::Uuid::nil(),
            run: [0; 8],
        };
        Record::begin(nobody)
            .map(|mut record| record.log_rows())
            .unwrap_or_default()
    })
}

/// The fixed beginning's name. It is in every document and in no log.
#[must_use]
pub fn beginning() -> Option<ChangeId> {
    static NAME: OnceLock<Option<ChangeId>> = OnceLock::new();
    *NAME.get_or_init(|| guard::read_chunk(genesis::GENESIS).ok().map(|chunk| chunk.id))
}
