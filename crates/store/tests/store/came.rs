//! What came in by which meeting: what is kept of it, what of it was read, and that it stays bounded.

use record::{Id, Kind, Moment};
use store::{Batch, Came, Store};

use crate::made::*;

const EVENING: i64 = 4 * 3_600;

/// Changes of another device come in.
fn come(store: &mut Store, record: &Id, (first, last): (u32, u32), came: Came<'_>) {
    let mut log = changes(first, last);
    for change in &mut log {
        change.device = Some(id("device-2"));
    }
    let batch = Batch {
        changes: &log,
        came: Some(came),
        ..Batch::default()
    };
    store.commit(record, &batch).unwrap();
}

/// A change that is written here.
fn write(store: &mut Store, record: &Id, number: u32) {
    let log = changes(number, number);
    let batch = Batch {
        changes: &log,
        ..Batch::default()
    };
    store.commit(record, &batch).unwrap();
}

fn live<'a>(device: &'a Id, at: i64) -> Came<'a> {
    Came {
        road: "live",
        device: Some(device),
        at: Moment::from_seconds(NOW + at),
        goes_on: true,
    }
}

#[test]
fn the_meetings_of_an_evening_are_one_coming_and_the_next_evening_is_another() {
    let (dir, mut store, record) = one_record();
    let (own, other) = (id("device-1"), id("device-2"));
    come(&mut store, &record, (1, 3), live(&other, 0));
    write(&mut store, &record, 4);
    come(&mut store, &record, (5, 6), live(&other, 600));
    let file = Came {
        road: "file",
        device: None,
        goes_on: false,
        ..live(&other, 700)
    };
    come(&mut store, &record, (7, 7), file);
    come(&mut store, &record, (8, 8), live(&other, 900));
    come(&mut store, &record, (9, 9), live(&other, 900 + EVENING + 1));
    // Nothing new makes no coming.
    let nothing = Batch {
        came: Some(live(&other, 3 * EVENING)),
        ..Batch::default()
    };
    store.commit(&record, &nothing).unwrap();
    drop(store);

    let mut store = open(dir.path());
    let told = |store: &Store| -> Vec<(String, u32, bool)> {
        let row = |row: store::ComingRow| {
            let amount = store.came_amount(&record, row.number, &own, false).unwrap();
            (row.road, amount.changes, row.read)
        };
        store.comings(&record).unwrap().into_iter().map(row).collect()
    };
    let unread = [("live", 1, false), ("live", 6, false), ("file", 1, false)];
    assert_eq!(
        told(&store),
        unread.map(|(road, many, read)| (road.to_owned(), many, read))
    );
    let first = store.comings(&record).unwrap()[1].clone();
    assert_eq!(first.devices, std::slice::from_ref(&other));
    assert_eq!((first.began.seconds(), first.ended.seconds()), (NOW, NOW + 900));
    // What was written here meanwhile did not come in.
    let (came, done) = store.came(&record, first.number, &own).unwrap();
    let places: Vec<u32> = came.iter().map(|change| change.seq).collect();
    assert_eq!((places, done.len()), (vec![1, 2, 3, 5, 6, 8], 0));
    assert_eq!(
        came[0].touched,
        [(
            record::Ref::new(Kind::Part, id("part-1")),
            vec!["name".to_owned()]
        )]
    );

    // Read, and then more of it comes: that alone is unread.
    let last = store.comings(&record).unwrap()[0].number;
    store.came_read(&record, last).unwrap();
    assert!(told(&store)[0].2);
    come(&mut store, &record, (10, 11), live(&other, 900 + EVENING + 60));
    assert_eq!(told(&store)[0], ("live".to_owned(), 3, false));
    let amount = store.came_amount(&record, last, &own, true).unwrap();
    assert_eq!((amount.changes, amount.things), (2, 1));
    assert_eq!(
        store.came_changes(&record, last, &own, true).unwrap(),
        [change_id("c10"), change_id("c11")]
    );
}

#[test]
fn the_sixty_newest_are_kept_and_a_long_evening_stays_bounded() {
    let (_dir, mut store, record) = one_record();
    let (own, other) = (id("device-1"), id("device-2"));
    // By turns: what is written here lies between all that comes.
    let mut number = 0;
    for turn in 0..450 {
        number += 1;
        come(&mut store, &record, (number, number), live(&other, turn));
        number += 1;
        write(&mut store, &record, number);
    }
    let amount = store.came_amount(&record, 1, &own, false).unwrap();
    assert_eq!(amount.changes, 450, "what was written here is in none of it");
    for day in 1..=70 {
        number += 1;
        come(&mut store, &record, (number, number), live(&other, day * 86_400));
    }
    let kept = store.comings(&record).unwrap();
    assert_eq!((kept.len(), kept[0].number, kept[59].number), (60, 71, 12));
}
