//! A writer killed at any moment loses nothing that it was told is on the disk, and leaves no half of anything.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};
use std::time::Duration;

use record::Kind;
use serde_json::json;
use store::{Batch, Depth, Level};

use crate::made::*;

/// Set in a child of the test: the folder it is to write in.
const WRITE: &str = "STORE_TEST_WRITE";
/// Times that a writer is killed.
const ROUNDS: u64 = 12;

/// Commits one change after another, saying each number once the store has answered.
fn write_until_killed(dir: &std::path::Path) -> ! {
    let mut store = open(dir);
    let record = id("car-1");
    let mut out = std::io::stdout();
    let mut number = store.last(&record).unwrap();
    loop {
        number += 1;
        let log = changes(number, number);
        let picture = format!("picture {number}").repeat(2_000);
        let photo = number.is_multiple_of(5).then(|| {
            let kept = store.keep_photo(&mut picture.as_bytes(), u64::MAX, None).unwrap();
            store::NewPhoto {
                kept,
                meta: store::PhotoMeta::default(),
                thumb: vec![7; 3_000],
                added: now(),
            }
        });
        let entries = [entry(
            Kind::Part,
            &format!("part-{number}"),
            json!({"name": format!("Part {number}")}),
        )];
        let photos: Vec<_> = photo.into_iter().collect();
        let batch = Batch {
            changes: &log,
            entries: &entries,
            photos: &photos,
            ..Batch::default()
        };
        assert_eq!(store.commit(&record, &batch).unwrap(), number);
        if number.is_multiple_of(40) {
            store
                .compact(&record, format!("snapshot {number}").as_bytes(), number, now())
                .unwrap();
        }
        writeln!(out, "\nSAFE {number}").unwrap();
        out.flush().unwrap();
    }
}

#[test]
fn a_killed_writer_loses_nothing_acknowledged() {
    if let Some(dir) = std::env::var_os(WRITE) {
        write_until_killed(dir.as_ref());
    }
    let (dir, store, record) = one_record();
    drop(store);
    let mut safe = 0_u32;
    for round in 0..ROUNDS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "kill::a_killed_writer_loses_nothing_acknowledged",
                "--nocapture",
            ])
            .env(WRITE, dir.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let out = child.stdout.take().unwrap();
        let reader = std::thread::spawn(move || {
            let lines = BufReader::new(out).lines().map_while(Result::ok);
            lines
                .filter_map(|line| line.strip_prefix("SAFE ")?.parse::<u32>().ok())
                .last()
        });
        std::thread::sleep(Duration::from_millis(30 + (round * 37) % 150));
        child.kill().unwrap();
        child.wait().unwrap();
        safe = reader.join().unwrap().unwrap_or(safe).max(safe);

        let store = open(dir.path());
        let last = store.last(&record).unwrap();
        assert!(
            last >= safe,
            "round {round}: {safe} were acknowledged, {last} are there"
        );
        // The change and its read row came together or not at all.
        let parts = store.entries(&record, Kind::Part).unwrap();
        assert_eq!(parts.len(), last as usize, "round {round}");
        let found = store.check(None, Depth::Whole).unwrap();
        assert!(
            found.iter().all(|trouble| trouble.level == Level::Note),
            "round {round}: {found:?}"
        );
    }
    assert!(safe > 0, "no writer ever got to write");
}
