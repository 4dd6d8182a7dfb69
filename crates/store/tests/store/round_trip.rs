//! What is committed reads back, whole or not at all, through a closing and an opening.

use std::collections::BTreeSet;

use record::{Kind, Ref, View};
use serde_json::json;
use store::{Batch, Depth, KnownOf, Level, PairedRow, Peer, PointRow, StoreError, ThisDevice};

use crate::made::*;

#[test]
fn a_batch_reads_back_after_a_reopening() {
    let (dir, mut store, record) = one_record();
    let entries = small_record();
    let log = changes(1, 3);
    let device = ThisDevice {
        id: id("device-1"),
        name: "Bench".to_owned(),
    };
    let points = [
        PointRow {
            id: "z-first".to_owned(),
            json: r#"{"rule":"two_values"}"#.to_owned(),
        },
        PointRow {
            id: "a-second".to_owned(),
            json: r#"{"rule":"same_code"}"#.to_owned(),
        },
    ];
    let peer = Peer {
        device: id("device-2"),
        name: "Pocket".to_owned(),
        heads: vec![change_id("c2")],
        met: Some(now()),
        photos: BTreeSet::from([photo_hash("a picture")]),
    };
    let paired = PairedRow {
        device: id("device-3"),
        key: "aa".to_owned(),
        addresses: vec!["192.0.2.1:2".to_owned()],
        since: Some(now()),
        met: false,
        whose: None,
    };
    let batch = Batch {
        device: Some(&device),
        changes: &log,
        entries: &entries,
        points: Some(&points),
        peers: std::slice::from_ref(&peer),
        known: &[(peer.device.clone(), KnownOf { all: 3, own: 2 })],
        paired: Some(&paired),
        ..Batch::default()
    };
    assert_eq!(store.commit(&record, &batch).unwrap(), 3);
    drop(store);

    let store = open(dir.path());
    assert_eq!(store.device().unwrap(), Some(device));
    assert_eq!(store.records().unwrap(), [row("car-1", "Ostrel Falk")]);
    let mut sorted = entries.clone();
    sorted.sort_by(|a, b| (a.kind, &a.id).cmp(&(b.kind, &b.id)));
    assert_eq!(all(&store, &record), sorted);
    assert_eq!(store.view(&record).unwrap(), record::View::of(entries.clone()));
    assert_eq!(store.points(&record).unwrap(), points);
    assert_eq!(store.peers(&record).unwrap(), [peer]);
    assert_eq!(
        store.known(&record, &id("device-2")).unwrap(),
        KnownOf { all: 3, own: 2 }
    );
    assert_eq!(store.known(&record, &id("device-3")).unwrap(), KnownOf::default());
    assert_eq!(store.paired(&record).unwrap(), [paired]);
    let loaded = store.load(&record).unwrap();
    assert_eq!(
        (loaded.snapshot, loaded.last, loaded.passed_over),
        (None, 3, false)
    );
    assert_eq!(
        loaded.log,
        log.iter().map(|change| change.bytes.clone()).collect::<Vec<_>>()
    );
    let row = store.logged(&record, &log[1].id).unwrap().unwrap();
    assert_eq!((row.seq, row.message.as_str()), (2, "Did c2"));
    assert_eq!(row.change, log[1].id);
    assert_eq!(row.deps, log[1].deps);
    assert_eq!(
        store.logged(&record, &log[2].id).unwrap().map(|row| row.seq),
        Some(3)
    );
    let history = store.history(&record, Kind::Part, &id("part-1"), None).unwrap();
    assert!(history.iter().any(|row| row.seq == 2));
}

fn all(store: &store::Store, record: &record::Id) -> Vec<record::Entry> {
    store.view(record).unwrap().everything().cloned().collect()
}

#[test]
fn entries_are_found_by_kind_and_by_id() {
    let (_dir, mut store, record) = one_record();
    let entries = small_record();
    store
        .commit(
            &record,
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    let of = |kind: Kind| -> Vec<String> {
        let found = store.entries(&record, kind).unwrap();
        found.into_iter().map(|entry| entry.id.to_string()).collect()
    };
    assert_eq!(of(Kind::Keeper), ["keeper-1", "keeper-2"]);
    // Struck out is among them: pages say so.
    assert_eq!(of(Kind::Finding), ["finding-1", "finding-2", "finding-3"]);
    assert_eq!(of(Kind::Order), Vec::<String>::new());
    let pin: Ref = "part:part-1".parse().unwrap();
    assert_eq!(store.find(&record, &pin).unwrap().as_ref(), entries.get(7));
    assert_eq!(store.entry(&record, Kind::Part, &id("part-9")).unwrap(), None);
}

#[test]
fn days_say_whose_they_are_and_pass_over_what_is_blank_or_struck() {
    let (_dir, mut store, record) = one_record();
    let entries = small_record();
    store
        .commit(
            &record,
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    let days = store.days(&record, 0, 60).unwrap();
    let told: Vec<(String, Vec<&str>, u32)> = days
        .iter()
        .map(|mark| {
            let keepers = mark.keepers.iter().map(record::Id::as_str).collect();
            (mark.day.to_string(), keepers, mark.kinds.values().sum())
        })
        .collect();
    let expected = [
        // A sheet, a finding and a photo of the first keeper.
        ("2031-03-01".to_owned(), vec!["keeper-1"], 3),
        // The blank sheet of the first keeper does not count; the finding is by the second one's device.
        ("2031-03-02".to_owned(), vec!["keeper-2"], 1),
    ];
    assert_eq!(told, expected);
}

#[test]
fn history_is_by_entry_and_by_field_newest_last() {
    let (_dir, mut store, record) = one_record();
    let log = [
        change(
            "a",
            &[],
            &[
                (Kind::Part, "part-1", &["name", "note"]),
                (Kind::Part, "part-2", &["name"]),
            ],
        ),
        change("b", &["a"], &[(Kind::Part, "part-1", &["note"])]),
        change("c", &["b"], &[(Kind::Part, "part-2", &[])]),
    ];
    store
        .commit(
            &record,
            &Batch {
                changes: &log,
                ..Batch::default()
            },
        )
        .unwrap();
    let told = |which: &str, field: Option<&str>| -> Vec<(u32, Vec<String>)> {
        let rows = store.history(&record, Kind::Part, &id(which), field).unwrap();
        rows.into_iter().map(|row| (row.seq, row.fields)).collect()
    };
    let fields = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect::<Vec<_>>();
    assert_eq!(
        told("part-1", None),
        [(1, fields(&["name", "note"])), (2, fields(&["note"]))]
    );
    assert_eq!(told("part-1", Some("name")), [(1, fields(&["name"]))]);
    assert_eq!(told("part-2", None), [(1, fields(&["name"])), (3, vec![])]);
}

#[test]
fn an_entry_written_again_leaves_nothing_of_the_old_one() {
    let (_dir, mut store, record) = one_record();
    let first = [entry(
        Kind::Part,
        "part-1",
        json!({"name": "Sprocket", "assembly": "assembly-1"}),
    )];
    let second = [entry(
        Kind::Part,
        "part-1",
        json!({"name": "Tensioner", "assembly": "assembly-2"}),
    )];
    store
        .commit(
            &record,
            &Batch {
                entries: &first,
                ..Batch::default()
            },
        )
        .unwrap();
    store
        .commit(
            &record,
            &Batch {
                entries: &second,
                ..Batch::default()
            },
        )
        .unwrap();
    assert_eq!(all(&store, &record), second);
    // What it pointed at before is no link of it any more: a check holds the links against the entry.
    let found = store.check(None, Depth::Quick).unwrap();
    assert!(
        found.iter().all(|trouble| trouble.level == Level::Note),
        "{found:?}"
    );
    assert!(search(&store, &record, "sprocket", 9).is_empty());
    assert_eq!(search(&store, &record, "tension", 9).len(), 1);
}

#[test]
fn a_refused_batch_leaves_nothing_at_all() {
    let (_dir, mut store, record) = one_record();
    let log = changes(1, 2);
    store
        .commit(
            &record,
            &Batch {
                changes: &log,
                ..Batch::default()
            },
        )
        .unwrap();
    let before = store.derived_digest(&record).unwrap();
    // The second of these is there already.
    let again = [changes(3, 3), changes(2, 2)].concat();
    let entries = small_record();
    let batch = Batch {
        changes: &again,
        entries: &entries,
        known: &[(id("device-2"), KnownOf { all: 1, own: 1 })],
        ..Batch::default()
    };
    let refused = store.commit(&record, &batch).unwrap_err();
    assert!(
        matches!(&refused, StoreError::Twice(change) if *change == change_id("c2")),
        "{refused}"
    );
    // The failing part comes last here.
    let peer = Peer {
        device: id("device-2"),
        name: String::new(),
        heads: vec![],
        met: None,
        photos: BTreeSet::from([photo_hash("a picture")]),
    };
    let fresh = changes(3, 3);
    let keyless = PairedRow {
        device: id("device-2"),
        key: String::new(),
        addresses: Vec::new(),
        since: None,
        met: false,
        whose: None,
    };
    let batch = Batch {
        changes: &fresh,
        entries: &entries,
        peers: &[peer],
        known: &[(id("device-2"), KnownOf { all: 1, own: 1 })],
        // One without a key is one that the tables refuse.
        paired: Some(&keyless),
        ..Batch::default()
    };
    assert_eq!(store.commit(&record, &batch).unwrap_err().code(), "database");
    assert_eq!(store.last(&record).unwrap(), 2);
    assert_eq!(store.derived_digest(&record).unwrap(), before);
    assert_eq!(store.known(&record, &id("device-2")).unwrap(), KnownOf::default());
    assert_eq!(store.paired(&record).unwrap(), []);
    assert!(store.peers(&record).unwrap().is_empty());
}

#[test]
fn several_records_in_one_folder_do_not_see_each_other() {
    let (_dir, mut store, first) = one_record();
    let begin = row("car-2", "Ostrel Kite");
    let log = changes(1, 2);
    let entries = [entry(Kind::Car, "car", json!({"name": "Ostrel Kite"}))];
    let batch = Batch {
        begin: Some(&begin),
        changes: &log,
        entries: &entries,
        ..Batch::default()
    };
    assert_eq!(store.commit(&begin.id, &batch).unwrap(), 2);
    assert_eq!(store.last(&first).unwrap(), 0);
    assert_eq!(all(&store, &first), []);
    assert!(search(&store, &first, "kite", 9).is_empty());
    assert_eq!(search(&store, &begin.id, "kite", 9).len(), 1);
    assert_eq!(store.records().unwrap().len(), 2);
    let refused = store
        .commit(
            &begin.id,
            &Batch {
                begin: Some(&begin),
                ..Batch::default()
            },
        )
        .unwrap_err();
    assert_eq!(refused.code(), "record_there");
    let unknown = store
        .commit(
            &id("car-9"),
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap_err();
    assert_eq!(unknown.code(), "no_record");
    let renamed = store::RecordRow {
        keeper: Some(id("keeper-1")),
        ..row("car-2", "Ostrel Kestrel")
    };
    store
        .commit(
            &begin.id,
            &Batch {
                row: Some(&renamed),
                ..Batch::default()
            },
        )
        .unwrap();
    assert_eq!(store.record(&begin.id).unwrap(), renamed);
}

#[test]
fn what_is_left_blank_has_no_rows_any_more() {
    let (_dir, mut store, record) = one_record();
    let entries = small_record();
    let gone = entries[0].name();
    let batch = Batch {
        entries: &entries,
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    let blank = [gone.clone()];
    let batch = Batch {
        blank: &blank,
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    assert_eq!(store.entry(&record, gone.kind, &gone.id).unwrap(), None);
    assert_eq!(
        store.view(&record).unwrap(),
        View::of(entries[1..].iter().cloned())
    );
    let found = store.check(None, Depth::Whole).unwrap();
    assert!(
        found.iter().all(|trouble| trouble.level == Level::Note),
        "{found:?}"
    );
}
