//! A schedule is replayed alike, names and all, from its seed and its luck: the randomness that age takes out of the system
//! is put in by `tests/luck`. Only where the system lets a library stand before it.

use std::path::Path;
use std::process::Command;

/// The names of all files that one schedule wrote, added up.
fn names(luck: &Path, number: &str) -> String {
    let out = Command::new(std::env::current_exe().unwrap())
        .args([
            "--exact",
            "schedules::three_devices_end_alike_through_copies_of_one_folder",
            "--nocapture",
        ])
        // The photo of this one came or did not, by the order of two names: one of them stands for a part.
        .env("WITNESSMARK_SEED", "277")
        .env("WITNESSMARK_LUCK", number)
        .env("LD_PRELOAD", luck)
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(out.status.success(), "{text}");
    let line = text.lines().find(|line| line.trim().starts_with("names:"));
    line.unwrap_or_else(|| panic!("{text}")).to_owned()
}

#[test]
fn a_seed_and_its_luck_replay_a_schedule() {
    let dir = tempfile::tempdir().unwrap();
    let luck = dir.path().join("luck.so");
    let made = Command::new("cc")
        .args(["-shared", "-fPIC", "-o"])
        .arg(&luck)
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("luck/luck.c"))
        .args(["-ldl", "-lpthread"])
        .status()
        .unwrap();
    assert!(made.success());
    let first = names(&luck, "2");
    assert_eq!(first, names(&luck, "2"));
    assert_ne!(first, names(&luck, "3"), "luck decides nothing");
}
