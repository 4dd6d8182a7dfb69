//! Memory is never ahead of the log, over real folders: a refused edit in a new month, and a folder that a program before
//! this one left with a note that stands on a change it never logged.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use std::io::Read;

use folders::{ask, open, refused};
use serde_json::json;

#[test]
fn a_refused_edit_leaves_the_record_openable() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = open(dir.path(), 1);
    ask(
        &mut notebook,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let too_much = json!({ "day": "2031-04-02", "before": "x".repeat(60_001), "after": "" });
    assert_eq!(
        refused(&mut notebook, "write_sheet", too_much).code,
        "too_much_at_once"
    );
    ask(
        &mut notebook,
        "note",
        json!({ "day": "2031-03-01", "text": "Drained the gearbox." }),
    );
    let before = ask(&mut notebook, "digest", json!({}));
    drop(notebook);
    let mut again = open(dir.path(), 2);
    assert_eq!(ask(&mut again, "digest", json!({})), before);
    assert_eq!(ask(&mut again, "check", json!({}))["found"], json!([]));
}

/// Made by the program of the first release: `write_sheet` refused for too many letters in April, then a note in March.
const AHEAD: &[u8] = include_bytes!("frozen/ahead-of-the-log.sqlite.gz");

#[test]
fn a_folder_whose_log_lacks_a_laying_is_mended_by_the_next_start() {
    let dir = tempfile::tempdir().unwrap();
    let mut bytes = Vec::new();
    flate2::read::GzDecoder::new(AHEAD)
        .read_to_end(&mut bytes)
        .unwrap();
    std::fs::write(dir.path().join("witnessmark.sqlite"), bytes).unwrap();
    drop(open(dir.path(), 2));
    // Mended by the start alone: the log has what its changes stand on, and everything that reads the log goes on.
    let mut notebook = open(dir.path(), 3);
    assert_eq!(ask(&mut notebook, "check", json!({}))["found"], json!([]));
    let day = ask(&mut notebook, "day", json!({ "day": "2031-03-01" }));
    assert!(day.to_string().contains("Drained the gearbox."), "{day}");
    ask(
        &mut notebook,
        "note",
        json!({ "day": "2031-04-02", "text": "Cleaned the case." }),
    );
    ask(&mut notebook, "rebuild", json!({}));
    let before = ask(&mut notebook, "digest", json!({}));
    ask(&mut notebook, "carry_out", json!({ "open": true }));
    drop(notebook);
    let mut again = open(dir.path(), 4);
    assert_eq!(ask(&mut again, "digest", json!({})), before);
    assert_eq!(ask(&mut again, "check", json!({}))["found"], json!([]));
}
