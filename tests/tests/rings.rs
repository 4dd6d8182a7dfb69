//! Things that name themselves, or each other in rings of two and three, by every field that can name anything: as another
//! program could enter them, since this one refuses to. Every page, list, search, look before closing up or striking, and
//! every strike is asked of them, and ends. A walk that goes round runs out of its stack, and this test with it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::time::{Duration, Instant};

use automerge::transaction::{CommitOptions, Transactable, Transaction};
use automerge::{ActorId, Automerge, ObjType, ROOT, ReadDoc};
use notebook::{Fault, Notebook, Refusal, registry};
use record::entities::fields_of;
use record::field::Shape;
use record::{Kind, Record, Seat};
use serde_json::{Value, json};
use tests::device::unpacked;
use tests::folder::Seeded;
use tests::forge::file_of;

/// The longest that anything may take, on a machine that does much else.
const LONG: Duration = Duration::from_secs(60);
/// Rings of one, two and three. The ids are the same in every kind, so that whatever a field may name is in a ring as well.
const RINGS: [&[&str]; 3] = [
    &["alone"],
    &["pair-1", "pair-2"],
    &["three-1", "three-2", "three-3"],
];

/// Kinds that are entered; a sheet is laid, the car is there.
fn entered() -> impl Iterator<Item = Kind> {
    Kind::ALL
        .iter()
        .copied()
        .filter(|kind| !matches!(kind, Kind::Car | Kind::Sheet))
}

/// Every ring by every field. `own` says whether what may name several kinds names its own, or the first it may name.
fn rings(tx: &mut Transaction<'_>, own: bool) {
    for kind in entered() {
        let Some((_, many)) = tx.get(ROOT, kind.root()).unwrap() else {
            continue;
        };
        for ring in RINGS {
            for (at, id) in ring.iter().enumerate() {
                let next = ring[(at + 1) % ring.len()];
                let suffix = |id: &str| if own { id.to_owned() } else { format!("{id}-b") };
                let entry = tx.put_object(&many, suffix(id), ObjType::Map).unwrap();
                for field in fields_of(kind) {
                    let next = suffix(next);
                    match field.shape {
                        Shape::Link(_) => tx.put(&entry, field.name, next).unwrap(),
                        Shape::Set(_) => tx.put(&entry, format!("{}:{next}", field.name), true).unwrap(),
                        Shape::About(may) => {
                            let of = if own { kind } else { may[at % may.len()] };
                            tx.put(&entry, field.name, format!("{of}:{next}")).unwrap();
                        }
                        Shape::Line if field.name != "struck" => {
                            tx.put(&entry, field.name, format!("ring {id}")).unwrap();
                        }
                        Shape::Word(set) => tx
                            .put(&entry, field.name, set.words[at % set.words.len()])
                            .unwrap(),
                        Shape::Whole => tx.put(&entry, field.name, 4).unwrap(),
                        _ => {}
                    }
                }
            }
        }
    }
}

fn ask(notebook: &mut Notebook, name: &str, args: &Value) -> Result<Value, Refusal> {
    let began = Instant::now();
    let answer = notebook.call(None, name, args.clone());
    assert!(began.elapsed() < LONG, "{name} {args} took {:?}", began.elapsed());
    if let Err(refusal) = &answer {
        assert_eq!(refusal.fault, Fault::Input, "{name} {args}: {refusal}");
    }
    answer
}

fn call(notebook: &mut Notebook, name: &str, args: &Value) -> Value {
    ask(notebook, name, args).unwrap_or_else(|refusal| panic!("{name} {args}: {refusal}"))
}

/// Every query of the registry, of every one of these; how many were answered.
fn every_query(notebook: &mut Notebook, things: &[(Kind, String)]) -> usize {
    let mut answered = 0;
    for query in registry().iter().filter(|command| !command.writes) {
        let schema = query.args_schema();
        let wants: Vec<&str> = schema["required"]
            .as_array()
            .map_or_else(Vec::new, |names| names.iter().filter_map(Value::as_str).collect());
        let each: &[(Kind, String)] = if wants.is_empty() { &things[..1] } else { things };
        for (kind, id) in each {
            let mut args = json!({});
            for want in &wants {
                args[*want] = match *want {
                    "kind" => json!(kind),
                    "name" => json!(format!("{kind}:{id}")),
                    "day" => json!("2031-03-01"),
                    "text" | "word" => json!("ring"),
                    "record" => json!("none"),
                    _ => json!(id),
                };
            }
            answered += usize::from(ask(notebook, query.name, &args).is_ok());
        }
    }
    answered
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn what_names_itself_or_stands_in_a_ring_is_walked_once() {
    let dir = tempfile::tempdir().unwrap();
    let open = |seed| host::open(&dir.path().join("kept"), "a test", Box::new(Seeded::of(seed))).unwrap();
    let mut notebook = open(3);
    let line = call(
        &mut notebook,
        "start_record",
        &json!({ "car": "Tern", "keeper": "Wilf" }),
    );
    let file = dir.path().join("out.carry");
    // The kinds that came later are laid with the first entry of one.
    let answer = json!({ "name": "ring_gap", "inputs": {} });
    let _ = ask(&mut notebook, "keep_answer", &answer);
    let engine = call(&mut notebook, "add_assembly", &json!({ "name": "engine" }));
    let run = json!({ "what": "head", "assembly": engine["id"], "layout": "circle", "bolts": 4, "torque": "20 Nm", "passes": "100", "conditions": "dry", "on": "2031-03-01" });
    call(&mut notebook, "add_tightening_run", &run);
    let out = json!({ "open": true, "photos": false, "file": file });
    let out = call(&mut notebook, "carry_out", &out);
    let changes = unpacked(&std::fs::read(out["file"].as_str().unwrap()).unwrap());

    let seat = Seat {
        device: uuid::Uuid::nil(),
        run: [0; 8],
    };
    let mut doc = Automerge::load(&Record::begin(seat).unwrap().snapshot()).unwrap();
    doc.load_incremental(&changes.concat()).unwrap();
    let mut doc = doc.with_actor(ActorId::from([7_u8; 16]));
    let mut made = Vec::new();
    for own in [true, false] {
        let mut tx = doc.transaction();
        rings(&mut tx, own);
        tx.commit_with(
            CommitOptions::default()
                .with_message("rings")
                .with_time(1_900_000_000),
        );
        made.push(doc.get_last_local_change().unwrap().raw_bytes().to_vec());
    }
    let record = line["id"].as_str().unwrap();
    let back = dir.path().join("back.carry");
    std::fs::write(&back, file_of(record, &made)).unwrap();
    let met = call(
        &mut notebook,
        "carry_in",
        &json!({ "file": back, "welcome": true }),
    );
    assert_eq!(met["changes"], 2, "{met}");

    let things: Vec<(Kind, String)> = entered()
        .flat_map(|kind| {
            let ids = RINGS.iter().copied().flatten();
            ids.flat_map(move |id| [(kind, (*id).to_owned()), (kind, format!("{id}-b"))])
        })
        .collect();
    let answered = every_query(&mut notebook, &things);
    assert!(
        answered > things.len(),
        "only {answered} were answered of {} things",
        things.len()
    );
    // Rings of two and three, and what stands in itself, are points of assemblies and of containers.
    let points = call(&mut notebook, "points", &json!({}));
    let rings = points.as_array().unwrap().iter();
    let rings = rings.filter(|point| point["rule"] == "in_each_other").count();
    assert_eq!(rings, 12, "three rings of two kinds, twice");

    // What is done to them ends as well.
    for kind in [
        Kind::Assembly,
        Kind::Container,
        Kind::Part,
        Kind::Finding,
        Kind::Job,
    ] {
        for (id, becomes) in [
            ("alone", "leave"),
            ("pair-1", "move_up"),
            ("three-1", "strike_too"),
            ("three-1-b", "leave"),
        ] {
            let name = format!("{kind}:{id}");
            let strike = json!({ "name": name, "why": "a ring", "inside": becomes });
            let struck = ask(&mut notebook, "strike", &strike).is_ok();
            let again = ask(&mut notebook, "take_back", &json!({ "name": name })).is_ok();
            assert_eq!(struck, again, "{name}");
        }
    }
    for id in ["alone", "pair-1", "three-2", "three-2-b"] {
        ask(&mut notebook, "close_up", &json!({ "assembly": id, "waive": [] })).ok();
    }
    for _ in 0..40 {
        let points = call(&mut notebook, "points", &json!({}));
        let Some(point) = points
            .as_array()
            .unwrap()
            .iter()
            .find(|point| point["rule"] == "in_each_other")
        else {
            break;
        };
        let choice = point["choices"][0]["key"].clone();
        call(
            &mut notebook,
            "settle",
            &json!({ "point": point["id"], "choice": choice }),
        );
    }
    let points = call(&mut notebook, "points", &json!({}));
    assert!(
        points
            .as_array()
            .unwrap()
            .iter()
            .all(|point| point["rule"] != "in_each_other"),
        "rings are left"
    );
    every_query(&mut notebook, &things);
    drop(notebook);
    let mut notebook = open(4);
    assert_eq!(call(&mut notebook, "check", &json!({}))["sound"], true);
}
