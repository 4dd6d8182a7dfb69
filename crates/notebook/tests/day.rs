//! What a day tells: deeds, under whoever did them, when they did them. Who entered a thing, and when, is its history.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod folders;

use folders::{ask, id, meet, open_at, pair, refused};
use notebook::Notebook;
use record::Moment;
use serde_json::{Value, json};

const MARCH: i64 = 1_900_000_000;
const DAY: i64 = 86_400;

fn date(seconds: i64) -> String {
    Moment::from_seconds(seconds).to_string()[..10].to_owned()
}

/// What a keeper's sheet of a day tells: what was done and to what.
fn told(notebook: &mut Notebook, day: &str, keeper: &str) -> Vec<String> {
    let page = ask(notebook, "day", json!({ "day": day }));
    let sheets = page["sheets"].as_array().unwrap();
    let sheet = sheets.iter().find(|sheet| sheet["name"] == keeper);
    let entries = sheet.map_or(&Value::Null, |sheet| &sheet["entries"]);
    let line = |entry: &Value| {
        let text = |key: &str| entry[key].as_str().unwrap().to_owned();
        format!("{}: {}", text("did"), text("title"))
    };
    entries.as_array().into_iter().flatten().map(line).collect()
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn what_one_entered_and_the_other_did_later_stands_on_that_day_under_whoever_did_it() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let entered = date(MARCH);
    let head = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "cylinder head" }),
    ));
    let job = json!({ "what": "lap the valves", "assembly": head, "on": entered });
    let job = id(&ask(&mut parent, "add_job", job));
    let hold = json!({ "what": "thirteen nuts on the bench", "assembly": head, "how": "counted" });
    let hold = id(&ask(&mut parent, "add_hold_point", hold));
    let order = json!({ "what": "head gasket", "on": entered });
    let order = id(&ask(&mut parent, "add_order", order));
    meet(&mut parent, &mut child);
    drop(child);

    let later = MARCH + 40 * DAY;
    let day = date(later);
    let mut child = open_at(&dir.path().join("child"), 3, later);
    let state = |id: &str, state: &str| json!({ "id": id, "fields": { "state": state } });
    ask(&mut child, "change_assembly", state(&head, "apart"));
    ask(&mut child, "change_job", state(&job, "done"));
    ask(
        &mut child,
        "change_hold_point",
        json!({ "id": hold, "fields": { "state": "met", "met_how": "13" } }),
    );
    ask(&mut child, "change_order", state(&order, "in"));
    meet(&mut parent, &mut child);
    drop(parent);
    // Much later the parent closes it, and nothing of what the child did goes with that.
    let last = MARCH + 90 * DAY;
    let mut parent = open_at(&dir.path().join("parent"), 4, last);
    let together = json!([{ "about": format!("assembly:{head}"), "why": "put together, and not said so" }]);
    ask(
        &mut parent,
        "close_up",
        json!({ "assembly": head, "waive": together }),
    );
    meet(&mut parent, &mut child);

    for notebook in [&mut parent, &mut child] {
        assert_eq!(told(notebook, &day, "Rosalind"), Vec::<String>::new());
        assert_eq!(
            told(notebook, &day, "Wilf"),
            [
                "Taken apart: cylinder head",
                "Job done: lap the valves",
                "Hold point met: thirteen nuts on the bench",
                "Come in: head gasket"
            ]
        );
        assert_eq!(
            told(notebook, &entered, "Rosalind"),
            ["Job to do: lap the valves", "To find: head gasket"]
        );
        assert_eq!(
            told(notebook, &date(last), "Rosalind"),
            ["Closed up: cylinder head"]
        );
        // Inside the assembly it is the same: who did it, not who entered it.
        let page = ask(notebook, "assembly", json!({ "id": head }));
        let by = |line: &Value| -> Vec<String> {
            let all = line["state_by"].as_array().unwrap().iter();
            all.map(|by| by["name"].as_str().unwrap().to_owned()).collect()
        };
        assert_eq!(by(&page), ["Rosalind"]);
        assert_eq!(
            (by(&page["jobs"][0]), by(&page["holds"][0])),
            (vec!["Wilf".to_owned()], vec!["Wilf".to_owned()])
        );
        let page = ask(notebook, "day", json!({ "day": day }));
        let marked: Vec<(&str, &str)> = page["days"]
            .as_array()
            .unwrap()
            .iter()
            .map(|mark| (mark["day"].as_str().unwrap(), mark["names"][0].as_str().unwrap()))
            .collect();
        assert_eq!(
            marked,
            [
                (date(last).as_str(), "Rosalind"),
                (day.as_str(), "Wilf"),
                (entered.as_str(), "Rosalind")
            ]
        );
        let sheets = page["sheets"].as_array().unwrap();
        let met = sheets
            .iter()
            .flat_map(|sheet| sheet["entries"].as_array().unwrap())
            .find(|entry| entry["did"] == "Hold point met");
        assert_eq!(met.unwrap()["word"], "13");
    }
}

#[test]
fn what_was_entered_and_done_in_one_day_is_one_line_and_many_alike_are_one() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let day = date(MARCH);
    let head = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "cylinder head" }),
    ));
    let job = json!({ "what": "draw the studs", "assembly": head, "on": day });
    let job = id(&ask(&mut parent, "add_job", job));
    let bag = id(&ask(&mut parent, "add_container", json!({ "code": "B14" })));
    for state in ["off", "apart"] {
        let fields = json!({ "id": head, "fields": { "state": state } });
        ask(&mut parent, "change_assembly", fields);
    }
    for number in 1..=12 {
        let stud = json!({ "name": format!("stud {number}"), "assembly": head, "container": bag, "on": day });
        ask(&mut parent, "add_part", stud);
    }
    let pin = json!({ "name": "pin", "assembly": head, "container": bag });
    let pin = id(&ask(&mut parent, "add_part", pin));
    ask(
        &mut parent,
        "change_part",
        json!({ "id": pin, "fields": { "container": null } }),
    );
    for state in ["done", "open", "done"] {
        ask(
            &mut parent,
            "change_job",
            json!({ "id": job, "fields": { "state": state } }),
        );
    }
    assert_eq!(
        told(&mut parent, &day, "Rosalind"),
        [
            "Taken off, taken apart: cylinder head",
            "Part, into B14: 12 parts",
            "Out of B14: pin",
            "Job done: draw the studs"
        ]
    );
    let page = ask(&mut parent, "day", json!({ "day": day }));
    let many = &page["sheets"][0]["entries"][1]["many"];
    assert_eq!(many.as_array().unwrap().len(), 12);
    assert_eq!(many[11]["title"], "stud 12");
}

#[test]
fn two_who_did_the_same_apart_are_both_named_and_neither_has_the_others_deed() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let day = date(MARCH);
    let head = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "cylinder head" }),
    ));
    let other = id(&ask(&mut parent, "add_assembly", json!({ "name": "gearbox" })));
    meet(&mut parent, &mut child);
    for one in [&mut parent, &mut child] {
        let fields = json!({ "id": head, "fields": { "state": "off" } });
        ask(one, "change_assembly", fields);
    }
    for (one, state) in [(&mut parent, "off"), (&mut child, "apart")] {
        let fields = json!({ "id": other, "fields": { "state": state } });
        ask(one, "change_assembly", fields);
    }
    meet(&mut parent, &mut child);
    assert_eq!(
        told(&mut parent, &day, "Rosalind"),
        ["Taken off: cylinder head", "Taken off: gearbox"]
    );
    assert_eq!(
        told(&mut parent, &day, "Wilf"),
        ["Taken off: cylinder head", "Taken apart: gearbox"]
    );
    let page = ask(&mut parent, "day", json!({ "day": day }));
    let line = |sheet: usize, entry: usize| page["sheets"][sheet]["entries"][entry].clone();
    assert_eq!(line(0, 0)["also"], json!(["Wilf"]));
    assert_eq!(line(1, 0)["also"], json!(["Rosalind"]));
    assert_eq!(line(0, 1)["also"], json!([]));
    assert_eq!(
        (&line(0, 0)["asks"], &line(0, 1)["asks"]),
        (&json!(false), &json!(true))
    );

    // Which of the two holds is said by one of them; the deed stays whose it was.
    let point = ask(&mut parent, "points", json!({}))[0].clone();
    let side = point["sides"]
        .as_array()
        .unwrap()
        .iter()
        .find(|side| side["value"] == "apart");
    let choice = side.unwrap()["key"].clone();
    ask(
        &mut parent,
        "settle",
        json!({ "point": point["id"], "choice": choice }),
    );
    assert_eq!(
        told(&mut parent, &day, "Rosalind"),
        [
            "Taken off: cylinder head",
            "Taken off: gearbox",
            "Settled: gearbox"
        ]
    );
    let page = ask(&mut parent, "day", json!({ "day": day }));
    let settled = page["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|sheet| sheet["entries"].as_array().unwrap())
        .find(|entry| entry["did"] == "Settled");
    assert_eq!(settled.unwrap()["word"], "State: apart");
    assert_eq!(
        told(&mut parent, &day, "Wilf"),
        ["Taken off: cylinder head", "Taken apart: gearbox"]
    );
    let mut by = |id: &str| -> Vec<Value> {
        let page = ask(&mut parent, "assembly", json!({ "id": id }));
        let all = page["state_by"].as_array().unwrap().iter();
        all.map(|by| by["name"].clone()).collect()
    };
    let mut both = by(&head);
    both.sort_by_key(Value::to_string);
    assert_eq!(both, ["Rosalind", "Wilf"]);
    assert_eq!(by(&other), ["Wilf"]);
}

#[test]
fn an_evening_is_the_keepers_own_wherever_that_is() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, _) = pair(dir.path());
    drop(parent);
    // Twenty past eight in the evening, eight hours behind UTC: in UTC it is tomorrow.
    let evening = MARCH - MARCH.rem_euclid(DAY) + DAY + 4 * 3600 + 20 * 60;
    let mut parent = open_at(&dir.path().join("parent"), 5, evening);
    let head = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "cylinder head" }),
    ));
    let fields = json!({ "id": head, "fields": { "state": "off" } });
    ask(&mut parent, "change_assembly", fields);
    let lines = |parent: &mut Notebook, day: i64, east: i32| {
        let page = ask(parent, "day", json!({ "day": date(day), "minutes_east": east }));
        let newest = page["days"][0]["day"].as_str().unwrap().to_owned();
        (page["sheets"][0]["entries"].as_array().unwrap().len(), newest)
    };
    assert_eq!(lines(&mut parent, MARCH, -480), (1, date(MARCH)));
    assert_eq!(lines(&mut parent, MARCH + DAY, -480), (0, date(MARCH)));
    assert_eq!(lines(&mut parent, MARCH, 60), (0, date(MARCH + DAY)));
    assert_eq!(lines(&mut parent, MARCH + DAY, 60), (1, date(MARCH + DAY)));
    let refusal = refused(&mut parent, "day", json!({ "day": "2030-02-30" }));
    assert_eq!(refusal.code, "arguments");
}

#[test]
fn a_count_that_is_short_is_told_as_one_and_what_is_put_together_was_not_taken_off() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let day = date(MARCH);
    let head = id(&ask(
        &mut parent,
        "add_assembly",
        json!({ "name": "cylinder head" }),
    ));
    let hold = json!({ "what": "dowels", "assembly": head, "how": "counted", "wanted": 2 });
    let hold = id(&ask(&mut parent, "add_hold_point", hold));
    let fields =
        json!({ "state": "open", "met_by": "counted:1", "met_how": "one is in the block still", "on": day });
    ask(
        &mut parent,
        "change_hold_point",
        json!({ "id": hold, "fields": fields }),
    );
    for state in ["apart", "off"] {
        ask(
            &mut parent,
            "change_assembly",
            json!({ "id": head, "fields": { "state": state } }),
        );
    }
    let page = ask(&mut parent, "day", json!({ "day": day }));
    let entries = page["sheets"][0]["entries"].as_array().unwrap().clone();
    let line = |did: &str| {
        entries
            .iter()
            .find(|entry| entry["did"].as_str().unwrap().starts_with(did))
            .cloned()
    };
    assert_eq!(
        line("Counted 1, and not met").unwrap()["word"],
        "1 counted, 2 are wanted: one is in the block still"
    );
    let all: Vec<&str> = entries
        .iter()
        .map(|entry| entry["did"].as_str().unwrap())
        .collect();
    assert!(
        all.iter()
            .any(|did| did.to_lowercase().contains("off in one piece")),
        "{all:?}"
    );
    assert!(
        !all.iter().any(|did| did.to_lowercase().contains("taken off")),
        "{all:?}"
    );
    let page = ask(&mut parent, "assembly", json!({ "id": head }));
    let shown = &page["holds"][0];
    assert_eq!((&shown["state"], &shown["counted"]), (&json!("open"), &json!(1)));
}

/// A line of a day: what was done, to what, one more word, and what reads otherwise now.
type Line = (String, String, Option<String>, Option<String>);

fn lines(notebook: &mut Notebook, day: &str, keeper: &str) -> Vec<Line> {
    let page = ask(notebook, "day", json!({ "day": day }));
    let sheets = page["sheets"].as_array().unwrap();
    let sheet = sheets.iter().find(|sheet| sheet["name"] == keeper);
    let entries = sheet.map_or(&Value::Null, |sheet| &sheet["entries"]);
    let text = |value: &Value| value.as_str().map(str::to_owned);
    let line = |entry: &Value| {
        let must = |key: &str| text(&entry[key]).unwrap();
        (
            must("did"),
            must("title"),
            text(&entry["word"]),
            text(&entry["now"]),
        )
    };
    entries.as_array().into_iter().flatten().map(line).collect()
}

fn line(did: &str, title: &str, word: Option<&str>, now: Option<&str>) -> Line {
    let own = |text: &str| text.to_owned();
    (own(did), own(title), word.map(own), now.map(own))
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn a_day_says_what_was_said_then_and_beside_it_what_reads_otherwise_now() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let day = date(MARCH);
    let assembly = id(&ask(&mut parent, "add_assembly", json!({ "name": "brakes" })));
    let about = format!("assembly:{assembly}");
    let finding =
        json!({ "about": about, "what": "hose cracked to the cords", "how_bad": "mend", "on": day });
    let finding = id(&ask(&mut parent, "add_finding", finding));
    // Worded anew by whoever said it, the same evening: that is what they said.
    let own = json!({ "id": finding, "fields": { "what": "front hose cracked to the cords" } });
    ask(&mut parent, "change_finding", own);
    ask(
        &mut parent,
        "add_finding",
        json!({ "about": about, "what": "pipe dry", "on": day }),
    );
    let reading = json!({ "about": about, "what": "disc", "value": "9.8 mm", "on": day });
    let reading = id(&ask(&mut parent, "add_reading", reading));
    let bag = id(&ask(&mut parent, "add_container", json!({ "code": "B33" })));
    let part = json!({ "name": "yoke bolt", "assembly": assembly, "container": bag, "on": day });
    ask(&mut parent, "add_part", part);
    let job = json!({ "what": "turn the discs", "assembly": assembly, "on": day });
    let job = id(&ask(&mut parent, "add_job", job));
    let hold = json!({ "what": "four clips on the bench", "assembly": assembly, "how": "seen" });
    let hold = id(&ask(&mut parent, "add_hold_point", hold));
    meet(&mut parent, &mut child);
    drop((parent, child));

    // The other does two of them, having worded one otherwise, and what was found and measured.
    let then = MARCH + 2 * DAY;
    let mut child = open_at(&dir.path().join("child"), 3, then);
    let change = |id: &str, fields: Value| json!({ "id": id, "fields": fields });
    ask(
        &mut child,
        "change_finding",
        change(&finding, json!({ "what": "hose weathered", "how_bad": "watch" })),
    );
    ask(
        &mut child,
        "change_reading",
        change(&reading, json!({ "value": "9.4 mm" })),
    );
    ask(
        &mut child,
        "change_container",
        change(&bag, json!({ "code": "B34" })),
    );
    ask(
        &mut child,
        "change_job",
        change(&job, json!({ "what": "have the discs turned" })),
    );
    ask(
        &mut child,
        "change_job",
        change(&job, json!({ "state": "done", "outcome": "at the shop" })),
    );
    ask(
        &mut child,
        "change_hold_point",
        change(
            &hold,
            json!({ "state": "met", "met_how": "four, in the tin", "on": date(then) }),
        ),
    );
    let mut parent = open_at(&dir.path().join("parent"), 4, then);
    meet(&mut parent, &mut child);
    drop(parent);
    // Much later it is worded once more, and is opened again.
    let last = MARCH + 30 * DAY;
    let mut parent = open_at(&dir.path().join("parent"), 5, last);
    ask(
        &mut parent,
        "change_job",
        change(&job, json!({ "what": "discs: turned" })),
    );
    ask(
        &mut parent,
        "change_hold_point",
        change(&hold, json!({ "state": "open" })),
    );
    drop(child);
    let mut child = open_at(&dir.path().join("child"), 7, last);
    meet(&mut parent, &mut child);

    for notebook in [&mut parent, &mut child] {
        assert_eq!(
            lines(notebook, &day, "Rosalind"),
            [
                line(
                    "Finding",
                    "front hose cracked to the cords",
                    Some("mend"),
                    Some("hose weathered · watch it")
                ),
                line("Finding", "pipe dry", Some(""), None),
                line("Reading", "disc", Some("9.8 mm"), Some("9.4 mm")),
                line("Part, into B33 (now B34)", "yoke bolt", None, None),
                line("Job to do", "turn the discs", None, Some("discs: turned")),
            ]
        );
        assert_eq!(
            lines(notebook, &date(then), "Wilf"),
            [
                line(
                    "Job done",
                    "have the discs turned",
                    Some("at the shop"),
                    Some("discs: turned")
                ),
                line(
                    "Hold point met",
                    "four clips on the bench",
                    Some("four, in the tin"),
                    None
                ),
            ]
        );
        // What was seen before is evidence of then: the list says so, and so does its own page.
        let page = ask(notebook, "assembly", json!({ "id": assembly }));
        let open = &page["holds"][0];
        assert_eq!(open["met_how"], Value::Null);
        assert_eq!(open["seen_before"]["words"], "four, in the tin");
        assert_eq!(open["seen_before"]["on"], date(then).as_str());
        assert_eq!(open["seen_before"]["by"]["name"], "Wilf");
        let page = ask(notebook, "entry", json!({ "kind": "hold_point", "id": hold }));
        let labels: Vec<&str> = page["said"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(|said| said["label"].as_str())
            .collect();
        assert!(
            labels.contains(&"What was seen before it was open again"),
            "{labels:?}"
        );
        assert!(!labels.contains(&"What was seen"), "{labels:?}");
    }
}
