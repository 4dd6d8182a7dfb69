//! Changes from outside: checked, put in order, fed in small slices, and asked for by name afterwards.
//! Either all of them are in, or the record says why not and must be opened anew from the store.

use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};

use automerge::{Change, ChangeHash};

use super::guard::{Chunk, open_chunks};
use super::{BadRecord, Record, SLICE, Written};
use crate::entry::ChangeId;

impl Record {
    /// Takes in changes from outside, in any order, some or all of them known already.
    ///
    /// # Errors
    /// When any is damaged, unfolds beyond the budget, or builds on one that is neither here nor among them:
    /// then nothing was taken in. After [`BadRecord::Unfit`] the record may hold a part of them and is to be
    /// opened anew.
    pub fn receive(&mut self, changes: &[Vec<u8>]) -> Result<Written, BadRecord> {
        let chunks = open_chunks(changes)?;
        let fresh = self.in_order(chunks)?;
        let changes: Vec<Change> = fresh
            .iter()
            .map(|chunk| unharmed(|| Change::from_bytes(chunk.bytes.clone()).map_err(unfit)))
            .collect::<Result<_, _>>()?;
        for (change, chunk) in changes.iter().zip(&fresh) {
            // A change whose bytes were altered with care can parse: its hash must be the one it came under.
            if super::change_id(&change.hash()) != chunk.id {
                return Err(BadRecord::Damaged(format!(
                    "change {} has another hash",
                    chunk.id
                )));
            }
            let taken = self
                .ledger
                .numbered(&change.actor_id().to_hex_string(), change.seq());
            if taken.is_some_and(|other| other != &chunk.id) {
                return Err(BadRecord::SameName);
            }
        }
        let before = self.doc.get_heads();
        for slice in changes.chunks(SLICE) {
            unharmed(|| self.doc.apply_changes(slice.iter().cloned()).map_err(unfit))?;
        }
        // Asked for by name, and made anew from what the document kept of them: a change that was encoded in another
        // way than the document encodes it could be taken in and never handed on. All at once: each question walks the
        // whole document.
        let kept: BTreeSet<ChangeHash> = unharmed(|| {
            let new = self.doc.get_changes(&before);
            Ok(new.iter().map(Change::hash).collect())
        })?;
        if let Some(passed) = changes
            .iter()
            .zip(&fresh)
            .find(|(change, _)| !kept.contains(&change.hash()))
        {
            return Err(BadRecord::Unfit(format!(
                "change {} was passed over",
                passed.1.id
            )));
        }
        unharmed(|| Ok(self.take_in(changes)))
    }

    /// The chunks that are new here, each after those it builds on.
    fn in_order(&self, chunks: Vec<Chunk>) -> Result<Vec<Chunk>, BadRecord> {
        let mut waiting: BTreeMap<ChangeId, Chunk> = BTreeMap::new();
        for chunk in chunks {
            if !self.ledger.has(&chunk.id) {
                waiting.insert(chunk.id.clone(), chunk);
            }
        }
        let mut missing = BTreeSet::new();
        let mut wanted_by: BTreeMap<ChangeId, Vec<ChangeId>> = BTreeMap::new();
        let mut open: BTreeMap<ChangeId, usize> = BTreeMap::new();
        let mut ready: BTreeSet<ChangeId> = BTreeSet::new();
        for (id, chunk) in &waiting {
            let lacking: Vec<&ChangeId> = chunk.deps.iter().filter(|dep| !self.ledger.has(dep)).collect();
            missing.extend(
                lacking
                    .iter()
                    .filter(|dep| !waiting.contains_key(**dep))
                    .map(|dep| (*dep).clone()),
            );
            for dep in &lacking {
                wanted_by.entry((*dep).clone()).or_default().push(id.clone());
            }
            if lacking.is_empty() {
                ready.insert(id.clone());
            } else {
                open.insert(id.clone(), lacking.len());
            }
        }
        if !missing.is_empty() {
            return Err(BadRecord::Gap(missing.len()));
        }
        let mut ordered = Vec::with_capacity(waiting.len());
        while let Some(id) = ready.pop_first() {
            for next in wanted_by.remove(&id).unwrap_or_default() {
                if let Some(left) = open.get_mut(&next) {
                    *left = left.saturating_sub(1);
                    if *left == 0 {
                        ready.insert(next);
                    }
                }
            }
            ordered.extend(waiting.remove(&id));
        }
        if waiting.is_empty() {
            Ok(ordered)
        } else {
            Err(BadRecord::Damaged("changes that build on each other".to_owned()))
        }
    }
}

/// Does something with changes from outside: what a hostile one makes of Automerge must not take the program down.
fn unharmed<T>(work: impl FnOnce() -> Result<T, BadRecord>) -> Result<T, BadRecord> {
    let done = catch_unwind(AssertUnwindSafe(work));
    done.unwrap_or_else(|_| Err(BadRecord::Unfit("the document fails at it".to_owned())))
}

fn unfit(error: impl std::fmt::Display) -> BadRecord {
    BadRecord::Unfit(error.to_string())
}
