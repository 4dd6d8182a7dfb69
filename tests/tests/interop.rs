//! Another implementation agrees: npm @automerge/automerge, and npm automerge 1.0, which is a pure JavaScript
//! implementation of its own, load a document that the project saved, read the same values and the same
//! contradictions in it, edit it, and each side takes the other's changes in, with everything equal afterwards.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use record::entities as e;
use record::{Edit, Given, Id, Kind, Moment, Record, Seat, View};
use serde_json::{Value, json};
use tests::program::house;
use tests::seed::Dice;

/// An actor below, and one above, every one that the dice give our own devices.
const LOWER: &str = "00000000000000000000000000000001";
const HIGHER: &str = "fffffffffffffffffffffffffffffff1";

/// Kind, entry and field, with every value that stands for it.
type Values = BTreeMap<(String, String, String), BTreeSet<String>>;

fn node(name: &str, task: &str, folder: &Path) {
    let interop = house().join("tests/interop");
    assert!(
        interop.join("node_modules/@automerge/automerge").is_dir()
            && interop.join("node_modules/automerge").is_dir(),
        "the npm packages of tests/interop are not there: run `npm ci` in tests/interop, or `cargo xtask test`"
    );
    let ran = Command::new("node")
        .arg(interop.join("meet.mjs"))
        .args([name, task, folder.to_str().unwrap()])
        .output()
        .expect("node cannot be started: Node 20 or newer is needed");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
}

fn read(folder: &Path, file: &str) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join(file)).unwrap()).unwrap()
}

/// What the other implementation sees; sheets that are laid and never written on are left out, as our view does.
fn theirs(dump: &Value) -> Values {
    let mut all = Values::new();
    for (root, entries) in dump["kinds"].as_object().unwrap() {
        let Some(kind) = Kind::ALL.iter().find(|kind| kind.root() == root) else {
            panic!("a root that we do not know: {root}");
        };
        for (id, fields) in entries.as_object().unwrap() {
            let fields = fields.as_object().unwrap();
            let blank = fields
                .values()
                .flat_map(|values| values.as_array().unwrap())
                .all(|value| value == "" || value.is_null());
            if *kind == Kind::Sheet && blank {
                continue;
            }
            for (field, values) in fields {
                let values = values.as_array().unwrap().iter().map(Value::to_string).collect();
                all.insert((kind.to_string(), id.clone(), field.clone()), values);
            }
        }
    }
    all
}

fn ours(view: &View) -> Values {
    let mut all = Values::new();
    for entry in view.everything() {
        for (field, held) in &entry.fields {
            let values = held
                .claims()
                .iter()
                .map(|claim| json!(claim.value).to_string())
                .collect();
            all.insert(
                (entry.kind.to_string(), entry.id.to_string(), field.clone()),
                values,
            );
        }
    }
    all
}

fn heads(record: &Record) -> Value {
    let mut heads: Vec<String> = record.heads().iter().map(ToString::to_string).collect();
    heads.sort();
    json!(heads)
}

struct Bench {
    record: Record,
    dice: Dice,
    now: i64,
}

impl Bench {
    fn edit(&mut self, edit: &Edit) {
        self.now += 60;
        drop(
            self.record
                .edit(edit, Moment::from_seconds(self.now), &mut self.dice)
                .unwrap(),
        );
    }

    fn change(&mut self, part: &Id, fields: &e::PartFields) {
        self.edit(&Edit::change::<e::Part>(part.clone(), fields).unwrap());
    }

    fn note(&mut self, keeper: &Id, text: &str) {
        self.edit(&Edit::Note {
            day: "2031-03-01".parse().unwrap(),
            keeper: keeper.clone(),
            text: text.to_owned(),
        });
    }
}

/// A device's record, and a second device's with two values for one field beside it.
fn begun() -> (Bench, Id, Id, Id) {
    let mut dice = Dice::of(1);
    let seat = |dice: &mut Dice| Seat {
        device: dice.uuid(),
        run: [7; 8],
    };
    let first = seat(&mut dice);
    let second = seat(&mut dice);
    let [part, keeper, assembly] = [(); 3].map(|()| Id::from_uuid(dice.uuid()));
    let mut bench = Bench {
        record: Record::begin(first).unwrap(),
        dice: dice.clone(),
        now: 1_900_000_000,
    };
    let car = e::CarFields {
        name: "Tern".into(),
        year: Given::Put(1958),
        note: "Found in a barn.\nNo papers.".into(),
        ..Default::default()
    };
    bench.edit(&Edit::add::<e::Car>(Id::car(), &car).unwrap());
    let fields = e::KeeperFields {
        name: "Wilf".into(),
        ..Default::default()
    };
    bench.edit(&Edit::add::<e::Keeper>(keeper.clone(), &fields).unwrap());
    let fields = e::AssemblyFields {
        name: "Gearbox".into(),
        ..Default::default()
    };
    bench.edit(&Edit::add::<e::Assembly>(assembly.clone(), &fields).unwrap());
    let fields = e::PartFields {
        name: "layshaft 🔧 größer".into(),
        assembly: Given::Put(assembly.clone()),
        quantity: Given::Put(1),
        use_once: Given::Put(true),
        ..Default::default()
    };
    bench.edit(&Edit::add::<e::Part>(part.clone(), &fields).unwrap());
    bench.note(&keeper, "Case is dry, no cracks.");
    bench.note(&keeper, "Selector fork is worn.");
    // Two values for one field, before anybody else sees the document.
    let log: Vec<Vec<u8>> = bench
        .record
        .changes_since(&[])
        .into_iter()
        .map(|(_, bytes)| bytes)
        .collect();
    let mut apart = Bench {
        record: Record::open(None, &log[1..], second).unwrap(),
        dice,
        now: 1_900_009_000,
    };
    for (bench, text) in [(&mut bench, "worn, keep"), (&mut apart, "new one")] {
        let fields = e::PartFields {
            decision_why: text.into(),
            ..Default::default()
        };
        bench.change(&part, &fields);
    }
    let more: Vec<Vec<u8>> = apart
        .record
        .changes_since(&bench.record.heads())
        .into_iter()
        .map(|(_, bytes)| bytes)
        .collect();
    drop(bench.record.receive(&more).unwrap());
    (bench, part, keeper, assembly)
}

/// The other side writes as `actor`: which of two contradicting values is shown hangs on whose is the lower.
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn meets(name: &str, actor: &str) {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let (mut bench, part, keeper, assembly) = begun();
    let fresh = Id::from_uuid(bench.dice.uuid());
    let sheet = record::document::sheet_id("2031-03-01".parse().unwrap(), &keeper)
        .unwrap()
        .to_string();
    std::fs::write(folder.join("ours.automerge"), bench.record.snapshot()).unwrap();
    let wanted =
        json!({ "actor": actor, "part": part, "fresh": fresh, "sheet": sheet, "assembly": assembly });
    std::fs::write(folder.join("wanted.json"), wanted.to_string()).unwrap();
    node(name, "edit", folder);

    let as_read = read(folder, "read.json");
    assert_eq!(as_read["heads"], heads(&bench.record), "{name}");
    assert_eq!(
        theirs(&as_read),
        ours(bench.record.view()),
        "{name} reads what we saved otherwise"
    );
    let why = ("part".to_owned(), part.to_string(), "decision_why".to_owned());
    assert_eq!(
        theirs(&as_read)[&why].len(),
        2,
        "{name} does not see the contradiction"
    );

    // Meanwhile we write in the same places, not having seen theirs.
    let fields = e::PartFields {
        position: "cylinder 2".into(),
        number: "AB-1205".into(),
        quantity: Given::Put(7),
        ..Default::default()
    };
    bench.change(&part, &fields);
    bench.note(&keeper, "Ordered a fork.");
    let fields = e::AssemblyFields {
        name: "Gearbox, four speeds".into(),
        ..Default::default()
    };
    bench.edit(&Edit::change::<e::Assembly>(assembly.clone(), &fields).unwrap());
    let known: Vec<record::ChangeId> = as_read["heads"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|head| record::ChangeId::from_hex(head.as_str().unwrap()))
        .collect();
    let out: Vec<String> = bench
        .record
        .changes_since(&known)
        .iter()
        .map(|(_, bytes)| hex(bytes))
        .collect();
    assert_eq!(out.len(), 3);
    std::fs::write(folder.join("ours.json"), json!(out).to_string()).unwrap();

    // Each takes the other's changes in.
    let changes: Vec<Vec<u8>> = read(folder, "changes.json")
        .as_array()
        .unwrap()
        .iter()
        .map(|hex| bytes(hex.as_str().unwrap()))
        .collect();
    let written = bench.record.receive(&changes).unwrap();
    assert_eq!(written.changes.len(), 1);
    assert_eq!(written.changes[0].message, "Changed from the other side");
    node(name, "merge", folder);

    let merged = read(folder, "merged.json");
    assert_eq!(merged["heads"], heads(&bench.record), "{name}");
    let values = ours(bench.record.view());
    assert_eq!(
        theirs(&merged),
        values,
        "{name} and we read the merged document otherwise"
    );

    // And it is what both meant.
    let of = |kind: &str, id: &str, field: &str| -> Vec<&str> {
        let key = (kind.to_owned(), id.to_owned(), field.to_owned());
        values[&key].iter().map(String::as_str).collect()
    };
    assert_eq!(
        of("part", part.as_str(), "position"),
        ["\"cylinder 2\"", "\"cylinder 4\""]
    );
    assert_eq!(
        of("part", part.as_str(), "number"),
        ["\"AB-1204\"", "\"AB-1205\""]
    );
    assert_eq!(of("part", part.as_str(), "quantity"), ["7"]);
    assert_eq!(of("part", part.as_str(), "use_once"), ["false"]);
    assert_eq!(of("part", fresh.as_str(), "name"), ["\"thrust washer\""]);
    assert_eq!(of("part", fresh.as_str(), "quantity"), ["3"]);
    assert_eq!(of("part", fresh.as_str(), "note"), ["\"from the other side\\n\""]);
    assert_eq!(
        of("sheet", &sheet, "text"),
        ["\"Case is bone dry 🔩, no cracks.\\nSelector fork is worn.\\nOrdered a fork.\\n\""]
    );
    let entry = bench.record.view().get(Kind::Assembly, &assembly).unwrap();
    assert_eq!(entry.struck().unwrap().0, "it is the same one");
    assert_eq!(entry.line("name"), Some("Gearbox, four speeds"));
    // Opened again from its own snapshot, it is still that document, and the points are those of the contradictions.
    let seat = Seat {
        device: bench.dice.uuid(),
        run: [1; 8],
    };
    let again = Record::open(Some(&bench.record.snapshot()), &[], seat).unwrap();
    assert_eq!(again.digest(), bench.record.digest());
    let points = record::rules::points(again.view(), again.ledger());
    assert_eq!(
        points.len(),
        4,
        "position, number and why, and a name changed in what was struck: {points:#?}"
    );
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn bytes(hex: &str) -> Vec<u8> {
    (0..hex.len() / 2)
        .map(|at| u8::from_str_radix(&hex[at * 2..at * 2 + 2], 16).unwrap())
        .collect()
}

/// What that implementation writes where somebody puts the shown value over a contradiction is a deletion inside the entry: it
/// comes in, the contradiction is over, and the history still has what stood there.
#[test]
fn a_deletion_inside_an_entry_by_the_javascript_implementation_comes_in() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let (mut bench, part, ..) = begun();
    std::fs::write(folder.join("ours.automerge"), bench.record.snapshot()).unwrap();
    let wanted = json!({ "actor": HIGHER, "part": part });
    std::fs::write(folder.join("wanted.json"), wanted.to_string()).unwrap();
    node("modern", "shown", folder);
    let changes: Vec<Vec<u8>> = read(folder, "changes.json")
        .as_array()
        .unwrap()
        .iter()
        .map(|hex| bytes(hex.as_str().unwrap()))
        .collect();
    let change = automerge::Change::from_bytes(changes[0].clone()).unwrap();
    let deleted: Vec<String> = change
        .decode()
        .operations
        .iter()
        .filter(|op| op.action == automerge::legacy::OpType::Delete)
        .map(|op| format!("{:?}", op.key))
        .collect();
    assert_eq!(
        deleted.len(),
        2,
        "it writes the put of what is shown otherwise: {change:?}"
    );

    let before = bench.record.view().get(Kind::Part, &part).unwrap().clone();
    let both = before.fields["decision_why"].claims().to_vec();
    assert_eq!(both.len(), 2);
    let known = bench.record.heads();
    let written = bench.record.receive(&changes).unwrap();
    assert_eq!((written.changes.len(), written.refused.len()), (1, 0));
    let after = bench.record.view().get(Kind::Part, &part).unwrap();
    assert_eq!(after.fields["decision_why"].claims(), &both[..1]);
    assert_eq!(after.value("quantity"), None);
    assert_eq!(
        record::rules::points(bench.record.view(), bench.record.ledger()),
        Vec::new()
    );
    let then = bench.record.entry_after(Kind::Part, &part, &known).unwrap();
    assert_eq!(then.fields["decision_why"].claims(), both);
    assert_eq!(then.value("quantity"), before.value("quantity"));
    // The emptied field is one that anybody fills again.
    let fields = e::PartFields {
        quantity: Given::Put(2),
        ..Default::default()
    };
    bench.change(&part, &fields);
    assert_eq!(
        bench
            .record
            .view()
            .get(Kind::Part, &part)
            .unwrap()
            .value("quantity"),
        Some(&record::Scalar::Whole(2))
    );
}

#[test]
fn the_present_javascript_implementation_agrees() {
    meets("modern", LOWER);
    meets("modern", HIGHER);
}

#[test]
fn an_implementation_of_its_own_agrees() {
    meets("early", LOWER);
    meets("early", HIGHER);
}
