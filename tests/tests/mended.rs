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

use std::path::Path;
use std::sync::mpsc::channel;
use std::time::Duration;

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

/// A folder of a car whose read tables another version made, with a word in them that this one does not read there.
fn made_by_another_version(dir: &Path) {
    let mut notebook = host::open(dir, "a test", Box::new(Seeded::of(1))).unwrap();
    let mut call = |name, args| notebook.call(None, name, args).unwrap();
    call("start_record", json!({ "car": "Tern", "keeper": "Rosalind" }));
    call("add_assembly", json!({ "name": "gearbox" }));
    drop(notebook);
    let beside = rusqlite::Connection::open(dir.join("witnessmark.sqlite")).unwrap();
    let spoilt = "UPDATE entries SET json = '{' WHERE kind IN ('assembly', 'keeper')";
    assert_eq!(beside.execute(spoilt, []).unwrap(), 2);
    assert_eq!(
        beside
            .execute("UPDATE records SET derived = derived - 1", [])
            .unwrap(),
        1
    );
}

#[test]
fn a_program_that_stays_answers_at_once_and_makes_them_anew_beside() {
    let dir = tempfile::tempdir().unwrap();
    made_by_another_version(dir.path());
    let mut notebook = host::open_to_stay(dir.path(), "a test", Box::new(Seeded::of(2))).unwrap();
    let (tell, told) = channel();
    notebook.watch(move |patch| tell.send(patch.clone()).is_ok());
    // Nothing has been made anew yet: the folder is open, the car is named, and its pages are refused in words.
    assert_eq!(
        notebook.call(None, "records", json!({})).unwrap()[0]["car"],
        "Tern"
    );
    for (name, args) in [
        ("list", json!({ "kind": "assembly" })),
        ("add_assembly", json!({ "name": "axle" })),
        ("carry_out", json!({ "open": true })),
    ] {
        let refusal = notebook.call(Some("Tern"), name, args).unwrap_err();
        assert_eq!(refusal.code, "catching_up", "{name}: {}", refusal.words);
    }
    let handle = Handle::new(notebook);
    let (begun, after) = channel();
    handle
        .caught_up_then(move |handle| {
            let list = handle.call(None, "list", json!({ "kind": "assembly" }))?;
            begun.send(list[0]["title"].clone()).unwrap();
            Ok(())
        })
        .unwrap();
    let title = after.recv_timeout(Duration::from_secs(60)).unwrap();
    assert_eq!(title, "gearbox");
    let patch = told.recv_timeout(Duration::from_secs(60)).unwrap();
    assert!(
        patch.marks.is_empty() && patch.points,
        "every page asks again: {patch:?}"
    );
    let records = ask(&handle, "records", json!({}));
    assert_eq!(records[0]["keeper_name"], "Rosalind");
    assert!(is_sound(&handle));
    drop(handle);
}

#[test]
fn a_car_that_cannot_be_made_anew_keeps_no_folder_from_opening() {
    let dir = tempfile::tempdir().unwrap();
    made_by_another_version(dir.path());
    let beside = rusqlite::Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    assert!(beside.execute("UPDATE change_log SET bytes = x'00'", []).unwrap() > 0);
    drop(beside);
    let notebook = host::open_to_stay(dir.path(), "a test", Box::new(Seeded::of(2))).unwrap();
    let handle = Handle::new(notebook);
    let (begun, after) = channel();
    handle
        .caught_up_then(move |_| {
            begun.send(()).unwrap();
            Ok(())
        })
        .unwrap();
    after.recv_timeout(Duration::from_secs(60)).unwrap();
    let report = ask(&handle, "check", json!({}));
    assert_eq!(report["sound"], false, "{report}");
    // Its pages read what the other version made, and say so.
    let old = ask(&handle, "folder", json!({}))["old_tables"].clone();
    let says = old[0]["says"].as_str().unwrap();
    assert!(
        says.contains("'Tern'") && says.contains("could not be made anew"),
        "{old}"
    );
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
