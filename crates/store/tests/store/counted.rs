//! Which of its device's changes a change is: counted as it comes, in whatever order, and anew in a folder that did not count.

use record::{Id, Logged, Moment};
use rusqlite::Connection;
use store::{Batch, Store};

use crate::made::*;

/// Changes of three devices in turn, one a minute.
fn in_turn(first: u32, last: u32) -> Vec<Logged> {
    let mut all = changes(first, last);
    for (number, change) in (first..).zip(&mut all) {
        change.device = Some(id(&format!("device-{}", number * number % 3)));
        change.at = Moment::from_seconds(NOW + i64::from(number) * 60);
    }
    all
}

/// What is counted, against the same counted from the changes themselves.
fn holds(store: &Store, record: &Id, log: &[Logged]) {
    for device in ["device-0", "device-1", "device-2"] {
        let own: Vec<Moment> = log
            .iter()
            .filter(|change| change.device == Some(id(device)))
            .map(|change| change.at)
            .collect();
        for skip in 0..u32::try_from(own.len()).unwrap() + 2 {
            let left = own.iter().skip(usize::try_from(skip).unwrap());
            let expected = (u32::try_from(left.clone().count()).unwrap(), left.copied().next());
            let found = store.made_after(record, &id(device), skip).unwrap();
            assert_eq!(found, expected, "{device} after its first {skip}");
        }
    }
}

fn commit(store: &mut Store, record: &Id, changes: &[Logged]) {
    let batch = Batch {
        changes,
        ..Batch::default()
    };
    store.commit(record, &batch).unwrap();
}

#[test]
fn what_a_device_made_is_counted_among_what_others_made() {
    let (dir, mut store, record) = one_record();
    let log = in_turn(1, 23);
    commit(&mut store, &record, &log[..9]);
    holds(&store, &record, &log[..9]);
    commit(&mut store, &record, &log[9..]);
    drop(store);
    holds(&open(dir.path()), &record, &log);
}

#[test]
fn a_folder_that_did_not_count_is_counted_at_its_opening() {
    let (dir, mut store, record) = one_record();
    let log = in_turn(1, 23);
    commit(&mut store, &record, &log[..20]);
    drop(store);
    // As the program left it that knew nothing of counting.
    let db = Connection::open(dir.path().join("witnessmark.sqlite")).unwrap();
    db.execute_batch(AS_BEFORE_COLUMNS).unwrap();
    db.execute_batch(
        "DROP TRIGGER change_log_counts; DROP INDEX change_log_nth; ALTER TABLE change_log DROP COLUMN nth;
         PRAGMA user_version = 22;",
    )
    .unwrap();
    drop(db);
    let mut store = open(dir.path());
    holds(&store, &record, &log[..20]);
    commit(&mut store, &record, &log[20..]);
    holds(&store, &record, &log);
}
