//! Notebooks that are attended on loopback, without mDNS: what the stories of live meetings do with them. Every wait has
//! an end; a test that waits so long has failed.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking, and each test file uses a part of this"
)]

use std::path::Path;
use std::time::{Duration, Instant};

use host::{Handle, Surroundings};
use notebook::Refusal;
use serde_json::{Value, json};

use crate::folders;

pub(crate) const LONG: Duration = Duration::from_secs(15);

pub(crate) fn open(dir: &Path, seed: u64) -> Handle {
    Handle::new(folders::open_keyed(dir, seed))
}

pub(crate) fn attend(notebook: &Handle) {
    attend_at(notebook, 0);
}

/// At this port; at 0 the program chooses.
pub(crate) fn attend_at(notebook: &Handle, port: u16) {
    let loopback = Surroundings {
        mdns: false,
        at: vec![([127, 0, 0, 1], port).into()],
    };
    notebook.attend(loopback).unwrap();
}

pub(crate) fn ask(notebook: &Handle, name: &str, args: Value) -> Value {
    asked(notebook, name, args).unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

pub(crate) fn asked(notebook: &Handle, name: &str, args: Value) -> Result<Value, Refusal> {
    notebook.with(|notebook| notebook.call(None, name, args))
}

/// Waits until something is so, and answers how long it took.
pub(crate) fn until(what: &str, within: Duration, so: impl Fn() -> bool) -> Duration {
    let began = Instant::now();
    while !so() {
        assert!(began.elapsed() < within, "{what} within {within:?}");
        std::thread::sleep(Duration::from_millis(5));
    }
    began.elapsed()
}

pub(crate) fn state(notebook: &Handle) -> String {
    let stands = ask(notebook, "pair_code", json!({}));
    let state = stands["state"].as_str().unwrap().to_owned();
    // What went wrong is said where a test expects that nothing does.
    if state == "ended" {
        format!("ended: {}", stands["words"])
    } else {
        state
    }
}

pub(crate) fn digest(notebook: &Handle) -> Value {
    ask(notebook, "digest", json!({}))["digest"].clone()
}

pub(crate) fn is_live(notebook: &Handle) -> bool {
    let page = ask(notebook, "meetings", json!({}));
    page["devices"]
        .as_array()
        .unwrap()
        .iter()
        .any(|one| one["phase"] == "live" && one["alike"] == true)
}

pub(crate) fn has(notebook: &Handle, text: &str) -> bool {
    !ask(notebook, "search", json!({ "text": text }))
        .as_array()
        .unwrap()
        .is_empty()
}

/// Pairs a newcomer with a device that keeps a record, and waits until it has all of it.
pub(crate) fn pair(host: &Handle, guest: &Handle, keeper: &str) {
    let ticket = ask(host, "pair_open", json!({}));
    assert!(ticket["qr"].as_array().unwrap().len() >= 21);
    ask(
        guest,
        "pair_join",
        json!({ "ticket": ticket["ticket"], "keeper": keeper }),
    );
    for side in [host, guest] {
        until("digits to compare", LONG, || state(side) == "compare");
    }
    let code = |side: &Handle| ask(side, "pair_code", json!({}))["code"].clone();
    assert_eq!(code(host), code(guest));
    assert_eq!(code(host).as_str().unwrap().len(), "0000 0000 0000".len());
    for side in [host, guest] {
        ask(side, "pair_confirm", json!({ "yes": true }));
    }
    for side in [host, guest] {
        until("both paired", LONG, || {
            let state = state(side);
            assert!(!state.starts_with("ended"), "{state}");
            state == "paired"
        });
    }
}

/// Two that share a record, both attended and live.
pub(crate) fn two(dir: &Path) -> (Handle, Handle) {
    let (parent, child) = (open(&dir.join("parent"), 1), open(&dir.join("child"), 2));
    ask(
        &parent,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    ask(&parent, "add_assembly", json!({ "name": "gearbox" }));
    attend(&parent);
    attend(&child);
    pair(&parent, &child, "Wilf");
    for side in [&parent, &child] {
        until("both live", LONG, || is_live(side));
    }
    (parent, child)
}

/// What the meetings' page says of why the last meeting with a keeper's device ended.
pub(crate) fn ended(notebook: &Handle, keeper: &str) -> Option<String> {
    let page = ask(notebook, "meetings", json!({}));
    let line = page["devices"]
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["keeper_name"] == keeper)
        .cloned();
    line?["ended"].as_str().map(str::to_owned)
}
