//! Order does not matter: whatever order, partition, loss or repetition the carry files of several devices suffer,
//! all devices end with the same heads, the same read tables and the same points, and nothing that anybody wrote
//! is lost without a word.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use record::Kind;
use record::rules::Rule;
use tests::schedule::Told;
use tests::{folder, schedule, seed};

/// A run in which nothing was at stake proves nothing.
fn at_stake(told: &Told) {
    assert!(told.found.current > 0 && told.found.in_conflict > 0 && told.found.struck > 0);
    assert!(told.found.in_history > 0 && told.found.lines > 0);
    assert!(told.closings > 0 && told.waived > 0 && told.settlements > 0);
    assert!(told.strikes > 0 && told.restarts > 0);
    assert!(told.twice > 0 && told.dropped > 0 && told.conflicts > 0 && told.refused > 0);
}

/// Every rule found something. Only a long run can promise that; what a rule needs is a matter of luck in a short one.
fn every_rule(told: &Told) {
    for rule in [
        Rule::TwoValues,
        Rule::ClosedOverJob,
        Rule::ClosedOverHold,
        Rule::ClosedOverRun,
        Rule::StruckWorkedOn,
        Rule::SettledTwoWays,
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
    let told = seed::all("devices in memory", &seeds, schedule::run, Told::add);
    if seeds.len() >= 500 {
        at_stake(&told);
        every_rule(&told);
        // Striking asks what becomes of what is inside, so few strikes are left to be taken back: too few for the folders' 60.
        assert!(told.taken_back > 0);
        assert!(told.framed > 0 && told.gaps > 0 && told.stale_rewrites > 0 && told.shared_sheets > 0);
        assert!(told.found.lines_in_history > 0);
        let past = told.past;
        assert!(past.fields > 0 && past.in_conflict > 0 && past.apart > 0 && past.without_log > 0);
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
    let told = seed::all("notebooks in folders", &seeds, folder::run, Told::add);
    if seeds.len() >= 60 {
        at_stake(&told);
        assert!(told.past.fields > 0 && told.past.in_conflict > 0);
        assert!(
            told.points.len() >= 3,
            "few rules found anything: {:?}",
            told.points.keys()
        );
    }
}
