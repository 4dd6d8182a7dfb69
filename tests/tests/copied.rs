//! Folders that were copied, restored or moved: their keeper is asked once, a copy becomes a device of its own which still
//! reads what was sealed to the other, and either can be revoked. A lone keeper is locked out by none of it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::fs;
use std::path::{Path, PathBuf};

use host::Handle;
use notebook::Refusal;
use serde_json::{Value, json};
use tests::attending::{self, ask, asked, begun, is_alike, open, until};
use tests::program::copy;

fn doubt(notebook: &Handle) -> Value {
    ask(notebook, "folder", json!({}))["doubt"].clone()
}

fn note(notebook: &Handle, text: &str) -> Result<Value, Refusal> {
    asked(notebook, "note", json!({ "day": "2031-03-01", "text": text }))
}

fn close(notebook: Handle) {
    notebook.leave();
    drop(notebook);
}

/// The devices of the record by name, with their keys.
fn devices(notebook: &Handle) -> Vec<(String, Value, Value)> {
    let all = ask(notebook, "members", json!({}));
    let line = |one: &Value| {
        let name = one["name"].as_str().unwrap().to_owned();
        (name, one["key"].clone(), one["device"].clone())
    };
    all.as_array().unwrap().iter().map(line).collect()
}

fn own(notebook: &Handle) -> (String, Value, Value) {
    let all = ask(notebook, "members", json!({}));
    let this = all.as_array().unwrap().iter().position(|one| one["this"] == true);
    devices(notebook).swap_remove(this.unwrap())
}

/// Rosalind's and Wilf's folders, which share a record; Wilf's is closed.
fn two(dir: &Path) -> (Handle, PathBuf) {
    let (host, guest) = attending::two(dir);
    assert_eq!(doubt(&guest), Value::Null);
    close(guest);
    (host, dir.join("second"))
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn a_copy_is_asked_about_becomes_a_device_of_its_own_and_the_stolen_one_is_revoked() {
    let dir = tempfile::tempdir().unwrap();
    let (host, stolen) = two(dir.path());
    let backup = dir.path().join("backup");
    copy(&stolen, &backup);
    // Sealed to Wilf's device as it was then.
    let was = devices(&host)
        .into_iter()
        .find(|(name, ..)| name == "Wilf's device")
        .unwrap();
    ask(
        &host,
        "note",
        json!({ "day": "2031-03-02", "text": "For Wilf's eyes." }),
    );
    let sealed = dir.path().join("sealed.carry");
    let out = ask(&host, "carry_out", json!({ "to": was.2, "file": sealed }));
    assert_eq!(out["seal"], "members");

    let restored = open(&backup, 3);
    assert_eq!(doubt(&restored), "place");
    assert_eq!(note(&restored, "Too early.").unwrap_err().code, "same_or_copy");
    assert_eq!(
        asked(&restored, "carry_out", json!({})).unwrap_err().code,
        "same_or_copy"
    );
    // Everything can be read, and nobody is met.
    assert_eq!(
        ask(&restored, "day", json!({ "day": "2031-03-01" }))["day"],
        "2031-03-01"
    );
    assert_eq!(ask(&restored, "meetings", json!({}))["listening"], false);

    ask(&restored, "folder_is", json!({ "copy": true }));
    assert_eq!(doubt(&restored), Value::Null);
    let now = own(&restored);
    assert_eq!(now.0, "copy of Wilf's device");
    assert!(now.1 != was.1 && now.2 != was.2, "{now:?} {was:?}");
    note(&restored, "Written after the burglary.").unwrap();
    ask(&restored, "carry_in", json!({ "file": sealed }));
    assert!(
        ask(&restored, "search", json!({ "text": "eyes" }))
            .as_array()
            .unwrap()
            .len()
            == 1
    );
    close(restored);

    // Asked once: the next start asks nothing, and the other folder was never asked.
    let restored = open(&backup, 4);
    assert_eq!((doubt(&restored), own(&restored)), (Value::Null, now.clone()));
    let ticket = ask(&host, "pair_open", json!({}))["ticket"].clone();
    ask(&restored, "pair_join", json!({ "ticket": ticket }));
    for side in [&host, &restored] {
        until("digits", || {
            ask(side, "pair_code", json!({}))["state"] == "compare"
        });
    }
    for side in [&host, &restored] {
        ask(side, "pair_confirm", json!({ "yes": true }));
    }
    until("the host has it", || {
        !ask(&host, "search", json!({ "text": "burglary" }))
            .as_array()
            .unwrap()
            .is_empty()
    });
    ask(&restored, "revoke", json!({ "device": was.2, "why": "stolen" }));
    until("the host knows", || {
        let all = ask(&host, "members", json!({}));
        all.as_array()
            .unwrap()
            .iter()
            .any(|one| one["device"] == was.2 && !one["revoked"].is_null())
    });
    // The thief's folder is refused; the restored one is met as before.
    let thief = open(&stolen, 5);
    note(&thief, "Not from Wilf.").unwrap();
    ask(&thief, "meet_now", json!({}));
    until("the thief is told", || {
        let page = ask(&thief, "meetings", json!({}));
        page["devices"]
            .as_array()
            .unwrap()
            .iter()
            .any(|one| one["ended"].as_str().is_some_and(|why| why.contains("revoked")))
    });
    note(&restored, "Still met.").unwrap();
    until("it still meets", || {
        !ask(&host, "search", json!({ "text": "still" }))
            .as_array()
            .unwrap()
            .is_empty()
    });
    assert!(
        ask(&host, "search", json!({ "text": "Not from Wilf" }))
            .as_array()
            .unwrap()
            .is_empty()
    );
    for side in [host, restored, thief] {
        close(side);
    }
}

#[test]
fn the_same_moved_goes_on_as_it_was() {
    let dir = tempfile::tempdir().unwrap();
    let (host, second) = two(dir.path());
    let moved = dir.path().join("moved");
    copy(&second, &moved);
    fs::remove_dir_all(&second).unwrap();
    let guest = open(&moved, 3);
    assert_eq!(doubt(&guest), "place");
    let was = own(&guest);
    ask(&guest, "folder_is", json!({ "copy": false }));
    note(&guest, "On the new laptop.").unwrap();
    for side in [&host, &guest] {
        ask(side, "meet_now", json!({}));
        until("both hold the same", || is_alike(side));
    }
    close(guest);
    // A folder that only has another name is the same one.
    let named = dir.path().join("named");
    fs::rename(&moved, &named).unwrap();
    let guest = open(&named, 4);
    assert_eq!((doubt(&guest), own(&guest)), (Value::Null, was));
    close(guest);
    close(host);
}

#[test]
fn a_folder_without_its_key_is_asked_about_and_overwrites_nobodys() {
    let dir = tempfile::tempdir().unwrap();
    let (host, second) = two(dir.path());
    let was = devices(&host);
    fs::remove_file(second.join("device.key")).unwrap();
    let guest = open(&second, 3);
    until("it is asked", || doubt(&guest) == "key");
    ask(&guest, "folder_is", json!({ "copy": true }));
    let all = devices(&guest);
    assert_eq!(all.len(), 3, "{all:?}");
    assert!(was.iter().all(|one| all.contains(one)), "{was:?} {all:?}");
    close(guest);
    close(host);
}

#[test]
fn a_key_that_is_lost_is_made_anew_for_the_same_device_and_asked_about_once() {
    let dir = tempfile::tempdir().unwrap();
    let (host, second) = two(dir.path());
    let was = devices(&host);
    fs::remove_file(second.join("device.key")).unwrap();
    let guest = open(&second, 3);
    until("it is asked", || doubt(&guest) == "key");
    ask(&guest, "folder_is", json!({ "copy": false }));
    until("its new key stands in the record", || !was.contains(&own(&guest)));
    note(&guest, "With a new key.").unwrap();
    close(guest);
    let guest = open(&second, 4);
    assert_eq!((doubt(&guest), devices(&guest).len()), (Value::Null, 2));
    close(guest);
    close(host);
}

/// As of a machine that was copied whole: nothing about the place of the folder tells.
fn as_if_at_home(dir: &Path) {
    let db = rusqlite::Connection::open(dir.join("witnessmark.sqlite")).unwrap();
    assert_eq!(db.execute("DELETE FROM home WHERE settled", []).unwrap(), 1);
}

#[test]
fn two_that_go_on_as_one_device_are_found_out_by_what_they_write() {
    let dir = tempfile::tempdir().unwrap();
    let (host, second) = two(dir.path());
    let twin = dir.path().join("twin");
    copy(&second, &twin);
    as_if_at_home(&twin);
    let other = open(&twin, 3);
    assert_eq!(doubt(&other), Value::Null);
    // Its clock begins where the first one's did.
    for step in 0..60 {
        note(&other, &format!("From the twin, {step}.")).unwrap();
    }
    ask(&other, "meet_now", json!({}));
    until("the host has it", || is_alike(&host));
    close(other);

    let guest = open(&second, 4);
    ask(&guest, "meet_now", json!({}));
    until("it is asked", || doubt(&guest) == "twin");
    assert_eq!(note(&guest, "Who am I?").unwrap_err().code, "same_or_copy");
    until("and meets nobody", || {
        ask(&guest, "meetings", json!({}))["listening"] == false
    });
    ask(
        &guest,
        "folder_is",
        json!({ "copy": true, "device_name": "Wilf's own" }),
    );
    note(&guest, "I am another.").unwrap();
    assert_eq!(own(&guest).0, "Wilf's own");
    close(guest);
    close(host);
}

#[test]
fn a_lone_keeper_is_never_locked_out() {
    let dir = tempfile::tempdir().unwrap();
    let (at, elsewhere) = (dir.path().join("at"), dir.path().join("elsewhere"));
    let alone = begun(&at, 1);
    ask(&alone, "carry_out", json!({ "open": true }));
    close(alone);
    copy(&at, &elsewhere);
    for (seed, is_copy) in [(2, false), (3, true)] {
        let alone = open(&elsewhere, seed);
        // Nobody else is needed for the answer; after the first one it lies where it lay.
        if seed == 2 {
            assert_eq!(doubt(&alone), "place");
        }
        ask(&alone, "folder_is", json!({ "copy": is_copy }));
        note(&alone, "Alone.").unwrap();
        close(alone);
    }
}

#[test]
fn a_damaged_key_is_named_writes_nothing_and_a_copy_goes_on_with_everything() {
    for (case, damage) in [
        ("emptied", ""),
        ("cut", "witnessmark identity 1\nkey 12"),
        ("another text", "dear diary"),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let (host, second) = two(dir.path());
        let guest = open(&second, 3);
        note(&guest, "Kept before the damage.").unwrap();
        let was = own(&guest);
        close(guest);
        host.leave();
        fs::write(second.join("device.key"), damage).unwrap();

        let guest = open(&second, 4);
        let page = ask(&guest, "folder", json!({}));
        assert_eq!(page["doubt"], "damaged", "{case}: {page}");
        assert!(page["says"].as_str().unwrap().contains("device.key"), "{page}");
        let health = ask(&guest, "check", json!({}));
        let lines = health["found"].as_array().unwrap();
        let line = lines.iter().find(|line| line["code"] == "device_key");
        let says = line.unwrap_or_else(|| panic!("{case}: {health}"))["says"]
            .as_str()
            .unwrap();
        assert!(
            says.contains("folder copy") && health["sound"] == false,
            "{case}: {says}"
        );
        assert_eq!(
            note(&guest, "Unsigned.").unwrap_err().code,
            "same_or_copy",
            "{case}"
        );
        let unsigned = asked(&guest, "carry_out", json!({ "open": true })).unwrap_err();
        assert_eq!(unsigned.code, "same_or_copy", "{case}");

        ask(&guest, "folder_is", json!({ "copy": true }));
        assert_eq!(ask(&guest, "check", json!({}))["sound"], true, "{case}");
        let now = own(&guest);
        assert!(now.1 != was.1 && now.2 != was.2, "{case}");
        note(&guest, "Written after the damage.").unwrap();
        let out = ask(&guest, "carry_out", json!({}));
        let question = asked(&host, "carry_in", json!({ "file": out["file"] })).unwrap_err();
        assert_eq!(question.code, "newcomer", "{case}: {question:?}");
        ask(&host, "carry_in", json!({ "file": out["file"], "welcome": true }));
        for text in ["before", "after"] {
            let found = ask(&host, "search", json!({ "text": format!("{text} the damage") }));
            assert_eq!(found.as_array().unwrap().len(), 1, "{case}: {text}");
        }
        let health = ask(&host, "check", json!({}));
        assert_eq!(health["sound"], true, "{case}: {health}");
        assert!(!health.to_string().contains("claimed"), "{case}: {health}");
        // What could not be read is kept beside.
        let beside = fs::read_to_string(second.join("device.key.damaged")).unwrap();
        assert_eq!(beside, damage, "{case}");
        close(guest);
        close(host);
    }
}

#[test]
fn a_key_that_is_put_back_is_asked_about_no_more() {
    let dir = tempfile::tempdir().unwrap();
    let (host, second) = two(dir.path());
    let key = fs::read(second.join("device.key")).unwrap();
    for damage in [None, Some("")] {
        match damage {
            None => fs::remove_file(second.join("device.key")).unwrap(),
            Some(text) => fs::write(second.join("device.key"), text).unwrap(),
        }
        let guest = open(&second, 3);
        assert_ne!(doubt(&guest), Value::Null);
        assert_eq!(note(&guest, "As nobody.").unwrap_err().code, "same_or_copy");
        close(guest);
        fs::write(second.join("device.key"), &key).unwrap();
        let guest = open(&second, 4);
        assert_eq!(doubt(&guest), Value::Null);
        note(&guest, "As myself.").unwrap();
        close(guest);
    }
    close(host);
}
