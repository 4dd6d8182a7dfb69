//! Whose each change from outside is, before any of them is taken in: vouched for by its device, claimed for one that has
//! never signed, to wait for a signature, or a second one under a number that is used. Pure: which signatures hold is told
//! from outside, and nothing of the record is changed here.
//!
//! A signature over a change vouches for those of the same device which that change stands on, and for nobody else's.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use automerge::ActorId;

use super::bad::BadRecord;
use super::guard::{Chunk, Input, open_weighed};
use super::record::Record;
use super::seat::Seat;
use crate::hash::ChangeId;
use crate::name::Id;

/// Changes from outside, sorted by what is known of who wrote them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sifted {
    /// To be taken in, in the order in which they came.
    pub through: Vec<Chunk>,
    /// Those that no signature vouches for though their device signs, and what stands on them.
    pub waits: Vec<Vec<u8>>,
    /// How many wait for a signature of each device.
    pub unsigned: BTreeMap<Id, u32>,
    /// Changes that were written a second time under one number: the gate refuses them, with what stands on them.
    pub twice: Vec<Twice>,
    /// How often letters may be taken out once more, for [`Record::receive_opened`].
    pub repeats: Option<u64>,
    /// New ones that are to be taken in and that no signature vouches for, by the device that they name.
    pub claimed: BTreeMap<Id, u32>,
    /// New ones that are to be taken in, by the device that signed.
    pub vouched: BTreeMap<Id, BTreeSet<ChangeId>>,
}

/// Two different changes of one device in one run, under one number. No honest device writes two.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Twice {
    /// The device; none where the name is no device's.
    pub device: Option<Id>,
    /// The actor, in hex.
    pub actor: String,
    /// The number.
    pub number: u64,
    /// The one that is held, which stays.
    pub held: ChangeId,
    /// The other.
    pub other: ChangeId,
    /// Whether a signature vouches for the other: then nobody but the device's own key wrote it.
    pub vouched: bool,
}

/// One new change.
struct New {
    chunk: Chunk,
    device: Option<Id>,
    actor: String,
    number: u64,
}

impl Record {
    /// Sorts changes from outside. `vouching` are changes over which a signature of their device holds; `signs` tells
    /// which devices are known to sign.
    ///
    /// # Errors
    /// When any is damaged or they unfold beyond the budget.
    pub fn sift(
        &self,
        changes: &[Vec<u8>],
        vouching: &[(Id, ChangeId)],
        signs: &dyn Fn(&Id) -> bool,
    ) -> Result<Sifted, BadRecord> {
        let (new, repeats) = self.new_ones(changes)?;
        let index: HashMap<&ChangeId, usize> =
            new.iter().zip(0..).map(|(one, at)| (&one.chunk.id, at)).collect();
        let vouched = covered(&new, &index, vouching);
        let mut sifted = Sifted {
            repeats,
            ..Sifted::default()
        };
        let mut numbers: HashMap<(&str, u64), &ChangeId> = HashMap::new();
        let mut waits = HashSet::new();
        for (one, at) in new.iter().zip(0_usize..) {
            let first = self.ledger.numbered(&one.actor, one.number);
            let first = first.or_else(|| numbers.get(&(one.actor.as_str(), one.number)).copied());
            if let Some(held) = first {
                sifted.twice.push(Twice {
                    device: one.device.clone(),
                    actor: one.actor.clone(),
                    number: one.number,
                    held: *held,
                    other: one.chunk.id,
                    vouched: vouched.contains(&at),
                });
            } else {
                numbers.insert((&one.actor, one.number), &one.chunk.id);
            }
            if let Some(device) = &one.device
                && !vouched.contains(&at)
                && signs(device)
            {
                waits.insert(at);
                let count = sifted.unsigned.entry(device.clone()).or_default();
                *count = count.saturating_add(1);
            }
        }
        let above = above(&new, &index);
        climb(&mut waits, &above);
        for (one, at) in new.into_iter().zip(0_usize..) {
            if waits.contains(&at) {
                sifted.waits.push(one.chunk.bytes);
            } else {
                if let Some(device) = one.device {
                    if vouched.contains(&at) {
                        let its = sifted.vouched.entry(device).or_default();
                        its.insert(one.chunk.id);
                    } else {
                        let count = sifted.claimed.entry(device).or_default();
                        *count = count.saturating_add(1);
                    }
                }
                sifted.through.push(one.chunk);
            }
        }
        Ok(sifted)
    }

    fn new_ones(&self, changes: &[Vec<u8>]) -> Result<(Vec<New>, Option<u64>), BadRecord> {
        let mut seen = HashSet::new();
        let mut new = Vec::new();
        let (chunks, all) = open_weighed(changes)?;
        for chunk in chunks {
            if self.ledger.has(&chunk.id) || !seen.insert(chunk.id) {
                continue;
            }
            let mut input = Input(&chunk.bytes);
            input.take(8)?; // what begins it, and its checksum
            input.byte()?; // its type
            input.length()?;
            for _ in 0..input.count(32)? {
                input.take(32)?; // what it builds on
            }
            let actor = ActorId::from(input.prefixed()?);
            let number = input.uleb()?;
            new.push(New {
                device: Seat::device_of(&actor),
                actor: actor.to_hex_string(),
                number,
                chunk,
            });
        }
        Ok((new, all.repeats()))
    }

    /// Which of these signed changes are worth handing on beside the changes that are sent: of each device the newest
    /// ones, on which all of its others stand, and one in so many of those that are sent, so that whoever gets them in
    /// parts need not wait for the last.
    #[must_use]
    pub fn worth_handing(
        &self,
        sent: &HashSet<ChangeId>,
        signed: &HashSet<ChangeId>,
        every: usize,
    ) -> BTreeSet<ChangeId> {
        let mut worth = self
            .ledger
            .newest_of_each(&|_, id| signed.contains(id), &|_| true);
        // Whoever gets no more than what is sent can follow what a device stands on no further: those newest in it too.
        worth.extend(
            self.ledger
                .newest_of_each(&|_, id| signed.contains(id) && sent.contains(id), &|id| {
                    sent.contains(id)
                }),
        );
        let mut since: HashMap<&Id, usize> = HashMap::new();
        for (id, device) in self.ledger.each() {
            let Some(device) = device.filter(|_| sent.contains(id)) else {
                continue;
            };
            let count = since.entry(device).or_default();
            *count = count.saturating_add(1);
            if *count >= every && signed.contains(id) {
                *count = 0;
                worth.insert(*id);
            }
        }
        worth
    }

    /// The newest changes of one device: none of its others stands on them.
    #[must_use]
    pub fn newest_of(&self, device: &Id) -> BTreeSet<ChangeId> {
        self.ledger.newest_of_each(&|by, _| by == device, &|_| true)
    }

    /// The changes of a device that these of its changes vouch for: themselves, and its own which they stand on.
    #[must_use]
    pub fn vouched_by(&self, device: &Id, signed: &[ChangeId]) -> HashSet<ChangeId> {
        self.ledger.own_under(device, signed)
    }

    /// Every change that names a device, with that device.
    pub fn each_named(&self) -> impl Iterator<Item = (&ChangeId, &Id)> {
        self.ledger.each().filter_map(|(id, device)| Some((id, device?)))
    }
}

/// Which of the new changes a signature of their own device vouches for.
fn covered(new: &[New], index: &HashMap<&ChangeId, usize>, vouching: &[(Id, ChangeId)]) -> HashSet<usize> {
    let mut by_device: BTreeMap<&Id, Vec<usize>> = BTreeMap::new();
    for (device, change) in vouching {
        let at = index.get(change).copied();
        // A device vouches for nothing by signing another's change.
        let own = at.filter(|at| {
            new.get(*at)
                .is_some_and(|one| one.device.as_ref() == Some(device))
        });
        by_device.entry(device).or_default().extend(own);
    }
    let mut covered = HashSet::new();
    for (device, mut open) in by_device {
        let mut seen: HashSet<usize> = open.iter().copied().collect();
        while let Some(at) = open.pop() {
            let Some(one) = new.get(at) else { continue };
            if one.device.as_ref() == Some(device) {
                covered.insert(at);
            }
            let below = one.chunk.deps.iter().filter_map(|dep| index.get(dep).copied());
            open.extend(below.filter(|dep| seen.insert(*dep)));
        }
    }
    covered
}

/// For each new change those that build on it.
fn above(new: &[New], index: &HashMap<&ChangeId, usize>) -> Vec<Vec<usize>> {
    let mut above = vec![Vec::new(); new.len()];
    for (one, at) in new.iter().zip(0_usize..) {
        for dep in one.chunk.deps.iter().filter_map(|dep| index.get(dep)) {
            if let Some(those) = above.get_mut(*dep) {
                those.push(at);
            }
        }
    }
    above
}

/// Adds everything that stands on what is in the set.
fn climb(set: &mut HashSet<usize>, above: &[Vec<usize>]) {
    let mut open: Vec<usize> = set.iter().copied().collect();
    while let Some(at) = open.pop() {
        for next in above.get(at).into_iter().flatten() {
            if set.insert(*next) {
                open.push(*next);
            }
        }
    }
}
