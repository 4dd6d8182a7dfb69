//! What the comparison after a meeting is for: a read table that was damaged by hand on one device differs from the
//! other's, is found by the next comparison, and both end alike. The damage is done beside the running program, by
//! another connection to its database, as a failing disk or a meddler would.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use notebook::Handle;
use serde_json::json;
use tests::attending::{ask, is_alike, open, pair, until};

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
    pair(&parent, &child, "Wilf");
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
            let differs = || ask(side, "meetings", json!({}))["devices"][0]["difference"] == true;
            until("both hold the same again", || is_alike(side) && !differs());
        }
        let hits = ask(&child, "search", json!({ "text": "gearbox" }));
        assert!(!hits.as_array().unwrap().is_empty(), "{damage}");
    }
}
