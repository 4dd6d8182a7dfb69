//! Time as a conversation and a meeting count it: out of moments that somebody else reads, in steps that are bounded.

/// Most milliseconds that count between two moments: a machine that slept, or a clock that was put right, is no silence.
const MOST_STEP: u64 = 10_000;

/// Milliseconds that have passed since the first moment that was told.
#[derive(Debug, Default)]
pub(super) struct Passed {
    last: Option<u64>,
    now: u64,
}

impl Passed {
    /// It is this moment of the caller's clock, which may go backward or leap.
    pub(super) fn pass(&mut self, now: u64) {
        let step = now.saturating_sub(self.last.unwrap_or(now)).min(MOST_STEP);
        self.last = Some(now);
        self.now = self.now.saturating_add(step);
    }

    /// How many have passed.
    pub(super) fn now(&self) -> u64 {
        self.now
    }

    /// The moment of the caller's clock at which so many will have passed.
    pub(super) fn moment(&self, passed: u64) -> u64 {
        let left = passed.saturating_sub(self.now);
        self.last.unwrap_or_default().saturating_add(left)
    }
}
