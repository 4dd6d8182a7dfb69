//! Striking out what has something in it, and names as they are shown: what a face is asked, what it is refused with, and where what
//! was left is to be found.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod folders;

use folders::{ask, id, meet, open, pair, refused};
use serde_json::{Value, json};

fn titles(list: &Value) -> Vec<&str> {
    let all = list.as_array().unwrap().iter();
    all.map(|one| one["title"].as_str().unwrap()).collect()
}

#[test]
fn what_was_left_in_what_was_struck_is_found_on_car_and_in_stores() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let engine = id(&ask(&mut parent, "add_assembly", json!({ "name": "engine" })));
    let pump = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "water pump", "parent": engine }),
    ));
    let shelf = id(&ask(&mut parent, "add_container", json!({ "code": "S1" })));
    let bag = id(&ask(
        &mut parent,
        "add_container",
        json!({ "code": "B14", "inside": shelf }),
    ));
    let part = id(&ask(
        &mut parent,
        "add_part",
        json!({ "name": "impeller", "assembly": pump, "container": bag }),
    ));
    ask(
        &mut parent,
        "add_job",
        json!({ "what": "press the seal in", "assembly": pump }),
    );
    let (pump, bag) = (format!("assembly:{pump}"), format!("container:{bag}"));

    let asked = ask(&mut parent, "strike_check", json!({ "name": pump }));
    let inside = json!([{ "kind": "part", "count": 1 }, { "kind": "job", "count": 1 }]);
    assert_eq!(asked["inside"], inside);
    assert_eq!(
        (&asked["up"]["title"], &asked["needs_a_place"]),
        (&json!("engine"), &json!(false))
    );
    let refusal = refused(&mut parent, "strike", json!({ "name": pump, "why": "not ours" }));
    assert_eq!(refusal.code, "stands_inside");
    assert_eq!(refusal.args["inside"], inside);
    assert_eq!(refusal.args["may"], json!(["move_up", "strike_too", "leave"]));

    for name in [&pump, &bag] {
        ask(
            &mut parent,
            "strike",
            json!({ "name": name, "why": "not ours", "inside": "leave" }),
        );
    }
    meet(&mut parent, &mut child);
    let car = ask(&mut child, "car", json!({}));
    assert_eq!(car["in_struck"][0]["what"]["title"], "water pump");
    assert_eq!(car["in_struck"][0]["struck"]["why"], "not ours");
    assert_eq!(
        titles(&car["in_struck"][0]["left"]),
        ["impeller", "press the seal in"]
    );
    assert_eq!(car["loose_parts"], json!([]), "it is shown once");
    let stores = ask(&mut child, "stores", json!({}));
    assert_eq!(stores["in_struck"][0]["what"]["title"], "B14");
    assert_eq!(titles(&stores["in_struck"][0]["left"]), ["impeller"]);
    let blockers = ask(&mut child, "close_up_check", json!({ "assembly": engine }));
    let states: Vec<&str> = blockers
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["state"].as_str().unwrap())
        .collect();
    // The assembly, the job in it, and the part, which lies in a bag that is no more.
    assert_eq!(
        states,
        ["struck", "open", "last seen in B14, which was struck out"]
    );

    for name in [&pump, &bag] {
        ask(
            &mut child,
            "clear_struck",
            json!({ "name": name, "inside": "move_up" }),
        );
    }
    assert_eq!(ask(&mut child, "car", json!({}))["in_struck"], json!([]));
    assert_eq!(ask(&mut child, "stores", json!({}))["in_struck"], json!([]));
    let entry = ask(&mut child, "entry", json!({ "kind": "part", "id": part }));
    assert_eq!(entry["fields"]["assembly"][0]["value"], json!(engine));
    assert_eq!(entry["fields"]["container"][0]["value"], json!(shelf));
}

/// A name with letters that cannot be seen, or that turn the line round, is shown without them; what is kept stays as it was spelled.
#[test]
fn names_are_shown_without_what_cannot_be_seen() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = open(dir.path(), 1);
    let (car, keeper) = ("Te\u{200b}rn", "\u{202e}Rosalind\u{202c}");
    ask(
        &mut notebook,
        "start_record",
        json!({ "car": car, "keeper": keeper, "device_name": "pho\u{2066}ne" }),
    );
    let name = "gear\u{ad}box\u{2069}";
    let gearbox = id(&ask(&mut notebook, "add_assembly", json!({ "name": name })));
    ask(
        &mut notebook,
        "add_part",
        json!({ "name": "fo\u{200d}rk", "assembly": gearbox }),
    );
    ask(
        &mut notebook,
        "note",
        json!({ "day": "2031-03-01", "text": "dry" }),
    );
    let records = ask(&mut notebook, "records", json!({}));
    assert_eq!(
        (&records[0]["car"], &records[0]["keeper_name"]),
        (&json!("Tern"), &json!("Rosalind"))
    );
    let keepers = ask(&mut notebook, "keepers", json!({}));
    assert_eq!(keepers["keepers"][0]["name"], "Rosalind");
    assert_eq!(keepers["keepers"][0]["devices"][0]["name"], "phone");
    let page = ask(&mut notebook, "car", json!({}));
    assert_eq!(
        (&page["name"], &page["tree"][0]["name"]),
        (&json!("Tern"), &json!("gearbox"))
    );
    let day = ask(&mut notebook, "day", json!({ "day": "2031-03-01" }));
    assert_eq!(
        (&day["car"], &day["sheets"][0]["name"]),
        (&json!("Tern"), &json!("Rosalind"))
    );
    let assembly = ask(&mut notebook, "assembly", json!({ "id": gearbox }));
    assert_eq!(
        (&assembly["name"], &assembly["parts"][0]["name"]),
        (&json!("gearbox"), &json!("fork"))
    );
    let list = ask(&mut notebook, "list", json!({ "kind": "assembly" }));
    assert_eq!(list[0]["title"], "gearbox");
    let history = ask(
        &mut notebook,
        "history",
        json!({ "kind": "assembly", "id": gearbox }),
    );
    assert_eq!(history[0]["message"], "Added assembly 'gearbox'");
    // The spelling is kept, and by either name the car is found.
    let entry = ask(
        &mut notebook,
        "entry",
        json!({ "kind": "assembly", "id": gearbox }),
    );
    assert_eq!(entry["fields"]["name"][0]["value"], name);
    for named in [car, "tern"] {
        assert!(
            notebook.call(Some(named), "digest", json!({})).is_ok(),
            "{named:?}"
        );
    }
}
