//! A folder as the program before this one left it, with everything in the bag, has every bit of it afterwards.

use std::path::Path;

use record::{ChangeId, Id, Moment, PhotoHash};
use rusqlite::Connection;

use super::BAG;
use crate::tables::summed::Summed;
use crate::tables::upkeep::{self, Gone, Lost, Upkeep};
use crate::tables::{APPLICATION, MIGRATIONS, folder, sums};
use crate::{Choices, Depth, Doubt, Home, KnownOf, NotKept, Opener, PairedRow, Store, Whereabouts};

const DATABASE: &str = "witnessmark.sqlite";
/// The newest version of the program before.
const BEFORE: u32 = 23;
const KEY: &str = "aa11";

fn hash(digit: &str) -> String {
    digit.repeat(64)
}

fn id(text: &str) -> Id {
    text.parse().unwrap()
}

fn at(seconds: i64) -> Moment {
    Moment::from_seconds(seconds)
}

fn open(dir: &Path) -> Store {
    let now = at(1_930_000_000);
    Store::open(dir, Opener { program: "test", now }).unwrap()
}

/// By the statements of that program, as it wrote them: the tables up to its newest, one record, and the rows of its bag.
fn left(dir: &Path, version: u32, bag: &[(&str, &str)]) {
    let db = Connection::open(dir.join(DATABASE)).unwrap();
    for step in MIGRATIONS.iter().filter(|step| step.number <= version) {
        step.sql.iter().for_each(|sql| db.execute_batch(sql).unwrap());
    }
    folder::settle(&db, Some(11), at(1)).unwrap();
    db.pragma_update(None, "application_id", APPLICATION).unwrap();
    db.pragma_update(None, "user_version", version).unwrap();
    db.execute(
        "INSERT INTO records (record, car, keeper, since) VALUES ('car-1', 'Ostrel Falk', '', 5)",
        [],
    )
    .unwrap();
    for (key, value) in bag {
        db.execute("INSERT INTO settings (key, value) VALUES (?1, ?2)", [key, value])
            .unwrap();
    }
    if version >= sums::MADE.number {
        let mut keys = db.prepare("SELECT key FROM settings").unwrap();
        let keys: Vec<String> = keys
            .query_map([], |row| row.get(0))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        for key in keys {
            OLD_BAG.put(&db, &[&key]).unwrap();
        }
    }
}

/// The bag under the name that it had.
const OLD_BAG: Summed = BAG.under("settings");

fn unknown(dir: &Path) -> Vec<(String, String)> {
    let db = Connection::open(dir.join(DATABASE)).unwrap();
    let mut sql = db
        .prepare("SELECT key, value FROM unknown_settings ORDER BY key")
        .unwrap();
    let rows = sql.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap();
    rows.map(Result::unwrap).collect()
}

fn has_bag(dir: &Path) -> bool {
    let db = Connection::open(dir.join(DATABASE)).unwrap();
    let sql = "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name IN ('settings', 'unknown_settings'))";
    db.query_row(sql, [], |row| row.get(0)).unwrap()
}

#[track_caller]
fn everything_is_there(store: &Store) {
    let (record, device) = (id("car-1"), id("device-2"));
    let choices = Choices {
        current: Some(record.clone()),
        pages_port: Some(4_810),
        meets: false,
        relay: Some("https://relay.example/".to_owned()),
        internet_relays: true,
        only_asked: true,
        only_unmetered: true,
    };
    assert_eq!(store.choices().unwrap(), choices);
    let home = Home {
        since: Some(at(1_920_000_000)),
        at: Whereabouts {
            machine: Some("abc".to_owned()),
            folder: Some(u64::MAX),
        },
    };
    assert_eq!(store.home().unwrap(), Some(home));
    assert_eq!(store.asked().unwrap(), Some(Doubt::Twin));
    let upkeep = Upkeep {
        whole_logs: true,
        rules: 10,
        tally: true,
        tally_gone: Some(Gone::Damaged),
    };
    assert_eq!(upkeep::get(&store.db).unwrap(), upkeep);
    let lost = Lost {
        had: 9,
        newest: ChangeId::from_hex(&hash("9")).unwrap(),
        has: 7,
    };
    assert_eq!(upkeep::losses(&store.db).unwrap(), [(id("car-gone"), lost)]);
    let sockets: Vec<String> = store.sockets().unwrap().iter().map(ToString::to_string).collect();
    assert_eq!(sockets, ["192.0.2.9:4433", "[2001:db8::1]:4433"]);
    let found = store.found().unwrap();
    assert_eq!(found[KEY], ["198.51.100.2:7", "https://relay.example/"]);
    assert_eq!(found.len(), 1);
    let paired = PairedRow {
        device: device.clone(),
        key: KEY.to_owned(),
        addresses: vec!["192.0.2.7:4433".to_owned(), "192.0.2.8:1".to_owned()],
        since: Some(at(1_925_000_000)),
        met: true,
        whose: Some("Ana's Pocket".to_owned()),
    };
    let older = PairedRow {
        device: id("device-3"),
        addresses: Vec::new(),
        since: None,
        met: false,
        whose: None,
        ..paired.clone()
    };
    assert_eq!(store.paired(&record).unwrap(), [paired, older]);
    assert!(store.came_whole(&record).unwrap());
    let not_kept = NotKept {
        parcels: 3,
        last: Some(at(1_926_000_000)),
    };
    assert_eq!(store.not_kept(&record).unwrap(), not_kept);
    let asked: Vec<PhotoHash> = store.photos_asked(&record).unwrap().into_iter().collect();
    let photos = ["1", "2"].map(|digit| PhotoHash::from_hex(&hash(digit)).unwrap());
    assert_eq!(asked, photos);
    assert!(store.is_photo_asked(&record, &photos[1]).unwrap());
    assert_eq!(store.carry_files(&record).unwrap(), ["ffee", "0011"]);
    assert_eq!(
        store.known(&record, &device).unwrap(),
        KnownOf { all: 12, own: 5 }
    );
    let from = ["3", "4"].map(|digit| ChangeId::from_hex(&hash(digit)).unwrap());
    assert_eq!(store.left_out(&record, &device).unwrap(), Some(from.to_vec()));
    // From the beginning on is not the same as from nowhere.
    assert_eq!(
        store.left_out(&record, &id("device-3")).unwrap(),
        Some(Vec::new())
    );
    assert_eq!(store.left_out(&record, &id("device-4")).unwrap(), None);
}

/// Every key that the program before this one wrote.
fn all_of_it() -> Vec<(&'static str, String)> {
    let said = |text: &str| text.to_owned();
    vec![
        ("current", said("car-1")),
        ("gaps", said("none")),
        ("rules", said("10")),
        ("home", format!("@1920000000 machine:abc folder:{}", u64::MAX)),
        ("home asked", said("twin")),
        ("pages port", said("4810")),
        ("live", said("off")),
        ("live relay", said("https://relay.example/")),
        ("live internet relays", said("on")),
        ("live photos", said("asked")),
        ("live photos by", said("unmetered")),
        ("live sockets", said("192.0.2.9:4433 [2001:db8::1]:4433")),
        ("found aa11", said("198.51.100.2:7 https://relay.example/")),
        ("tally kept", said("yes")),
        ("tally gone", said("damaged")),
        (
            "lost car-gone",
            format!(r#"{{"had":9,"newest":"{}","has":7}}"#, hash("9")),
        ),
        (
            "paired car-1 device-2",
            said("aa11 192.0.2.7:4433 192.0.2.8:1 @1925000000 met"),
        ),
        ("paired as car-1 device-2", said("Ana's Pocket")),
        ("paired car-1 device-3", said("aa11")),
        ("whole car-1", said("yes")),
        (
            "aside not kept car-1",
            format!(
                r#"{{"parcels":3,"last":{}}}"#,
                serde_json::to_string(&at(1_926_000_000)).unwrap()
            ),
        ),
        ("photos asked car-1", format!("{} {}", hash("1"), hash("2"))),
        ("carry files car-1", said("ffee 0011")),
        ("known car-1 device-2", said("12 5")),
        (
            "photos left out car-1 device-2",
            format!("{} {}", hash("3"), hash("4")),
        ),
        ("photos left out car-1 device-3", said("")),
    ]
}

fn borrowed<'a>(all: &'a [(&'static str, String)]) -> Vec<(&'static str, &'a str)> {
    all.iter().map(|(key, value)| (*key, value.as_str())).collect()
}

#[test]
fn all_that_stood_in_the_bag_stands_in_the_tables_and_the_bag_is_gone() {
    let all = all_of_it();
    // From the program just before, and from those of before and between the sums.
    for version in [BEFORE, 17, 15] {
        let dir = tempfile::tempdir().unwrap();
        left(dir.path(), version, &borrowed(&all));
        let store = open(dir.path());
        everything_is_there(&store);
        assert!(!has_bag(dir.path()), "{version}");
        let troubles = store.check(None, Depth::Whole).unwrap();
        let wrong = |code: &str| code == "own_row" || code == "settings";
        assert!(
            !troubles.iter().any(|one| wrong(one.code)),
            "{version}: {troubles:?}"
        );
        drop(store);
        everything_is_there(&open(dir.path()));
    }
}

#[test]
fn what_is_not_known_or_cannot_be_read_is_kept_as_it_was_and_told() {
    let all = all_of_it();
    let odd = [
        ("a later key", "of a later program"),
        ("found", "by nobody"),
        ("known car-1 device-9", "many"),
        ("known car-2 device-2", "12 5"),
        ("paired as car-1 device-9", "of one that is not remembered"),
        ("rules yet to be", "found"),
    ];
    let dir = tempfile::tempdir().unwrap();
    let mut bag = borrowed(&all);
    bag.extend(odd);
    left(dir.path(), BEFORE, &bag);
    let store = open(dir.path());
    everything_is_there(&store);
    let kept = odd.map(|(key, value)| (key.to_owned(), value.to_owned()));
    assert_eq!(unknown(dir.path()), kept);
    let troubles = store.check(None, Depth::Whole).unwrap();
    assert!(troubles.iter().any(|one| one.code == "settings"), "{troubles:?}");
    drop(store);
    drop(open(dir.path()));
    assert_eq!(unknown(dir.path()), kept);
}

#[test]
fn a_row_that_a_turned_byte_made_another_is_not_believed_and_is_kept() {
    let dir = tempfile::tempdir().unwrap();
    left(dir.path(), BEFORE, &[("pages port", "4810"), ("rules", "10")]);
    let db = Connection::open(dir.path().join(DATABASE)).unwrap();
    db.execute_batch(
        "DROP TRIGGER settings_sum; UPDATE settings SET value = '4811' WHERE key = 'pages port'",
    )
    .unwrap();
    drop(db);
    let store = open(dir.path());
    assert_eq!(
        (store.choices().unwrap().pages_port, store.rules().unwrap()),
        (None, 10)
    );
    assert_eq!(
        unknown(dir.path()),
        [("pages port".to_owned(), "4811".to_owned())]
    );
}

#[test]
fn a_program_of_before_only_reads_the_folder_and_finds_which_car_is_shown() {
    let dir = tempfile::tempdir().unwrap();
    left(dir.path(), BEFORE, &[("current", "car-1")]);
    drop(open(dir.path()));
    let db = Connection::open(dir.path().join(DATABASE)).unwrap();
    let needs: u32 = db
        .query_row("SELECT needs FROM folder", [], |row| row.get(0))
        .unwrap();
    assert!(needs > BEFORE, "{needs}");
    // What it asks: one setting, all of them, and the sums.
    let one = "SELECT value FROM settings WHERE key = 'current'";
    let current: String = db.query_row(one, [], |row| row.get(0)).unwrap();
    assert_eq!(current, "car-1");
    assert_eq!(OLD_BAG.wrong(&db).unwrap(), 0);
    let all: u32 = db
        .query_row("SELECT count(*) FROM settings", [], |row| row.get(0))
        .unwrap();
    assert_eq!(all, 1);
}
