//! Another implementation agrees: the JavaScript Automerge of npm (`@automerge/automerge`, pinned in
//! `tests/interop/package.json`) loads what the project saved, reads the same values and the same conflict, edits, and
//! the project merges that with every value equal on both sides.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use std::path::Path;
use std::process::Command;

use rand::{RngCore, SeedableRng};
use rand_chacha::ChaCha8Rng;
use record::entities::{Car, CarFields, Keeper, KeeperFields, Part, PartFields};
use record::{Edit, Given, Id, Ids, Kind, Moment, Record, Scalar, Seat};
use serde_json::{Value, json};

struct Seeded(ChaCha8Rng);

impl Ids for Seeded {
    fn fresh(&mut self) -> uuid::Uuid {
        let mut bytes = [0_u8; 16];
        self.0.fill_bytes(&mut bytes);
        uuid::Builder::from_random_bytes(bytes).into_uuid()
    }
}

fn seat(ids: &mut Seeded) -> Seat {
    let mut run = [0_u8; 8];
    ids.0.fill_bytes(&mut run);
    Seat {
        device: ids.fresh(),
        run,
    }
}

fn edit(record: &mut Record, ids: &mut Seeded, edit: &Edit) {
    let written = record
        .edit(edit, Moment::from_seconds(1_900_000_000), ids)
        .unwrap();
    assert!(!written.changes.is_empty());
}

fn part(position: &str) -> PartFields {
    PartFields {
        position: position.into(),
        ..PartFields::default()
    }
}

fn unhex(text: &str) -> Vec<u8> {
    (0..text.len() / 2)
        .map(|at| u8::from_str_radix(&text[at * 2..at * 2 + 2], 16).unwrap())
        .collect()
}

#[test]
fn another_implementation_reads_edits_and_is_merged() {
    let ids = &mut Seeded(ChaCha8Rng::seed_from_u64(7));
    let (keeper, crank) = (Id::from_uuid(ids.fresh()), Id::from_uuid(ids.fresh()));
    let seat_one = seat(ids);
    let mut ours = Record::begin(seat_one).unwrap();
    let car = CarFields {
        name: "Tern".into(),
        year: Given::Put(1953),
        ..CarFields::default()
    };
    edit(&mut ours, ids, &Edit::add::<Car>(Id::car(), &car).unwrap());
    let who = KeeperFields {
        name: "Rosalind".into(),
        ..KeeperFields::default()
    };
    edit(
        &mut ours,
        ids,
        &Edit::add::<Keeper>(keeper.clone(), &who).unwrap(),
    );
    let fields = PartFields {
        name: "crankshaft, Ø 2⅜ in".into(),
        use_once: Given::Put(false),
        ..PartFields::default()
    };
    edit(
        &mut ours,
        ids,
        &Edit::add::<Part>(crank.clone(), &fields).unwrap(),
    );
    let day = "2031-03-01".parse().unwrap();
    let note = Edit::Note {
        day,
        keeper: keeper.clone(),
        text: "Journals measured: naïve 🙂 hope.".into(),
    };
    edit(&mut ours, ids, &note);
    // A contradiction, for the other side to see as one.
    let seat_two = seat(ids);
    let everything: Vec<Vec<u8>> = ours
        .changes_since(&[])
        .into_iter()
        .map(|(_, bytes)| bytes)
        .collect();
    let mut apart = Record::begin(seat_two).unwrap();
    let _ = apart.receive(&everything).unwrap();
    edit(
        &mut ours,
        ids,
        &Edit::change::<Part>(crank.clone(), &part("front")).unwrap(),
    );
    edit(
        &mut apart,
        ids,
        &Edit::change::<Part>(crank.clone(), &part("rear")).unwrap(),
    );
    let theirs: Vec<Vec<u8>> = apart
        .changes_since(&ours.heads())
        .into_iter()
        .map(|(_, bytes)| bytes)
        .collect();
    let _ = ours.receive(&theirs).unwrap();

    let fresh = Id::from_uuid(ids.fresh());
    let sheet: Id = format!("2031-03-01_{keeper}").parse().unwrap();
    let answer = other(&ours, &json!({ "part": crank, "fresh": fresh, "sheet": sheet }));

    // What it read is what we read.
    compare(&ours, &answer["read"]);
    assert_eq!(answer["conflicts"], json!(["front", "rear"]));
    let held = &ours.view().get(Kind::Part, &crank).unwrap().fields["position"];
    assert_eq!(held.claims().len(), 2);

    // What it edited is what we read after merging, and both stand on the same changes.
    let changes: Vec<Vec<u8>> = answer["changes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|hex| unhex(hex.as_str().unwrap()))
        .collect();
    assert_eq!(changes.len(), 1);
    let written = ours.receive(&changes).unwrap();
    assert_eq!(written.changes[0].message, "Edited by another implementation");
    compare(&ours, &answer["edited"]);
    let heads: Vec<String> = ours.heads().iter().map(ToString::to_string).collect();
    assert_eq!(json!(heads), answer["heads"]);
    let crank = ours.view().get(Kind::Part, &crank).unwrap();
    assert_eq!(crank.line("number"), Some("JS 1"));
    let hub = ours.view().get(Kind::Part, &fresh).unwrap();
    assert_eq!(
        (hub.line("name"), hub.value("quantity")),
        (Some("rear hub"), Some(&Scalar::Whole(2)))
    );
    let text = ours
        .view()
        .get(Kind::Sheet, &sheet)
        .unwrap()
        .line("text")
        .unwrap()
        .to_owned();
    assert_eq!(
        text,
        "From elsewhere: ünïcode 🔧 first. Journals measured: naïve 🙂 hope.\n"
    );
}

/// Every field that we read, read by the other side.
fn compare(ours: &Record, theirs: &Value) {
    let mut fields = 0;
    for entry in ours.view().everything() {
        for (field, held) in &entry.fields {
            let value = held
                .value()
                .map_or(Value::Null, |value| serde_json::to_value(value).unwrap());
            let other = &theirs[entry.kind.root()][entry.id.as_str()][field];
            assert_eq!(&value, other, "{} {field}", entry.name());
            fields += 1;
        }
    }
    assert!(fields > 8, "only {fields} fields were compared");
}

fn other(record: &Record, order: &Value) -> Value {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("interop");
    assert!(
        folder.join("node_modules/@automerge/automerge").exists(),
        "the other implementation is not installed: run `npm ci` in tests/interop"
    );
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name);
    std::fs::write(at("saved.automerge"), record.snapshot()).unwrap();
    std::fs::write(at("order.json"), order.to_string()).unwrap();
    let mut command = Command::new("node");
    command
        .arg(folder.join("other.mjs"))
        .args([at("saved.automerge"), at("order.json"), at("answer.json")]);
    let ran = command.output().unwrap();
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    serde_json::from_slice(&std::fs::read(at("answer.json")).unwrap()).unwrap()
}
