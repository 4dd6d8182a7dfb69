//! Seeds: every random choice of a schedule comes from one number, which is printed when the schedule fails and
//! replays it alone. No other randomness is read here, and no clock but to say how long a run took.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use rand::{Rng, RngCore, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Random choices from one seed, the same on every machine.
#[derive(Clone, Debug)]
pub struct Dice(ChaCha8Rng);

impl Dice {
    /// From a seed.
    #[must_use]
    pub fn of(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    /// A number below `most`; nought where there is nothing to choose from.
    pub fn below(&mut self, most: usize) -> usize {
        if most == 0 {
            0
        } else {
            self.0.random_range(0..most)
        }
    }

    /// Whether something that happens `percent` of a hundred times happens now.
    pub fn chance(&mut self, percent: u32) -> bool {
        self.0.random_range(0..100) < percent
    }

    /// One of these.
    pub fn one<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        let at = self.below(of.len());
        of.get(at)
    }

    /// One of these, of which there is at least one.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        self.one(of).unwrap()
    }

    /// Any 32-bit number.
    pub fn number(&mut self) -> u32 {
        self.0.next_u32()
    }

    /// Sixteen bytes.
    pub fn bytes(&mut self) -> [u8; 16] {
        let mut bytes = [0; 16];
        self.0.fill_bytes(&mut bytes);
        bytes
    }

    /// A fresh id.
    pub fn uuid(&mut self) -> uuid::Uuid {
        uuid::Builder::from_random_bytes(self.bytes()).into_uuid()
    }
}

impl record::Ids for Dice {
    fn fresh(&mut self) -> uuid::Uuid {
        self.uuid()
    }
}

fn number_of(name: &str) -> Option<u64> {
    let text = std::env::var(name).ok()?;
    Some(
        text.trim()
            .parse()
            .unwrap_or_else(|_| panic!("{name}={text} is no number")),
    )
}

/// The seeds to run: the one of `WITNESSMARK_SEED`, or `usual` of them, or as many as `variable` asks for divided by
/// `each`.
#[must_use]
pub fn seeds(variable: &str, usual: u64, each: u64) -> Vec<u64> {
    match number_of("WITNESSMARK_SEED") {
        Some(seed) => vec![seed],
        None => (1..=number_of(variable).map_or(usual, |wanted| wanted.div_ceil(each))).collect(),
    }
}

/// How many of something to do: what `variable` says, or the usual number.
#[must_use]
pub fn how_many(variable: &str, usual: u64) -> u64 {
    number_of(variable).unwrap_or(usual)
}

/// After how many schedules a line says how far a long run is: one that is ended early has still shown something.
const EVERY: usize = 100;

/// Runs every seed, two at a time, and adds up what they tell; the seed of one that fails is printed. Each has a thread of
/// its own that is named after it: a panic says whose it is, and what a thread draws first does not hang on those before it.
///
/// # Panics
/// Where any failed, after all have run.
pub fn all<T: Default + std::fmt::Debug + Send>(
    name: &str,
    seeds: &[u64],
    run: impl Fn(u64) -> T + Sync,
    add: impl Fn(&mut T, &T) + Sync,
) -> T {
    let started = Instant::now();
    let (next, ended, told, failed) = (
        AtomicUsize::new(0),
        AtomicUsize::new(0),
        Mutex::new(T::default()),
        Mutex::new(Vec::new()),
    );
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                while let Some(seed) = seeds.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let alone = || catch_unwind(AssertUnwindSafe(|| run(*seed)));
                    let done = std::thread::scope(|scope| {
                        let named = std::thread::Builder::new().name(format!("seed {seed}"));
                        named.spawn_scoped(scope, alone).unwrap().join().unwrap()
                    });
                    match done {
                        Ok(one) => add(&mut told.lock().unwrap(), &one),
                        Err(_) => {
                            eprintln!("{name}: seed {seed} failed; WITNESSMARK_SEED={seed} replays it alone");
                            failed.lock().unwrap().push(*seed);
                        }
                    }
                    let ended = ended.fetch_add(1, Ordering::Relaxed) + 1;
                    if ended.is_multiple_of(EVERY) {
                        let secs = started.elapsed().as_secs_f64();
                        eprintln!("{name}: {ended} of {} in {secs:.0} s", seeds.len());
                    }
                }
            });
        }
    });
    let told = told.into_inner().unwrap();
    println!("{name}: {:.1} s, {told:#?}", started.elapsed().as_secs_f64());
    let failed = failed.into_inner().unwrap();
    assert!(
        failed.is_empty(),
        "{name}: {} of {} schedules failed: seeds {failed:?}",
        failed.len(),
        seeds.len()
    );
    told
}
