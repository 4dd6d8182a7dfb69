//! Meetings converge: whatever the lines do, all devices end with the same heads, the same read tables and all photos,
//! nothing that anybody wrote is lost without a word, and no meeting finds a difference that is none.
//!
//! `WITNESSMARK_SCHEDULES=10000` runs as many; `WITNESSMARK_SEED=N` replays one.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use tests::seed;
use tests::talk::{self, Told};

#[test]
fn meetings_converge_and_lose_nothing() {
    let seeds = seed::seeds("WITNESSMARK_SCHEDULES", 250, 1);
    let told = seed::all("meetings", &seeds, talk::run, Told::add);
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
        "frames reordered",
        "frames dropped",
        "choices of photos",
        "who has a photo told",
        "breaks",
        "restarts",
        "restores",
        "changes gone with a restore",
        "clocks put",
        "weeks",
        "ended: silent",
        "ended: no greeting",
        "begun anew",
        "evenings",
        "hurries",
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
