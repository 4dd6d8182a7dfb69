//! Notebooks in folders.

use crate::schedule::Told;

/// Runs one schedule.
#[must_use]
pub fn run(_seed: u64) -> Told {
    Told::default()
}
