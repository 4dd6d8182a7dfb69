//! The notebook over real folders: what a command does, what comes out as a patch, several cars in one folder,
//! meeting by file, and what is refused.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use std::sync::{Arc, Mutex};

use folders::{Counted, ask, carry, id, meet, open, open_keyed, pair, refused};
use notebook::wire::Patch;
use notebook::{Fault, Notebook};
use serde_json::{Value, json};

#[test]
fn a_command_is_on_the_disk_and_comes_out_as_a_patch() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = open(dir.path(), 1);
    ask(
        &mut notebook,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let seen: Arc<Mutex<Vec<Patch>>> = Arc::default();
    let sink = Arc::clone(&seen);
    notebook.watch(move |patch| {
        sink.lock().unwrap().push(patch.clone());
        true
    });
    let gearbox = id(&ask(&mut notebook, "add_assembly", json!({ "name": "gearbox" })));
    let patches = seen.lock().unwrap().clone();
    assert_eq!(patches.len(), 1);
    assert_eq!(patches[0].touched[0].to_string(), format!("assembly:{gearbox}"));
    drop(notebook);
    let mut again = open(dir.path(), 3);
    let page = ask(&mut again, "assembly", json!({ "id": gearbox }));
    assert_eq!(page["name"], "gearbox");
    assert_eq!(page["state"], "fitted");
    assert_eq!(ask(&mut again, "check", json!({}))["sound"], true);
}

#[test]
fn one_folder_keeps_several_cars_apart() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = open(dir.path(), 1);
    let tern = ask(
        &mut notebook,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let dunlin = ask(
        &mut notebook,
        "start_record",
        json!({ "car": "Dunlin", "keeper": "Rosalind" }),
    );
    ask(&mut notebook, "add_assembly", json!({ "name": "sidecar" }));
    let tree = |notebook: &mut Notebook, car: &str| {
        notebook.call(Some(car), "car", json!({})).unwrap()["tree"]
            .as_array()
            .unwrap()
            .len()
    };
    assert_eq!(
        tree(&mut notebook, "Dunlin"),
        1,
        "the car begun last is the one shown"
    );
    assert_eq!(tree(&mut notebook, "tern"), 0);
    assert_eq!(tree(&mut notebook, tern["id"].as_str().unwrap()), 0);
    ask(&mut notebook, "choose_record", json!({ "record": tern["id"] }));
    let lines = ask(&mut notebook, "records", json!({}));
    let current: Vec<&Value> = lines
        .as_array()
        .unwrap()
        .iter()
        .filter(|line| line["current"] == true)
        .collect();
    assert_eq!(current.len(), 1);
    assert_eq!(current[0]["car"], "Tern");
    // A carry file of the other car does not go into this one, whatever is named.
    let file = notebook
        .call(Some("Dunlin"), "carry_out", json!({ "open": true }))
        .unwrap()["file"]
        .clone();
    let refusal = notebook
        .call(Some("Tern"), "carry_in", json!({ "file": file }))
        .unwrap_err();
    assert_eq!(refusal.code, "other_record");
    assert_eq!(
        notebook.call(Some("Wren"), "car", json!({})).unwrap_err().code,
        "no_record"
    );
    assert_ne!(tern["id"], dunlin["id"]);
}

#[test]
fn saved_where_tells_what_nobody_else_has() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let saved = |notebook: &mut Notebook| ask(notebook, "saved", json!({}));
    assert_eq!(saved(&mut parent)["only_here"], 0);
    ask(
        &mut parent,
        "note",
        json!({ "day": "2031-03-01", "text": "Drained the gearbox." }),
    );
    ask(
        &mut parent,
        "note",
        json!({ "day": "2031-03-01", "text": "Brass in the oil." }),
    );
    let before = saved(&mut parent);
    assert_eq!(before["only_here"], 2);
    assert!(before["since"].is_string());
    // Carried out is not yet arrived.
    carry(&mut parent, &mut child);
    assert_eq!(saved(&mut parent)["only_here"], 2);
    carry(&mut child, &mut parent);
    assert_eq!(saved(&mut parent)["only_here"], 0);
    let page = ask(&mut parent, "keepers", json!({}));
    assert_eq!(page["keepers"][1]["devices"][0]["lacks"], 0);
}

#[test]
fn a_carry_file_for_one_device_holds_only_what_it_lacks() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    ask(&mut parent, "add_assembly", json!({ "name": "gearbox" }));
    let page = ask(&mut parent, "keepers", json!({}));
    let to = page["keepers"][1]["devices"][0]["id"].clone();
    let part = ask(&mut parent, "carry_out", json!({ "to": to, "open": true }));
    assert_eq!(part["whole"], false);
    assert_eq!(part["changes"], 1);
    // Nobody joins by a part.
    let mut third = open(&dir.path().join("third"), 9);
    let refusal = refused(
        &mut third,
        "join_record",
        json!({ "file": part["file"], "keeper": "Ida" }),
    );
    assert_eq!(refusal.code, "not_whole");
    assert_eq!(ask(&mut third, "records", json!({})), json!([]));
    let met = ask(&mut child, "carry_in", json!({ "file": part["file"] }));
    assert_eq!(met["changes"], 1);
    assert_eq!(met["news"][0], "Rosalind entered the gearbox");
    assert_eq!(
        ask(&mut child, "carry_in", json!({ "file": part["file"] }))["changes"],
        0
    );
}

#[test]
fn a_second_phone_of_one_keeper_joins_as_theirs() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let file = ask(&mut parent, "carry_out", json!({ "open": true }))["file"].clone();
    let mut tablet = open(&dir.path().join("tablet"), 7);
    let args = json!({ "file": file, "keeper": "rosalind", "device_name": "bench tablet" });
    assert_eq!(ask(&mut tablet, "join_record", args)["keeper_name"], "Rosalind");
    meet(&mut parent, &mut tablet);
    let page = ask(&mut parent, "keepers", json!({}));
    assert_eq!(page["keepers"].as_array().unwrap().len(), 2);
    let names: Vec<&Value> = page["keepers"][0]["devices"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| &d["name"])
        .collect();
    assert_eq!(names, ["Rosalind's device", "bench tablet"]);
    assert_eq!(page["keepers"][0]["pattern"], "plain");
    assert_eq!(page["keepers"][1]["pattern"], "dashed");
}

#[test]
fn closed_over_a_job_comes_up_on_both_and_is_settled_on_both() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let gearbox = id(&ask(&mut parent, "add_assembly", json!({ "name": "gearbox" })));
    meet(&mut parent, &mut child);
    ask(&mut parent, "close_up", json!({ "assembly": gearbox }));
    ask(
        &mut child,
        "add_job",
        json!({ "what": "look at second gear", "assembly": gearbox }),
    );
    meet(&mut parent, &mut child);
    let points = ask(&mut parent, "points", json!({}));
    assert_eq!(points, ask(&mut child, "points", json!({})));
    assert_eq!(points[0]["rule"], "closed_over_job");
    assert_eq!(points[0]["sides"][0]["knew_other"], false);
    assert_eq!(points[0]["sides"][0]["by"]["name"], "Rosalind");
    assert_eq!(points[0]["sides"][1]["by"]["name"], "Wilf");
    ask(
        &mut child,
        "settle",
        json!({ "point": points[0]["id"], "choice": "reopen" }),
    );
    meet(&mut parent, &mut child);
    assert_eq!(ask(&mut parent, "points", json!({})), json!([]));
    let refusal = refused(&mut parent, "close_up", json!({ "assembly": gearbox }));
    assert_eq!(refusal.code, "still_open");
    assert_eq!(refusal.args["blockers"][0]["title"], "look at second gear");
}

#[test]
fn a_photo_is_kept_whole_and_travels() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let mut bytes = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_fn(900, 600, |x, y| {
        image::Rgb([(x % 256) as u8, (y % 256) as u8, 90])
    });
    image::DynamicImage::from(picture)
        .write_to(&mut bytes, image::ImageFormat::Png)
        .unwrap();
    let bytes = bytes.into_inner();
    let taken = parent.take_photo(&bytes).unwrap();
    assert_eq!(taken.hash, blake3::hash(&bytes).to_hex().to_string());
    assert_eq!((taken.width, taken.height), (900, 600));
    ask(
        &mut parent,
        "add_photo",
        json!({ "hash": taken.hash, "on": "2031-03-01", "caption": "numbers on the caps" }),
    );
    meet(&mut parent, &mut child);
    let (mime, there) = child.photo(&taken.hash, notebook::PhotoSize::Original).unwrap();
    assert_eq!((mime.as_str(), there), ("image/png", bytes));
    let (_, thumb) = child.photo(&taken.hash, notebook::PhotoSize::Thumb).unwrap();
    assert_eq!(image::load_from_memory(&thumb).unwrap().width(), 480);
    let page = ask(&mut child, "day", json!({ "day": "2031-03-01" }));
    assert_eq!(page["sheets"][1]["entries"][0]["photo"]["here"], true);

    let refusal = parent
        .take_photo(b"<svg xmlns='http://www.w3.org/2000/svg'/>")
        .unwrap_err();
    assert_eq!((refusal.code.as_str(), refusal.fault), ("no_photo", Fault::Input));
    let cut = &child.photo(&taken.hash, notebook::PhotoSize::Original).unwrap().1[..400];
    assert_eq!(parent.take_photo(cut).unwrap_err().code, "no_photo");
    let none = json!({ "hash": "0".repeat(64), "on": "2031-03-01" });
    assert_eq!(refused(&mut parent, "add_photo", none).code, "no_photo");
}

#[test]
fn what_is_refused_changes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let before = ask(&mut parent, "digest", json!({}));
    let cases = [
        ("add_part", json!({}), "missing"),
        (
            "add_part",
            json!({ "name": "stud", "assembly": "0190a6e0-0000-7000-8000-00000000dead" }),
            "unknown",
        ),
        (
            "add_part",
            json!({ "name": "stud", "colour": "red" }),
            "arguments",
        ),
        ("add_part", json!({ "name": 7 }), "arguments"),
        (
            "add_part",
            json!({ "name": "stud", "decision": "bin_it" }),
            "misfit",
        ),
        (
            "add_reading",
            json!({ "what": "bore", "about": "shoe:1", "value": "3 in", "on": "2031-03-01" }),
            "arguments",
        ),
        (
            "add_order",
            json!({ "what": "gasket", "price": "a lot" }),
            "misfit",
        ),
        ("note", json!({ "day": "2031-02-30", "text": "x" }), "arguments"),
        ("note", json!({ "day": "2031-02-03", "text": "  " }), "missing"),
        (
            "put_hours",
            json!({ "day": "2031-02-03", "hours": "25" }),
            "misfit",
        ),
        (
            "strike",
            json!({ "name": "car:car", "why": "sold" }),
            "cannot_strike",
        ),
        ("close_up", json!({ "assembly": "nothing" }), "unknown"),
        ("settle", json!({ "point": "x", "choice": "y" }), "no_such_point"),
        (
            "carry_in",
            json!({ "file": "/nowhere/at/all.carry" }),
            "carry_file",
        ),
        ("fly", json!({}), "no_command"),
    ];
    for (name, args, code) in cases {
        let refusal = refused(&mut parent, name, args.clone());
        assert_eq!(refusal.code, code, "{name} {args}: {}", refusal.words);
        assert_eq!(refusal.fault, Fault::Input);
        assert!(
            !refusal.words.is_empty() && !refusal.words.contains('\n'),
            "{}",
            refusal.words
        );
        assert_eq!(ask(&mut parent, "digest", json!({})), before, "{name} {args}");
    }
}

#[test]
fn history_reads_back_every_value() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let part = id(&ask(
        &mut parent,
        "add_part",
        json!({ "name": "crankshaft", "position": "front" }),
    ));
    meet(&mut parent, &mut child);
    ask(
        &mut child,
        "change_part",
        json!({ "id": part, "fields": { "position": "rear", "number": null } }),
    );
    ask(
        &mut child,
        "strike",
        json!({ "name": format!("part:{part}"), "why": "of the spare engine" }),
    );
    meet(&mut parent, &mut child);
    let history = ask(&mut parent, "history", json!({ "kind": "part", "id": part }));
    let said: Vec<(&str, &str)> = history
        .as_array()
        .unwrap()
        .iter()
        .map(|line| {
            (
                line["by"]["name"].as_str().unwrap(),
                line["message"].as_str().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            ("Wilf", "Struck out part 'crankshaft, rear'"),
            ("Wilf", "Changed position, number of part 'crankshaft, front'"),
            ("Rosalind", "Added part 'crankshaft'"),
        ]
    );
    let position = &history[1]["fields"][0];
    assert_eq!(
        (
            &position["field"],
            &position["label"],
            &position["values"],
            &position["said"]
        ),
        (
            &json!("position"),
            &json!("Position"),
            &json!(["rear"]),
            &json!(["rear"])
        )
    );
    let at_first = history[2]["fields"].as_array().unwrap();
    let front = at_first.iter().find(|then| then["field"] == "position").unwrap();
    assert_eq!(front["values"], json!(["front"]));
    // It can stand again, as a form would put it.
    assert_eq!(front["back"], json!({ "value": "front" }));
}

#[test]
fn a_search_knows_what_the_other_side_calls_it() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    ask(
        &mut parent,
        "add_part",
        json!({ "name": "gudgeon pin", "position": "cylinder 2" }),
    );
    ask(
        &mut parent,
        "add_part",
        json!({ "name": "core plug", "position": "rear" }),
    );
    for (text, title) in [
        ("wrist pin", "gudgeon pin, cylinder 2"),
        ("freeze plugs rear", "core plug, rear"),
        ("gudg", "gudgeon pin, cylinder 2"),
        // A slip of the fingers.
        ("gudgoen", "gudgeon pin, cylinder 2"),
    ] {
        let hits = ask(&mut parent, "search", json!({ "text": text }));
        assert_eq!(hits[0]["what"]["title"], title, "{text}: {hits}");
    }
    assert_eq!(
        ask(&mut parent, "search", json!({ "text": "\"AND ( *" })),
        json!([])
    );
    assert!(
        ask(&mut parent, "explain", json!({ "word": "Wrist Pin" }))[0]["means"]
            .as_str()
            .unwrap()
            .contains("piston")
    );
}

#[test]
fn a_long_log_becomes_a_snapshot_and_reads_the_same() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    for number in 0..2_100 {
        ask(
            &mut parent,
            "note",
            json!({ "day": format!("2031-03-{:02}", 1 + number / 100), "text": format!("line {number}") }),
        );
    }
    let digest = ask(&mut parent, "digest", json!({}));
    drop(parent);
    let mut parent = open(&dir.path().join("parent"), 5);
    assert_eq!(ask(&mut parent, "digest", json!({})), digest);
    let report = ask(&mut parent, "check", json!({}));
    assert_eq!(report["sound"], true, "{report}");
    assert_eq!(ask(&mut parent, "rebuild", json!({}))["changed"], false);
    meet(&mut parent, &mut child);
    let day = ask(&mut child, "day", json!({ "day": "2031-03-21" }));
    let text = day["sheets"][1]["text"].as_str().unwrap();
    assert_eq!(text.lines().collect::<Vec<_>>().last(), Some(&"line 2099"));
    assert_eq!(text.lines().count(), 100);
}

#[test]
fn two_processes_do_not_write_one_folder() {
    let dir = tempfile::tempdir().unwrap();
    let first = open(dir.path(), 1);
    let source = Box::new(Counted { seconds: 0, count: 0 });
    let refusal = folders::opened(dir.path(), source).unwrap_err();
    assert!(
        refusal.words.contains("a test") && refusal.words.contains(&std::process::id().to_string()),
        "{}",
        refusal.words
    );
    drop(first);
}

#[test]
fn the_registry_names_each_thing_once_and_describes_it() {
    let all = notebook::registry();
    let names: std::collections::BTreeSet<&str> = all.iter().map(|command| command.name).collect();
    assert_eq!(names.len(), all.len());
    for command in all {
        assert!(command.says.ends_with('.'), "{}", command.name);
        let args = command.args_schema();
        assert!(
            args["type"] == "object" || args["$ref"].is_string(),
            "{}: {args}",
            command.name
        );
        assert!(command.reply_schema().is_object(), "{}", command.name);
        assert!(
            notebook::typescript().contains(&format!("\n  {}: {{ args: ", command.name)),
            "{}",
            command.name
        );
    }
}

#[test]
fn no_part_is_there_minus_five_times_and_no_name_is_of_nothing_to_see() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = open(dir.path(), 1);
    ask(
        &mut notebook,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    for number in [-5, 0] {
        let part = json!({ "name": "split pin", "quantity": number });
        let refusal = refused(&mut notebook, "add_part", part);
        assert_eq!(refusal.code, "misfit", "{refusal}");
        assert!(refusal.words.contains("one or more"), "{refusal}");
    }
    let pin = id(&ask(
        &mut notebook,
        "add_part",
        json!({ "name": "split pin", "quantity": 1 }),
    ));
    let fields = json!({ "id": pin, "fields": { "quantity": -1 } });
    assert_eq!(refused(&mut notebook, "change_part", fields).code, "misfit");
    for unseen in ["\u{200b}", " \u{2060}\u{202e} ", "\u{feff}"] {
        let refusal = refused(&mut notebook, "add_part", json!({ "name": unseen }));
        assert_eq!(refusal.code, "missing", "{unseen:?}: {refusal}");
        let fields = json!({ "id": pin, "fields": { "name": unseen } });
        assert_eq!(refused(&mut notebook, "change_part", fields).code, "missing");
    }
}

#[test]
fn a_key_that_cannot_be_read_is_not_taken_for_a_key_with_which_nothing_is_wrong() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = open_keyed(dir.path(), 1);
    ask(
        &mut notebook,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    drop(notebook);
    let key = dir.path().join("device.key");
    assert!(key.is_file());
    std::fs::remove_file(&key).unwrap();
    std::fs::create_dir(&key).unwrap();
    let mut notebook = open_keyed(dir.path(), 2);
    let report = ask(&mut notebook, "check", json!({}));
    let says = report["found"].as_array().unwrap().iter().find_map(|line| {
        let of_key = line["code"] == "device_key" && line["broken"] == true;
        of_key.then(|| line["says"].as_str().unwrap().to_owned())
    });
    assert!(says.unwrap().contains("cannot be read"), "{report}");
    let refusal = refused(&mut notebook, "folder", json!({}));
    assert_ne!(refusal.code, "", "{refusal:?}");
}
