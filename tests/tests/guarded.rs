//! What guards a keeper from a slip: a passphrase that would be guessed, a password over plain http, and the passwords that
//! went with a lost phone.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use serde_json::{Value, json};
use tests::attending::{ask, asked, begun, open, two};

#[test]
fn a_passphrase_is_proposed_and_one_that_would_be_guessed_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let notebook = open(&dir.path().join("one"), 1);
    ask(
        &notebook,
        "start_record",
        json!({ "car": "Aunt Dilys's Tern", "keeper": "Rosalind" }),
    );
    let propose = || {
        ask(&notebook, "passphrase", json!({}))["words"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    let (one, other) = (propose(), propose());
    assert_eq!((one.split(' ').count(), other.split(' ').count()), (6, 6));
    assert_ne!(one, other);
    // Long enough for the rule before, and guessed all the same: what everybody takes, and what everybody knows.
    for weak in [
        "passwordpassword",
        "1234567890",
        "Aunt Dilys's Tern",
        "Rosalind's device",
    ] {
        let refusal = asked(&notebook, "carry_out", json!({ "passphrase": weak })).unwrap_err();
        assert_eq!(refusal.code, "passphrase", "{weak}");
        assert!(refusal.words.contains("six words"), "{}", refusal.words);
    }
    let out = ask(&notebook, "carry_out", json!({ "passphrase": one }));
    assert_eq!(out["seal"], "passphrase");
    notebook.leave();
}

fn webdav(url: &str) -> Value {
    json!({ "webdav": { "url": url, "user": "wilf", "password": "a word of his" } })
}

#[test]
fn a_password_goes_over_plain_http_only_when_that_is_said_twice() {
    let dir = tempfile::tempdir().unwrap();
    let notebook = begun(&dir.path().join("one"), 1);
    let place = webdav("http://store.example/tern");
    let refusal = asked(&notebook, "drop_add", json!({ "place": place, "photos": true })).unwrap_err();
    assert_eq!(refusal.code, "in_the_open");
    assert!(!refusal.words.contains("a word of his"));
    assert_eq!(ask(&notebook, "drops", json!({}))["drops"], json!([]));
    let page = ask(
        &notebook,
        "drop_add",
        json!({ "place": place, "photos": true, "in_the_open": true }),
    );
    assert_eq!(page["drops"][0]["in_the_open"], true);
    let page = ask(
        &notebook,
        "drop_add",
        json!({ "place": webdav("https://store.example/tern"), "name": "safe", "photos": true }),
    );
    assert_eq!(page["drops"][1]["in_the_open"], false);
    notebook.leave();
}

#[test]
fn a_keeper_is_told_which_passwords_a_lost_device_knew() {
    let dir = tempfile::tempdir().unwrap();
    let (host, guest) = two(dir.path());
    let stick = dir.path().join("stick");
    std::fs::create_dir(&stick).unwrap();
    // A look would wait for a server that is not there: nothing of it is needed here.
    ask(&host, "live", json!({ "on": false }));
    let add = |name: &str, place: Value| {
        ask(
            &host,
            "drop_add",
            json!({ "place": place, "name": name, "photos": false }),
        );
    };
    add("bucket", webdav("https://store.example/tern"));
    add("stick", json!({ "folder": { "path": stick } }));
    let lost = ask(&host, "members", json!({}));
    let lost = lost
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["this"] == false)
        .unwrap()["device"]
        .clone();
    ask(
        &host,
        "revoke",
        json!({ "device": lost, "why": "left in the train" }),
    );
    // A stick has no password; one that was added after the loss it cannot know.
    add("later", webdav("https://store.example/other"));
    let all = ask(&host, "members", json!({}));
    let line = all
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["device"] == lost)
        .unwrap();
    assert_eq!(line["knew"], json!([{ "name": "bucket", "sure": false }]));
    for side in [host, guest] {
        side.leave();
    }
}
