//! Compaction: what is emptied is held twice elsewhere, history stays, and one damaged snapshot costs nothing.

use record::Kind;
use store::{Batch, Depth};

use crate::made::*;

fn bytes_of(first: u32, last: u32) -> Vec<Vec<u8>> {
    changes(first, last)
        .into_iter()
        .map(|change| change.bytes)
        .collect()
}

#[test]
fn bytes_go_once_two_snapshots_hold_them_and_history_stays() {
    let (dir, mut store, record) = one_record();
    store
        .commit(
            &record,
            &Batch {
                changes: &changes(1, 5),
                ..Batch::default()
            },
        )
        .unwrap();
    assert_eq!(store.since_snapshot(&record).unwrap(), 5);
    // Held once so far.
    assert_eq!(store.compact(&record, b"snapshot 3", 3, now()).unwrap(), 0);
    assert_eq!(store.since_snapshot(&record).unwrap(), 2);
    assert_eq!(store.compact(&record, b"snapshot 5", 5, now()).unwrap(), 3);
    store
        .commit(
            &record,
            &Batch {
                changes: &changes(6, 8),
                ..Batch::default()
            },
        )
        .unwrap();
    assert_eq!(store.compact(&record, b"snapshot 7", 7, now()).unwrap(), 2);
    drop(store);

    let store = open(dir.path());
    let loaded = store.load(&record).unwrap();
    assert_eq!(loaded.snapshot.as_deref(), Some(&b"snapshot 7"[..]));
    assert_eq!(
        (loaded.log, loaded.last, loaded.passed_over),
        (bytes_of(8, 8), 8, false)
    );
    let history = store
        .history(&record, Kind::Part, &id("part-1"), Some("name"))
        .unwrap();
    assert_eq!(
        history.iter().map(|row| row.message.as_str()).collect::<Vec<_>>()[..2],
        ["Did c1", "Did c2"]
    );
    assert_eq!(history.len(), 8);
    assert!(store.check(None, Depth::Whole).unwrap().is_empty());
}

#[test]
fn a_snapshot_must_fit_the_log() {
    let (_dir, mut store, record) = one_record();
    store
        .commit(
            &record,
            &Batch {
                changes: &changes(1, 5),
                ..Batch::default()
            },
        )
        .unwrap();
    store.compact(&record, b"snapshot 3", 3, now()).unwrap();
    for (bytes, upto) in [(&b"again"[..], 3), (b"older", 2), (b"beyond", 6), (b"", 5)] {
        assert_eq!(
            store.compact(&record, bytes, upto, now()).unwrap_err().code(),
            "unfit",
            "{upto}"
        );
    }
    assert_eq!(store.load(&record).unwrap().log, bytes_of(4, 5));
}

fn spoil(dir: &std::path::Path, sql: &str) {
    let db = rusqlite::Connection::open(dir.join("witnessmark.sqlite")).unwrap();
    assert_eq!(db.execute(sql, []).unwrap(), 1, "{sql}");
}

#[test]
fn a_damaged_snapshot_is_told_and_the_one_before_and_the_log_serve() {
    let (dir, mut store, record) = one_record();
    store
        .commit(
            &record,
            &Batch {
                changes: &changes(1, 9),
                ..Batch::default()
            },
        )
        .unwrap();
    store.compact(&record, b"snapshot 3", 3, now()).unwrap();
    store.compact(&record, b"snapshot 6", 6, now()).unwrap();
    drop(store);
    // One byte of the newest.
    spoil(
        dir.path(),
        "UPDATE snapshots SET bytes = CAST('snapshot b' AS BLOB) WHERE upto = 6",
    );
    let mut store = open(dir.path());
    let found = store.check(None, Depth::Whole).unwrap();
    assert_eq!(
        found.iter().map(|trouble| trouble.code).collect::<Vec<_>>(),
        ["snapshot"]
    );
    assert!(found[0].says.contains("up to change 6"), "{found:?}");
    let loaded = store.load(&record).unwrap();
    assert_eq!(loaded.snapshot.as_deref(), Some(&b"snapshot 3"[..]));
    assert_eq!(
        (loaded.log, loaded.last, loaded.passed_over),
        (bytes_of(4, 9), 9, true)
    );
    // The next one pushes out the damaged one, not the whole one, and empties nothing more.
    assert_eq!(store.compact(&record, b"snapshot 9", 9, now()).unwrap(), 0);
    assert!(store.check(None, Depth::Whole).unwrap().is_empty());
    drop(store);
    spoil(dir.path(), "UPDATE snapshots SET bytes = x'00' WHERE upto = 9");
    let loaded = open(dir.path()).load(&record).unwrap();
    assert_eq!(loaded.snapshot.as_deref(), Some(&b"snapshot 3"[..]));
    assert_eq!(loaded.log, bytes_of(4, 9));
}

#[test]
fn a_record_whose_only_snapshot_is_damaged_opens_from_the_log() {
    let (dir, mut store, record) = one_record();
    store
        .commit(
            &record,
            &Batch {
                changes: &changes(1, 4),
                ..Batch::default()
            },
        )
        .unwrap();
    store.compact(&record, b"snapshot 4", 4, now()).unwrap();
    drop(store);
    spoil(dir.path(), "UPDATE snapshots SET bytes = x'00'");
    let loaded = open(dir.path()).load(&record).unwrap();
    assert_eq!(
        (loaded.snapshot, loaded.log, loaded.passed_over),
        (None, bytes_of(1, 4), true)
    );
}

#[test]
fn a_damaged_page_of_the_newest_snapshot_leaves_the_one_before_and_the_log() {
    let (dir, mut store, record) = one_record();
    let batch = Batch {
        changes: &changes(1, 9),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    // Longer than a page, so that it lies on pages of its own.
    let long = |letter: u8| -> Vec<u8> { (0..60_000_u32).map(|at| letter ^ (at % 251) as u8).collect() };
    store.compact(&record, &long(b'a'), 3, now()).unwrap();
    store.compact(&record, &long(b'b'), 6, now()).unwrap();
    drop(store);
    let path = dir.path().join("witnessmark.sqlite");
    let mut bytes = std::fs::read(&path).unwrap();
    let wanted = &long(b'b')[30_000..30_600];
    let at = bytes.windows(600).position(|window| window == wanted).unwrap();
    let page = at / 4_096 * 4_096;
    bytes[page..page + 4_096].fill(0);
    std::fs::write(&path, bytes).unwrap();
    let mut store = open(dir.path());
    let loaded = store.load(&record).unwrap();
    assert_eq!(loaded.snapshot, Some(long(b'a')));
    assert_eq!(
        (loaded.log, loaded.upto, loaded.passed_over),
        (bytes_of(4, 9), 3, true)
    );
    let found = store.check(None, Depth::Whole).unwrap();
    assert!(
        found
            .iter()
            .any(|one| one.code == "snapshot" && one.says.contains("up to change 6")),
        "{found:?}"
    );
    // Writing goes on, and so do snapshots; the damaged one counts as holding nothing.
    let batch = Batch {
        changes: &changes(10, 12),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    assert_eq!(store.compact(&record, &long(b'c'), 12, now()).unwrap(), 0);
    drop(store);
    let loaded = open(dir.path()).load(&record).unwrap();
    assert_eq!((loaded.snapshot, loaded.upto), (Some(long(b'c')), 12));
    // Where the newest gives no document, the next one is asked for.
    let older = open(dir.path()).load_below(&record, 12).unwrap();
    assert_eq!((older.snapshot, older.log), (Some(long(b'a')), bytes_of(4, 12)));
}
