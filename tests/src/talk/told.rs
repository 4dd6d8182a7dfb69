//! What happened in one schedule of meetings, or in many, so that a run in which nothing was at stake shows.

use std::collections::BTreeMap;

use crate::ledger::Found;

/// Counts of what happened.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// By name: how often.
    pub count: BTreeMap<&'static str, u64>,
    /// Where every value was found at the end.
    pub found: Found,
}

impl Told {
    /// One more.
    pub fn one(&mut self, what: &'static str) {
        self.more(what, 1);
    }

    /// So many more.
    pub fn more(&mut self, what: &'static str, many: u64) {
        *self.count.entry(what).or_default() += many;
    }

    /// How often it happened.
    #[must_use]
    pub fn of(&self, what: &str) -> u64 {
        self.count.get(what).copied().unwrap_or(0)
    }

    /// Adds another's.
    pub fn add(&mut self, other: &Self) {
        for (what, many) in &other.count {
            self.more(what, *many);
        }
        self.found.add(other.found);
    }
}
