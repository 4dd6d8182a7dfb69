//! Readings by the registry's commands: judged by what the other device says of the limit, mended with one tap, and what
//! their verdict hung on told step by step.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use folders::{ask, id, meet, pair, refused};
use notebook::Notebook;
use serde_json::{Value, json};

const DAY: &str = "2031-03-01";

/// A ring gap of 0.21 mm, read with feelers good to ±0.018 mm, against 0.30 to 0.50 mm.
fn ring_gap(notebook: &mut Notebook) -> (String, String, String, String) {
    let bores = id(&ask(notebook, "add_assembly", json!({ "name": "bores" })));
    let limit = id(&ask(
        notebook,
        "add_limit",
        json!({
            "what": "Ring gap, in the bore", "about": format!("assembly:{bores}"), "low": "0.30 mm", "high": "0.50 mm",
            "if_low": "file", "book": "Workshop manual", "edition": "2nd", "page": "C9",
        }),
    ));
    let feelers = id(&ask(
        notebook,
        "add_instrument",
        json!({ "name": "Feeler gauges", "resolution": "0.01 mm", "uncertainty": "0.018 mm" }),
    ));
    let reading = id(&ask(
        notebook,
        "add_reading",
        json!({
            "what": "Ring gap", "about": format!("assembly:{bores}"), "at": "cylinder 2, top ring", "value": "0.21 mm",
            "instrument": feelers, "limit": limit, "on": DAY,
        }),
    ));
    (bores, limit, feelers, reading)
}

fn line(notebook: &mut Notebook, assembly: &str, reading: &str) -> Value {
    let page = ask(notebook, "assembly", json!({ "id": assembly }));
    let lines = page["readings"].as_array().unwrap();
    lines.iter().find(|line| line["id"] == reading).unwrap().clone()
}

#[test]
fn what_mends_a_reading_is_taken_with_one_tap_and_once() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let (bores, _, _, reading) = ring_gap(&mut parent);
    let shown = line(&mut parent, &bores, &reading);
    assert_eq!(shown["verdict"]["word"], "below_limits");
    let file = shown["remedies"]
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["mends"] == "file")
        .unwrap()
        .clone();
    assert!(
        file["words"].as_str().unwrap().contains("0.09"),
        "0.30 − 0.21 mm: {file}"
    );
    let take = json!({ "reading": reading, "key": file["key"], "on": DAY });
    let job = id(&ask(&mut parent, "take_remedy", take.clone()));
    let page = ask(&mut parent, "assembly", json!({ "id": bores }));
    assert_eq!(page["jobs"][0]["id"], job);
    assert_eq!(page["jobs"][0]["what"], file["title"]);
    let after = line(&mut parent, &bores, &reading);
    let taken = after["remedies"]
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["key"] == file["key"])
        .unwrap();
    assert_eq!(taken["taken"]["name"], format!("job:{job}"));
    assert_eq!(refused(&mut parent, "take_remedy", take).code, "taken");
    let unknown = json!({ "reading": reading, "key": "pray" });
    assert_eq!(
        refused(&mut parent, "take_remedy", unknown).code,
        "no_such_remedy"
    );
}

#[test]
fn a_limit_that_the_other_keeper_changes_changes_the_verdict_and_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let (bores, limit, _, reading) = ring_gap(&mut parent);
    meet(&mut parent, &mut child);
    ask(
        &mut child,
        "change_limit",
        json!({ "id": limit, "fields": { "low": "0.15 mm" } }),
    );
    meet(&mut parent, &mut child);
    assert_eq!(
        line(&mut parent, &bores, &reading)["verdict"]["word"],
        "in_limits"
    );
    let steps = ask(&mut parent, "verdict_history", json!({ "id": reading }));
    let steps = steps.as_array().unwrap();
    assert_eq!(steps.first().unwrap()["verdict"]["word"], "below_limits");
    let last = steps.last().unwrap();
    assert_eq!(last["verdict"]["word"], "in_limits");
    assert_eq!(last["by"]["name"], "Wilf");
    assert!(last["words"].as_str().unwrap().contains("0.15"), "{last}");
    let history = ask(
        &mut parent,
        "history",
        json!({ "kind": "reading", "id": reading }),
    );
    let told = history
        .as_array()
        .unwrap()
        .iter()
        .any(|one| one["by"]["name"] == "Wilf");
    assert!(
        told,
        "the reading's own history tells of the other's change: {history}"
    );
}

#[test]
fn a_bore_is_one_entry_with_many_points_judged_for_size_and_taper() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let block = id(&ask(&mut parent, "add_assembly", json!({ "name": "block" })));
    let mut limit = |what: &str, high: &str, judges: &str| {
        id(&ask(
            &mut parent,
            "add_limit",
            json!({ "what": what, "about": format!("assembly:{block}"), "high": high, "judges": judges }),
        ))
    };
    let size = limit("Bore", "85.65 mm", "size");
    let taper = limit("Bore taper", "0.05 mm", "taper");
    // The grid of the design's check values, section C: out of round 0.052 mm, taper 0.082 mm, both by its formula.
    let reading = id(&ask(
        &mut parent,
        "add_reading",
        json!({
            "what": "Bore", "about": format!("assembly:{block}"), "at": "cylinder 1",
            "grid": "85.612, 85.560; 85.575, 85.545; 85.530, 85.520 mm",
            "limit": size, "more_limits": [taper], "on": DAY,
        }),
    ));
    let shown = line(&mut parent, &block, &reading);
    assert_eq!(shown["grid"]["values"].as_array().unwrap().len(), 3);
    assert!(
        shown["grid"]["out_of_round"]
            .as_str()
            .unwrap()
            .starts_with("0.052"),
        "{shown}"
    );
    assert!(
        shown["grid"]["taper"].as_str().unwrap().starts_with("0.082"),
        "{shown}"
    );
    let words: Vec<&Value> = shown["judged"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| &one["verdict"]["word"])
        .collect();
    assert_eq!(words, ["in_limits", "above_limits"]);
    assert_eq!(
        shown["verdict"]["word"], "above_limits",
        "the worst stands at the head"
    );
    let nothing = json!({ "what": "Bore", "about": format!("assembly:{block}"), "on": DAY });
    assert_eq!(refused(&mut parent, "add_reading", nothing).code, "missing");
}

#[test]
fn a_reading_on_a_part_in_no_assembly_is_judged_and_mended_all_the_same() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let (bores, limit, feelers, inside) = ring_gap(&mut parent);
    let rings = id(&ask(
        &mut parent,
        "add_part",
        json!({ "name": "rings, bought loose" }),
    ));
    let loose = id(&ask(
        &mut parent,
        "add_reading",
        json!({
            "what": "Ring gap", "about": format!("part:{rings}"), "value": "0.21 mm",
            "instrument": feelers, "limit": limit, "on": DAY,
        }),
    ));
    let shown = ask(&mut parent, "reading", json!({ "id": loose }));
    assert_eq!(shown["about"]["name"], format!("part:{rings}"));
    assert_eq!(shown["verdict"]["word"], "below_limits");
    let key = shown["remedies"][0]["key"].clone();
    // A job is in an assembly: where the part is in none, whoever takes it says in which.
    let nowhere = refused(
        &mut parent,
        "take_remedy",
        json!({ "reading": loose, "key": key, "on": DAY }),
    );
    assert_eq!(
        (nowhere.code.as_str(), &nowhere.args["field"]),
        ("missing", &json!("assembly"))
    );
    let job = id(&ask(
        &mut parent,
        "take_remedy",
        json!({ "reading": loose, "key": key, "on": DAY, "within": bores }),
    ));
    let after = ask(&mut parent, "reading", json!({ "id": loose }));
    assert_eq!(after["remedies"][0]["taken"]["name"], format!("job:{job}"));
    // In an assembly it is the very line that the assembly shows, with the others of its point beside it.
    let mut page = ask(&mut parent, "reading", json!({ "id": inside }));
    for of_its_point in ["before", "after", "apart"] {
        assert_eq!(
            page.as_object_mut().unwrap().remove(of_its_point),
            Some(json!([]))
        );
    }
    assert_eq!(page, line(&mut parent, &bores, &inside));
    let unknown = json!({ "id": "01890a5d-ac96-774b-bcce-b302099a8057" });
    assert_eq!(refused(&mut parent, "reading", unknown).code, "unknown");
}

/// The same point measured again by the other, who has the first before them; then by both apart.
#[test]
fn before_and_after_stand_side_by_side_and_two_who_could_not_know_stand_apart() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let (bores, limit, feelers, reading) = ring_gap(&mut parent);
    meet(&mut parent, &mut child);
    let again = |value: &str| {
        json!({
            "what": "ring  gap", "about": format!("assembly:{bores}"), "at": "Cylinder 2, top ring", "value": value,
            "instrument": feelers, "limit": limit, "on": DAY,
        })
    };
    let filed = id(&ask(&mut child, "add_reading", again("0.36 mm")));
    meet(&mut parent, &mut child);
    let shown = line(&mut parent, &bores, &reading);
    assert_eq!(shown["since"]["name"], format!("reading:{filed}"));
    assert_eq!(shown["remedies"], json!([]), "what was proposed for it goes");
    let names = |page: &Value, of: &str| -> Vec<String> {
        let all = page[of].as_array().unwrap().iter();
        all.map(|one| one["name"].as_str().unwrap().to_owned()).collect()
    };
    let before = ask(&mut parent, "reading", json!({ "id": reading }));
    assert_eq!(names(&before, "after"), [format!("reading:{filed}")]);
    assert_eq!(before["after"][0]["value"], "0.36 mm");
    let after = ask(&mut parent, "reading", json!({ "id": filed }));
    assert_eq!(names(&after, "before"), [format!("reading:{reading}")]);
    assert_eq!(after["since"], Value::Null);
    // Each measures once more, and neither knows of it.
    let hers = id(&ask(&mut child, "add_reading", again("0.37 mm")));
    let his = id(&ask(&mut parent, "add_reading", again("0.38 mm")));
    meet(&mut parent, &mut child);
    let both = ask(&mut child, "reading", json!({ "id": hers }));
    assert_eq!(names(&both, "apart"), [format!("reading:{his}")]);
    assert_eq!(names(&both, "after"), Vec::<String>::new());
    assert_eq!(names(&both, "before").len(), 2);
}

#[test]
fn an_earlier_hand_what_comes_of_what_and_old_parts_are_listed() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let rack = id(&ask(&mut parent, "add_assembly", json!({ "name": "roof rack" })));
    let about = format!("assembly:{rack}");
    let found = |what: &str, more: &[(&str, Value)]| {
        let mut args = json!({ "what": what, "about": about, "on": DAY });
        for (field, value) in more {
            args[*field] = value.clone();
        }
        args
    };
    let drilled = found("drilled", &[("came_by", json!("earlier_hand"))]);
    let drilled = id(&ask(&mut parent, "add_finding", drilled));
    let rust = found(
        "rusted through",
        &[("because_of", json!(drilled)), ("how_sure", json!("suspected"))],
    );
    let rust = id(&ask(&mut parent, "add_finding", rust));
    let hand = ask(&mut parent, "earlier_hand", json!({}));
    assert_eq!(hand.as_array().unwrap().len(), 1);
    assert_eq!(hand[0]["id"], drilled);
    let of_it = ask(&mut parent, "finding", json!({ "id": drilled }));
    assert_eq!(of_it["led_to"][0]["id"], rust);
    let it = ask(&mut parent, "finding", json!({ "id": rust }));
    assert_eq!(
        (&it["because_of"]["id"], &it["finding"]["suspected"]),
        (&json!(drilled), &json!(true))
    );
    let part = |name: &str, old: Value| json!({ "name": name, "assembly": rack, "decision": "replace", "old_one": old });
    let clamp = id(&ask(&mut parent, "add_part", part("clamp", Value::Null)));
    id(&ask(&mut parent, "add_part", part("rail", json!("spare"))));
    let asks = ask(&mut parent, "entry", json!({ "kind": "part", "id": clamp }));
    assert_eq!(asks["lies"]["asks_old_one"], true);
    ask(
        &mut parent,
        "change_part",
        json!({ "id": clamp, "fields": { "old_one": "core_owed" } }),
    );
    let old = ask(&mut parent, "stores", json!({}))["old_parts"].clone();
    let said: Vec<&str> = old
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["old_one"].as_str().unwrap())
        .collect();
    assert_eq!(said, ["core_owed", "spare"]);
    let hits = ask(&mut parent, "search", json!({ "text": "clamp" }));
    assert_eq!(hits[0]["old_one"], "core_owed");
}
