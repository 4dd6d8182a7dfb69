//! Every query's arguments and reply against its own schema, judged by jsonschema.
//!
//! Never judges what a reply says, only whether it has the shape it claims.

use serde_json::json;
use tests::program::{ask, call, run};

use crate::judged;

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn every_query_replies_as_its_schema_says() {
    let dir = tempfile::tempdir().unwrap();
    let built = run([
        "demo",
        "--into",
        dir.path().to_str().unwrap(),
        "--day",
        "2025-11-16",
    ]);
    assert_eq!(built.code, 0, "{}", built.err);
    let at = dir.path().join("parent");
    // Points to settle, so that their pages have something to show.
    let file = dir.path().join("child.carry");
    ask(
        &dir.path().join("child"),
        &["carry", "out", "--open", file.to_str().unwrap()],
    );
    let met = ask(&at, &["carry", "in", "--welcome", file.to_str().unwrap()]);
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
        ("tonight", json!({})),
        ("begun", json!({})),
        ("car_own", json!({})),
        ("differs", json!({})),
        ("earlier_hand", json!({})),
        ("finding", json!({ "id": first("finding") })),
        ("keepers", json!({})),
        ("points", json!({})),
        ("agreed", json!({})),
        ("away", json!({})),
        ("what_came", json!({})),
        (
            "question",
            json!({ "point": call(&at, "points", &json!({}))[0]["id"] }),
        ),
        ("stores", json!({})),
        ("search", json!({ "text": "wrist pin" })),
        ("explain", json!({ "word": "" })),
        ("entry", json!({ "kind": "part", "id": part })),
        ("history", json!({ "kind": "part", "id": part })),
        ("list", json!({ "kind": "job" })),
        ("alike", json!({ "kind": "container", "words": "B1" })),
        ("kept_answer", json!({ "id": first("kept_answer") })),
        ("tightening_run", json!({ "id": first("tightening_run") })),
        ("verdict_history", json!({ "id": first("reading") })),
        ("close_up_check", json!({ "assembly": assembly })),
        ("strike_check", json!({ "name": format!("assembly:{assembly}") })),
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
        ("carry_out", json!({ "open": true })),
        ("carry_in", json!({ "file": file })),
        ("rebuild", json!({})),
        ("members", json!({})),
        ("meetings", json!({})),
        ("pair_code", json!({})),
        ("connection", json!({ "metered": null })),
        ("photo", json!({ "photo": first("photo") })),
        (
            "pictures",
            json!({ "about": format!("finding:{}", first("finding")) }),
        ),
        ("reading", json!({ "id": first("reading") })),
        ("carry_size", json!({})),
        ("aside", json!({})),
        ("folder", json!({})),
        ("passphrase", json!({})),
        ("underway", json!({})),
        ("tour", json!({})),
        ("money", json!({ "typed": "86", "currency": "GBP" })),
        ("drops", json!({})),
        ("live", json!({ "on": false, "relay": "https://relay.example" })),
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
    // What only reads says so: every query was asked, but for those that only a program answers that looks after meetings
    // and drops (`host/tests/live.rs` and `drop.rs` ask them).
    let attended = ["meet_now", "drop_ahead"];
    let queries = registry
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["writes"] == false);
    for query in queries {
        assert!(
            asked.iter().any(|(name, _)| query["name"] == *name)
                || attended.iter().any(|name| query["name"] == *name),
            "{} is not asked here",
            query["name"]
        );
    }
}
