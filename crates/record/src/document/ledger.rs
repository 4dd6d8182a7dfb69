//! The ledger of changes: who made each, when, and on top of which others. It answers what an author could have
//! known when they wrote something. It holds no values and no messages.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use automerge::Automerge;

use super::named::change_id;
use super::seat::Seat;
use crate::entry::{Entry, Stamp};
use crate::hash::ChangeId;
use crate::name::{Id, Kind};
use crate::time::Moment;

#[derive(Clone, Debug)]
struct Row {
    id: ChangeId,
    device: Option<Id>,
    at: Moment,
    /// The highest number of an operation, its own or of what it stands on.
    last: u64,
    /// Indices of the changes it builds on; always smaller than its own.
    deps: Vec<usize>,
}

/// Every change of a record, each after those it builds on.
#[derive(Clone, Debug, Default)]
pub struct Ledger {
    rows: Vec<Row>,
    index: HashMap<ChangeId, usize>,
    numbers: HashMap<(String, u64), ChangeId>,
    highest: u64,
    /// Who wrote in the texts of what lies under a strike: for each text the changes that its letters came with.
    letters: BTreeMap<(Kind, Id), BTreeMap<&'static str, Vec<ChangeId>>>,
    /// Indices of the changes that no other builds on.
    ends: BTreeSet<usize>,
    /// Indices of the changes that were written apart from none, in order: whatever has a smaller index they build on, and
    /// whatever has a greater one builds on them.
    joints: Vec<usize>,
}

impl Ledger {
    pub(super) fn of(doc: &Automerge) -> Self {
        let mut ledger = Self::default();
        for meta in doc.get_changes_meta(&[]) {
            let deps: Vec<ChangeId> = meta.deps.iter().map(change_id).collect();
            let actor: &automerge::ActorId = &meta.actor;
            let number = (meta.seq, meta.max_op);
            ledger.add(change_id(&meta.hash), actor, number, meta.timestamp, &deps);
        }
        ledger
    }

    /// A stretch of a log, each change after those it builds on: it tells who knew of what within it, and nothing else.
    #[must_use]
    pub fn of_log<'a>(log: impl IntoIterator<Item = (ChangeId, &'a [ChangeId])>) -> Self {
        let mut ledger = Self::default();
        for (id, deps) in log {
            let nowhere = Row {
                id,
                device: None,
                at: Moment::from_seconds(0),
                last: 0,
                deps: Vec::new(),
            };
            ledger.enter(nowhere, deps);
        }
        ledger
    }

    pub(super) fn add(
        &mut self,
        id: ChangeId,
        actor: &automerge::ActorId,
        (seq, last): (u64, u64),
        seconds: i64,
        deps: &[ChangeId],
    ) {
        if self.index.contains_key(&id) {
            return;
        }
        self.numbers.insert((actor.to_hex_string(), seq), id);
        self.highest = self.highest.max(last);
        let row = Row {
            id,
            device: Seat::device_of(actor),
            at: Moment::from_seconds(seconds),
            last,
            deps: Vec::new(),
        };
        self.enter(row, deps);
    }

    /// Enters the newest change, behind those that it builds on.
    fn enter(&mut self, mut row: Row, deps: &[ChangeId]) {
        row.deps = deps
            .iter()
            .filter_map(|dep| self.index.get(dep).copied())
            .collect();
        self.join(self.rows.len(), &row.deps);
        self.index.insert(row.id, self.rows.len());
        self.rows.push(row);
    }

    /// Finds out between which changes this one, the newest, was written.
    fn join(&mut self, at: usize, deps: &[usize]) {
        let oldest = deps.iter().min().copied();
        // What builds on something before a joint only was written apart from it.
        while self
            .joints
            .last()
            .is_some_and(|joint| oldest.is_none_or(|oldest| *joint > oldest))
        {
            self.joints.pop();
        }
        for dep in deps {
            self.ends.remove(dep);
        }
        self.ends.insert(at);
        if self.ends.len() == 1 {
            self.joints.push(at);
        }
    }

    /// The stretch around a change outside of which nothing was written apart from it: the first index and the last.
    fn stretch(&self, at: usize) -> (usize, usize) {
        let next = self.joints.partition_point(|joint| *joint < at);
        let after = self.joints.get(next).copied();
        let first = match after {
            Some(after) if after == at => at,
            _ => self.joint_before(at).unwrap_or(0),
        };
        (first, after.unwrap_or_else(|| self.rows.len().saturating_sub(1)))
    }

    /// The last joint up to a change.
    fn joint_before(&self, at: usize) -> Option<usize> {
        let next = self.joints.partition_point(|joint| *joint <= at);
        next.checked_sub(1)
            .and_then(|before| self.joints.get(before))
            .copied()
    }

    /// The first change and the last, as they were entered.
    pub(crate) fn first_and_last(&self) -> Option<(&ChangeId, &ChangeId)> {
        self.rows
            .first()
            .zip(self.rows.last())
            .map(|(first, last)| (&first.id, &last.id))
    }

    /// Whether the change is here.
    #[must_use]
    pub fn has(&self, id: &ChangeId) -> bool {
        self.index.contains_key(id)
    }

    /// The device that a change names; none where it is not here, or names none.
    #[must_use]
    pub fn author(&self, id: &ChangeId) -> Option<&Id> {
        let row = self.index.get(id).and_then(|at| self.rows.get(*at));
        row.and_then(|row| row.device.as_ref())
    }

    /// The first change of a device, the same on every one: none of its own is numbered before it.
    pub(super) fn first_of(&self, device: &Id) -> Option<&ChangeId> {
        let own = self.rows.iter().filter(|row| row.device.as_ref() == Some(device));
        own.min_by_key(|row| (row.last, &row.id)).map(|row| &row.id)
    }

    /// How many changes there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The highest number of an operation in a change, or before it where it has none.
    pub(super) fn last(&self, id: &ChangeId) -> Option<u64> {
        let row = self.index.get(id).and_then(|at| self.rows.get(*at));
        row.map(|row| row.last)
    }

    /// The highest number of an operation in all changes.
    pub(super) fn highest(&self) -> u64 {
        self.highest
    }

    /// The change that an actor made under a number.
    pub(super) fn numbered(&self, actor: &str, seq: u64) -> Option<&ChangeId> {
        self.numbers.get(&(actor.to_owned(), seq))
    }

    /// The changes that the letters of an entry's texts came with, with the field; read of what lies under a strike only.
    pub(crate) fn letters_of(&self, entry: &Entry) -> impl Iterator<Item = (&'static str, &ChangeId)> {
        let texts = self.letters.get(&(entry.kind, entry.id.clone()));
        let texts = texts.into_iter().flatten();
        texts.flat_map(|(field, by)| by.iter().map(|change| (*field, change)))
    }

    pub(super) fn put_letters(&mut self, entry: &Entry, field: &'static str, by: Vec<ChangeId>) {
        let texts = self.letters.entry((entry.kind, entry.id.clone())).or_default();
        texts.insert(field, by);
    }

    pub(super) fn forget_letters(&mut self, kind: Kind, id: &Id) {
        self.letters.remove(&(kind, id.clone()));
    }

    pub(crate) fn stamp(&self, id: ChangeId) -> Stamp {
        let row = self.index.get(&id).and_then(|at| self.rows.get(*at));
        Stamp {
            device: row.and_then(|row| row.device.clone()),
            at: row.map_or(Moment::from_seconds(0), |row| row.at),
            change: id,
        }
    }

    /// Whether whoever wrote `change` had `other` before them: it is the same change or builds on it.
    #[must_use]
    pub fn knew(&self, change: &ChangeId, other: &ChangeId) -> bool {
        let (Some(&from), Some(&wanted)) = (self.index.get(change), self.index.get(other)) else {
            return false;
        };
        // Whatever comes before something that was written apart from nothing was known to whoever wrote later.
        if self.joint_before(from).is_some_and(|joint| wanted <= joint) {
            return true;
        }
        // Whatever a change builds on has a smaller index, so nothing below the wanted one need be opened.
        let mut open = BTreeSet::from([from]);
        while let Some(at) = open.pop_last() {
            if at == wanted {
                return true;
            }
            if at < wanted {
                return false;
            }
            open.extend(
                self.rows
                    .get(at)
                    .into_iter()
                    .flat_map(|row| row.deps.iter().copied()),
            );
        }
        false
    }

    /// What lies around a change: what its writer knew, and who wrote knowing it. Asked once where much is held against it.
    pub(crate) fn around(&self, change: &ChangeId) -> Around<'_> {
        let of = self.index.get(change).copied();
        let (first, last) = of.map_or((0, self.rows.len().saturating_sub(1)), |of| self.stretch(of));
        let mut known = vec![false; last.saturating_sub(first).saturating_add(1)];
        if let Some(of) = of {
            let mark = |known: &mut Vec<bool>, at: usize| {
                if let Some(one) = at.checked_sub(first).and_then(|at| known.get_mut(at)) {
                    *one = true;
                }
            };
            let is = |known: &[bool], at: usize| {
                let one = at.checked_sub(first).and_then(|at| known.get(at));
                one.copied().unwrap_or(false)
            };
            mark(&mut known, of);
            let within = || {
                self.rows
                    .iter()
                    .enumerate()
                    .take(last.saturating_add(1))
                    .skip(first)
            };
            // Whatever a change builds on has a smaller index, so one way down and one way up see every one of them.
            for (at, row) in within().rev().filter(|(at, _)| *at <= of) {
                if is(&known, at) {
                    row.deps.iter().for_each(|dep| mark(&mut known, *dep));
                }
            }
            for (at, row) in within().filter(|(at, _)| *at > of) {
                // What builds on something before it only was known to nobody who wrote it.
                if row.deps.iter().any(|dep| *dep >= of && is(&known, *dep)) {
                    mark(&mut known, at);
                }
            }
        }
        Around {
            ledger: self,
            first,
            known,
        }
    }

    /// Those of these changes that are here and that none of the others stands on, in order: whoever has them has all.
    ///
    /// One walk however many there are: they come from outside, and asking of each whether each of the others knew it
    /// would cost the cube of their number.
    #[must_use]
    pub fn newest(&self, changes: &[ChangeId]) -> Vec<ChangeId> {
        let named: BTreeSet<usize> = changes
            .iter()
            .filter_map(|id| self.index.get(id).copied())
            .collect();
        let Some(&oldest) = named.first() else {
            return Vec::new();
        };
        let mut open = named.clone();
        let mut under = BTreeSet::new();
        while let Some(at) = open.pop_last() {
            for dep in self.rows.get(at).into_iter().flat_map(|row| &row.deps) {
                if named.contains(dep) {
                    under.insert(*dep);
                }
                // Whatever a change builds on has a smaller index, so nothing below the oldest need be opened.
                if *dep >= oldest {
                    open.insert(*dep);
                }
            }
        }
        let mut newest: Vec<ChangeId> = changes
            .iter()
            .filter(|id| self.index.get(id).is_some_and(|at| !under.contains(at)))
            .copied()
            .collect();
        newest.sort();
        newest.dedup();
        newest
    }

    /// All that a device with these heads has, to be asked about many changes.
    #[must_use]
    pub fn under(&self, heads: &[ChangeId]) -> Under<'_> {
        let mut open: Vec<usize> = heads
            .iter()
            .filter_map(|id| self.index.get(id).copied())
            .collect();
        let mut had = vec![false; self.rows.len()];
        while let Some(at) = open.pop() {
            if let Some(had) = had.get_mut(at)
                && !std::mem::replace(had, true)
            {
                open.extend(self.rows.get(at).into_iter().flat_map(|row| &row.deps));
            }
        }
        Under { ledger: self, had }
    }

    /// Every change, each after those it builds on, with the device that it names.
    pub(super) fn each(&self) -> impl Iterator<Item = (&ChangeId, Option<&Id>)> {
        self.rows.iter().map(|row| (&row.id, row.device.as_ref()))
    }

    /// Of each device the newest of these changes: no other of its own among them stands on one, as far as can be followed
    /// through the changes that are let by.
    pub(super) fn newest_of_each(
        &self,
        these: &dyn Fn(&Id, &ChangeId) -> bool,
        through: &dyn Fn(&ChangeId) -> bool,
    ) -> BTreeSet<ChangeId> {
        let mut by_device: BTreeMap<&Id, Vec<usize>> = BTreeMap::new();
        for (row, at) in self.rows.iter().zip(0_usize..) {
            if let Some(device) = row.device.as_ref().filter(|device| these(device, &row.id)) {
                by_device.entry(device).or_default().push(at);
            }
        }
        let mut newest = BTreeSet::new();
        for own in by_device.values() {
            // Whatever a change builds on has a smaller index, so one walk from the top meets each after all above it.
            let mut under = vec![false; self.rows.len()];
            let mut left: BTreeSet<usize> = own.iter().copied().collect();
            for (at, row) in self.rows.iter().enumerate().rev() {
                if left.is_empty() {
                    break;
                }
                let stood_on = under.get(at).copied().unwrap_or_default();
                let own = left.remove(&at);
                if own && !stood_on {
                    newest.insert(row.id);
                }
                if own || (stood_on && through(&row.id)) {
                    for dep in &row.deps {
                        if let Some(dep) = under.get_mut(*dep) {
                            *dep = true;
                        }
                    }
                }
            }
        }
        newest
    }

    /// These changes of a device, and its own which they stand on.
    pub(super) fn own_under(&self, device: &Id, these: &[ChangeId]) -> HashSet<ChangeId> {
        let own = |at: &usize| {
            self.rows
                .get(*at)
                .is_some_and(|row| row.device.as_ref() == Some(device))
        };
        let mut open: Vec<usize> = these
            .iter()
            .filter_map(|id| self.index.get(id).copied())
            .filter(own)
            .collect();
        let mut seen: HashSet<usize> = open.iter().copied().collect();
        let mut found = HashSet::new();
        while let Some(at) = open.pop() {
            let Some(row) = self.rows.get(at) else { continue };
            if row.device.as_ref() == Some(device) {
                found.insert(row.id);
            }
            open.extend(row.deps.iter().copied().filter(|dep| seen.insert(*dep)));
        }
        found
    }

    /// What a device that has these heads knows: how many changes in all, and how many of one device's.
    ///
    /// Heads that are not here say nothing.
    #[must_use]
    pub fn known_by(&self, heads: &[ChangeId], device: &Id) -> Known {
        let mut open: BTreeSet<usize> = heads
            .iter()
            .filter_map(|head| self.index.get(head).copied())
            .collect();
        let mut known = Known::default();
        while let Some(at) = open.pop_last() {
            let Some(row) = self.rows.get(at) else { continue };
            known.all = known.all.saturating_add(1);
            if row.device.as_ref() == Some(device) {
                known.of_device = known.of_device.saturating_add(1);
            }
            open.extend(row.deps.iter().copied());
        }
        known
    }
}

/// A change held against others.
#[derive(Debug)]
pub(crate) struct Around<'a> {
    pub(crate) ledger: &'a Ledger,
    /// The index of the first that is held against it; what comes before or behind was written apart from nothing here.
    first: usize,
    known: Vec<bool>,
}

impl Around<'_> {
    /// Whether the other change and this one were written apart: neither writer had the other's.
    pub(crate) fn apart(&self, other: &ChangeId) -> bool {
        let at = self
            .ledger
            .index
            .get(other)
            .and_then(|at| at.checked_sub(self.first));
        at.and_then(|at| self.known.get(at)).is_some_and(|known| !known)
    }
}

/// What somebody has who has certain changes.
#[derive(Clone, Debug)]
pub struct Under<'a> {
    ledger: &'a Ledger,
    had: Vec<bool>,
}

impl Under<'_> {
    /// Whether this change is among it.
    #[must_use]
    pub fn has(&self, change: &ChangeId) -> bool {
        let at = self.ledger.index.get(change);
        at.is_some_and(|at| self.had.get(*at).copied().unwrap_or(false))
    }
}

/// How much of the record somebody is known to have.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// Changes in all.
    pub all: u32,
    /// Changes that one device made.
    pub of_device: u32,
}

#[cfg(test)]
mod tests {
    #![allow(
        clippy::unwrap_used,
        clippy::indexing_slicing,
        reason = "a test fails by panicking"
    )]

    use rand::{Rng, SeedableRng};

    use super::*;

    /// Devices that write apart and meet now and then: of each change what it builds on, directly or not, is known by itself.
    #[test]
    fn who_knew_what_is_what_the_ways_down_say_whatever_was_written_apart() {
        for seed in 0..300_u64 {
            let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
            let id = |at: usize| ChangeId::from_hex(&format!("{at:064x}")).unwrap();
            let actor = automerge::ActorId::from([7_u8; 24]);
            let (mut ledger, mut under) = (Ledger::default(), Vec::<BTreeSet<usize>>::new());
            let devices = dice.random_range(1..4);
            let mut ends: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); devices];
            let apart = dice.random_range(1..12);
            for at in 0..dice.random_range(1..60) {
                let device = dice.random_range(0..devices);
                if dice.random_range(0..apart) == 0 {
                    let all: BTreeSet<usize> = ends.iter().flatten().copied().collect();
                    let newest = |one: &usize| !all.iter().any(|other| under[*other].contains(one));
                    let met: BTreeSet<usize> = all.iter().copied().filter(newest).collect();
                    ends.iter_mut().for_each(|of| *of = met.clone());
                }
                // Whoever begins builds on nothing; a writer may name more than the newest.
                let mut deps: BTreeSet<usize> = std::mem::replace(&mut ends[device], BTreeSet::from([at]));
                if at > 0 && dice.random_range(0..20) == 0 {
                    deps.insert(dice.random_range(0..at));
                }
                let named: Vec<ChangeId> = deps.iter().map(|dep| id(*dep)).collect();
                ledger.add(id(at), &actor, (at as u64, 0), 0, &named);
                let below = deps
                    .iter()
                    .flat_map(|dep| under[*dep].iter().copied().chain([*dep]))
                    .collect();
                under.push(below);
            }
            for one in 0..under.len() {
                let around = ledger.around(&id(one));
                for other in 0..under.len() {
                    let knew = one == other || under[one].contains(&other);
                    assert_eq!(
                        ledger.knew(&id(one), &id(other)),
                        knew,
                        "seed {seed}: {one} {other}"
                    );
                    let apart = !knew && !under[other].contains(&one);
                    assert_eq!(around.apart(&id(other)), apart, "seed {seed}: {one} {other}");
                }
            }
        }
    }
}
