//! Read tables that are put right by themselves. What the comparison after a meeting is for: a read table that was damaged by
//! hand on one device differs from the other's, is found by the next comparison, and both end alike. And what another version
//! of the program derived is made anew at the next start. The damage is done beside the program, by another connection to its
//! database, as a failing disk or a meddler would.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use host::Handle;
use notebook::Notebook;
use serde_json::json;
use tests::attending::{Seeded, ask, is_alike, open, pair, until};

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

#[test]
fn what_another_version_derived_is_made_anew_at_the_next_start() {
    let dir = tempfile::tempdir().unwrap();
    let start = || {
        let mut told = Vec::new();
        let notebook = host::open_telling(dir.path(), "a test", Box::new(Seeded::of(1)), &mut |tables| {
            told.push((tables.car.to_owned(), tables.done, tables.of))
        });
        (notebook.unwrap(), told)
    };
    let (mut notebook, told) = start();
    assert_eq!(told, []);
    let mut call = |name, args| notebook.call(None, name, args).unwrap();
    call("start_record", json!({ "car": "Tern", "keeper": "Rosalind" }));
    call("add_assembly", json!({ "name": "gearbox" }));
    call("note", json!({ "day": "2031-03-01", "text": "Drained." }));
    drop(notebook);
    let database = dir.path().join("witnessmark.sqlite");
    let spoil = |damage: &str| {
        let beside = rusqlite::Connection::open(&database).unwrap();
        assert!(beside.execute(damage, []).unwrap() > 0, "{damage}");
    };
    let bad = "UPDATE entries SET title = 'gearbag', json = replace(json, 'gearbox', 'gearbag') WHERE kind = 'assembly'";
    let title = |notebook: &mut Notebook| {
        let list = notebook
            .call(None, "list", json!({ "kind": "assembly" }))
            .unwrap();
        list[0]["title"].as_str().unwrap().to_owned()
    };
    // Of this version nothing is made anew by itself: a check tells of what is wrong there, and rebuild is a keeper's word.
    spoil(bad);
    let (mut notebook, told) = start();
    assert_eq!((title(&mut notebook).as_str(), told), ("gearbag", vec![]));
    drop(notebook);
    spoil("UPDATE records SET derived = derived - 1");
    let (mut notebook, told) = start();
    assert_eq!(title(&mut notebook), "gearbox");
    let report = notebook.call(None, "check", json!({})).unwrap();
    assert_eq!(report["sound"], true, "{}", report["found"]);
    let (car, done, of) = told.last().unwrap();
    assert_eq!((car.as_str(), done), ("Tern", of));
    assert!(*of >= 4 && told.len() >= 2, "{told:?}");
    drop(notebook);
    assert_eq!(start().1, [], "and once is enough");
}

#[test]
fn one_row_that_cannot_be_read_takes_no_sound_entry_with_it() {
    let dir = tempfile::tempdir().unwrap();
    let start = || host::open(dir.path(), "a test", Box::new(Seeded::of(1))).unwrap();
    let mut notebook = start();
    let mut call = |name, args| notebook.call(None, name, args).unwrap();
    call("start_record", json!({ "car": "Tern", "keeper": "Rosalind" }));
    let assembly = call("add_assembly", json!({ "name": "gearbox" }))["id"].clone();
    let part = call("add_part", json!({ "name": "lid", "assembly": assembly }))["id"].clone();
    drop(notebook);
    let beside = rusqlite::Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    let spoilt = "UPDATE entries SET json = '{' WHERE kind IN ('assembly', 'device')";
    assert_eq!(beside.execute(spoilt, []).unwrap(), 2);
    let mut notebook = start();
    let page = notebook
        .call(None, "entry", json!({ "kind": "part", "id": part }))
        .unwrap();
    assert_eq!(page["fields"]["name"][0]["value"], "lid", "{page}");
    let said = page["said"].as_array().unwrap();
    let within = said.iter().find(|field| field["field"] == "assembly").unwrap();
    assert_eq!(within["values"][0]["words"], "assembly", "{page}");
    assert_eq!(
        page["made_by"]["who"], "a device that the record does not name",
        "{page}"
    );
    let refused = notebook.call(None, "entry", json!({ "kind": "assembly", "id": assembly }));
    assert!(refused.is_err(), "{refused:?}");
}
