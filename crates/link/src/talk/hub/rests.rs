//! Records of which the conversation failed in a meeting that goes on: each rests, twice as long after every failure, and is
//! then talked about anew. It says when; who begins anew is not its matter.

use std::collections::BTreeMap;

use crate::talk::Tag;

/// A record of which the conversation failed rests so many milliseconds while others go on; twice as long after each failure.
pub const REST: u64 = 60_000;
/// After so many failures it rests no longer than it did.
pub const MOST_DOUBLED: u32 = 6;

/// A record of which the conversation failed.
#[derive(Debug)]
struct Rest {
    /// Which conversation it was.
    number: u32,
    until: u64,
}

/// Those of one meeting.
#[derive(Debug, Default)]
pub(super) struct Rests {
    resting: BTreeMap<Tag, Rest>,
    failures: BTreeMap<Tag, u32>,
}

impl Rests {
    /// The conversation of this number about a record failed now.
    pub(super) fn rest(&mut self, tag: Tag, number: u32, now: u64) {
        let failures = self.failures.entry(tag).or_default();
        let long = REST.saturating_mul(2_u64.saturating_pow((*failures).min(MOST_DOUBLED)));
        *failures = failures.saturating_add(1);
        let until = now.saturating_add(long);
        self.resting.insert(tag, Rest { number, until });
    }

    pub(super) fn is_resting(&self, tag: &Tag) -> bool {
        self.resting.contains_key(tag)
    }

    pub(super) fn is_empty(&self) -> bool {
        self.resting.is_empty()
    }

    /// When the first of them has rested.
    pub(super) fn first(&self) -> Option<u64> {
        self.resting.values().map(|rest| rest.until).min()
    }

    /// Those that have rested, or all where there is a hurry: they rest no more.
    pub(super) fn rested(&mut self, now: u64, hurry: bool) -> Vec<Tag> {
        let due = self.resting.extract_if(.., |_, rest| hurry || rest.until <= now);
        due.map(|(tag, _)| tag).collect()
    }

    /// Only these conversations are still the newest about their records.
    pub(super) fn keep(&mut self, newest: impl Fn(&Tag, u32) -> bool) {
        self.resting.retain(|tag, rest| newest(tag, rest.number));
    }
}
