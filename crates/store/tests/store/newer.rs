//! A folder of a newer version is read, never written, and never reset; another program's database is left alone.

use std::path::Path;

use rusqlite::Connection;
use store::{Batch, Choices, Depth, Opener, Store};

use crate::made::*;

fn alter(dir: &Path, sql: &str) {
    Connection::open(dir.join("witnessmark.sqlite"))
        .unwrap()
        .execute_batch(sql)
        .unwrap();
}

fn bytes(dir: &Path) -> Vec<u8> {
    std::fs::read(dir.join("witnessmark.sqlite")).unwrap()
}

#[test]
fn a_newer_folder_is_read_and_not_one_byte_of_it_changes() {
    let (dir, mut store, record) = one_record();
    let (log, entries) = (changes(1, 2), small_record());
    store
        .commit(
            &record,
            &Batch {
                changes: &log,
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    drop(store);
    alter(
        dir.path(),
        "PRAGMA user_version = 99; UPDATE folder SET needs = 99; CREATE TABLE later (x TEXT) STRICT;",
    );
    let before = bytes(dir.path());

    let mut store = open(dir.path());
    assert_eq!(store.newer(), Some(99));
    assert_eq!(store.view(&record).unwrap().everything().count(), entries.len());
    assert_eq!(store.load(&record).unwrap().log.len(), 2);
    let more = changes(3, 3);
    let refusals = [
        store
            .commit(
                &record,
                &Batch {
                    changes: &more,
                    ..Batch::default()
                },
            )
            .unwrap_err(),
        store.choose(&Choices::default()).unwrap_err(),
        store.compact(&record, b"a snapshot", 2, now()).unwrap_err(),
        store.rebuild(&record, &log, &entries, &[]).unwrap_err(),
        store.keep_photo(&mut &b"a picture"[..], 100, None).unwrap_err(),
    ];
    for refused in refusals {
        assert_eq!(refused.code(), "newer_folder");
        assert!(refused.to_string().contains("version 99"), "{refused}");
    }
    let found = store.check(None, Depth::Whole).unwrap();
    assert!(
        found.iter().any(|trouble| trouble.code == "newer_folder"),
        "{found:?}"
    );
    drop(store);
    assert_eq!(bytes(dir.path()), before);
    assert!(!dir.path().join("photos").join("arriving").exists());
}

#[test]
fn a_newer_folder_that_older_programs_survive_is_written_and_keeps_its_version() {
    let (dir, store, record) = one_record();
    drop(store);
    alter(
        dir.path(),
        "PRAGMA user_version = 99; CREATE TABLE later (x TEXT NOT NULL DEFAULT '') STRICT;",
    );
    let mut store = open(dir.path());
    assert_eq!(store.newer(), None);
    let log = changes(1, 1);
    store
        .commit(
            &record,
            &Batch {
                changes: &log,
                ..Batch::default()
            },
        )
        .unwrap();
    drop(store);
    let db = Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    let version: u32 = db
        .pragma_query_value(None, "user_version", |row| row.get(0))
        .unwrap();
    assert_eq!(version, 99);
}

#[test]
fn another_programs_database_is_left_alone() {
    for sql in [
        "PRAGMA application_id = 7; CREATE TABLE a (b);",
        "CREATE TABLE a (b);",
    ] {
        let dir = tempfile::tempdir().unwrap();
        alter(dir.path(), sql);
        let before = bytes(dir.path());
        let refused = Store::open(
            dir.path(),
            Opener {
                program: "test",
                now: now(),
            },
        )
        .unwrap_err();
        assert_eq!(refused.code(), "foreign_folder");
        assert_eq!(bytes(dir.path()), before);
        assert!(!dir.path().join("photos").exists());
    }
}

#[test]
fn a_file_that_is_no_database_is_said_to_be_damaged_and_kept() {
    let dir = tempfile::tempdir().unwrap();
    let noise = vec![0x5A; 8_192];
    std::fs::write(dir.path().join("witnessmark.sqlite"), &noise).unwrap();
    let refused = Store::open(
        dir.path(),
        Opener {
            program: "test",
            now: now(),
        },
    )
    .unwrap_err();
    assert_eq!(refused.code(), "damaged_folder");
    assert_eq!(bytes(dir.path()), noise);
}

#[test]
fn a_folder_whose_making_was_stopped_is_made_at_the_next_opening() {
    let dir = tempfile::tempdir().unwrap();
    // What is there when the program ends between making the file and the first migration.
    let db = Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    db.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(()))
        .unwrap();
    drop(db);
    assert!(open(dir.path()).records().unwrap().is_empty());
}
