//! The seed of a run: a new one each time, printed, or the one that `RECKON_SEED=n` asks for. And dice for tests that throw their own.
//!
//! Never keeps a failing case in a file: the seed brings it back.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "each test file uses what it needs, the short way"
)]

use std::hash::{BuildHasher, Hasher, RandomState};

use proptest::prelude::ProptestConfig;
use proptest::test_runner::RngSeed;

/// The seed asked for, or a new one; printed.
pub(crate) fn seed() -> u64 {
    let asked = std::env::var("RECKON_SEED")
        .ok()
        .map(|seed| seed.parse().unwrap());
    let seed = asked.unwrap_or_else(|| RandomState::new().build_hasher().finish());
    println!("RECKON_SEED={seed}");
    seed
}

/// So many cases from that seed.
pub(crate) fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(seed()),
        ..ProptestConfig::default()
    }
}

/// Dice whose every throw follows from the seed (SplitMix64: Steele, Lea and Flood, 2014).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn throw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// From nought to one less than `count`, which is not nought.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.throw() % u64::try_from(count).unwrap()).unwrap()
    }

    pub(crate) fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        of.get(self.below(of.len())).unwrap()
    }
}
