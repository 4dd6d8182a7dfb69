//! Changes from outside: checked, put in order, fed in small slices, and asked for by name afterwards.
//! Either all of them are in, or the record says why not and must be opened anew from the store.

use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};

use automerge::{Change, ChangeHash};

use super::bad::BadRecord;
use super::gate::Judged;
use super::guard::{Chunk, FREE_ROWS, open_weighed};
use super::record::{Record, SLICE};
use super::written::Written;
use crate::hash::ChangeId;

impl Record {
    /// Takes in changes from outside, in any order, some or all of them known already. What no honest writer makes is not
    /// taken in, nor what stands on it; the rest is, and says what was not ([`Written::refused`]).
    ///
    /// # Errors
    /// When any is damaged, unfolds beyond the budget, or builds on one that is neither here nor among them, or when
    /// nothing of what is new can be taken in ([`BadRecord::Against`]): then nothing was taken in. After any other error
    /// the record may hold a part of them and is to be opened anew.
    pub fn receive(&mut self, changes: &[Vec<u8>]) -> Result<Written, BadRecord> {
        let (chunks, all) = open_weighed(changes)?;
        self.receive_opened(chunks, all.repeats())
    }

    /// As [`receive`](Self::receive), of what was opened and weighed already.
    ///
    /// # Errors
    /// As there.
    pub fn receive_opened(&mut self, chunks: Vec<Chunk>, repeats: Option<u64>) -> Result<Written, BadRecord> {
        let fresh = self.in_order(chunks)?;
        let Judged {
            fair: changes,
            refused,
        } = unharmed(|| self.judge(fresh, repeats))?;
        if changes.is_empty() && !refused.is_empty() {
            return Err(BadRecord::Against(refused));
        }
        let before = self.doc.get_heads();
        let mut rest = changes.as_slice();
        while !rest.is_empty() {
            let (slice, later) = rest.split_at_checked(slice_of(rest)).unwrap_or((rest, &[]));
            unharmed(|| self.doc.apply_changes(slice.iter().cloned()).map_err(unfit))?;
            rest = later;
        }
        // Asked for by name, and made anew from what the document kept of them: a change that was encoded in another
        // way than the document encodes it could be taken in and never handed on. All at once: each question walks the
        // whole document.
        let kept: BTreeSet<ChangeHash> = unharmed(|| {
            let new = self.doc.get_changes(&before);
            Ok(new.iter().map(Change::hash).collect())
        })?;
        if let Some(passed) = changes.iter().find(|change| !kept.contains(&change.hash())) {
            return Err(BadRecord::Unfit(format!(
                "change {} was passed over",
                passed.hash()
            )));
        }
        let written = unharmed(|| Ok(self.take_in(changes)))?;
        Ok(Written { refused, ..written })
    }

    /// Changes that were refused before this record was opened: what stands on them is refused as well, and is no gap.
    pub fn know_refused(&mut self, refused: impl IntoIterator<Item = ChangeId>) {
        self.refused.extend(refused);
    }

    /// Whether a change was refused, and not taken in since.
    #[must_use]
    pub fn was_refused(&self, id: &ChangeId) -> bool {
        self.refused.contains(id)
    }

    /// The chunks that are new here, each after those it builds on.
    fn in_order(&self, chunks: Vec<Chunk>) -> Result<Vec<Chunk>, BadRecord> {
        let mut waiting: BTreeMap<ChangeId, Chunk> = BTreeMap::new();
        for chunk in chunks {
            if !self.ledger.has(&chunk.id) {
                waiting.insert(chunk.id, chunk);
            }
        }
        let mut missing = BTreeSet::new();
        let mut wanted_by: BTreeMap<ChangeId, Vec<ChangeId>> = BTreeMap::new();
        let mut open: BTreeMap<ChangeId, usize> = BTreeMap::new();
        let mut ready: BTreeSet<ChangeId> = BTreeSet::new();
        for (id, chunk) in &waiting {
            // What stands on a change that was refused before is refused as well, and is no gap.
            let known = |dep: &ChangeId| self.ledger.has(dep) || self.refused.contains(dep);
            let lacking: Vec<&ChangeId> = chunk.deps.iter().filter(|dep| !known(dep)).collect();
            missing.extend(
                lacking
                    .iter()
                    .filter(|dep| !waiting.contains_key(**dep))
                    .map(|dep| *(*dep)),
            );
            for dep in &lacking {
                wanted_by.entry(*(*dep)).or_default().push(*id);
            }
            if lacking.is_empty() {
                ready.insert(*id);
            } else {
                open.insert(*id, lacking.len());
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

/// How many changes are applied next: a few, and of those that take long texts out one by one.
fn slice_of(changes: &[Change]) -> usize {
    let mut rows = 0_u64;
    let fits = |change: &&Change| {
        rows = rows.saturating_add(change.len() as u64);
        rows <= FREE_ROWS
    };
    changes.iter().take(SLICE).take_while(fits).count().max(1)
}

/// Does something with changes from outside: what a hostile one makes of Automerge must not take the program down.
fn unharmed<T>(work: impl FnOnce() -> Result<T, BadRecord>) -> Result<T, BadRecord> {
    let done = catch_unwind(AssertUnwindSafe(work));
    done.unwrap_or_else(|_| Err(BadRecord::Unfit("the document fails at it".to_owned())))
}

fn unfit(error: impl std::fmt::Display) -> BadRecord {
    BadRecord::Unfit(error.to_string())
}
