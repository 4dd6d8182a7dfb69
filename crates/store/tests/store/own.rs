//! What a device keeps for itself, with each value of it turned in turn, one at a time: a check tells of every one.

use rusqlite::Connection;
use store::{Choices, Depth, Doubt, Home, NotKept, PairedRow, Store};

use crate::made::{change_id, id, now, one_record, open, photo_hash};

/// The tables of what a device keeps for itself, but for what it lost, which only a loss writes.
const OWN: [&str; 12] = [
    "choices",
    "home",
    "upkeep",
    "sockets",
    "found",
    "paired",
    "paired_addresses",
    "record_notes",
    "photos_asked",
    "carry_files",
    "device_notes",
    "left_out_from",
];

fn furnish(store: &mut Store) {
    let (record, device) = (id("car-1"), id("device-9"));
    store.choose(&Choices::default()).unwrap();
    let at = store.whereabouts();
    store
        .settle(Home {
            since: Some(now()),
            at,
        })
        .unwrap();
    store.ask(Some(Doubt::Place)).unwrap();
    store.logs_are_whole().unwrap();
    store.keep_sockets(&["127.0.0.1:4100".parse().unwrap()]).unwrap();
    store
        .keep_found(&[("a key".to_owned(), vec!["127.0.0.1:4101".to_owned()])])
        .unwrap();
    let paired = PairedRow {
        device: device.clone(),
        key: "a key".to_owned(),
        addresses: vec!["127.0.0.1:4102".to_owned()],
        since: Some(now()),
        met: true,
        whose: Some("Wilf".to_owned()),
    };
    store.keep_paired(&record, &paired).unwrap();
    let not_kept = NotKept {
        parcels: 2,
        last: Some(now()),
    };
    store.keep_not_kept(&record, not_kept).unwrap();
    store
        .ask_photo(&record, Some(&photo_hash("a photo")), &[])
        .unwrap();
    store
        .keep_carry_files(&record, &["stick.carry".to_owned()])
        .unwrap();
    let from = change_id("a change");
    store.keep_left_out(&record, &device, &[from]).unwrap();
}

/// Its columns but the sum, each with an expression that turns what stands there into something else.
fn columns(db: &Connection, table: &str) -> Vec<(String, String)> {
    let mut sql = db.prepare(&format!("PRAGMA table_info({table})")).unwrap();
    let columns = sql.query_map([], |row| Ok((row.get::<_, String>(1)?, row.get::<_, String>(2)?)));
    columns
        .unwrap()
        .map(Result::unwrap)
        .filter(|(name, _)| name != "sum")
        .map(|(name, kind)| {
            let turned = if kind == "INTEGER" {
                format!("{name} + 1")
            } else {
                format!("{name} || '0'")
            };
            (name, turned)
        })
        .collect()
}

fn told(store: &Store) -> usize {
    let found = store.check(None, Depth::Whole).unwrap();
    found.iter().filter(|one| one.code == "own_row").count()
}

#[test]
fn each_value_that_turns_in_what_a_device_keeps_for_itself_is_told() {
    let (dir, mut store, _) = one_record();
    furnish(&mut store);
    assert_eq!(told(&store), 0);
    drop(store);
    let file = dir.path().join("witnessmark.sqlite");
    let whole = std::fs::read(&file).unwrap();
    let mut turned = 0;
    for table in OWN {
        let all = columns(&Connection::open(&file).unwrap(), table);
        for (column, other) in all {
            let db = Connection::open(&file).unwrap();
            // As a failing disk does it: past every trigger, bound and link.
            let gone: Vec<String> = db
                .prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
                .unwrap()
                .query_map([], |row| row.get(0))
                .unwrap()
                .map(Result::unwrap)
                .collect();
            let triggers = gone.iter().map(|name| format!("DROP TRIGGER {name};"));
            db.execute_batch(&triggers.collect::<String>()).unwrap();
            db.execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON")
                .unwrap();
            let rows = db
                .execute(&format!("UPDATE {table} SET {column} = {other}"), [])
                .unwrap();
            assert!(rows > 0, "{table} has a row");
            drop(db);
            assert!(told(&open(dir.path())) > 0, "{table}.{column}");
            turned += 1;
            std::fs::write(&file, &whole).unwrap();
        }
    }
    println!("{turned} values of {} tables", OWN.len());
}
