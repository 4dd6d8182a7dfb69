//! The main job without a face: the demo's two devices, edited apart for three weeks, meet twice by carry files and
//! are one record again; both list the same points to settle; a third device joins from the last file.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::BTreeSet;
use std::path::Path;

use record::{Kind, Record, Seat};
use serde_json::{Value, json};
use tests::device::unpacked;
use tests::points::asked;
use tests::program::{ask, run};

/// Every rule there is, as the wire words them, in the order their points are listed.
const RULES: [&str; 8] = [
    "closed_over_job",
    "closed_over_hold",
    "closed_over_run",
    "closed_over_reading",
    "two_values",
    "same_code",
    "two_orders",
    "readings_differ",
];

fn path(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn sound(dir: &Path) {
    let report = ask(dir, &["check"]);
    assert_eq!(report["sound"], true, "{report:#}");
    assert_eq!(
        report["found"],
        json!([]),
        "a clean check finds nothing to tell of"
    );
}

/// The digest that the program prints, reckoned from a carry file alone: BLAKE3 over the digest of the document that
/// its changes make and the hashes of the photos that it names.
fn digest_of_file(file: &Path) -> (String, usize) {
    let seat = Seat {
        device: uuid::Uuid::nil(),
        run: [0; 8],
    };
    let mut record = Record::begin(seat).unwrap();
    drop(record.receive(&unpacked(&std::fs::read(file).unwrap())).unwrap());
    let photos: BTreeSet<&str> = record
        .view()
        .all(Kind::Photo)
        .filter_map(|photo| photo.line("hash"))
        .collect();
    let mut hasher = blake3::Hasher::new();
    hasher.update(record.digest().digest.as_bytes());
    for hash in &photos {
        hasher.update(hash.as_bytes());
    }
    (hasher.finalize().to_hex().to_string(), record.count())
}

#[test]
fn two_devices_meet_and_a_third_joins() {
    let root = tempfile::tempdir().unwrap();
    let demo = root.path().join("demo");
    let made = run(["demo", "--into", path(&demo), "--day", "2025-11-16"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let (parent, child) = (demo.join("parent"), demo.join("child"));
    let apart = (ask(&parent, &["digest"]), ask(&child, &["digest"]));
    assert_ne!(
        apart.0["digest"], apart.1["digest"],
        "the demo's devices were not edited apart"
    );
    for dir in [&parent, &child] {
        assert_eq!(ask(dir, &["check"])["sound"], true);
    }

    let (from_parent, from_child) = (root.path().join("parent.carry"), root.path().join("child.carry"));
    let mut news = Vec::new();
    for _ in 0..2 {
        ask(&parent, &["carry", "out", "--open", path(&from_parent)]);
        ask(&child, &["carry", "out", "--open", path(&from_child)]);
        let met = ask(&child, &["carry", "in", "--welcome", path(&from_parent)]);
        news.push(met["changes"].as_u64().unwrap());
        let met = ask(&parent, &["carry", "in", "--welcome", path(&from_child)]);
        news.push(met["changes"].as_u64().unwrap());
    }
    assert!(news[0] > 0 && news[1] > 0, "{news:?}");
    assert_eq!(
        news[2..],
        [0, 0],
        "the second meeting brought what the first should have"
    );

    let digest = ask(&parent, &["digest"]);
    assert_eq!(ask(&child, &["digest"]), digest);
    sound(&parent);
    sound(&child);

    let points = ask(&parent, &["call", "points"]);
    assert_eq!(ask(&child, &["call", "points"]), points);
    let rules: Vec<&str> = points
        .as_array()
        .unwrap()
        .iter()
        .map(|point| point["rule"].as_str().unwrap())
        .collect();
    println!("{} points to settle: {rules:?}", rules.len());
    for rule in RULES {
        assert!(rules.contains(&rule), "no point of {rule}: {rules:?}");
    }
    let places: Vec<usize> = rules
        .iter()
        .map(|rule| RULES.iter().position(|one| one == rule).unwrap())
        .collect();
    assert!(places.is_sorted(), "{rules:?}");
    // The same points under the same identities as a program of before found. Whoever changes the story writes the file anew,
    // from the answer of this command before any rule is touched.
    let before: Vec<Value> = serde_json::from_str(include_str!("main_job_points.json")).unwrap();
    let now: Vec<Value> = points.as_array().unwrap().iter().map(asked).collect();
    assert_eq!(now, before);
    for dir in [&parent, &child] {
        assert_eq!(ask(dir, &["rebuild"])["changed"], false);
    }

    third_joins(root.path(), &parent, &child, &from_child, &digest);
    all_settled(root.path(), &parent, &child);
}

/// Joining enters the new device, so its record is the digest's and its own first words. Both are looked at: what
/// the file alone makes has the digest, and once those words are carried back, all three have one digest again.
fn third_joins(root: &Path, parent: &Path, child: &Path, last: &Path, digest: &Value) {
    let (of_file, changes) = digest_of_file(last);
    assert_eq!(
        json!(of_file),
        digest["digest"],
        "the file alone makes another record"
    );
    assert_eq!(json!(changes), digest["changes"]);

    let third = root.join("third");
    ask(
        &third,
        &[
            "join",
            path(last),
            "--keeper",
            "A neighbour",
            "--device",
            "Neighbour's phone",
        ],
    );
    let joined = ask(&third, &["digest"]);
    // The keeper and the device: two changes more, nothing else.
    assert_eq!(joined["changes"].as_u64().unwrap(), changes as u64 + 2);
    assert_eq!(joined["photos"], digest["photos"]);
    let page = ask(&third, &["call", "keepers"]);
    assert_eq!(page["photos_missing"], 0, "photos did not come along");

    let words = root.join("third.carry");
    ask(&third, &["carry", "out", "--open", path(&words)]);
    for dir in [parent, child] {
        let met = ask(dir, &["carry", "in", "--welcome", path(&words)]);
        assert_eq!(met["changes"], 2, "{met}");
    }
    for dir in [parent, child, &third] {
        assert_eq!(ask(dir, &["digest"]), joined);
        sound(dir);
    }
    let points = ask(parent, &["call", "points"]);
    assert_eq!(ask(&third, &["call", "points"]), points);
    fourth_joins(root, &words, joined["changes"].as_u64().unwrap());
}

/// A further device of a keeper who is there already enters one change only: its own.
fn fourth_joins(root: &Path, file: &Path, changes: u64) {
    let fourth = root.join("fourth");
    ask(
        &fourth,
        &[
            "join",
            path(file),
            "--keeper",
            "a neighbour",
            "--device",
            "tablet",
        ],
    );
    assert_eq!(ask(&fourth, &["digest"])["changes"], changes + 1);
    sound(&fourth);
}

/// Each settles the half of them by its first choice; after a meeting nothing is left on either.
fn all_settled(root: &Path, parent: &Path, child: &Path) {
    let points = ask(parent, &["call", "points"]);
    for (number, point) in points.as_array().unwrap().iter().enumerate() {
        let choice = &point["choices"][0];
        let why = choice["wants_why"].as_bool().unwrap().then_some("talked it over");
        let args = json!({ "point": point["id"], "choice": choice["key"], "why": why }).to_string();
        let dir = if number % 2 == 0 { parent } else { child };
        // A choice may settle a point beside it, such as two jobs under one closing.
        let left = ask(dir, &["call", "points"]);
        if left
            .as_array()
            .unwrap()
            .iter()
            .any(|one| one["id"] == point["id"])
        {
            ask(dir, &["call", "settle", &args]);
        }
    }
    let (out, back) = (root.join("settled-1.carry"), root.join("settled-2.carry"));
    ask(parent, &["carry", "out", "--open", path(&out)]);
    ask(child, &["carry", "in", path(&out)]);
    ask(child, &["carry", "out", "--open", path(&back)]);
    ask(parent, &["carry", "in", path(&back)]);
    assert_eq!(ask(parent, &["digest"]), ask(child, &["digest"]));
    let left = ask(parent, &["call", "points"]);
    assert_eq!(ask(child, &["call", "points"]), left);
    let was: BTreeSet<&str> = points
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|point| point["id"].as_str())
        .collect();
    let still: Vec<&Value> = left
        .as_array()
        .unwrap()
        .iter()
        .filter(|point| was.contains(point["id"].as_str().unwrap()))
        .collect();
    assert!(still.is_empty(), "settled points came back: {still:?}");
}
