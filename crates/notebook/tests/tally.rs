//! The tally beside the database, where it does not fit what lies there: a check tells it, a keeper can say that it is known,
//! and what was given up is said.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use std::fs;
use std::path::Path;

use folders::{ask, open, refused};
use notebook::Notebook;
use serde_json::{Value, json};

const DATABASE: &str = "witnessmark.sqlite";
const TALLY: &str = "witnessmark.tally";

fn begun(dir: &Path, seed: u64) -> Notebook {
    let mut notebook = open(dir, seed);
    let start = json!({ "car": "Tern", "keeper": "Rosalind" });
    ask(&mut notebook, "start_record", start);
    notebook
}

fn note(notebook: &mut Notebook, text: &str) {
    ask(notebook, "note", json!({ "day": "2031-03-01", "text": text }));
}

fn line(notebook: &mut Notebook, code: &str) -> Option<Value> {
    let health = ask(notebook, "check", json!({}));
    let found = health["found"].as_array().unwrap();
    found.iter().find(|line| line["code"] == code).cloned()
}

/// Told at every start until a keeper says that it is known; silent from then on, also after the next edits.
fn is_told_until_let_go(dir: &Path, code: &str, gives_up: &str) {
    for seed in [5, 6] {
        let mut notebook = open(dir, seed);
        assert!(line(&mut notebook, code).is_some(), "{code} is not told");
    }
    let mut notebook = open(dir, 7);
    let done = ask(&mut notebook, "let_go", json!({}));
    assert!(done["says"][0].as_str().unwrap().contains(gives_up), "{done}");
    assert_eq!(line(&mut notebook, code), None);
    note(&mut notebook, "Afterwards.");
    drop(notebook);
    let mut notebook = open(dir, 8);
    assert_eq!(line(&mut notebook, code), None);
    assert_eq!(ask(&mut notebook, "check", json!({}))["sound"], true);
    assert_eq!(refused(&mut notebook, "let_go", json!({})).code, "nothing_gone");
}

#[test]
fn a_tally_beside_an_older_database_can_be_let_go() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("at");
    let mut notebook = begun(&at, 1);
    note(&mut notebook, "Kept.");
    drop(notebook);
    let older = fs::read(at.join(DATABASE)).unwrap();
    let mut notebook = open(&at, 2);
    note(&mut notebook, "Kept later.");
    drop(notebook);
    fs::write(at.join(DATABASE), older).unwrap();
    is_told_until_let_go(&at, "lost", "'Tern'");
}

#[test]
fn a_tally_beside_a_new_database_can_be_let_go() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("at");
    drop(begun(&at, 1));
    fs::remove_file(at.join(DATABASE)).unwrap();
    drop(begun(&at, 3));
    is_told_until_let_go(&at, "lost", "not kept here");
}

#[test]
fn a_tally_that_is_missing_or_damaged_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("at");
    let mut notebook = begun(&at, 1);
    note(&mut notebook, "Kept.");
    drop(notebook);
    let mut notebook = open(&at, 2);
    assert_eq!(line(&mut notebook, "tally"), None);
    drop(notebook);
    fs::remove_file(at.join(TALLY)).unwrap();
    is_told_until_let_go(&at, "tally", "missing");
    let length = fs::read(at.join(TALLY)).unwrap().len();
    fs::write(at.join(TALLY), vec![7; length]).unwrap();
    is_told_until_let_go(&at, "tally", "damaged");
    // It tells of losses again from then on.
    let older = fs::read(at.join(DATABASE)).unwrap();
    let mut notebook = open(&at, 9);
    note(&mut notebook, "Kept after that.");
    drop(notebook);
    fs::write(at.join(DATABASE), older).unwrap();
    assert!(line(&mut open(&at, 10), "lost").is_some());
}
