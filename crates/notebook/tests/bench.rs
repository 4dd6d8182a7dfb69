//! What the bench leaves in the record, by the registry's commands: kept answers on the day and with the assembly, and a
//! tightening run that is gone on with after the folder was closed.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use folders::{ask, id, meet, open, pair, refused};
use notebook::Notebook;
use serde_json::{Value, json};

const DAY: &str = "2031-03-01";

#[test]
fn an_answer_is_reckoned_by_the_core_and_kept_with_what_was_typed() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let engine = id(&ask(&mut parent, "add_assembly", json!({ "name": "engine" })));
    // 77.0 × 64.0 mm, four cylinders: 1192 cm³ (published engine specification, in the design's check values).
    let inputs = json!({ "bore": "77 mm", "stroke": "64 mm", "cylinders": "4" });
    let kept = id(&ask(
        &mut parent,
        "keep_answer",
        json!({
            "calculation": "displacement", "inputs": inputs, "about": format!("assembly:{engine}"),
            "on": DAY, "note": "to compare with the papers",
        }),
    ));
    meet(&mut parent, &mut child);
    let page = ask(&mut child, "kept_answer", json!({ "id": kept }));
    assert!(
        page["line"]["answer"].as_str().unwrap().contains("1192"),
        "{page}"
    );
    assert_eq!(page["inputs"], inputs);
    assert_eq!(page["otherwise"], false);
    let told: Vec<&str> = page["told"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|line| line.as_str())
        .collect();
    for head in ["Taken as: ", "Formula: ", "Source: ", "Holds for: "] {
        assert!(
            told.iter().any(|line| line.starts_with(head)),
            "nothing of '{head}' in {told:?}"
        );
    }
    let assembly = ask(&mut child, "assembly", json!({ "id": engine }));
    assert_eq!(assembly["kept"][0]["id"], kept);
    let day = ask(&mut child, "day", json!({ "day": DAY }));
    let entries = day["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|sheet| sheet["entries"].as_array().unwrap());
    let names: Vec<String> = entries.map(|entry| entry["name"].to_string()).collect();
    assert!(names.contains(&format!("\"kept_answer:{kept}\"")), "{names:?}");
}

#[test]
fn what_is_kept_for_the_whole_car_stands_with_the_car() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let engine = id(&ask(&mut parent, "add_assembly", json!({ "name": "engine" })));
    let mut keep = |about: Option<&str>, on: &str| {
        let inputs = json!({ "bore": "77 mm", "stroke": "64 mm", "cylinders": "4" });
        let args = json!({ "calculation": "displacement", "inputs": inputs, "about": about, "on": on });
        id(&ask(&mut parent, "keep_answer", args))
    };
    let older = keep(Some("car:car"), "2031-02-01");
    let newer = keep(Some("car:car"), DAY);
    keep(Some(&format!("assembly:{engine}")), DAY);
    keep(None, DAY);
    ask(
        &mut parent,
        "strike",
        json!({ "name": format!("kept_answer:{older}"), "why": "an older engine" }),
    );
    meet(&mut parent, &mut child);
    let car = ask(&mut child, "car", json!({}));
    let kept: Vec<&str> = car["kept"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["id"].as_str().unwrap())
        .collect();
    // The newest first; what was struck out is still to be read.
    assert_eq!(kept, [newer.as_str(), older.as_str()]);
    assert_eq!(car["kept"][1]["struck"]["why"], "an older engine");
}

#[test]
fn one_bolt_is_tightened_with_another_wrench_to_another_torque() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let cover = id(&ask(&mut parent, "add_assembly", json!({ "name": "cover" })));
    let mut wrench = |name: &str| id(&ask(&mut parent, "add_instrument", json!({ "name": name })));
    let (long, short) = (wrench("Long wrench"), wrench("Short wrench"));
    let run = id(&ask(
        &mut parent,
        "add_tightening_run",
        json!({
            "what": "Cover", "assembly": cover, "layout": "circle", "bolts": 4, "torque": "20 N·m", "passes": "100",
            "conditions": "threads dry", "instrument": long, "on": DAY,
        }),
    ));
    let tap = |place: i32| json!({ "run": run, "pass": 1, "place": place, "on": DAY });
    let mut other = tap(1);
    other["instrument"] = json!(short);
    // Less than the pass wants, and more than what a wrench may be off, is not tight, whatever it is called.
    for torque in ["15 N·m", "24 N·m"] {
        other["torque"] = json!(torque);
        assert_eq!(refused(&mut parent, "tighten", other.clone()).code, "misfit");
    }
    other["torque"] = json!("20.5 N·m");
    ask(&mut parent, "tighten", other);
    ask(&mut parent, "tighten", tap(3));
    let mut unread = tap(2);
    unread["torque"] = json!("a good pull");
    refused(&mut parent, "tighten", unread);
    let page = ask(&mut parent, "tightening_run", json!({ "id": run }));
    let said: Vec<(&str, &str)> = page["log"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| {
            let wrench = line["instrument"]["title"].as_str().unwrap();
            (line["torque"].as_str().unwrap(), wrench)
        })
        .collect();
    // The run itself is as it was: the bolt after is the run's again.
    assert_eq!(said, [("20.5 N·m", "Short wrench"), ("20.0 N·m", "Long wrench")]);
    assert_eq!(page["instrument"]["title"], "Long wrench");
    assert_eq!(page["next"]["place"], 2);
}

#[test]
fn what_the_bench_refuses_is_not_kept() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let before = ask(&mut parent, "digest", json!({}));
    let refusal = refused(
        &mut parent,
        "keep_answer",
        json!({ "calculation": "displacement", "inputs": { "bore": "9 m", "stroke": "64 mm" }, "on": DAY }),
    );
    assert!(refusal.words.contains("250 mm"), "the range is named: {refusal}");
    assert_eq!(ask(&mut parent, "digest", json!({})), before);
}

#[test]
fn two_taps_tighten_one_bolt_and_a_run_goes_on_after_the_folder_was_closed() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let head = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "cylinder head" }),
    ));
    let run = id(&ask(
        &mut parent,
        "add_tightening_run",
        json!({
            "what": "Head nuts", "assembly": head, "layout": "rows", "bolts": 10, "rows": 2,
            "torque": "54 Nm", "conditions": "threads oiled", "on": DAY,
        }),
    ));
    let page = ask(&mut parent, "tightening_run", json!({ "id": run }));
    assert_eq!(page["places"].as_array().unwrap().len(), 10);
    assert_eq!(page["conditions"][0], "threads oiled");
    assert_eq!(
        page["passes"].as_array().unwrap().len(),
        4,
        "30, 60, 100 % and a last round"
    );
    let next = page["next"].clone();
    let tap = json!({ "run": run, "pass": next["pass"], "place": next["place"], "on": DAY });
    ask(&mut parent, "tighten", tap.clone());
    assert_eq!(refused(&mut parent, "tighten", tap).code, "not_next");
    let after = ask(&mut parent, "tightening_run", json!({ "id": run }));
    assert_eq!(after["line"]["done"], 1);
    assert_eq!(after["log"][0]["torque"], next["torque"]);
    drop(parent);
    let mut parent = open(&dir.path().join("parent"), 9);
    assert_eq!(ask(&mut parent, "tightening_run", json!({ "id": run })), after);
    meet(&mut parent, &mut child);
    assert_eq!(
        ask(&mut child, "tightening_run", json!({ "id": run }))["next"],
        after["next"]
    );
    ask(&mut child, "undo_tightening", json!({ "run": run }));
    assert_eq!(
        ask(&mut child, "tightening_run", json!({ "id": run }))["next"],
        next
    );
    assert_eq!(
        refused(&mut child, "undo_tightening", json!({ "run": run })).code,
        "nothing_tight"
    );
    // Where both logged one turn apart, it is taken back by both entries, in one change.
    meet(&mut parent, &mut child);
    let tap = json!({ "run": run, "pass": next["pass"], "place": next["place"], "on": DAY });
    ask(&mut parent, "tighten", tap.clone());
    ask(&mut child, "tighten", tap);
    meet(&mut parent, &mut child);
    let before = ask(&mut child, "keepers", json!({}))["changes"].as_u64().unwrap();
    ask(&mut child, "undo_tightening", json!({ "run": run }));
    assert_eq!(ask(&mut child, "keepers", json!({}))["changes"], before + 1);
    assert_eq!(
        ask(&mut child, "tightening_run", json!({ "id": run }))["next"],
        next
    );
    let blockers = ask(&mut child, "close_up_check", json!({ "assembly": head }));
    assert_eq!(blockers[0]["about"], format!("tightening_run:{run}"));
}

#[test]
fn a_bolt_keeps_the_exact_torque_of_its_pass_and_not_what_was_shown_of_it() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let cover = id(&ask(&mut parent, "add_assembly", json!({ "name": "cover" })));
    let run = id(&ask(
        &mut parent,
        "add_tightening_run",
        json!({
            "what": "Cover", "assembly": cover, "layout": "circle", "bolts": 4, "torque": "36.5 N·m", "passes": "33, 100",
            "conditions": "threads dry", "on": DAY,
        }),
    ));
    let page = ask(&mut parent, "tightening_run", json!({ "id": run }));
    // By hand: 0.33 x 36.5 N·m.
    assert_eq!(page["next"]["torque"], "12.0 N·m");
    let bolt = ask(
        &mut parent,
        "tighten",
        json!({ "run": run, "pass": 1, "place": page["next"]["place"], "on": DAY }),
    );
    let entry = ask(
        &mut parent,
        "entry",
        json!({ "kind": "tightened", "id": id(&bolt) }),
    );
    assert_eq!(entry["fields"]["torque"][0]["value"], "12.045 N·m = 12.045 N·m");
}

/// A lid with two of its four bolts tight looks finished from above: the tree says that it is not, here and in what lies around it.
#[test]
fn a_run_that_is_begun_and_a_finding_to_mend_are_counted_in_the_tree() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let engine = id(&ask(&mut parent, "add_assembly", json!({ "name": "engine" })));
    let cover = json!({ "name": "cover", "parent": engine });
    let cover = id(&ask(&mut parent, "add_assembly", cover));
    let run = id(&ask(
        &mut parent,
        "add_tightening_run",
        json!({
            "what": "Cover", "assembly": cover, "layout": "circle", "bolts": 4, "torque": "20 N·m", "passes": "100",
            "conditions": "threads dry", "on": DAY,
        }),
    ));
    let found = json!({ "about": format!("assembly:{cover}"), "what": "a thread is pulled", "how_bad": "mend", "on": DAY });
    let found = id(&ask(&mut parent, "add_finding", found));
    let counted = |parent: &mut Notebook| -> Vec<(u64, u64)> {
        let car = ask(parent, "car", json!({}));
        let within = ask(parent, "assembly", json!({ "id": engine }));
        let tree = car["tree"].as_array().unwrap().iter();
        let lines = tree.chain(within["inside"].as_array().unwrap());
        let open = |line: &Value| {
            let of = |what: &str| line["open"][what].as_u64().unwrap();
            (of("runs"), of("findings"))
        };
        lines.map(open).collect()
    };
    assert_eq!(counted(&mut parent), [(1, 1); 3]);
    loop {
        let next = ask(&mut parent, "tightening_run", json!({ "id": run }))["next"].clone();
        if next.is_null() {
            break;
        }
        let tap = json!({ "run": run, "pass": next["pass"], "place": next["place"], "on": DAY });
        ask(&mut parent, "tighten", tap);
    }
    let ended = json!({ "id": found, "fields": { "ended": "mended:a thread insert" } });
    ask(&mut parent, "change_finding", ended);
    assert_eq!(counted(&mut parent), [(0, 0); 3]);
}
