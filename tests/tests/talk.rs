//! Meetings converge: whatever the lines do, all devices end with the same heads, the same read tables and all photos,
//! nothing that anybody wrote is lost without a word, and no meeting finds a difference that is none.
//!
//! `WITNESSMARK_SCHEDULES=10000` runs as many; `WITNESSMARK_SEED=N` replays one.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use tests::seed;
use tests::talk::{self, Told};

/// Runs every seed on two threads and adds up what they tell; the seed of one that fails is printed.
fn all(seeds: &[u64]) -> Told {
    let started = Instant::now();
    let (next, told, failed) = (
        AtomicUsize::new(0),
        Mutex::new(Told::default()),
        Mutex::new(Vec::new()),
    );
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                while let Some(seed) = seeds.get(next.fetch_add(1, Ordering::Relaxed)) {
                    match catch_unwind(AssertUnwindSafe(|| talk::run(*seed))) {
                        Ok(one) => told.lock().unwrap().add(&one),
                        Err(_) => {
                            eprintln!("seed {seed} failed; WITNESSMARK_SEED={seed} replays it alone");
                            failed.lock().unwrap().push(*seed);
                        }
                    }
                }
            });
        }
    });
    let told = told.into_inner().unwrap();
    println!("meetings: {:.1} s, {told:#?}", started.elapsed().as_secs_f64());
    let failed = failed.into_inner().unwrap();
    assert!(
        failed.is_empty(),
        "{} of {} schedules failed: seeds {failed:?}",
        failed.len(),
        seeds.len()
    );
    told
}

#[test]
fn meetings_converge_and_lose_nothing() {
    let seeds = seed::seeds("WITNESSMARK_SCHEDULES", 250, 1);
    let told = all(&seeds);
    if seeds.len() < 200 {
        return;
    }
    // A run in which nothing was at stake proves nothing.
    for what in [
        "edits",
        "meetings",
        "frames",
        "frames twice",
        "frames lost",
        "frames of before",
        "breaks",
        "restarts",
        "restores",
        "changes gone with a restore",
        "clocks put",
        "weeks",
        "ended: silent",
        "ended: garbled",
        "told at once",
        "changes sent",
        "photos brought",
        "photos gone on with",
        "photos everywhere",
    ] {
        assert!(told.of(what) > 0, "nothing was at stake: no {what}");
    }
    assert!(told.found.current > 0 && told.found.in_conflict > 0 && told.found.struck > 0);
    assert!(told.found.in_history > 0 && told.found.lines > 0);
}
