//! One entry as its page shows it: every field in words, what it names by its title, who wrote what stands and what differs, and what to
//! mind; and its history by the same words.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use folders::{ask, id, meet, pair};
use notebook::Notebook;
use serde_json::{Value, json};

fn page(notebook: &mut Notebook, kind: &str, id: &str) -> Value {
    ask(notebook, "entry", json!({ "kind": kind, "id": id }))
}

/// A field of a page; the test fails where it is not said.
fn field<'p>(page: &'p Value, name: &str) -> &'p Value {
    let said = page["said"].as_array().unwrap();
    let found = said.iter().find(|field| field["field"] == name);
    found.unwrap_or_else(|| panic!("{name} is not said: {page}"))
}

fn words(page: &Value, name: &str) -> Vec<String> {
    let values = field(page, name)["values"].as_array().unwrap();
    let word = |value: &Value| value["words"].as_str().unwrap().to_owned();
    values.iter().map(word).collect()
}

#[test]
#[expect(
    clippy::too_many_lines,
    reason = "a shape of field after another, each with what is said of it"
)]
fn every_shape_of_field_is_said_as_a_person_reads_it() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let lid = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "gearbox lid" }),
    ));
    let bag = id(&ask(
        &mut parent,
        "add_container",
        json!({ "code": "B14", "name": "clips" }),
    ));
    let part = id(&ask(
        &mut parent,
        "add_part",
        json!({
            "name": "selector fork", "assembly": lid, "container": bag, "quantity": 2, "use_once": true,
            "decision": "recondition", "note": "first line\nsecond line", "on": "2031-03-01",
        }),
    ));
    let shown = page(&mut parent, "part", &part);
    let in_order: Vec<&str> = shown["said"]
        .as_array()
        .unwrap()
        .iter()
        .map(|field| field["field"].as_str().unwrap())
        .collect();
    assert_eq!(
        in_order,
        [
            "name",
            "assembly",
            "quantity",
            "decision",
            "container",
            "use_once",
            "note",
            "on"
        ],
        "in the order of the table"
    );
    assert_eq!(field(&shown, "quantity")["label"], "How many");
    for (name, said) in [
        ("assembly", "gearbox lid"),
        ("quantity", "2"),
        ("decision", "recondition"),
        ("container", "B14: clips"),
        ("use_once", "yes"),
        ("note", "first line\nsecond line"),
        ("on", "1 March 2031"),
    ] {
        assert_eq!(words(&shown, name), [said], "{name}");
    }
    let value = |name: &str| field(&shown, name)["values"][0].clone();
    assert_eq!(value("assembly")["name"], json!(format!("assembly:{lid}")));
    assert_eq!(value("container")["name"], json!(format!("container:{bag}")));
    assert_eq!(value("decision")["word"], "recondition");
    assert_eq!(value("on")["day"], "2031-03-01");
    assert_eq!(shown["title"], "selector fork");
    assert_eq!(
        shown["lies"],
        json!({ "words": "B14: clips", "to_seek": false, "asks_old_one": false })
    );
    // Whoever looks where it lies is about to put it in: what can hurt stands there too, as long as it has no end.
    assert_eq!(shown["dangers"], json!([]));
    let about = format!("part:{part}");
    let cracked =
        json!({ "what": "cracked at the root", "about": about, "how_bad": "danger", "on": "2031-03-01" });
    let cracked = id(&ask(&mut parent, "add_finding", cracked));
    ask(
        &mut parent,
        "add_finding",
        json!({ "what": "a burr", "about": about, "how_bad": "mend", "on": "2031-03-01" }),
    );
    let dangers = page(&mut parent, "part", &part)["dangers"].clone();
    assert_eq!(dangers.as_array().unwrap().len(), 1);
    assert_eq!(dangers[0]["name"], json!(format!("finding:{cracked}")));
    let ended = json!({ "id": cracked, "fields": { "ended": "mended:welded and looked at" } });
    ask(&mut parent, "change_finding", ended);
    assert_eq!(page(&mut parent, "part", &part)["dangers"], json!([]));
    assert_eq!(shown["form"]["container"], json!(bag));

    let order = id(&ask(
        &mut parent,
        "add_order",
        json!({ "what": "fork", "part": part, "state": "asked", "price": "1234.50 GBP" }),
    ));
    let shown = page(&mut parent, "order", &order);
    assert_eq!(words(&shown, "price"), ["£1,234.50"]);
    assert_eq!(words(&shown, "state"), ["asked for"]);
    let limit = id(&ask(
        &mut parent,
        "add_limit",
        json!({ "what": "end float", "about": format!("assembly:{lid}"), "low": "12 thou", "high": "0.40 mm" }),
    ));
    let shown = page(&mut parent, "limit", &limit);
    let value = |name: &str| field(&shown, name)["values"][0].clone();
    assert_eq!(
        (&value("low")["words"], &value("low")["exact"]),
        (&json!("12 thou"), &json!("0.3048 mm"))
    );
    assert_eq!(
        (&value("high")["words"], &value("high")["exact"]),
        (&json!("0.40 mm"), &Value::Null)
    );
    assert_eq!(shown["form"]["low"], "12 thou");

    let first = id(&ask(
        &mut parent,
        "add_job",
        json!({ "what": "strip it", "assembly": lid }),
    ));
    let job = id(&ask(
        &mut parent,
        "add_job",
        json!({ "what": "lap it", "assembly": lid, "after": [first], "needs_parts": [part] }),
    ));
    let shown = page(&mut parent, "job", &job);
    assert_eq!(words(&shown, "after"), ["strip it"]);
    assert_eq!(shown["form"]["after"], json!([first]));
    ask(
        &mut parent,
        "change_job",
        json!({ "id": job, "fields": { "after": [] } }),
    );
    let shown = page(&mut parent, "job", &job);
    let said = shown["said"].as_array().unwrap();
    assert!(
        said.iter().all(|field| field["field"] != "after"),
        "an empty set says nothing: {shown}"
    );
    assert_eq!(shown["form"]["after"], json!([]));
    let history = ask(&mut parent, "history", json!({ "kind": "job", "id": job }));
    let taken_out = &history[0]["fields"][0];
    assert_eq!(
        (&taken_out["label"], &taken_out["said"], &taken_out["back"]),
        (&json!("Comes after"), &json!(["no more: strip it"]), &Value::Null)
    );
}

#[test]
fn a_long_history_is_told_from_its_newest_end_and_the_rest_on_asking() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let part = id(&ask(&mut parent, "add_part", json!({ "name": "fork" })));
    for at in 1..=120 {
        let fields = json!({ "id": part, "fields": { "position": format!("place {at}") } });
        ask(&mut parent, "change_part", fields);
    }
    let mut lines = |most: Value| {
        let history = ask(
            &mut parent,
            "history",
            json!({ "kind": "part", "id": part, "most": most }),
        );
        let lines = history.as_array().unwrap().clone();
        let said = |line: &Value| line["fields"][0]["said"][0].clone();
        (lines.len(), said(&lines[0]), said(&lines[lines.len() - 1]))
    };
    assert_eq!(lines(Value::Null), (100, json!("place 120"), json!("place 21")));
    assert_eq!(lines(json!(3)), (3, json!("place 120"), json!("place 118")));
    // With the change that made it.
    assert_eq!(lines(json!(200)).0, 121);
}

#[test]
fn what_two_say_of_a_field_stands_with_their_names_and_a_strike_with_its_reason() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let lid = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "gearbox lid" }),
    ));
    let part = id(&ask(
        &mut parent,
        "add_part",
        json!({ "name": "fork", "assembly": lid }),
    ));
    meet(&mut parent, &mut child);
    ask(
        &mut parent,
        "change_part",
        json!({ "id": part, "fields": { "position": "front" } }),
    );
    ask(
        &mut child,
        "change_part",
        json!({ "id": part, "fields": { "position": "rear" } }),
    );
    meet(&mut parent, &mut child);
    for notebook in [&mut parent, &mut child] {
        let shown = page(notebook, "part", &part);
        let position = field(&shown, "position");
        assert_eq!(position["differs"], true);
        let mut claims: Vec<(&str, &str)> = position["claims"]
            .as_array()
            .unwrap()
            .iter()
            .map(|claim| {
                (
                    claim["words"].as_str().unwrap(),
                    claim["by"]["by"]["name"].as_str().unwrap(),
                )
            })
            .collect();
        assert_eq!(
            claims[0].0,
            words(&shown, "position")[0],
            "what is shown stands first"
        );
        claims.sort_unstable();
        assert_eq!(claims, [("front", "Rosalind"), ("rear", "Wilf")]);
        assert_eq!(field(&shown, "name")["differs"], false);
        assert!(shown["struck"].is_null());
    }
    ask(
        &mut child,
        "strike",
        json!({ "name": format!("part:{part}"), "why": "of the spare engine" }),
    );
    let shown = page(&mut child, "part", &part);
    assert_eq!(shown["struck"]["why"], "of the spare engine");
    assert_eq!(shown["struck"]["by"]["name"], "Wilf");
    let said = shown["said"].as_array().unwrap();
    assert!(said.iter().all(|field| field["field"] != "struck"), "{shown}");
}

#[test]
fn the_core_says_which_cautions_a_page_shows() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let keys = |notes: &Value| -> Vec<String> {
        let notes = notes.as_array().unwrap().iter();
        notes
            .map(|note| note["key"].as_str().unwrap().to_owned())
            .collect()
    };
    let brakes = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "front brakes" }),
    ));
    let about = format!("assembly:{brakes}");
    let finding = id(&ask(
        &mut parent,
        "add_finding",
        json!({ "about": about, "what": "spring cracked", "how_bad": "danger", "on": "2031-03-01" }),
    ));
    let shown = page(&mut parent, "finding", &finding);
    assert_eq!(keys(&shown["cautions"]), ["springs", "brakes", "dust"]);
    assert_eq!(
        keys(&page(&mut parent, "assembly", &brakes)["cautions"]),
        Vec::<String>::new()
    );
    let shown = ask(&mut parent, "assembly", json!({ "id": brakes }));
    assert_eq!(keys(&shown["cautions"]["opening"]), ["brakes", "dust"]);
    assert_eq!(keys(&shown["cautions"]["closing"]), ["springs", "brakes", "dust"]);
    assert_eq!(keys(&shown["cautions"]["closed"]), Vec::<String>::new());
    assert_eq!(
        keys(&shown["findings"][0]["cautions"]),
        ["springs", "brakes", "dust"]
    );
    let why = "the car stands until the new one is here";
    ask(
        &mut parent,
        "close_up",
        json!({ "assembly": brakes, "waive": [{ "about": format!("finding:{finding}"), "check": "finding", "why": why }] }),
    );
    let shown = ask(&mut parent, "assembly", json!({ "id": brakes }));
    assert_eq!(
        keys(&shown["cautions"]["closed"]),
        ["under", "springs", "brakes", "dust"]
    );
    let under = shown["cautions"]["closed"][0]["words"].as_str().unwrap();
    assert_eq!(
        under,
        "It was closed over what can hurt somebody: spring cracked."
    );
}
