//! Bad input through the program itself: one clear line, the exit code of a refusal, a code under `--json`, and not one
//! byte of the folder changed.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::{Value, json};
use tests::shell::{call, done, files, program, run};

/// Runs what must be refused, in words and as JSON, and looks at the folder before and after.
#[track_caller]
fn refused(at: &Path, arguments: &[&str], code: &str) -> String {
    let before = files(at);
    let at_text = at.to_str().unwrap();
    let mut plain = vec!["--at", at_text];
    plain.extend(arguments);
    let ran = run(&plain);
    assert_eq!(ran.code, Some(1), "{arguments:?}: {}", ran.err);
    assert_eq!(
        ran.err.trim_end().lines().count(),
        1,
        "{arguments:?}: {}",
        ran.err
    );
    assert_eq!(ran.out, "", "{arguments:?}");
    let mut as_json = vec!["--json"];
    as_json.extend(plain);
    let ran = run(&as_json);
    let said: Value = serde_json::from_str(&ran.err).unwrap_or_else(|_| panic!("{arguments:?}: {}", ran.err));
    assert_eq!(said["code"], code, "{arguments:?}: {said}");
    assert_eq!(files(at), before, "{arguments:?} changed the folder");
    said["words"].as_str().unwrap().to_owned()
}

fn folder(dir: &Path, name: &str, car: &str) -> PathBuf {
    let at = dir.join(name);
    let _ = done(&at, &["start", "--keeper", "Rosalind", "--car", car]);
    at
}

fn carry_out(at: &Path, file: &Path) -> Vec<u8> {
    let _ = done(at, &["carry", "out", file.to_str().unwrap()]);
    std::fs::read(file).unwrap()
}

#[test]
fn calls_that_do_not_fit() {
    let dir = tempfile::tempdir().unwrap();
    let at = folder(dir.path(), "device", "Tern");
    let unknown = "0190a6e0-0000-7000-8000-00000000dead";
    let cases = [
        ("add_part", json!({ "name": 7 }), "arguments"),
        (
            "add_part",
            json!({ "name": "stud", "shape": "round" }),
            "arguments",
        ),
        ("add_part", json!({}), "missing"),
        (
            "add_part",
            json!({ "name": "stud", "assembly": unknown }),
            "unknown",
        ),
        (
            "add_part",
            json!({ "name": "stud", "decision": "bin_it" }),
            "misfit",
        ),
        ("add_part", json!({ "name": "two\nlines" }), "misfit"),
        ("assembly", json!({ "id": unknown }), "unknown"),
        ("entry", json!({ "kind": "wheel", "id": unknown }), "arguments"),
        ("change_part", json!({ "id": unknown, "fields": {} }), "unknown"),
        ("close_up", json!({ "assembly": unknown }), "unknown"),
        (
            "settle",
            json!({ "point": "none", "choice": "side_1" }),
            "no_such_point",
        ),
        ("note", json!({ "day": "2031-02-30", "text": "x" }), "arguments"),
        (
            "add_photo",
            json!({ "hash": "0".repeat(64), "on": "2031-03-01" }),
            "no_photo",
        ),
        (
            "reckon",
            json!({ "name": "ring_gap", "inputs": { "bore": "1,234 mm" } }),
            "bench",
        ),
        ("fly", json!({}), "no_command"),
    ];
    for (name, args, code) in cases {
        refused(&at, &["call", name, &args.to_string()], code);
    }
    refused(&at, &["call", "car", "{not json"], "arguments");
    refused(&at, &["--record", "Dunlin", "call", "car"], "no_record");
    // What the shell itself cannot read has no JSON of ours, and is refused with the same code.
    let ran = run(&["--at", at.to_str().unwrap(), "carry", "sideways"]);
    assert_eq!(ran.code, Some(1));
    // A folder that is not there is not made by asking.
    let nowhere = dir.path().join("nowhere");
    let ran = run(&["--at", nowhere.to_str().unwrap(), "digest"]);
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    assert!(!nowhere.exists());
}

#[test]
fn carry_files_at_fault() {
    let dir = tempfile::tempdir().unwrap();
    let parent = folder(dir.path(), "parent", "Tern");
    let child = dir.path().join("child");
    let whole = dir.path().join("whole.carry");
    let good = carry_out(&parent, &whole);
    let _ = done(&child, &["join", whole.to_str().unwrap(), "--keeper", "Wilf"]);
    let _ = call(&parent, "add_assembly", &json!({ "name": "gearbox" }));
    let newer = carry_out(&parent, &dir.path().join("newer.carry"));
    let at = |name: &str, bytes: &[u8]| {
        let file = dir.path().join(name);
        std::fs::write(&file, bytes).unwrap();
        file.to_str().unwrap().to_owned()
    };
    let mut cases = vec![
        at("empty.carry", b""),
        at(
            "text.carry",
            b"not a carry file at all, though it is long enough to be one",
        ),
        at("png.carry", b"\x89PNG\r\n\x1a\n and so on"),
        at("short.carry", &newer[..newer.len() / 2]),
        at("long.carry", &[newer.as_slice(), b"more"].concat()),
        dir.path().join("missing.carry").to_str().unwrap().to_owned(),
    ];
    for at_byte in (0..newer.len()).step_by(newer.len() / 40) {
        let mut flipped = newer.clone();
        flipped[at_byte] ^= 0x10;
        cases.push(at(&format!("flipped-{at_byte}.carry"), &flipped));
    }
    for file in &cases {
        refused(&child, &["carry", "in", file], "carry_file");
    }
    // Another car's file is told by that car's name.
    let other = folder(dir.path(), "other", "Dunlin");
    let foreign = dir.path().join("dunlin.carry");
    let _ = carry_out(&other, &foreign);
    let words = refused(
        &child,
        &["carry", "in", foreign.to_str().unwrap()],
        "other_record",
    );
    assert!(words.contains("Dunlin"), "{words}");
    // Joining what is kept already, and joining by a part.
    refused(
        &child,
        &["join", whole.to_str().unwrap(), "--keeper", "Wilf"],
        "record_there",
    );
    let back = dir.path().join("back.carry");
    let _ = carry_out(&child, &back);
    let _ = done(&parent, &["carry", "in", back.to_str().unwrap()]);
    let part = dir.path().join("part.carry");
    let _ = done(&parent, &["carry", "out", part.to_str().unwrap(), "--to", "Wilf"]);
    let third = folder(dir.path(), "third", "Wren");
    refused(
        &third,
        &["join", part.to_str().unwrap(), "--keeper", "Ida"],
        "not_whole",
    );
    // After all of that the good one still goes in.
    let met = done(
        &child,
        &["carry", "in", dir.path().join("newer.carry").to_str().unwrap()],
    );
    assert_eq!(met["changes"], 1);
    assert!(!good.is_empty());
}

#[test]
fn a_second_process_is_told_of_the_first() {
    let dir = tempfile::tempdir().unwrap();
    let at = folder(dir.path(), "device", "Tern");
    let mut first = Command::new(program())
        .args(["--at", at.to_str().unwrap(), "--json", "serve"])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(first.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    let words = refused(&at, &["call", "car"], "in_use");
    let pid = first.id().to_string();
    first.kill().unwrap();
    first.wait().unwrap();
    assert!(
        words.contains(&pid) && words.contains("witnessmark serve"),
        "{words}"
    );
    assert_eq!(call(&at, "car", &json!({}))["name"], "Tern");
}

#[test]
fn a_newer_programs_folder_is_read_and_left_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let at = folder(dir.path(), "device", "Tern");
    let database = rusqlite::Connection::open(at.join("witnessmark.sqlite")).unwrap();
    let version: u32 = database
        .query_row("PRAGMA user_version", [], |row| row.get(0))
        .unwrap();
    database.pragma_update(None, "user_version", version + 7).unwrap();
    database
        .execute("UPDATE folder SET needs = ?1", [version + 7])
        .unwrap();
    database.pragma_update(None, "journal_mode", "DELETE").unwrap();
    drop(database);
    let before = files(&at);
    assert_eq!(call(&at, "car", &json!({}))["name"], "Tern", "it is read");
    refused(&at, &["call", "add_part", r#"{"name":"stud"}"#], "newer_folder");
    assert_eq!(files(&at), before);
}
