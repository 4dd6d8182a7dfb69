//! Pictures that were made to take gigabytes come by every road there is: added here, in a carry file, in a meeting,
//! in a drop. Each is kept whole, none is drawn small, its page says so, and by each road they cost no more than 256 MB beyond what
//! the process had when that road began (VmHWM and VmRSS, proc(5)); what three notebooks in one process keep of all of it
//! in the end is bounded as well. Pictures as large as a camera's are drawn as ever. Linux only.
#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::cell::Cell;
use std::time::{Duration, Instant};

use host::Handle;
use notebook::PhotoSize;
use serde_json::{Value, json};
use tests::attending::{ask, open, pair, until};
use tests::memory::{MOST_KB, from_here_kb, peak_kb};
use tests::photo_bomb::{Scan, jpeg, png, webp, webp_of_tables};

/// What is harmful, each another by its last byte, which lies behind the picture's end.
fn bombs(number: u8) -> Vec<(&'static str, Vec<u8>)> {
    let mut all = vec![
        ("a progressive JPEG", jpeg(20_000, 20_000, 3, Scan::Progressive)),
        ("a JPEG in three scans", jpeg(16_000, 12_000, 3, Scan::Apart)),
        ("a grey JPEG", jpeg(30_000, 30_000, 1, Scan::Together)),
        ("a PNG", png(12_000, 12_000)),
        ("a WebP", webp(16_383, 16_383)),
        ("a WebP of tables", webp_of_tables(20_000)),
    ];
    for (_, bytes) in &mut all {
        assert!(bytes.len() < 5_000_000);
        bytes.push(number);
    }
    all
}

fn take(notebook: &Handle, bytes: &[u8]) -> (String, bool) {
    let taken = notebook.take_photo(bytes).unwrap();
    ask(
        notebook,
        "add_photo",
        json!({ "hash": taken.hash, "on": "2031-03-01" }),
    );
    (taken.hash, taken.not_drawn)
}

/// The photo's line on the day's page.
fn line(notebook: &Handle, hash: &str) -> Option<Value> {
    let page = ask(notebook, "day", json!({ "day": "2031-03-01" }));
    let sheets = page["sheets"].as_array().unwrap();
    let entries = sheets
        .iter()
        .flat_map(|sheet| sheet["entries"].as_array().unwrap());
    let mut photos = entries.map(|entry| entry["photo"].clone());
    photos.find(|photo| photo["hash"] == hash)
}

fn is_kept_whole(notebook: &Handle, hash: &str, bytes: &[u8]) {
    let (_, kept) = notebook.with(|one| one.photo(hash, PhotoSize::Original)).unwrap();
    assert!(kept == bytes);
    let small = notebook.with(|one| one.photo(hash, PhotoSize::Thumb));
    assert_eq!(small.unwrap_err().code, "no_photo");
    let line = line(notebook, hash).unwrap();
    assert_eq!(
        (&line["here"], &line["not_drawn"]),
        (&json!(true), &json!(true)),
        "{line}"
    );
}

fn has(notebook: &Handle, hash: &str) -> bool {
    notebook.with(|one| one.photo(hash, PhotoSize::Original)).is_ok()
}

fn look(notebook: &Handle) {
    ask(notebook, "drop_look", json!({}));
    let began = Instant::now();
    while ask(notebook, "drops", json!({}))["drops"][0]["busy"] != false {
        assert!(began.elapsed() < Duration::from_secs(120), "a look did not end");
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn a_picture_that_asks_for_gigabytes_is_kept_and_not_drawn_by_whichever_road_it_comes() {
    let dir = tempfile::tempdir().unwrap();
    let [rosalind, wilf, ida] =
        [("rosalind", 1), ("wilf", 2), ("ida", 3)].map(|(name, seed)| open(&dir.path().join(name), seed));
    ask(
        &rosalind,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let idle = from_here_kb();
    let before = Cell::new(idle);
    let within = |road: &str, what: &str| {
        let cost = peak_kb().saturating_sub(before.get());
        println!("{road}, {what}: {cost} kB");
        assert!(cost <= MOST_KB, "{road}: {what} cost {cost} kB of {MOST_KB}");
    };

    // Added here. What a camera takes is drawn as ever.
    for (what, bytes) in [
        ("12 million pixels", jpeg(4_000, 3_000, 3, Scan::Together)),
        ("48 million pixels", jpeg(8_064, 6_048, 3, Scan::Together)),
        (
            "20 million pixels, progressive",
            jpeg(5_472, 3_648, 3, Scan::Progressive),
        ),
        ("a WebP of 300 KB of tables", webp_of_tables(1_900)),
    ] {
        let (hash, not_drawn) = take(&rosalind, &bytes);
        assert!(!not_drawn, "{what} is not drawn");
        let (_, small) = rosalind.with(|one| one.photo(&hash, PhotoSize::Thumb)).unwrap();
        assert!(small.starts_with(&[0xFF, 0xD8]), "{what}");
        within("added here", what);
    }
    let here = bombs(1);
    let mut first = Vec::new();
    for (what, bytes) in &here {
        let (hash, not_drawn) = take(&rosalind, bytes);
        within("added here", what);
        assert!(not_drawn, "{what} was drawn");
        is_kept_whole(&rosalind, &hash, bytes);
        first.push(hash);
    }

    // In a carry file.
    before.set(from_here_kb());
    let out = ask(&rosalind, "carry_out", json!({ "open": true }));
    let joining = json!({ "file": out["file"], "keeper": "Wilf" });
    ask(&wilf, "join_record", joining);
    within("in a carry file", "all of them");
    for (hash, (_, bytes)) in first.iter().zip(&here) {
        is_kept_whole(&wilf, hash, bytes);
    }

    // In a meeting.
    before.set(from_here_kb());
    pair(&rosalind, &ida, "Ida");
    for (hash, (what, bytes)) in first.iter().zip(&here) {
        until(what, || has(&ida, hash));
        is_kept_whole(&ida, hash, bytes);
    }
    within("in a meeting", "all of them");
    rosalind.leave();

    // In a drop.
    let stick = dir.path().join("stick");
    std::fs::create_dir(&stick).unwrap();
    for one in [&rosalind, &ida] {
        one.attend_drops_when_asked().unwrap();
        let args = json!({ "place": { "folder": { "path": stick } }, "name": "stick", "photos": true });
        ask(one, "drop_add", args);
    }
    let mut second = Vec::new();
    let dropped = bombs(2);
    for (_, bytes) in &dropped {
        second.push(take(&rosalind, bytes).0);
    }
    before.set(from_here_kb());
    look(&rosalind);
    look(&ida);
    for (hash, (_, bytes)) in second.iter().zip(&dropped) {
        is_kept_whole(&ida, hash, bytes);
    }
    within("in a drop", "all of them");
    let kept = from_here_kb().saturating_sub(idle);
    println!("kept by three notebooks in the end: {kept} kB");
    assert!(kept <= MOST_KB, "{kept} kB of {MOST_KB} are kept");
}
