//! Who is let in by pairing: both keepers are told which car and whose device before they say yes, and a device that the
//! record does not name is shown, is met once, and can be cut.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::path::Path;

use host::Handle;
use serde_json::{Value, json};
use tests::attending::{ask, is_alike, open, pair, until};

fn stands(notebook: &Handle) -> Value {
    ask(notebook, "pair_code", json!({}))
}

/// Follows the host's ticket until both show digits; what each keeper is told.
fn compare(host: &Handle, guest: &Handle, keeper: Option<&str>) -> (Value, Value) {
    let ticket = ask(host, "pair_open", json!({}))["ticket"].clone();
    ask(guest, "pair_join", json!({ "ticket": ticket, "keeper": keeper }));
    for side in [host, guest] {
        until("digits to compare", || stands(side)["state"] == "compare");
    }
    (stands(host)["about"].clone(), stands(guest)["about"].clone())
}

fn says(about: &Value) -> String {
    let lines = about["says"].as_array().unwrap();
    let lines: Vec<&str> = lines.iter().map(|line| line.as_str().unwrap()).collect();
    lines.join(" ")
}

fn begin(dir: &Path, seed: u64, car: &str, keeper: &str) -> Handle {
    let notebook = open(dir, seed);
    ask(&notebook, "start_record", json!({ "car": car, "keeper": keeper }));
    notebook
}

fn unnamed(notebook: &Handle) -> Vec<Value> {
    let all = ask(notebook, "members", json!({}));
    let all = all.as_array().unwrap();
    all.iter()
        .filter(|one| !one["unnamed"].is_null())
        .cloned()
        .collect()
}

#[test]
fn both_keepers_are_told_the_car_and_the_device_before_the_yes() {
    let dir = tempfile::tempdir().unwrap();
    let host = begin(&dir.path().join("host"), 1, "Tern", "Rosalind");
    let guest = open(&dir.path().join("guest"), 2);
    let (at_host, at_guest) = compare(&host, &guest, Some("Wilf"));
    assert_eq!(
        (&at_host["car"], &at_host["with"]),
        (&json!("Tern"), &json!("Wilf's device"))
    );
    assert_eq!(
        says(&at_host),
        "Wilf's device gets all of the record of 'Tern', and may write in it. Wilf is new to it, and becomes a keeper beside Rosalind."
    );
    assert_eq!(
        (&at_guest["car"], &at_guest["with"], &at_guest["kept"]),
        (&json!("Tern"), &json!("Rosalind's device"), &json!(false))
    );
    assert_eq!(
        says(&at_guest),
        "You get all of the record of 'Tern', kept by Rosalind, and may write in it."
    );
    // A no on either side leaves nothing.
    ask(&guest, "pair_confirm", json!({ "yes": false }));
    until("ended", || stands(&host)["state"] == "ended");
    assert_eq!(ask(&guest, "records", json!({})).as_array().unwrap().len(), 0);

    // With the yes, and once more: it is kept already, and both know each other.
    pair(&host, &guest, "Wilf");
    let (at_host, at_guest) = compare(&host, &guest, None);
    assert_eq!(
        (&at_host["kept"], &at_guest["kept"]),
        (&json!(true), &json!(true))
    );
    assert_eq!(
        says(&at_guest),
        "You keep this one already: 'Tern'. Your record names Rosalind's device; from now on the two meet by themselves."
    );
    assert!(says(&at_host).contains("keeps 'Tern' already"), "{at_host}");
    ask(&guest, "pair_confirm", json!({ "yes": false }));
    for side in [&host, &guest] {
        side.leave();
    }
}

/// A device of the record, by another id and key than the record knows: as a hostile program could make itself.
fn becomes_nobody(dir: &Path) {
    std::fs::remove_file(dir.join("device.key")).unwrap();
    let db = rusqlite::Connection::open(dir.join("witnessmark.sqlite")).unwrap();
    let id = uuid::Uuid::from_u128(0x0197_b0c0_0000_7000_8000_0000_0000_0001);
    assert_eq!(
        db.execute("UPDATE folder SET device = ?1", [id.to_string()])
            .unwrap(),
        1
    );
}

#[test]
fn a_device_that_the_record_does_not_name_is_shown_met_once_and_can_be_cut() {
    let dir = tempfile::tempdir().unwrap();
    let (first, second) = (dir.path().join("first"), dir.path().join("second"));
    let keeps = begin(&first, 1, "Tern", "Rosalind");
    let other = open(&second, 2);
    pair(&keeps, &other, "Wilf");
    other.leave();
    drop(other);
    becomes_nobody(&second);

    let nobody = open(&second, 3);
    let (_, told) = compare(&nobody, &keeps, None);
    assert!(says(&told).contains("Your record does not name"), "{told}");
    for side in [&keeps, &nobody] {
        ask(side, "pair_confirm", json!({ "yes": true }));
    }
    until("paired", || stands(&keeps)["state"] == "paired");
    until("it is shown", || unnamed(&keeps).len() == 1);
    // Both came to hold the same: so it had its chance to say who it is.
    until("it is met no more", || {
        unnamed(&keeps)[0]["unnamed"] == json!(false)
    });
    until("it is gone", || !is_alike(&nobody));
    let was = ask(&keeps, "digest", json!({}));
    // Nor does it write: its own folder knows that the record has no such device.
    let note = json!({ "day": "2031-03-01", "text": "Nobody was here." });
    let refusal = nobody
        .with(|notebook| notebook.call(None, "note", note))
        .unwrap_err();
    assert_eq!(refusal.code, "device_unknown");
    ask(&keeps, "meet_now", json!({}));
    ask(&nobody, "meet_now", json!({}));
    std::thread::sleep(std::time::Duration::from_secs(3));
    assert_eq!(ask(&keeps, "digest", json!({})), was);

    // Cut: nothing of it is left, and a device that the record names cannot be cut so.
    let device = unnamed(&keeps)[0]["device"].clone();
    ask(&keeps, "cut", json!({ "device": device }));
    assert_eq!(unnamed(&keeps).len(), 0);
    let this = ask(&keeps, "members", json!({}))[0]["device"].clone();
    let refusal = keeps
        .with(|notebook| notebook.call(None, "cut", json!({ "device": this })))
        .unwrap_err();
    assert_eq!(refusal.code, "named");
    for side in [&keeps, &nobody] {
        side.leave();
    }
}
