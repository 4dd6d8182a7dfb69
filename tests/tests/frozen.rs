//! A frozen record opens, meets and goes on. `tests/frozen/1` was written by the program of the first format (how:
//! `tests/frozen/make.py`) and is never made again: two keepers' folders, a long one with a snapshot, what went between
//! them as files, and a stick. Today's program reads all of it, and says of it what that program said.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tempfile::TempDir;
use tests::points::asked;
use tests::program::{ask, call, copy, house};

/// The passphrase that `make.py` sealed the newcomer's file to.
const WORDS: &str = "tallow ferrule gasket lantern mitre quarry";

/// A copy of the frozen record: nothing may be written into the frozen one.
struct Thawed {
    dir: TempDir,
    told: Value,
}

impl Thawed {
    fn new() -> Self {
        let frozen = house().join("tests/frozen/1");
        let dir = tempfile::tempdir().unwrap();
        for name in ["rosalind", "wilf", "long", "stick"] {
            copy(&frozen.join(name), &dir.path().join(name));
        }
        for name in [
            "third-a.carry",
            "lost-later.carry",
            "on-its-way.carry",
            "whole.carry",
        ] {
            std::fs::copy(frozen.join(name), dir.path().join(name)).unwrap();
        }
        let told = serde_json::from_slice(&std::fs::read(frozen.join("told.json")).unwrap()).unwrap();
        Self { dir, told }
    }

    fn at(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// Carries a file in, open or sealed, and answers what came of it.
    fn take_in(&self, name: &str, file: &str) -> Value {
        let file = self.at(file);
        ask(&self.at(name), &["carry", "in", file.to_str().unwrap()])
    }

    /// Writes a file at one and takes it in at the other, and the other way round.
    fn meet(&self, one: &str, other: &str) {
        for (from, to) in [(one, other), (other, one)] {
            let file = self.at(&format!("{from}.carry"));
            ask(&self.at(from), &["carry", "out", file.to_str().unwrap()]);
            ask(&self.at(to), &["carry", "in", file.to_str().unwrap()]);
        }
    }
}

fn digest(at: &Path) -> Value {
    ask(at, &["digest"])
}

fn point_ids(points: &Value) -> BTreeSet<String> {
    let points = points.as_array().unwrap().iter();
    points
        .map(|point| point["id"].as_str().unwrap().to_owned())
        .collect()
}

fn sheet(at: &Path, day: &str) -> String {
    call(at, "day", &json!({ "day": day })).to_string()
}

#[test]
fn it_opens_and_reads_as_it_did() {
    let thawed = Thawed::new();
    let points_before = std::fs::read(house().join("tests/frozen/points-1.json")).unwrap();
    let points_before: Value = serde_json::from_slice(&points_before).unwrap();
    let mut held = 0_usize;
    for name in ["rosalind", "wilf", "long"] {
        let (at, told) = (thawed.at(name), &thawed.told[name]);
        let now = digest(&at);
        for field in ["digest", "heads", "changes", "entries"] {
            assert_eq!(now[field], told["digest"][field], "{name}: {field}");
        }
        // A rule that came later may find more; none that stood is lost, and none that was settled comes back.
        let points = point_ids(&call(&at, "points", &json!({})));
        assert!(
            point_ids(&told["points"]).is_subset(&points),
            "{name}: {points:?}"
        );
        // Those of the rules that were there before rules were values read as they did, to the last choice.
        let listed = call(&at, "points", &json!({}));
        let before = points_before[name].as_array().unwrap();
        held = held.saturating_add(before.len());
        for before in before {
            let now = listed.as_array().unwrap().iter();
            let now = now.map(asked).find(|now| now["id"] == before["id"]);
            // A part is called by its position as well since.
            let now = now.map(|mut now| {
                let title = now["title"]
                    .as_str()
                    .unwrap()
                    .replace("valve, cylinder 3'", "valve'");
                now["title"] = Value::String(title);
                now
            });
            assert_eq!(now.as_ref(), Some(before), "{name}");
        }
        let check = ask(&at, &["check"]);
        assert_eq!(check["sound"], true, "{name}: {check}");
        ask(&at, &["rebuild"]);
        assert_eq!(
            digest(&at)["digest"],
            told["digest"]["digest"],
            "{name}, made anew"
        );
    }
    assert_eq!(
        held, 6,
        "three points on each side of a meeting; the long record has none"
    );
    let aside = call(&thawed.at("wilf"), "aside", &json!({}));
    assert_eq!(aside["lines"], thawed.told["wilf"]["aside"]["lines"]);
}

#[test]
fn it_goes_on_and_meets_by_file() {
    let thawed = Thawed::new();
    let (rosalind, wilf) = (thawed.at("rosalind"), thawed.at("wilf"));
    for (at, text) in [
        (&rosalind, "Written today by Rosalind."),
        (&wilf, "Written today by Wilf."),
    ] {
        call(at, "note", &json!({ "day": "2031-06-01", "text": text }));
    }
    thawed.meet("rosalind", "wilf");
    thawed.meet("rosalind", "wilf");
    assert_eq!(digest(&rosalind)["digest"], digest(&wilf)["digest"]);
    for at in [&rosalind, &wilf] {
        let day = sheet(at, "2031-06-01");
        assert!(
            day.contains("today by Rosalind") && day.contains("today by Wilf"),
            "{day}"
        );
        assert_eq!(ask(at, &["check"])["sound"], true);
    }
    let long = thawed.at("long");
    call(&long, "note", &json!({ "day": "2031-06-01", "text": "And on." }));
    assert_eq!(ask(&long, &["check"])["sound"], true);
    assert!(sheet(&long, "2031-06-01").contains("And on."));
}

#[test]
fn files_that_were_on_their_way_are_read() {
    let thawed = Thawed::new();
    let rosalind = thawed.at("rosalind");
    // Sealed to the members, with what she lacks.
    assert!(!sheet(&rosalind, "2031-04-08").contains("On its way"));
    thawed.take_in("rosalind", "on-its-way.carry");
    assert!(sheet(&rosalind, "2031-04-08").contains("On its way in a sealed file."));
    // Open, with nothing that she lacks.
    assert_eq!(thawed.take_in("rosalind", "third-a.carry")["changes"], 0);
    // From a device that was revoked: set aside, in no part of the record.
    let before = digest(&rosalind);
    let came = thawed.take_in("rosalind", "lost-later.carry");
    // Its note; the month's sheets, which the file brings too, she has laid down herself since.
    assert_eq!(
        (&came["changes"], &came["aside"]),
        (&json!(0), &json!(1)),
        "{came}"
    );
    assert_eq!(digest(&rosalind), before);
    // Sealed to a passphrase: a newcomer joins by it.
    let newcomer = thawed.at("newcomer");
    let file = thawed.at("whole.carry");
    ask(
        &newcomer,
        &[
            "join",
            file.to_str().unwrap(),
            "--keeper",
            "Ines",
            "--passphrase",
            WORDS,
        ],
    );
    assert!(sheet(&newcomer, "2031-02-27").contains("two studs came with their nuts"));
    call(
        &newcomer,
        "note",
        &json!({ "day": "2031-06-02", "text": "Good evening." }),
    );
    assert_eq!(ask(&newcomer, &["check"])["sound"], true);
}

#[test]
fn a_stick_of_that_day_is_read_and_written_on() {
    let thawed = Thawed::new();
    let (rosalind, wilf, stick) = (thawed.at("rosalind"), thawed.at("wilf"), thawed.at("stick"));
    assert!(!sheet(&wilf, "2031-04-09").contains("not read yet"));
    for at in [&wilf, &rosalind] {
        // The drop that they know lies where the record was made; it is told anew where the stick is now.
        for drop in call(at, "drops", &json!({}))["drops"].as_array().unwrap() {
            ask(at, &["drop", "remove", drop["id"].as_str().unwrap()]);
        }
        ask(at, &["drop", "folder", stick.to_str().unwrap()]);
    }
    ask(&wilf, &["drop", "look"]);
    assert!(sheet(&wilf, "2031-04-09").contains("Put on the stick, not read yet."));
    for at in [&rosalind, &wilf] {
        ask(at, &["drop", "look"]);
    }
    assert_eq!(digest(&rosalind)["digest"], digest(&wilf)["digest"]);
}
