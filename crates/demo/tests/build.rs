//! The story played: two folders that share a year, and a meeting that shows every kind of point to settle, the
//! same on both sides. Built twice, it is the same record.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic
)]

use std::collections::BTreeMap;
use std::path::Path;

use demo::{Built, DemoError, build};
use notebook::{Notebook, Source};
use record::{Day, Moment};
use serde_json::{Value, json};

/// A later evening on the same bench; its bytes differ from those of the build, as any later run's do.
struct Later(u8);
impl Source for Later {
    fn now(&mut self) -> Moment {
        "2025-11-16T19:00:00Z".parse().unwrap()
    }
    fn random(&mut self) -> [u8; 16] {
        self.0 = self.0.wrapping_add(1);
        [self.0; 16]
    }
}

/// The day for which the sources tell it as it was written: it ends on the evening before.
fn written() -> Day {
    "2025-11-16".parse().unwrap()
}

fn open(folder: &Path, seed: u8) -> Notebook {
    host::open(folder, "test", Box::new(Later(seed))).unwrap()
}

fn digest(notebook: &mut Notebook) -> Value {
    notebook.call(None, "digest", json!({})).unwrap()
}

fn points(notebook: &mut Notebook) -> Vec<Value> {
    notebook
        .call(None, "points", json!({}))
        .unwrap()
        .as_array()
        .unwrap()
        .clone()
}

/// Each takes in what the other has.
fn meet(dir: &Path, parent: &mut Notebook, child: &mut Notebook) {
    let stick = dir.join("stick.carry");
    for _ in 0..2 {
        parent
            .call(None, "carry_out", json!({ "file": stick, "open": true }))
            .unwrap();
        child
            .call(None, "carry_in", json!({ "file": stick, "welcome": true }))
            .unwrap();
        child
            .call(None, "carry_out", json!({ "file": stick, "open": true }))
            .unwrap();
        parent
            .call(None, "carry_in", json!({ "file": stick, "welcome": true }))
            .unwrap();
    }
}

/// One build, with the digests that it had before anybody met in it.
struct Made {
    dir: tempfile::TempDir,
    built: Built,
    digests: [Value; 2],
}

impl Made {
    fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let built = build(dir.path(), written()).unwrap_or_else(|why| panic!("{why}"));
        let digests = [&built.parent, &built.child].map(|folder| digest(&mut open(folder, 1)));
        Self { dir, built, digests }
    }
}

/// A build takes a while: the two that are compared are made here, and the meeting is held in one of them.
#[test]
fn built_twice_it_is_the_same_record_and_its_meeting_shows_every_rule() {
    let (first, second) = (Made::new(), Made::new());
    assert_eq!(first.built.record, second.built.record);
    assert_eq!(first.digests, second.digests);
    assert_ne!(
        second.digests[0], second.digests[1],
        "they were apart when it ended"
    );
    drop(second);
    each_shows_itself_round_until_it_is_left(&first.built.parent, "Last night");
    each_shows_itself_round_until_it_is_left(&first.built.child, "Her last sheet");
    the_meeting_shows_every_rule_on_both_sides(&first);
}

fn the_meeting_shows_every_rule_on_both_sides(first: &Made) {
    let made = &first.built;
    assert!(made.parent_apart >= 20 && made.child_apart >= 20, "{made:?}");
    let (mut parent, mut child) = (open(&made.parent, 40), open(&made.child, 140));
    // Before they meet, neither sees a contradiction, and each has what the other lacks.
    assert_eq!(points(&mut parent), Vec::<Value>::new());
    assert_eq!(points(&mut child), Vec::<Value>::new());
    assert_ne!(digest(&mut parent), digest(&mut child));
    meet(first.dir.path(), &mut parent, &mut child);
    assert_eq!(digest(&mut parent), digest(&mut child));
    let (on_parent, on_child) = (points(&mut parent), points(&mut child));
    assert_eq!(on_parent, on_child, "the same list in the same order");
    let mut rules: BTreeMap<&str, usize> = BTreeMap::new();
    for point in &on_parent {
        *rules.entry(point["rule"].as_str().unwrap()).or_default() += 1;
    }
    for rule in [
        "two_values",
        "closed_over_job",
        "closed_over_hold",
        "closed_over_run",
        "same_code",
        "two_orders",
        "readings_differ",
    ] {
        assert!(rules.contains_key(rule), "{rule} is not among {rules:?}");
    }
    let fields: Vec<&str> = on_parent
        .iter()
        .filter_map(|point| point["field"].as_str())
        .collect();
    for field in ["decision", "high", "state"] {
        assert!(fields.contains(&field), "two values for '{field}': {fields:?}");
    }
    // Whoever closed an assembly apart had not the other's entry: they could not have known.
    for point in on_parent
        .iter()
        .filter(|point| point["rule"].as_str().unwrap().starts_with("closed_over"))
    {
        let sides = point["sides"].as_array().unwrap();
        assert!(
            sides.iter().all(|side| side["knew_other"] == json!(false)),
            "{point}"
        );
    }
    println!("{rules:?}");
}

/// Each folder shows itself round in its own words until that is left; no record has anything of it.
fn each_shows_itself_round_until_it_is_left(folder: &Path, first: &str) {
    let mut notebook = open(folder, 60);
    let before = digest(&mut notebook);
    let tour = notebook.call(None, "tour", json!({})).unwrap();
    let steps = tour["steps"].as_array().unwrap();
    assert_eq!(steps.len(), 6, "{tour}");
    assert_eq!(steps[0]["title"], first);
    // What it names is there.
    for step in steps {
        let thing = step["thing"].as_str().unwrap();
        if let Some(id) = thing.strip_prefix("part:") {
            notebook
                .call(None, "entry", json!({ "kind": "part", "id": id }))
                .unwrap();
        }
    }
    notebook.call(None, "leave_tour", json!({})).unwrap();
    drop(notebook);
    let mut notebook = open(folder, 61);
    let left = notebook.call(None, "tour", json!({})).unwrap();
    assert_eq!(left, json!({ "steps": [] }), "it is not offered again");
    assert_eq!(digest(&mut notebook), before);
}

#[test]
fn a_folder_that_is_no_demo_has_no_tour_and_keeps_nothing_of_one() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = open(dir.path(), 1);
    let args = json!({ "car": "The green one", "keeper": "Rosalind" });
    notebook.call(None, "start_record", args).unwrap();
    for _ in 0..2 {
        let tour = notebook.call(None, "tour", json!({})).unwrap();
        assert_eq!(tour, json!({ "steps": [] }));
        notebook.call(None, "leave_tour", json!({})).unwrap();
    }
    assert!(!dir.path().join("tour.json").exists());
}

#[test]
fn a_folder_that_is_there_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let child = dir.path().join("child");
    std::fs::create_dir(&child).unwrap();
    std::fs::write(child.join("letter"), "dear Nell").unwrap();
    let refused = build(dir.path(), written()).expect_err("it must be refused");
    assert!(matches!(refused, DemoError::There(_)), "{refused}");
    assert_eq!(
        std::fs::read_to_string(child.join("letter")).unwrap(),
        "dear Nell"
    );
    assert!(!dir.path().join("parent").exists());
}
