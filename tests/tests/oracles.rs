//! Oracles from PyPI, pinned in `tests/oracles/requirements.txt`: pint judges the units, jsonschema the registry. A
//! library that is missing fails the test.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use tests::program::{ask, call, run};

/// Conversions that pint judges.
const CONVERSIONS: usize = 20_000;

fn python() -> PathBuf {
    if let Some(named) = std::env::var_os("WITNESSMARK_PYTHON") {
        return PathBuf::from(named);
    }
    // …/target/<profile>/deps/<test>: the libraries lie in …/target/venv.
    std::env::current_exe()
        .unwrap()
        .ancestors()
        .nth(3)
        .unwrap()
        .join("venv/bin/python")
}

/// What an oracle says of these cases.
fn judged(script: &str, cases: &[Value]) -> String {
    let python = python();
    assert!(
        python.exists(),
        "the oracles' Python is not there: run `cargo xtask test`, which makes it"
    );
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("oracles").join(script);
    let mut oracle = Command::new(python)
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut to = oracle.stdin.take().unwrap();
    let lines: String = cases.iter().map(|case| format!("{case}\n")).collect();
    // An oracle that stops at the first fault closes its end early; what it says is read below.
    let sender = std::thread::spawn(move || drop(to.write_all(lines.as_bytes())));
    let output = oracle.wait_with_output().unwrap();
    sender.join().unwrap();
    let said = String::from_utf8_lossy(&output.stdout).trim().to_owned();
    assert!(
        output.status.success(),
        "{said} {}",
        String::from_utf8_lossy(&output.stderr)
    );
    said
}

#[test]
fn pint_converts_as_we_do() {
    let seed: u64 = std::env::var("WITNESSMARK_SEED")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(20_312);
    println!("seed {seed}");
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let mut cases = Vec::new();
    while cases.len() < CONVERSIONS {
        let from = reckon::Unit::ALL[dice.random_range(0..reckon::Unit::ALL.len())];
        let to = reckon::Unit::ALL[dice.random_range(0..reckon::Unit::ALL.len())];
        if from.kind() != to.kind() {
            continue;
        }
        let value = f64::from(dice.random_range(1..10_000_000)) / 1_000.0;
        let found = to.from_base(from.to_base(value));
        cases.push(json!({ "value": value, "from": from.symbol(), "to": to.symbol(), "found": found }));
    }
    assert_eq!(judged("units.py", &cases), format!("judged {CONVERSIONS}"));
    // It can say no.
    let wrong = std::panic::catch_unwind(|| {
        judged(
            "units.py",
            &[json!({ "value": 1.0, "from": "in", "to": "mm", "found": 25.41 })],
        )
    });
    assert!(wrong.is_err());
}

#[test]
fn every_query_replies_as_its_schema_says() {
    let dir = tempfile::tempdir().unwrap();
    let built = run(["demo", "--into", dir.path().to_str().unwrap()]);
    assert_eq!(built.code, 0, "{}", built.err);
    let at = dir.path().join("parent");
    // Points to settle, so that their pages have something to show.
    let file = dir.path().join("child.carry");
    ask(
        &dir.path().join("child"),
        &["carry", "out", file.to_str().unwrap()],
    );
    let met = ask(&at, &["carry", "in", file.to_str().unwrap()]);
    let list = |kind: &str| call(&at, "list", &json!({ "kind": kind }));
    let first = |kind: &str| list(kind)[0]["name"].as_str().unwrap()[kind.len() + 1..].to_owned();
    let (assembly, part) = (first("assembly"), first("part"));
    let record = call(&at, "records", &json!({}))[0]["id"].clone();
    let asked = [
        ("records", json!({})),
        ("choose_record", json!({ "record": record })),
        ("saved", json!({})),
        ("day", json!({ "day": "2025-11-01" })),
        ("car", json!({})),
        ("assembly", json!({ "id": assembly })),
        ("keepers", json!({})),
        ("points", json!({})),
        ("stores", json!({})),
        ("search", json!({ "text": "wrist pin" })),
        ("explain", json!({ "word": "" })),
        ("entry", json!({ "kind": "part", "id": part })),
        ("history", json!({ "kind": "part", "id": part })),
        ("list", json!({ "kind": "job" })),
        ("close_up_check", json!({ "assembly": assembly })),
        ("digest", json!({})),
        ("check", json!({})),
        ("calculations", json!({})),
        (
            "reckon",
            json!({ "name": "ring_gap", "inputs": { "bore": "77 mm", "gap": "0.21 mm" } }),
        ),
        (
            "add_part",
            json!({ "name": "split pin", "quantity": 6, "use_once": true, "on": "2025-11-20" }),
        ),
        (
            "change_part",
            json!({ "id": part, "fields": { "position": null } }),
        ),
        (
            "note",
            json!({ "day": "2025-11-20", "text": "Split pins counted." }),
        ),
        ("carry_out", json!({})),
        ("carry_in", json!({ "file": file })),
        ("rebuild", json!({})),
    ];
    let registry = ask(&at, &["commands"]);
    let schema = |name: &str, side: &str| {
        let found = registry
            .as_array()
            .unwrap()
            .iter()
            .find(|one| one["name"] == name);
        found.unwrap_or_else(|| panic!("no {name}"))[side].clone()
    };
    let mut cases = vec![
        json!({ "what": "a meeting", "schema": schema("carry_in", "reply"), "instance": met, "fits": true }),
        json!({ "what": "no meeting", "schema": schema("carry_in", "reply"), "instance": { "from": 7 }, "fits": false }),
        json!({ "what": "a stray field", "schema": schema("change_part", "args"),
            "instance": { "id": part, "fields": { "shape": "round" } }, "fits": false }),
    ];
    for (name, args) in &asked {
        let reply = call(&at, name, args);
        cases.push(json!({ "what": format!("arguments of {name}"), "schema": schema(name, "args"), "instance": args, "fits": true }));
        cases.push(json!({ "what": format!("reply of {name}"), "schema": schema(name, "reply"), "instance": reply, "fits": true }));
    }
    // Every other schema is at least one.
    for command in registry.as_array().unwrap() {
        for side in ["args", "reply"] {
            let everything =
                json!({ "what": command["name"], "schema": command[side], "instance": [[]], "fits": false });
            cases.push(everything);
        }
    }
    assert_eq!(judged("schemas.py", &cases), format!("judged {}", cases.len()));
    // What only reads says so: every query was asked, but for those that need a person's file.
    let queries = registry
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["writes"] == false);
    for query in queries {
        assert!(
            asked.iter().any(|(name, _)| query["name"] == *name),
            "{} is not asked here",
            query["name"]
        );
    }
}
