//! A check tells of every sort of damage, and changes nothing.

use std::path::Path;

use rusqlite::Connection;
use store::{Batch, Depth, Level, Store};

use crate::made::*;

/// A folder with a log, two snapshots, entries and points, closed.
fn folder() -> tempfile::TempDir {
    let (dir, mut store, record) = one_record();
    let entries = small_record();
    let points = [store::PointRow {
        id: "p".to_owned(),
        json: "{}".to_owned(),
    }];
    let batch = Batch {
        changes: &changes(1, 9),
        entries: &entries,
        points: Some(&points),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    store.compact(&record, b"snapshot 3", 3, now()).unwrap();
    store.compact(&record, b"snapshot 6", 6, now()).unwrap();
    drop(store);
    dir
}

fn database(dir: &Path) -> std::path::PathBuf {
    dir.join("witnessmark.sqlite")
}

fn broken(store: &Store) -> Vec<(&'static str, String)> {
    let found = store.check(None, Depth::Whole).unwrap();
    let broken = found.into_iter().filter(|trouble| trouble.level == Level::Broken);
    broken.map(|trouble| (trouble.code, trouble.says)).collect()
}

#[test]
fn a_sound_folder_has_notes_at_most_and_a_check_changes_nothing() {
    let dir = folder();
    let before = std::fs::read(database(dir.path())).unwrap();
    let store = open(dir.path());
    let found = store.check(Some(&id("car-1")), Depth::Whole).unwrap();
    assert_eq!(
        found.iter().map(|trouble| trouble.code).collect::<Vec<_>>(),
        ["photos_away"]
    );
    assert_eq!(
        store.check(Some(&id("car-9")), Depth::Whole).unwrap_err().code(),
        "no_record"
    );
    drop(store);
    assert_eq!(std::fs::read(database(dir.path())).unwrap(), before);
}

#[test]
fn how_far_a_check_is_counts_what_it_is_at() {
    let dir = folder();
    let store = open(dir.path());
    let mut checking = store::Checking::new(None, Depth::Whole);
    let (mut rows, mut photos) = (0, 0);
    while checking.step(&store, 1) {
        let (what, done, of) = checking.stands();
        match what {
            "rows of the record" => rows = rows.max(of),
            // Rows are no photos: this folder has none.
            "photos" => {
                photos += 1;
                assert_eq!((done, of), (0, 0));
            }
            _ => {}
        }
        assert!(done <= of, "{what}: {done} of {of}");
    }
    assert!(rows > 0 && photos > 0, "{rows} rows; {photos} steps at photos");
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn each_sort_of_damage_is_told() {
    let check = |spoil: &str, code: &str, word: &str| {
        let dir = folder();
        let db = Connection::open(database(dir.path())).unwrap();
        db.execute_batch(&format!("PRAGMA foreign_keys = OFF; {spoil}"))
            .unwrap();
        drop(db);
        let told = broken(&open(dir.path()));
        assert!(
            told.iter().any(|(c, says)| *c == code && says.contains(word)),
            "{spoil}: {told:?}"
        );
    };
    check(
        "UPDATE change_log SET bytes = x'01' WHERE seq = 8",
        "log",
        "bytes of change 8",
    );
    check(
        "UPDATE change_log SET bytes = x'' WHERE seq = 5",
        "log",
        "change 5 has no bytes",
    );
    check(
        "UPDATE change_log SET message = 'Did nothing' WHERE seq = 2",
        "log",
        "row 2",
    );
    check("UPDATE change_log SET at = at + 1 WHERE seq = 2", "log", "row 2");
    check(
        "UPDATE change_log SET sum = zeroblob(32) WHERE seq = 1",
        "log",
        "row 1",
    );
    check(
        "UPDATE change_log SET chain = zeroblob(32) WHERE seq = 4",
        "log",
        "row 5",
    );
    check(
        "DELETE FROM change_log WHERE seq = 5",
        "log",
        "changes 5 to 5 are missing",
    );
    check(
        "DELETE FROM change_log WHERE seq = 5",
        "reference",
        "touched refers to change_log",
    );
    check(
        "DELETE FROM change_log WHERE seq > 4",
        "snapshot",
        "the log ends at 4",
    );
    check(
        "UPDATE change_log SET hash = replace(hash, substr(hash, 1, 1), 'Z') WHERE seq = 9",
        "log",
        "no readable hash",
    );
    check(
        "UPDATE snapshots SET bytes = x'00' WHERE upto = 3",
        "snapshot",
        "up to change 3",
    );
    check(
        "DELETE FROM snapshots WHERE upto = 3",
        "log",
        "change 1 has no bytes",
    );
    check(
        "UPDATE entries SET json = '{' WHERE id = 'part-1'",
        "read_row",
        "part 'part-1'",
    );
    check(
        "UPDATE entries SET kind = 'finding' WHERE id = 'part-1'",
        "read_row",
        "another entry's",
    );
    check(
        "DELETE FROM search WHERE rowid = (SELECT row FROM entries WHERE id = 'part-1')",
        "read_row",
        "part-1",
    );
    check(
        "DELETE FROM links; DELETE FROM entries WHERE id = 'part-1'",
        "search",
        "belong to no entry",
    );
    check(
        "DELETE FROM entries WHERE id = 'part-1'",
        "reference",
        "links refers to entries",
    );
    check("UPDATE points SET json = 'x'", "read_row", "point to settle 'p'");
    check("DELETE FROM search_data WHERE id > 10", "search", "rebuild");
    check(
        "INSERT INTO peer_photos (record, device, hash) VALUES ('car-1', 'device-9', '0000000000000000000000000000000000000000000000000000000000000000')",
        "reference",
        "peer_photos refers to peers",
    );
}

/// All that must never change unnoticed: the document's bytes, the log's words, every entry.
fn all_of(store: &Store) -> (store::Loaded, Vec<store::LogRow>, record::View) {
    let record = id("car-1");
    (
        store.load(&record).unwrap(),
        store
            .hashes(&record)
            .unwrap()
            .iter()
            .map(|change| store.logged(&record, change).unwrap().unwrap())
            .collect(),
        store.view(&record).unwrap(),
    )
}

#[test]
fn no_byte_turned_on_the_disk_changes_the_record_unnoticed() {
    let dir = folder();
    let path = database(dir.path());
    let sound = std::fs::read(&path).unwrap();
    let before = all_of(&open(dir.path()));
    let (mut told, mut refused, mut harmless) = (0, 0, 0);
    // Single bytes all over the file. Most lie in unused room; whatever is not noticed must have changed nothing.
    for at in (0..sound.len()).step_by(89) {
        let mut bytes = sound.clone();
        bytes[at] ^= 0x20;
        std::fs::write(&path, &bytes).unwrap();
        match Store::open(
            dir.path(),
            store::Opener {
                program: "test",
                now: now(),
            },
        ) {
            Err(_) => refused += 1,
            Ok(store) if !broken(&store).is_empty() => told += 1,
            Ok(store) => {
                assert_eq!(all_of(&store), before, "byte {at}");
                harmless += 1;
            }
        }
        for beside in ["witnessmark.sqlite-wal", "witnessmark.sqlite-shm"] {
            let _ = std::fs::remove_file(dir.path().join(beside));
        }
    }
    println!("{told} told, {refused} not opened, {harmless} harmless");
    assert!(told > 50, "only {told} were told");
}

#[test]
fn a_log_that_was_answered_for_and_is_shorter_is_told_until_it_is_back() {
    let (dir, mut store, record) = one_record();
    let batch = Batch {
        changes: &changes(1, 4),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    drop(store);
    let short = std::fs::read(database(dir.path())).unwrap();
    let mut store = open(dir.path());
    let batch = Batch {
        changes: &changes(5, 9),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    assert_eq!(broken(&store), []);
    drop(store);
    // The same folder, whose write-ahead log came to nothing.
    std::fs::write(database(dir.path()), short).unwrap();
    for _ in 0..2 {
        let store = open(dir.path());
        let found = broken(&store);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].0, "lost");
        assert!(
            found[0].1.contains("had 9 changes and was found with 4"),
            "{found:?}"
        );
    }
    // Other changes do not hide it; those that went do away with it when they come back.
    let mut store = open(dir.path());
    let other = [change("other", &["c4"], &[])];
    let batch = Batch {
        changes: &other,
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    assert_eq!(broken(&store).len(), 1);
    let batch = Batch {
        changes: &changes(5, 9),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    assert_eq!(broken(&store), []);
}

#[test]
fn the_log_refuses_a_change_whose_dependencies_are_not_in_it() {
    let (_dir, mut store, record) = one_record();
    let stray = [change("c2", &["c1"], &[])];
    let batch = Batch {
        changes: &stray,
        ..Batch::default()
    };
    let refused = store.commit(&record, &batch).unwrap_err();
    assert_eq!(refused.code(), "log_gap");
    assert_eq!(store.last(&record).unwrap(), 0);
    let both = [change("c1", &[], &[]), change("c2", &["c1"], &[])];
    let batch = Batch {
        changes: &both,
        ..Batch::default()
    };
    assert_eq!(store.commit(&record, &batch).unwrap(), 2);
    // What every document begins with is in no log, and may be stood on.
    let first = record::Logged {
        deps: vec![record::document::beginning().unwrap()],
        ..change("c3", &[], &[])
    };
    let batch = Batch {
        changes: std::slice::from_ref(&first),
        ..Batch::default()
    };
    assert_eq!(store.commit(&record, &batch).unwrap(), 3);
}
