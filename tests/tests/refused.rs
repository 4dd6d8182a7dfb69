//! What a notebook says of what it does not take as it comes: changes that the gate refuses are set aside, with what they are and
//! who wrote them, and the honest rest of the file comes in; what a device is said to have written and did not sign is marked so
//! in the history; and a device that knows it was revoked says so in one sentence everywhere, and goes on taking notes.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::path::Path;

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, ROOT, ReadDoc};
use notebook::Notebook;
use record::{Kind, Record, Seat};
use serde_json::{Value, json};
use tests::device::unpacked;
use tests::folder::Seeded;
use tests::forge::file_of;

fn open(dir: &Path, seed: u64) -> Notebook {
    host::open(dir, "a test", Box::new(Seeded::of(seed))).unwrap()
}

fn call(notebook: &mut Notebook, name: &str, args: Value) -> Value {
    notebook
        .call(None, name, args.clone())
        .unwrap_or_else(|refusal| panic!("{name} {args}: {refusal}"))
}

fn carried(notebook: &mut Notebook) -> (Value, Vec<Vec<u8>>) {
    let out = call(notebook, "carry_out", json!({ "open": true, "photos": false }));
    let changes = unpacked(&std::fs::read(out["file"].as_str().unwrap()).unwrap());
    (out["file"].clone(), changes)
}

/// A host and one that joined by a file, of two keepers; the record's id.
fn two(dir: &Path) -> (Notebook, Notebook, String) {
    let mut host = open(&dir.join("host"), 1);
    let line = call(
        &mut host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let (file, _) = carried(&mut host);
    let mut guest = open(&dir.join("guest"), 2);
    call(
        &mut guest,
        "join_record",
        json!({ "file": file, "keeper": "Wilf" }),
    );
    let (file, _) = carried(&mut guest);
    call(&mut host, "carry_in", json!({ "file": file, "welcome": true }));
    (host, guest, line["id"].as_str().unwrap().to_owned())
}

fn device_of(notebook: &mut Notebook, keeper: &str) -> String {
    let members = call(notebook, "members", json!({}));
    let mut all = members.as_array().unwrap().iter();
    let its = all.find(|one| one["keeper_name"] == keeper).unwrap();
    its["device"].as_str().unwrap().to_owned()
}

#[test]
fn what_the_gate_refuses_is_told_with_its_writer_and_the_honest_rest_comes_in() {
    let dir = tempfile::tempdir().unwrap();
    let (mut host, mut guest, record) = two(dir.path());
    let part = call(&mut host, "add_part", json!({ "name": "crankshaft" }));
    let part = part["id"].as_str().unwrap().to_owned();
    let (file, _) = carried(&mut host);
    call(&mut guest, "carry_in", json!({ "file": file, "welcome": true }));
    let (_, before) = carried(&mut guest);

    // Another program, in the name of Wilf's device, takes a part away; Wilf himself writes a note.
    let device = device_of(&mut host, "Wilf");
    let mut actor = uuid::Uuid::parse_str(&device).unwrap().as_bytes().to_vec();
    actor.extend([9_u8; 8]);
    let seat = Seat {
        device: uuid::Uuid::nil(),
        run: [0; 8],
    };
    let mut doc = Automerge::load(&Record::begin(seat).unwrap().snapshot()).unwrap();
    doc.load_incremental(&before.concat()).unwrap();
    let mut doc = doc.with_actor(ActorId::from(actor));
    let (_, many) = doc.get(ROOT, Kind::Part.root()).unwrap().unwrap();
    let mut tx = doc.transaction();
    tx.delete(&many, part.as_str()).unwrap();
    tx.commit_with(
        CommitOptions::default()
            .with_message("Tidied up")
            .with_time(1_900_000_000),
    );
    let bad = doc.get_last_local_change().unwrap().raw_bytes().to_vec();
    call(
        &mut guest,
        "note",
        json!({ "day": "2031-03-02", "text": "propshaft" }),
    );
    let (_, mut changes) = carried(&mut guest);
    changes.push(bad);
    let back = dir.path().join("back.carry");
    std::fs::write(&back, file_of(&record, &changes)).unwrap();
    let met = call(&mut host, "carry_in", json!({ "file": back, "welcome": true }));

    let news = met["news"].to_string();
    for words in [
        "a change of",
        "Wilf",
        "Tidied up",
        &format!("deletes part '{part}'"),
        "set aside",
    ] {
        assert!(news.contains(words), "no '{words}' in {news}");
    }
    let aside = call(&mut host, "aside", json!({}));
    let lines = aside["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 1, "{aside}");
    assert_eq!(
        (&lines[0]["keeper_name"], &lines[0]["changes"]),
        (&json!("Wilf"), &json!(1))
    );
    let words = lines[0]["words"][0].as_str().unwrap();
    assert!(
        words.contains("Tidied up") && words.contains("deletes part"),
        "{words}"
    );
    // The honest rest.
    let found = call(&mut host, "search", json!({ "text": "propshaft" }));
    assert_eq!(found.as_array().unwrap().len(), 1);
    let entry = call(&mut host, "entry", json!({ "kind": "part", "id": part }));
    assert!(entry["fields"].get("struck").is_none());
    assert_eq!(call(&mut host, "check", json!({}))["sound"], true);
}

#[test]
fn the_history_says_what_is_only_claimed() {
    let dir = tempfile::tempdir().unwrap();
    let (mut host, mut guest, _) = two(dir.path());
    let part = call(&mut host, "add_part", json!({ "name": "crankshaft" }));
    let id = part["id"].clone();
    let (file, _) = carried(&mut host);
    call(&mut guest, "carry_in", json!({ "file": file, "welcome": true }));
    // These devices have no keys, so nobody vouches for what came from the other.
    call(
        &mut guest,
        "change_part",
        json!({ "id": id, "fields": { "position": "front" } }),
    );
    let (file, _) = carried(&mut guest);
    call(&mut host, "carry_in", json!({ "file": file, "welcome": true }));
    let history = call(&mut host, "history", json!({ "kind": "part", "id": id }));
    let lines = history.as_array().unwrap();
    assert_eq!(lines.len(), 2, "{history}");
    assert!(
        lines[0]["claimed"].as_str().unwrap().starts_with("claimed:"),
        "{history}"
    );
    assert!(lines[1]["claimed"].is_null(), "one's own is known: {history}");
}

#[test]
fn a_device_that_knows_it_was_revoked_says_so_in_one_sentence_and_takes_notes() {
    let dir = tempfile::tempdir().unwrap();
    let (mut host, mut guest, _) = two(dir.path());
    assert!(call(&mut guest, "saved", json!({}))["revoked"].is_null());
    let device = device_of(&mut host, "Wilf");
    call(
        &mut host,
        "revoke",
        json!({ "device": device, "why": "left in the taxi" }),
    );
    assert!(call(&mut host, "saved", json!({}))["revoked"].is_null());
    let (file, _) = carried(&mut host);
    call(&mut guest, "carry_in", json!({ "file": file, "welcome": true }));
    let says = call(&mut guest, "saved", json!({}))["revoked"]
        .as_str()
        .unwrap()
        .to_owned();
    for words in [
        "This device was revoked by 'Rosalind",
        " on 20",
        "left in the taxi",
        "stays in this folder",
        "pair this device again",
    ] {
        assert!(says.contains(words), "no '{words}' in {says}");
    }
    // The page of meetings says the very same, and nothing written at a bench is lost.
    let meetings = call(&mut guest, "meetings", json!({}));
    assert_eq!(meetings["devices"][0]["ended"], json!(says));
    call(
        &mut guest,
        "note",
        json!({ "day": "2031-03-02", "text": "propshaft" }),
    );
    let found = call(&mut guest, "search", json!({ "text": "propshaft" }));
    assert_eq!(found.as_array().unwrap().len(), 1);
}
