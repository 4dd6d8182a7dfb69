//! Hostile bytes from a device that was revoked: they are set aside and shown as far as they can be read, nothing of them
//! reaches the document, and what they cost has a bound.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tests::forge::{Forge, Made, chunk, head, packed_chunk, sealed};
use tests::program::{ask, call};

const SPOKEN: &str = "three words by voice";

/// A folder whose record has a second device, which was lost, and the ids of the two.
fn lost(dir: &Path) -> (PathBuf, String, String) {
    let (at, other) = (dir.join("kept"), dir.join("lost"));
    let line = ask(&at, &["start", "--keeper", "Rosalind", "--car", "Tern"]);
    let file = dir.join("x.carry").to_str().unwrap().to_owned();
    ask(&at, &["carry", "out", &file, "--passphrase", SPOKEN]);
    let joined = ask(
        &other,
        &["join", &file, "--keeper", "Wilf", "--passphrase", SPOKEN],
    );
    ask(&other, &["carry", "out", &file]);
    ask(&at, &["carry", "in", "--welcome", &file]);
    ask(&at, &["revoke", "Wilf", "--why", "lost in the yard"]);
    let id = |line: &Value, key: &str| line[key].as_str().unwrap().to_owned();
    (at, id(&line, "id"), id(&joined, "device"))
}

/// An open carry file that says that the lost device wrote it.
fn file(record: &str, device: &str, changes: &[Vec<u8>]) -> Vec<u8> {
    let mut head = head(record, changes.len(), 0);
    head["device"] = json!(device);
    let mut list = Vec::new();
    for (number, bytes) in changes.iter().enumerate() {
        list.extend([u8::try_from(number % 251).unwrap(); 32]);
        list.extend(u32::try_from(bytes.len()).unwrap().to_le_bytes());
        list.extend(bytes);
    }
    let all: usize = changes.iter().map(Vec::len).sum();
    Forge::new(&head)
        .plain(&list)
        .end([changes.len() as u64, 0, all as u64, 0])
}

fn made(message: &[u8], rows: u64) -> Vec<u8> {
    Made {
        deps: vec![[3; 32]],
        actor: vec![7; 24],
        seq: 1,
        start: 1,
        message: message.to_vec(),
        rows,
        action: 1,
    }
    .body()
}

#[test]
fn hostile_bytes_of_a_revoked_device_are_kept_apart_and_shown() {
    let dir = tempfile::tempdir().unwrap();
    let (at, record, device) = lost(dir.path());
    let before = ask(&at, &["digest"]);
    let letters = vec![b'x'; 100_000];
    let body = made(b"a word of a finder", 5);
    let changes: Vec<Vec<u8>> = vec![
        chunk(&body),
        b"no change at all".to_vec(),
        // Operations without end in a few bytes.
        chunk(&made(b"a billion rows", 1_000_000_000)),
        // One that inflates to far more than a change may be.
        sealed(&body, 2, &tests::forge::deflated(&vec![0; 64 << 20])),
        packed_chunk(&made(&letters, 1)),
        // Words that would move about on a screen, and that are no text.
        chunk(&made(b"\x1b[2Jline\none\xff\x00", 1)),
        chunk(&body)[..40].to_vec(),
        // Two in the place of one.
        [chunk(&body), chunk(&made(b"behind it", 1))].concat(),
    ];
    let path = dir.path().join("hostile.carry");
    std::fs::write(&path, file(&record, &device, &changes)).unwrap();
    let met = ask(&at, &["carry", "in", path.to_str().unwrap()]);
    assert_eq!((&met["changes"], &met["aside"]), (&json!(0), &json!(8)), "{met}");
    assert_eq!(ask(&at, &["digest"]), before, "something of it was merged");
    let aside = call(&at, "aside", &json!({}))["lines"].take();
    assert_eq!(aside.as_array().unwrap().len(), 1);
    assert_eq!(
        (&aside[0]["device"], &aside[0]["changes"]),
        (&json!(device), &json!(8)),
        "{aside}"
    );
    let words: Vec<&str> = aside[0]["words"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one.as_str().unwrap())
        .collect();
    assert!(words[0].ends_with("a word of a finder"), "{words:?}");
    for unread in [1, 2, 3, 6, 7] {
        assert!(words[unread].starts_with("cannot be read"), "{words:?}");
    }
    for said in &words {
        assert!(
            said.chars().count() <= 400 && !said.chars().any(char::is_control),
            "{said}"
        );
    }
    // The same once more is the same parcel, and everything else goes on.
    ask(&at, &["carry", "in", path.to_str().unwrap()]);
    assert_eq!(call(&at, "aside", &json!({}))["lines"], aside);
    assert_eq!(ask(&at, &["check"])["sound"], true);
    call(&at, "add_assembly", &json!({ "name": "gearbox" }));
}

#[test]
fn a_flood_of_them_has_a_bound() {
    let dir = tempfile::tempdir().unwrap();
    let (at, record, device) = lost(dir.path());
    let before = ask(&at, &["digest"]);
    let changes: Vec<Vec<u8>> = (0..20_000)
        .map(|number| chunk(&made(format!("number {number}").as_bytes(), 1)))
        .collect();
    let path = dir.path().join("flood.carry");
    std::fs::write(&path, file(&record, &device, &changes)).unwrap();
    let met = ask(&at, &["carry", "in", path.to_str().unwrap()]);
    assert_eq!(met["aside"], 20_000, "{}", met["aside"]);
    let aside = call(&at, "aside", &json!({}))["lines"].take();
    assert_eq!(aside[0]["words"].as_array().unwrap().len(), 50);
    assert_eq!(ask(&at, &["digest"]), before);
}
