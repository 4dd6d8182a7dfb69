//! Derived rows can be thrown away and made anew, and come out the same.

use record::Kind;
use serde_json::json;
use store::{Batch, Depth, PointRow};

use crate::made::*;

fn points() -> Vec<PointRow> {
    vec![PointRow {
        id: "p".to_owned(),
        json: "{}".to_owned(),
    }]
}

#[test]
fn a_rebuild_gives_the_same_rows() {
    let (dir, mut store, record) = one_record();
    let (log, entries, points) = (changes(1, 6), small_record(), points());
    // Piece by piece, some entries twice, as in life.
    let early = [entry(
        Kind::Part,
        "part-1",
        json!({"name": "Pin", "assembly": "assembly-2"}),
    )];
    store
        .commit(
            &record,
            &Batch {
                changes: &log[..2],
                entries: &early,
                ..Batch::default()
            },
        )
        .unwrap();
    store
        .commit(
            &record,
            &Batch {
                changes: &log[2..],
                entries: &entries,
                points: Some(&points),
                ..Batch::default()
            },
        )
        .unwrap();
    let before = store.derived_digest(&record).unwrap();
    // The document's beginning is no row of the log.
    let rows = [vec![change("beginning", &[], &[])], log.clone()].concat();
    let rebuilt = store.rebuild(&record, &rows, &entries, &points).unwrap();
    assert_eq!((rebuilt.entries as usize, rebuilt.unlogged), (entries.len(), 1));
    assert_eq!(store.derived_digest(&record).unwrap(), before);

    // Whatever is done to the derived rows behind the store's back, a rebuild mends it.
    drop(store);
    for spoil in [
        "UPDATE entries SET json = 'no json' WHERE id = 'part-1'",
        "UPDATE entries SET title = 'another' WHERE id = 'part-1'",
        "DELETE FROM search WHERE rowid = (SELECT row FROM entries WHERE id = 'part-1')",
        "DELETE FROM links; DELETE FROM touched; DELETE FROM points",
        "UPDATE points SET json = '{'",
        "UPDATE records SET derived = 0",
    ] {
        let db = rusqlite::Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
        db.execute_batch(spoil).unwrap();
        drop(db);
        let mut store = open(dir.path());
        let found = store.check(None, Depth::Quick).unwrap();
        let noticed = found.iter().any(|trouble| trouble.code != "photos_away");
        let differs = store.derived_digest(&record).is_ok_and(|digest| digest != before);
        assert!(noticed || differs, "{spoil}: nothing was noticed");
        store.rebuild(&record, &rows, &entries, &points).unwrap();
        assert_eq!(store.derived_digest(&record).unwrap(), before, "{spoil}");
        assert!(!store.is_stale(&record).unwrap());
        let found = store.check(None, Depth::Quick).unwrap();
        assert!(
            found.iter().all(|trouble| trouble.code == "photos_away"),
            "{spoil}: {found:?}"
        );
    }
}

#[test]
fn a_document_that_lacks_a_logged_change_rebuilds_nothing() {
    let (_dir, mut store, record) = one_record();
    let (log, entries) = (changes(1, 3), small_record());
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
    let before = store.derived_digest(&record).unwrap();
    assert_eq!(
        store.rebuild(&record, &log[..2], &[], &[]).unwrap_err().code(),
        "unfit"
    );
    assert_eq!(store.derived_digest(&record).unwrap(), before);
}

#[test]
fn the_digest_is_the_same_on_a_device_that_got_the_changes_in_another_order() {
    let (_one, mut first, record) = one_record();
    let (_other, mut second, _) = one_record();
    let log = [
        change("a", &[], &[(Kind::Part, "part-1", &["name"])]),
        change("b", &[], &[(Kind::Part, "part-1", &["note"])]),
    ];
    let entries = small_record();
    first
        .commit(
            &record,
            &Batch {
                changes: &log,
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    let turned = [log[1].clone(), log[0].clone()];
    let mut backwards = entries.clone();
    backwards.reverse();
    second
        .commit(
            &record,
            &Batch {
                changes: &turned,
                entries: &backwards,
                ..Batch::default()
            },
        )
        .unwrap();
    assert_eq!(
        first.derived_digest(&record).unwrap(),
        second.derived_digest(&record).unwrap()
    );
    let changed = [entry(Kind::Part, "part-1", json!({"name": "Pin"}))];
    second
        .commit(
            &record,
            &Batch {
                entries: &changed,
                ..Batch::default()
            },
        )
        .unwrap();
    assert_ne!(
        first.derived_digest(&record).unwrap(),
        second.derived_digest(&record).unwrap()
    );
}

#[test]
fn rows_are_made_anew_some_at_a_time_and_it_is_told_whether_any_is_otherwise() {
    let (dir, mut store, record) = one_record();
    let (log, entries, points) = (changes(1, 6), small_record(), points());
    let batch = Batch {
        changes: &log,
        entries: &entries,
        points: Some(&points),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    let before = store.derived_digest(&record).unwrap();
    let all: std::collections::BTreeSet<record::Ref> = entries.iter().map(record::Entry::name).collect();
    let by_ones = |store: &mut store::Store| {
        let mut at = store.rebuilding(&record, &log, u32::MAX).unwrap();
        for row in &log {
            store.rebuild_changes(&mut at, std::slice::from_ref(row)).unwrap();
        }
        for entry in &entries {
            store.rebuild_entries(&mut at, &[entry]).unwrap();
        }
        while store
            .rebuild_leftovers(&mut at, |name| all.contains(name), 1)
            .unwrap()
        {}
        store.rebuild_end(&mut at, &points).unwrap();
        at.changed()
    };
    assert!(!by_ones(&mut store));
    assert_eq!(store.derived_digest(&record).unwrap(), before);
    drop(store);
    for spoil in [
        "UPDATE entries SET title = 'another' WHERE id = 'part-1'",
        "UPDATE entries SET id = 'part-0' WHERE id = 'part-1'",
        "UPDATE entries SET kind = 'pirt' WHERE id = 'part-1'",
        "DELETE FROM touched WHERE seq = 2",
        "DELETE FROM search WHERE rowid = (SELECT row FROM entries WHERE id = 'part-1')",
        "INSERT INTO search (rowid, title, body) VALUES (99999, 'nobody', 'nothing')",
        "DELETE FROM points",
    ] {
        let db = rusqlite::Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
        db.execute_batch(spoil).unwrap();
        drop(db);
        let mut store = open(dir.path());
        assert!(by_ones(&mut store), "{spoil}");
        assert_eq!(store.derived_digest(&record).unwrap(), before, "{spoil}");
        assert!(!by_ones(&mut store), "{spoil}");
    }
}

#[test]
fn a_reader_that_was_lent_reads_of_its_moment_and_writes_nothing() {
    let (_dir, mut store, record) = one_record();
    let batch = Batch {
        changes: &changes(1, 3),
        entries: &small_record(),
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    let mut reader = store.lend().reader().unwrap().unwrap();
    let (moment, written) = (reader.derived_digest(&record).unwrap(), store.written().unwrap());
    let later = [entry(Kind::Part, "part-9", json!({ "name": "Bush" }))];
    let batch = Batch {
        entries: &later,
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    assert!(store.written().unwrap() > written);
    assert_ne!(store.derived_digest(&record).unwrap(), moment);
    assert_eq!(reader.derived_digest(&record).unwrap(), moment);
    assert_eq!(
        reader.check(None, Depth::Whole).unwrap().len(),
        1,
        "photos are away"
    );
    assert!(reader.commit(&record, &batch).is_err());
    assert_eq!(
        store.derived_digest(&record).unwrap(),
        store
            .lend()
            .reader()
            .unwrap()
            .unwrap()
            .derived_digest(&record)
            .unwrap()
    );
}
