//! Folders, changes and entries for the tests. The bytes of a change are noise here: the store must not care.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use record::{ChangeId, Entry, Id, Kind, Logged, Moment, PhotoHash};
use serde_json::{Map, Value, json};
use store::{Batch, Opener, RecordRow, Store};
use tempfile::TempDir;

pub(crate) const NOW: i64 = 1_930_000_000;

pub(crate) fn now() -> Moment {
    Moment::from_seconds(NOW)
}

pub(crate) fn open(dir: &Path) -> Store {
    Store::open(
        dir,
        Opener {
            program: "witnessmark test",
            now: now(),
        },
    )
    .unwrap()
}

pub(crate) fn id(text: &str) -> Id {
    text.parse().unwrap()
}

pub(crate) fn row(record: &str, car: &str) -> RecordRow {
    RecordRow {
        id: id(record),
        car: car.to_owned(),
        keeper: None,
        since: now(),
    }
}

/// A folder with one record, `car-1`.
pub(crate) fn one_record() -> (TempDir, Store, Id) {
    let dir = tempfile::tempdir().unwrap();
    let mut store = open(dir.path());
    let begin = row("car-1", "Ostrel Falk");
    store
        .commit(
            &begin.id,
            &Batch {
                begin: Some(&begin),
                ..Batch::default()
            },
        )
        .unwrap();
    (dir, store, begin.id)
}

pub(crate) fn hash(name: &str) -> String {
    blake3::hash(name.as_bytes()).to_hex().to_string()
}

pub(crate) fn photo_hash(name: impl AsRef<[u8]>) -> PhotoHash {
    PhotoHash::from_bytes(blake3::hash(name.as_ref()).into())
}

pub(crate) fn change_id(name: &str) -> ChangeId {
    ChangeId::from_hex(&hash(name)).unwrap()
}

/// A change that touches some fields of some entries.
pub(crate) fn change(name: &str, deps: &[&str], touched: &[(Kind, &str, &[&str])]) -> Logged {
    let mut map = BTreeMap::new();
    for (kind, which, fields) in touched {
        let fields: BTreeSet<String> = fields.iter().map(|field| (*field).to_owned()).collect();
        map.insert((*kind, id(which)), fields);
    }
    Logged {
        id: change_id(name),
        deps: deps.iter().map(|dep| change_id(dep)).collect(),
        actor: "0a0b0c".to_owned(),
        device: Some(id("device-1")),
        at: now(),
        message: format!("Did {name}"),
        bytes: format!("the bytes of {name}").into_bytes(),
        touched: map,
        wrote: record::past::WroteAll::new(),
        deeds: Vec::new(),
    }
}

/// Changes `first` to `last`, each on the one before.
pub(crate) fn changes(first: u32, last: u32) -> Vec<Logged> {
    let one = |number: u32| {
        let before = format!("c{}", number - 1);
        let deps: &[&str] = if number > 1 { &[&before] } else { &[] };
        change(&format!("c{number}"), deps, &[(Kind::Part, "part-1", &["name"])])
    };
    (first..=last).map(one).collect()
}

/// An entry with these fields, made by a device.
pub(crate) fn entry_by(device: &str, kind: Kind, which: &str, fields: Value) -> Entry {
    let stamp = json!({"device": device, "at": now().to_string(), "change": hash("c1")});
    let claim = |value: &Value| json!([{"value": value, "stamp": stamp}]);
    let fields: Map<String, Value> = fields
        .as_object()
        .unwrap()
        .iter()
        .map(|(name, value)| (name.clone(), claim(value)))
        .collect();
    serde_json::from_value(json!({"kind": kind.word(), "id": which, "made": stamp, "fields": fields}))
        .unwrap()
}

pub(crate) fn entry(kind: Kind, which: &str, fields: Value) -> Entry {
    entry_by("device-1", kind, which, fields)
}

/// A small record: two keepers with a device each, an assembly, a part, findings, sheets, a photo.
pub(crate) fn small_record() -> Vec<Entry> {
    vec![
        entry(Kind::Car, "car", json!({"name": "Ostrel Falk"})),
        entry(Kind::Keeper, "keeper-1", json!({"name": "Marit"})),
        entry(Kind::Keeper, "keeper-2", json!({"name": "Jonas"})),
        entry(
            Kind::Device,
            "device-1",
            json!({"name": "Bench", "keeper": "keeper-1"}),
        ),
        entry(
            Kind::Device,
            "device-2",
            json!({"name": "Pocket", "keeper": "keeper-2"}),
        ),
        entry(
            Kind::Assembly,
            "assembly-1",
            json!({"name": "Engine", "state": "off", "order": "a0"}),
        ),
        entry(
            Kind::Assembly,
            "assembly-2",
            json!({"name": "Water pump", "parent": "assembly-1", "state": "fitted"}),
        ),
        entry(
            Kind::Part,
            "part-1",
            json!({"name": "Gudgeon pin", "assembly": "assembly-1", "note": "polished, no score"}),
        ),
        entry(
            Kind::Finding,
            "finding-1",
            json!({"about": "part:part-1", "what": "Blued at one end", "how_bad": "watch", "on": "2031-03-01"}),
        ),
        entry_by(
            "device-2",
            Kind::Finding,
            "finding-2",
            json!({"about": "assembly:assembly-1", "what": "Sludge in the sump", "on": "2031-03-02"}),
        ),
        entry(
            Kind::Job,
            "job-1",
            json!({"what": "Ream the bushes", "assembly": "assembly-1", "needs_apart:assembly-1": true, "needs_apart:assembly-2": false, "state": "open"}),
        ),
        entry(
            Kind::Sheet,
            "2031-03-01_keeper-1",
            json!({"text": "Drew the pins.\nCold evening."}),
        ),
        entry(Kind::Sheet, "2031-03-02_keeper-1", json!({"text": ""})),
        entry(
            Kind::Photo,
            "photo-1",
            json!({"hash": hash("a picture"), "caption": "The pin", "about": "part:part-1", "on": "2031-03-01"}),
        ),
        entry(
            Kind::Finding,
            "finding-3",
            json!({"about": "part:part-1", "what": "Wrong part", "on": "2031-03-05", "struck": "mistaken"}),
        ),
    ]
}

/// The words of a text, each as itself alone.
pub(crate) fn asked(text: &str) -> Vec<Vec<String>> {
    store::words_of(text).into_iter().map(|word| vec![word]).collect()
}

/// What a text finds.
pub(crate) fn search(store: &Store, record: &Id, text: &str, most: u32) -> Vec<store::Hit> {
    store.search_any(record, &asked(text), most).unwrap()
}

/// Takes back what migration 24 made: what a device keeps for itself stood in one table as text before, and stands in none here.
pub(crate) const AS_BEFORE_COLUMNS: &str = "
    DROP TABLE actors; ALTER TABLE touched DROP COLUMN wrote;
    DROP VIEW settings; DROP TABLE choices; DROP TABLE home; DROP TABLE upkeep; DROP TABLE losses; DROP TABLE sockets;
    DROP TABLE found; DROP TABLE paired_addresses; DROP TABLE paired; DROP TABLE record_notes; DROP TABLE photos_asked;
    DROP TABLE carry_files; DROP TABLE left_out_from; DROP TABLE device_notes;
    CREATE TABLE settings (key TEXT NOT NULL PRIMARY KEY, value TEXT NOT NULL, sum BLOB NOT NULL DEFAULT x'') STRICT;";
