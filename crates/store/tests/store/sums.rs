//! Rows that are no entries and no changes, with a byte of them turned: a check tells, and what comes again by itself does.

use record::Moment;
use rusqlite::Connection;
use store::{AsideRow, Depth, DropRow, Store};

use crate::made::{hash, id, now, one_record, open, photo_hash};

fn row() -> AsideRow {
    AsideRow {
        parcel: hash("a parcel"),
        device: id("device-9"),
        road: "drop".to_owned(),
        came: now(),
        told: "{}".to_owned(),
        bytes: b"as they came".to_vec(),
    }
}

fn told(store: &Store) -> Vec<String> {
    let found = store.check(None, Depth::Whole).unwrap();
    let rows = found.into_iter().filter(|one| one.code == "own_row");
    rows.map(|one| one.says).collect()
}

#[test]
fn a_byte_that_turns_in_what_has_a_sum_is_told_and_what_comes_again_does() {
    let (dir, mut store, record) = one_record();
    assert!(store.set_aside(&record, &row()).unwrap());
    store
        .keep_small(&photo_hash("a photo"), b"a small picture")
        .unwrap();
    let noted = DropRow {
        book: vec![1, 2, 3],
        looked: Some(Moment::from_seconds(5)),
        told: "said".to_owned(),
    };
    store.note_drop(&record, "one", Some(&noted)).unwrap();
    let device = id("device-9");
    store
        .keep_holdings(&record, &device, &[photo_hash("a photo")], &[])
        .unwrap();
    assert_eq!(told(&store), Vec::<String>::new());
    drop(store);
    let db = Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    // As a bit that turns on the disk does it: past every trigger.
    let triggers: Vec<(String, String)> = db
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    for (name, _) in &triggers {
        db.execute(&format!("DROP TRIGGER {name}"), []).unwrap();
    }
    db.execute_batch(
        "UPDATE aside SET bytes = x'00'; UPDATE small_pictures SET picture = x'00';
         UPDATE drops SET book = x'00'; UPDATE peer_photos SET held = 0;",
    )
    .unwrap();
    for (_, sql) in &triggers {
        db.execute(sql, []).unwrap();
    }
    drop(db);
    let mut store = open(dir.path());
    let found = told(&store);
    for what in ["set aside", "small picture", "noted of a drop", "which photos"] {
        assert!(found.iter().any(|says| says.contains(what)), "{what}: {found:?}");
    }
    // The drop is read again by itself, and what came aside is mended by the same parcel.
    assert_eq!(store.drop_row(&record, "one").unwrap(), None);
    assert!(!store.set_aside(&record, &row()).unwrap());
    let beside = Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    let kept: Vec<u8> = beside
        .query_row("SELECT bytes FROM aside", [], |row| row.get(0))
        .unwrap();
    assert_eq!(kept, b"as they came");
    drop(beside);
    // The others are cleared, and asked for again.
    let _ = store.rebuild(&record, &[], [], &[]).unwrap();
    assert_eq!(told(&store), Vec::<String>::new());
    assert_eq!(store.thumb(&photo_hash("a photo")).unwrap(), None);
    assert_eq!(store.aside(&record).unwrap().len(), 1);
}

#[test]
fn a_row_of_an_older_program_has_no_sum_and_is_not_held_against_one() {
    let (dir, mut store, record) = one_record();
    let noted = DropRow::default();
    store.note_drop(&record, "one", Some(&noted)).unwrap();
    drop(store);
    let db = Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    db.execute("UPDATE drops SET told = 'by an older program'", [])
        .unwrap();
    drop(db);
    let store = open(dir.path());
    assert_eq!(told(&store), Vec::<String>::new());
    let row = store.drop_row(&record, "one").unwrap().unwrap();
    assert_eq!(row.told, "by an older program");
}
