//! Records of which the conversation failed in a meeting that goes on: each rests, twice as long after every failure, and
//! is then talked about anew. It reads no clock but how long something took.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use link::talk::Tag;

/// A record of which the conversation failed rests so long while others go on; twice as long after each failure.
const REST: Duration = Duration::from_secs(60);
/// After so many failures it rests no longer than it did.
const MOST_DOUBLED: u32 = 6;

/// A record of which the conversation failed.
struct Rest {
    /// Which conversation it was.
    number: u32,
    until: Instant,
}

/// Those of one meeting.
#[derive(Default)]
pub(super) struct Rests {
    resting: BTreeMap<Tag, Rest>,
    failures: BTreeMap<Tag, u32>,
}

impl Rests {
    /// The conversation of this number about a record failed now.
    pub(super) fn rest(&mut self, tag: Tag, number: u32) {
        let failures = self.failures.entry(tag).or_default();
        let until = Instant::now() + REST * 2_u32.saturating_pow((*failures).min(MOST_DOUBLED));
        *failures = failures.saturating_add(1);
        self.resting.insert(tag, Rest { number, until });
    }

    pub(super) fn is_resting(&self, tag: &Tag) -> bool {
        self.resting.contains_key(tag)
    }

    pub(super) fn is_empty(&self) -> bool {
        self.resting.is_empty()
    }

    /// Those that have rested, or all where there is a hurry: they rest no more.
    pub(super) fn rested(&mut self, hurry: bool) -> Vec<Tag> {
        let now = Instant::now();
        let due = self.resting.extract_if(.., |_, rest| hurry || rest.until <= now);
        due.map(|(tag, _)| tag).collect()
    }

    /// Only these conversations are still the newest about their records.
    pub(super) fn keep(&mut self, newest: impl Fn(&Tag, u32) -> bool) {
        self.resting.retain(|tag, rest| newest(tag, rest.number));
    }
}
