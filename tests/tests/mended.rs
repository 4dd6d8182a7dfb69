//! What the comparison after a meeting is for: a read table that was damaged by hand on one device differs from the
//! other's, is found by the next comparison, and both end alike. The damage is done beside the running program, by
//! another connection to its database, as a failing disk or a meddler would.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::path::Path;
use std::time::{Duration, Instant};

use notebook::{Handle, Notebook, Source, Surroundings};
use record::Moment;
use serde_json::{Value, json};

const LONG: Duration = Duration::from_secs(20);

/// A clock that goes on by a second at every look, and randomness from a counter.
struct Counted(u64);

impl Source for Counted {
    fn now(&mut self) -> Moment {
        self.0 += 1;
        Moment::from_seconds(1_900_000_000 + i64::try_from(self.0 & 0xffff_ffff).unwrap())
    }

    fn random(&mut self) -> [u8; 16] {
        self.0 += 1;
        let hash = blake3::hash(&self.0.to_le_bytes());
        *hash.as_bytes().first_chunk().unwrap()
    }

    fn secret(&mut self) -> Option<[u8; 64]> {
        let mut secret = [0; 64];
        secret
            .chunks_mut(16)
            .for_each(|part| part.copy_from_slice(&self.random()));
        Some(secret)
    }
}

fn open(dir: &Path, seed: u64) -> Handle {
    let notebook = Handle::new(Notebook::open(dir, "a test", Box::new(Counted(seed << 32))).unwrap());
    let loopback = Surroundings {
        mdns: false,
        at: vec!["127.0.0.1:0".parse().unwrap()],
    };
    notebook.attend(loopback).unwrap();
    notebook
}

fn ask(notebook: &Handle, name: &str, args: Value) -> Value {
    notebook
        .with(|notebook| notebook.call(None, name, args))
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

fn until(what: &str, so: impl Fn() -> bool) {
    let began = Instant::now();
    while !so() {
        assert!(began.elapsed() < LONG, "{what} within {LONG:?}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

fn stands(notebook: &Handle, key: &str) -> bool {
    let page = ask(notebook, "meetings", json!({}));
    let devices = page["devices"].as_array().unwrap();
    devices.len() == 1 && devices.iter().all(|one| one[key] == true)
}

fn state(notebook: &Handle) -> Value {
    ask(notebook, "pair_code", json!({}))["state"].clone()
}

fn is_sound(notebook: &Handle) -> bool {
    let report = ask(notebook, "check", json!({}));
    if report["sound"] != true {
        // Shown where the test fails.
        println!("{}\n{}", report["found"], ask(notebook, "meetings", json!({})));
    }
    report["sound"] == true
}

#[test]
fn a_read_table_that_was_damaged_is_found_and_mended_at_a_meeting() {
    let dir = tempfile::tempdir().unwrap();
    let parent = open(&dir.path().join("parent"), 1);
    ask(
        &parent,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    ask(&parent, "add_assembly", json!({ "name": "gearbox" }));
    let child = open(&dir.path().join("child"), 2);
    let ticket = ask(&parent, "pair_open", json!({}));
    ask(
        &child,
        "pair_join",
        json!({ "ticket": ticket["ticket"], "keeper": "Wilf" }),
    );
    for side in [&parent, &child] {
        until("digits", || state(side) == "compare");
    }
    for side in [&parent, &child] {
        ask(side, "pair_confirm", json!({ "yes": true }));
    }
    for side in [&parent, &child] {
        until("both hold the same", || stands(side, "alike"));
    }
    let damages = [
        // A word that nobody wrote, an entry that is gone, and one that cannot be read at all.
        "UPDATE entries SET json = replace(json, 'gearbox', 'gearbag') WHERE kind = 'assembly'",
        "DELETE FROM entries WHERE kind = 'assembly'",
        "UPDATE entries SET json = '{' WHERE kind = 'assembly'",
    ];
    for (at, damage) in damages.into_iter().enumerate() {
        let database = dir.path().join("child/witnessmark.sqlite");
        let beside = rusqlite::Connection::open(database).unwrap();
        beside.execute_batch("PRAGMA foreign_keys = OFF").unwrap();
        assert!(beside.execute(damage, []).unwrap() > 0, "{damage}");
        drop(beside);
        assert!(!is_sound(&child), "{damage}");
        // Something is written, and what both hold is compared.
        let words = format!("note {at}");
        ask(&parent, "note", json!({ "day": "2031-03-01", "text": words }));
        until(&format!("mended after {damage}"), || is_sound(&child));
        for side in [&parent, &child] {
            until("both hold the same again", || {
                stands(side, "alike") && !stands(side, "difference")
            });
        }
        let hits = ask(&child, "search", json!({ "text": "gearbox" }));
        assert!(!hits.as_array().unwrap().is_empty(), "{damage}");
    }
}
