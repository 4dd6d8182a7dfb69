//! Order does not matter: whatever order, partition, loss or repetition the carry files of several devices suffer,
//! all devices end with the same heads, the same read tables and the same points, and nothing that anybody wrote
//! is lost without a word.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use record::Kind;
use record::rules::Rule;
use tests::schedule::Told;
use tests::{folder, schedule, seed};

/// Runs every seed on two threads and adds up what they tell; the seed of one that fails is printed.
fn all(name: &str, seeds: &[u64], run: impl Fn(u64) -> Told + Sync) -> Told {
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
                    match catch_unwind(AssertUnwindSafe(|| run(*seed))) {
                        Ok(one) => told.lock().unwrap().add(&one),
                        Err(_) => {
                            eprintln!("{name}: seed {seed} failed; WITNESSMARK_SEED={seed} replays it alone");
                            failed.lock().unwrap().push(*seed);
                        }
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

/// A run in which nothing was at stake proves nothing.
fn at_stake(told: &Told) {
    assert!(told.found.current > 0 && told.found.in_conflict > 0 && told.found.struck > 0);
    assert!(told.found.in_history > 0 && told.found.lines > 0);
    assert!(told.closings > 0 && told.waived > 0 && told.settlements > 0);
    assert!(told.strikes > 0 && told.taken_back > 0 && told.restarts > 0);
    assert!(told.twice > 0 && told.dropped > 0 && told.conflicts > 0 && told.refused > 0);
}

/// Every rule found something. Only a long run can promise that; what a rule needs is a matter of luck in a short one.
fn every_rule(told: &Told) {
    for rule in [
        Rule::TwoValues,
        Rule::ClosedOverJob,
        Rule::ClosedOverHold,
        Rule::SameCode,
        Rule::TwoOrders,
        Rule::ReadingsDiffer,
    ] {
        assert!(told.points.contains_key(&rule), "no schedule ended with {rule:?}");
    }
}

#[test]
fn devices_in_memory_end_alike_and_lose_nothing() {
    let seeds = seed::seeds("WITNESSMARK_SCHEDULES", 2_000, 1);
    let told = all("devices in memory", &seeds, schedule::run);
    if seeds.len() >= 500 {
        at_stake(&told);
        every_rule(&told);
        assert!(told.framed > 0 && told.gaps > 0 && told.stale_rewrites > 0 && told.shared_sheets > 0);
        assert!(told.found.lines_in_history > 0);
        let missing: Vec<&Kind> = Kind::ALL
            .iter()
            .filter(|kind| !told.kinds.contains(kind))
            .collect();
        assert!(missing.is_empty(), "never written: {missing:?}");
    }
}

#[test]
fn notebooks_in_folders_end_alike_and_lose_nothing() {
    let seeds = seed::seeds("WITNESSMARK_SCHEDULES", 60, 33);
    let told = all("notebooks in folders", &seeds, folder::run);
    if seeds.len() >= 60 {
        at_stake(&told);
        assert!(
            told.points.len() >= 3,
            "few rules found anything: {:?}",
            told.points.keys()
        );
    }
}
