//! Which queries open the document. A record of ten years takes seconds to open; whoever only looks at a page is not to wait
//! for it. Every query of the registry, but for the two that start a meeting or look ahead into a drop (`meet_now`, `drop_ahead`),
//! is asked of a folder whose document cannot be opened, since its changes are damaged: those that answer as before have not opened it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::BTreeSet;
use std::path::Path;

use notebook::{Notebook, registry};
use serde_json::{Value, json};
use tests::attending::Seeded;

/// The queries that open it, each with what it wants of it.
const OPEN_IT: &[&str] = &[
    // What another device lacks.
    "carry_size",
    // Everything is held against it.
    "check",
];

fn open(dir: &Path) -> Notebook {
    host::open(dir, "a test", Box::new(Seeded::of(1))).unwrap()
}

fn made(notebook: &mut Notebook, name: &str, fields: Value) -> Value {
    notebook.call(None, name, fields).unwrap()["id"].clone()
}

/// A folder with something of everything that a query is asked about, and the arguments of each query.
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn furnished(dir: &Path) -> Vec<(&'static str, Value)> {
    let mut notebook = open(dir);
    notebook
        .call(
            None,
            "start_record",
            json!({ "car": "Tern", "keeper": "Rosalind" }),
        )
        .unwrap();
    let day = "2031-04-02";
    let assembly = made(&mut notebook, "add_assembly", json!({ "name": "engine" }));
    let part = made(
        &mut notebook,
        "add_part",
        json!({ "name": "piston", "assembly": assembly }),
    );
    let finding = made(
        &mut notebook,
        "add_finding",
        json!({ "what": "scored", "about": format!("part:{}", part.as_str().unwrap()), "on": day }),
    );
    let reading = made(
        &mut notebook,
        "add_reading",
        json!({ "what": "ring gap", "value": "0.21 mm", "about": format!("part:{}", part.as_str().unwrap()), "on": day }),
    );
    let run = made(
        &mut notebook,
        "add_tightening_run",
        json!({ "what": "cylinder head", "assembly": assembly, "layout": "circle", "bolts": 6, "torque": "54 N·m",
            "conditions": "threads oiled", "on": day }),
    );
    let answer = made(
        &mut notebook,
        "keep_answer",
        json!({ "calculation": "ring_gap", "inputs": { "bore": "77 mm", "gap": "0.31 mm" }, "on": day }),
    );
    let kept = notebook.take_photo(&tests::picture::png(1, 8)).unwrap();
    let photo = made(
        &mut notebook,
        "add_photo",
        json!({ "hash": kept.hash, "about": format!("part:{}", part.as_str().unwrap()), "on": day }),
    );
    vec![
        ("records", json!({})),
        ("saved", json!({})),
        ("day", json!({ "day": day })),
        ("car", json!({})),
        ("assembly", json!({ "id": assembly })),
        ("tonight", json!({})),
        ("begun", json!({})),
        ("car_own", json!({})),
        ("differs", json!({})),
        ("earlier_hand", json!({})),
        ("finding", json!({ "id": finding })),
        ("keepers", json!({})),
        ("points", json!({})),
        ("agreed", json!({})),
        ("away", json!({})),
        ("what_came", json!({})),
        ("question", json!({ "point": "0".repeat(32) })),
        ("stores", json!({})),
        ("search", json!({ "text": "piston" })),
        ("explain", json!({ "word": "" })),
        ("entry", json!({ "kind": "part", "id": part })),
        ("photo", json!({ "photo": photo })),
        (
            "pictures",
            json!({ "about": format!("part:{}", part.as_str().unwrap()) }),
        ),
        ("history", json!({ "kind": "part", "id": part })),
        ("list", json!({ "kind": "part" })),
        ("alike", json!({ "kind": "part", "words": "piston" })),
        ("close_up_check", json!({ "assembly": assembly })),
        (
            "strike_check",
            json!({ "name": format!("assembly:{}", assembly.as_str().unwrap()) }),
        ),
        ("digest", json!({})),
        ("check", json!({})),
        ("calculations", json!({})),
        (
            "reckon",
            json!({ "name": "ring_gap", "inputs": { "bore": "77 mm", "gap": "0.21 mm" } }),
        ),
        ("reading", json!({ "id": reading })),
        ("verdict_history", json!({ "id": reading })),
        ("kept_answer", json!({ "id": answer })),
        ("tightening_run", json!({ "id": run })),
        ("carry_size", json!({})),
        ("aside", json!({})),
        ("folder", json!({})),
        ("passphrase", json!({})),
        ("underway", json!({})),
        ("tour", json!({})),
        ("money", json!({ "typed": "86", "currency": "GBP" })),
        ("members", json!({})),
        ("meetings", json!({})),
        ("pair_code", json!({})),
        ("drops", json!({})),
    ]
}

/// Damages every change of the log, as a failing disk would, so that no document comes of it.
fn damage(dir: &Path) {
    let beside = rusqlite::Connection::open(dir.join("witnessmark.sqlite")).unwrap();
    let changed = beside.execute("UPDATE change_log SET bytes = x'00'", []).unwrap();
    assert!(changed > 5, "{changed}");
    let snapshots: u32 = beside
        .query_row("SELECT count(*) FROM snapshots", [], |row| row.get(0))
        .unwrap();
    assert_eq!(snapshots, 0);
}

#[test]
fn only_those_queries_open_the_document_that_say_so() {
    let dir = tempfile::tempdir().unwrap();
    let asked = furnished(dir.path());
    // Only a program answers these that looks after meetings and drops.
    let attended = ["meet_now", "drop_ahead"];
    let queries: Vec<_> = registry()
        .into_iter()
        .filter(|one| !one.writes && !attended.contains(&one.name))
        .collect();
    let args = |name: &str| {
        let found = asked.iter().find(|(asked, _)| *asked == name);
        found
            .unwrap_or_else(|| panic!("'{name}' is not asked here"))
            .1
            .clone()
    };
    let mut notebook = open(dir.path());
    let before: Vec<Value> = queries
        .iter()
        .map(|query| notebook.call(None, query.name, args(query.name)).unwrap())
        .collect();
    drop(notebook);
    damage(dir.path());
    let mut notebook = open(dir.path());
    let mut opened = BTreeSet::new();
    for (query, before) in queries.iter().zip(before) {
        match notebook.call(None, query.name, args(query.name)) {
            // What is proposed anew at each look says nothing of the record.
            Ok(now) if now == before || query.name == "passphrase" => {}
            Ok(_) => {
                opened.insert(query.name);
            }
            Err(refusal) => {
                assert_eq!(
                    refusal.code, "damaged_folder",
                    "{}: {}",
                    query.name, refusal.words
                );
                opened.insert(query.name);
            }
        }
    }
    assert_eq!(opened, OPEN_IT.iter().copied().collect());
}

#[test]
fn an_entry_page_brings_the_names_of_what_it_shows_and_opens_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let asked = furnished(dir.path());
    damage(dir.path());
    let (_, args) = asked.iter().find(|(name, _)| *name == "entry").unwrap();
    let page = open(dir.path()).call(None, "entry", args.clone()).unwrap();
    // The entry itself stands in it as before.
    assert_eq!(page["kind"], "part");
    assert_eq!(page["fields"]["name"][0]["value"], "piston");
    let assembly = page["fields"]["assembly"][0]["value"].as_str().unwrap();
    let said = page["said"].as_array().unwrap();
    let within = said.iter().find(|field| field["field"] == "assembly").unwrap();
    assert_eq!(within["label"], "Assembly");
    assert_eq!(
        (&within["values"][0]["words"], &within["values"][0]["name"]),
        (&json!("engine"), &json!(format!("assembly:{assembly}")))
    );
    assert_eq!(page["made_by"]["by"]["name"], "Rosalind");
    assert!(
        page["made_by"]["who"].as_str().unwrap().starts_with("Rosalind, "),
        "{page}"
    );
}
