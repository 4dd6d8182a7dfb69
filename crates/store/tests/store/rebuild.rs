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
