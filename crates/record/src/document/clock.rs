//! The clock of a record: for each actor the highest number held. A document holds an actor's changes without gaps, so
//! this says exactly which changes are here, and another device's clock says exactly which of ours it lacks.
//!
//! It tells no time: an actor is one device in one run of the program, and a number counts that run's changes. It takes
//! no change in (that is `receive`, which guards) and believes nothing that a clock from outside says of its own size.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::fmt;

use automerge::ChangeHash;
use data_encoding::HEXLOWER;
use serde::de::{Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::named::change_id;
use super::record::Record;
use crate::hash::ChangeId;

/// Most actors that a clock from outside may name. Each run of the program that writes is one: twenty devices that
/// each write on thirteen days of fourteen for ten years make some 68,000.
pub const MOST_ACTORS: usize = 100_000;

/// Most bytes that the actors of a clock from outside may have together. An actor of ours has 24.
pub const MOST_ACTOR_BYTES: usize = 8 << 20;

/// Which changes a record holds: per actor, how many of its changes from the first on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Clock {
    held: BTreeMap<Vec<u8>, u64>,
}

/// What is wrong with a clock from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadClock {
    /// It ends in the middle, or has something behind its end.
    #[error("the other device's list of what it has is cut or has something stuck to it")]
    Cut,
    /// An actor twice, or out of order, or a number that counts nothing.
    #[error("the other device's list of what it has is not in order")]
    Order,
    /// More than any record has.
    #[error("the other device's list of what it has is longer than any record's")]
    TooLong,
}

impl Clock {
    /// How many actors it names.
    #[must_use]
    pub fn len(&self) -> usize {
        self.held.len()
    }

    /// Whether it names none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.held.is_empty()
    }

    /// How many of an actor's changes it holds; the actor in hex.
    #[must_use]
    pub fn of(&self, actor: &str) -> u64 {
        let bytes = HEXLOWER.decode(actor.as_bytes()).ok();
        bytes
            .and_then(|actor| self.held.get(&actor).copied())
            .unwrap_or(0)
    }

    /// Packed for the wire: the actors in order, each as what it shares with the one before it, the rest, and its
    /// number. A further run of a device that is named already takes some eleven bytes.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(self.held.len().saturating_mul(12));
        let mut before: &[u8] = &[];
        for (actor, number) in &self.held {
            let shared = actor
                .iter()
                .zip(before)
                .take_while(|(one, other)| one == other)
                .count();
            let rest = actor.get(shared..).unwrap_or_default();
            put(&mut out, shared as u64);
            put(&mut out, rest.len() as u64);
            out.extend_from_slice(rest);
            put(&mut out, *number);
            before = actor;
        }
        out
    }

    /// Reads what [`Clock::to_bytes`] packed.
    ///
    /// # Errors
    /// When it is cut, out of order, or names more than [`MOST_ACTORS`] or [`MOST_ACTOR_BYTES`].
    pub fn from_bytes(mut bytes: &[u8]) -> Result<Self, BadClock> {
        let mut clock = Self::default();
        let mut before: Vec<u8> = Vec::new();
        let mut unfolded = 0_usize;
        while !bytes.is_empty() {
            let shared = take_length(&mut bytes)?;
            let length = take_length(&mut bytes)?;
            // What is shared must be there already and the rest must be in hand, before room is made for either.
            let front = before.get(..shared).ok_or(BadClock::Cut)?;
            let (rest, after) = bytes.split_at_checked(length).ok_or(BadClock::Cut)?;
            unfolded = unfolded.saturating_add(shared).saturating_add(length);
            if unfolded > MOST_ACTOR_BYTES || clock.held.len() >= MOST_ACTORS {
                return Err(BadClock::TooLong);
            }
            let actor = [front, rest].concat();
            bytes = after;
            let number = take(&mut bytes)?;
            if number == 0 || (!clock.held.is_empty() && actor <= before) {
                return Err(BadClock::Order);
            }
            clock.held.insert(actor.clone(), number);
            before = actor;
        }
        Ok(clock)
    }
}

impl Record {
    /// Which changes are here.
    #[must_use]
    pub fn clock(&self) -> Clock {
        let mut held: BTreeMap<Vec<u8>, u64> = BTreeMap::new();
        for meta in self.doc.get_changes_meta(&[]) {
            let actor: &automerge::ActorId = &meta.actor;
            if let Some(number) = held.get_mut(actor.to_bytes()) {
                *number = meta.seq.max(*number);
            } else {
                held.insert(actor.to_bytes().to_vec(), meta.seq);
            }
        }
        Clock { held }
    }

    /// Every change that a record with this clock lacks, each after those it builds on.
    ///
    /// What the clock holds and this record does not, says nothing and is passed over.
    #[must_use]
    pub fn lacking(&self, clock: &Clock) -> Vec<(ChangeId, Vec<u8>)> {
        let mut numbers: HashMap<&[u8], u64> = HashMap::new();
        for (actor, number) in &clock.held {
            numbers.insert(actor, *number);
        }
        let (mut lacking, mut known) = (HashSet::new(), Vec::new());
        let mut under: HashSet<ChangeHash> = HashSet::new();
        for meta in self.doc.get_changes_meta(&[]) {
            let actor: &automerge::ActorId = &meta.actor;
            if numbers
                .get(actor.to_bytes())
                .is_some_and(|held| meta.seq <= *held)
            {
                under.extend(meta.deps.iter().copied());
                known.push(meta.hash);
            } else {
                lacking.insert(meta.hash);
            }
        }
        if lacking.is_empty() {
            return Vec::new();
        }
        // The newest that the other has: only what is not under them need be made into bytes.
        known.retain(|hash| !under.contains(hash));
        let changes = self.doc.get_changes(&known);
        let changes = changes.iter().filter(|change| lacking.contains(&change.hash()));
        changes
            .map(|change| (change_id(&change.hash()), change.raw_bytes().to_vec()))
            .collect()
    }
}

impl Serialize for Clock {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(
            self.held
                .iter()
                .map(|(actor, number)| (HEXLOWER.encode(actor), number)),
        )
    }
}

impl<'de> Deserialize<'de> for Clock {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_map(Reader)
    }
}

struct Reader;

impl<'de> Visitor<'de> for Reader {
    type Value = Clock;

    fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("a map of actors, in hex, to numbers")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Clock, A::Error> {
        let mut clock = Clock::default();
        let mut unfolded = 0_usize;
        while let Some((actor, number)) = map.next_entry::<String, u64>()? {
            let actor = HEXLOWER
                .decode(actor.as_bytes())
                .map_err(|_| A::Error::custom(BadClock::Order))?;
            unfolded = unfolded.saturating_add(actor.len());
            if unfolded > MOST_ACTOR_BYTES || clock.held.len() >= MOST_ACTORS {
                return Err(A::Error::custom(BadClock::TooLong));
            }
            if number == 0 || clock.held.insert(actor, number).is_some() {
                return Err(A::Error::custom(BadClock::Order));
            }
        }
        Ok(clock)
    }
}

/// A number in groups of seven bits, the lowest first (LEB128, as Automerge's own format has it).
fn put(out: &mut Vec<u8>, mut number: u64) {
    while number >= 0x80 {
        out.push((number & 0x7f) as u8 | 0x80);
        number >>= 7;
    }
    out.push((number & 0x7f) as u8);
}

fn take(bytes: &mut &[u8]) -> Result<u64, BadClock> {
    let mut number = 0_u64;
    for shift in (0..63).step_by(7) {
        let (first, rest) = bytes.split_first().ok_or(BadClock::Cut)?;
        *bytes = rest;
        number |= u64::from(first & 0x7f) << shift;
        if first & 0x80 == 0 {
            return Ok(number);
        }
    }
    // Nobody counts to 2 to the 63rd.
    Err(BadClock::Order)
}

fn take_length(bytes: &mut &[u8]) -> Result<usize, BadClock> {
    usize::try_from(take(bytes)?).map_err(|_| BadClock::Cut)
}
