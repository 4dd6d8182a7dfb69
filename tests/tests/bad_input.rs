//! Bad input through the program itself: one clear line, the exit code of a refusal, a code under `--json`, and not one
//! byte of the folder changed.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::net::{Ipv4Addr, TcpListener};
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tests::program::{Served, Session, ask, call, refused, run, tree};

fn folder(dir: &Path, name: &str, car: &str) -> PathBuf {
    let at = dir.join(name);
    ask(&at, &["start", "--keeper", "Rosalind", "--car", car]);
    at
}

fn carry_out(at: &Path, file: &Path) -> Vec<u8> {
    ask(at, &["carry", "out", "--open", file.to_str().unwrap()]);
    std::fs::read(file).unwrap()
}

/// A folder with one of most things in it, and their ids by name.
fn furnished(dir: &Path) -> (PathBuf, impl Fn(&str) -> String) {
    let at = folder(dir, "device", "Tern");
    let mut session = Session::at(&at);
    let mut ids = std::collections::BTreeMap::new();
    let mut add = |name: &str, kind: &str, args: Value| {
        let made = session.ask(&format!("add_{kind}"), &args);
        ids.insert(name.to_owned(), made["id"].as_str().unwrap().to_owned());
        made["id"].clone()
    };
    let gearbox = add("gearbox", "assembly", json!({ "name": "Gearbox" }));
    add("case", "assembly", json!({ "name": "Case", "parent": gearbox }));
    let fork = add("fork", "part", json!({ "name": "fork", "assembly": gearbox }));
    add("bent", "part", json!({ "name": "bent one", "assembly": gearbox }));
    add(
        "job",
        "job",
        json!({ "what": "face the fork", "assembly": gearbox, "part": fork }),
    );
    let bag = add("bag", "container", json!({ "code": "B1" }));
    add("bin", "container", json!({ "code": "B2", "inside": bag }));
    let bent = ids["bent"].clone();
    session.ask(
        "strike",
        &json!({ "name": format!("part:{bent}"), "why": "not ours" }),
    );
    session.ask("note", &json!({ "day": "2031-03-01", "text": "Dry." }));
    session.end();
    (at, move |name: &str| ids[name].clone())
}

const UNKNOWN: &str = "0190a6e0-0000-7000-8000-00000000dead";

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn calls_that_do_not_fit() {
    let dir = tempfile::tempdir().unwrap();
    let (at, id) = furnished(dir.path());
    let (gearbox, case, fork, bent, job) = (id("gearbox"), id("case"), id("fork"), id("bent"), id("job"));
    let part = |name: &str| format!("part:{name}");
    let cases = [
        // Not what the command takes.
        ("fly", json!({}), "no_command"),
        ("add_part", json!({ "name": 7 }), "arguments"),
        ("add_part", json!({ "name": ["fork"] }), "arguments"),
        (
            "add_part",
            json!({ "name": "stud", "shape": "round" }),
            "arguments",
        ),
        ("add_part", json!([1, 2]), "arguments"),
        ("add_part", json!("fork"), "arguments"),
        (
            "add_part",
            json!({ "name": "stud", "quantity": 1.5 }),
            "arguments",
        ),
        (
            "add_part",
            json!({ "name": "stud", "quantity": 3_000_000_000_u32 }),
            "arguments",
        ),
        (
            "add_part",
            json!({ "name": "stud", "use_once": "yes" }),
            "arguments",
        ),
        ("add_part", json!({ "name": "stud", "assembly": "" }), "arguments"),
        (
            "add_part",
            json!({ "name": "stud", "assembly": "no id!" }),
            "arguments",
        ),
        (
            "add_part",
            json!({ "name": "stud", "on": "yesterday" }),
            "arguments",
        ),
        ("note", json!({ "day": "2031-02-30", "text": "x" }), "arguments"),
        ("note", json!({ "day": "2031-3-1", "text": "x" }), "arguments"),
        ("note", json!({ "text": "x" }), "arguments"),
        ("day", json!({ "day": 20310301 }), "arguments"),
        ("entry", json!({ "kind": "wheel", "id": UNKNOWN }), "arguments"),
        ("strike", json!({ "name": "fork", "why": "bent" }), "arguments"),
        ("change_part", json!({ "id": fork }), "arguments"),
        (
            "close_up",
            json!({ "assembly": gearbox, "waive": "all" }),
            "arguments",
        ),
        // Something required is not there.
        ("add_part", json!({}), "missing"),
        ("add_part", json!({ "name": "" }), "missing"),
        ("add_part", json!({ "name": "   " }), "missing"),
        ("add_part", json!({ "name": null }), "missing"),
        (
            "add_finding",
            json!({ "what": "scored", "on": "2031-03-01" }),
            "missing",
        ),
        (
            "change_part",
            json!({ "id": fork, "fields": { "name": null } }),
            "missing",
        ),
        ("note", json!({ "day": "2031-03-01", "text": "  \n" }), "missing"),
        ("start_record", json!({ "car": "", "keeper": "Ida" }), "missing"),
        // A value does not fit its field.
        ("add_part", json!({ "name": "two\nlines" }), "misfit"),
        ("add_part", json!({ "name": "x".repeat(2_001) }), "misfit"),
        (
            "add_part",
            json!({ "name": "stud", "decision": "bin_it" }),
            "misfit",
        ),
        (
            "add_part",
            json!({ "name": "stud", "note": "bell \u{7}" }),
            "misfit",
        ),
        (
            "add_finding",
            json!({ "about": format!("job:{job}"), "what": "x", "on": "2031-03-01" }),
            "misfit",
        ),
        (
            "add_reading",
            json!({ "about": part(&fork), "what": "bore", "value": "0.3", "on": "2031-03-01" }),
            "misfit",
        ),
        (
            "add_reading",
            json!({ "about": part(&fork), "what": "bore", "value": "3 oz", "on": "2031-03-01" }),
            "misfit",
        ),
        (
            "add_order",
            json!({ "what": "fork", "price": "ten pounds" }),
            "misfit",
        ),
        (
            "add_photo",
            json!({ "hash": "no hash", "on": "2031-03-01" }),
            "no_photo",
        ),
        (
            "put_hours",
            json!({ "day": "2031-03-01", "hours": "25" }),
            "misfit",
        ),
        (
            "put_hours",
            json!({ "day": "2031-03-01", "hours": "a while" }),
            "misfit",
        ),
        // What it names is not there.
        (
            "add_part",
            json!({ "name": "stud", "assembly": UNKNOWN }),
            "unknown",
        ),
        (
            "add_job",
            json!({ "what": "x", "assembly": gearbox, "after": [UNKNOWN] }),
            "unknown",
        ),
        ("change_part", json!({ "id": UNKNOWN, "fields": {} }), "unknown"),
        ("assembly", json!({ "id": UNKNOWN }), "unknown"),
        ("entry", json!({ "kind": "part", "id": UNKNOWN }), "unknown"),
        ("close_up", json!({ "assembly": UNKNOWN }), "unknown"),
        ("close_up_check", json!({ "assembly": UNKNOWN }), "unknown"),
        ("strike_check", json!({ "name": part(UNKNOWN) }), "unknown"),
        ("strike", json!({ "name": part(UNKNOWN), "why": "x" }), "unknown"),
        ("take_back", json!({ "name": part(UNKNOWN) }), "unknown"),
        (
            "close_up",
            json!({ "assembly": case, "waive": [{ "about": format!("job:{job}"), "why": "x" }] }),
            "unknown",
        ),
        (
            "settle",
            json!({ "point": "none", "choice": "side_1" }),
            "no_such_point",
        ),
        (
            "add_photo",
            json!({ "hash": "0".repeat(64), "on": "2031-03-01" }),
            "no_photo",
        ),
        ("choose_record", json!({ "record": UNKNOWN }), "no_record"),
        (
            "carry_in",
            json!({ "file": dir.path().join("nothing.carry") }),
            "carry_file",
        ),
        ("carry_in", json!({ "file": dir.path() }), "carry_file"),
        // It may not be so.
        (
            "change_assembly",
            json!({ "id": gearbox, "fields": { "state": "closed" } }),
            "only_by_close_up",
        ),
        (
            "change_assembly",
            json!({ "id": gearbox, "fields": { "parent": gearbox } }),
            "circle",
        ),
        (
            "change_assembly",
            json!({ "id": gearbox, "fields": { "parent": case } }),
            "circle",
        ),
        (
            "change_container",
            json!({ "id": id("bag"), "fields": { "inside": id("bin") } }),
            "circle",
        ),
        (
            "change_part",
            json!({ "id": bent, "fields": { "name": "x" } }),
            "struck_out",
        ),
        (
            "strike",
            json!({ "name": part(&bent), "why": "twice" }),
            "struck_out",
        ),
        ("strike", json!({ "name": part(&fork), "why": " " }), "why_wanted"),
        (
            "strike",
            json!({ "name": format!("assembly:{gearbox}"), "why": "sold" }),
            "stands_inside",
        ),
        (
            "strike",
            json!({ "name": format!("assembly:{gearbox}"), "why": "sold", "inside": "burn_it" }),
            "arguments",
        ),
        (
            "strike",
            json!({ "name": format!("assembly:{gearbox}"), "why": "sold", "inside": "move_up" }),
            "nowhere_to_move",
        ),
        (
            "strike",
            json!({ "name": format!("assembly:{gearbox}"), "why": "sold", "inside": "move_up", "into": case }),
            "circle",
        ),
        (
            "clear_struck",
            json!({ "name": format!("assembly:{gearbox}"), "inside": "move_up" }),
            "not_struck_out",
        ),
        (
            "strike",
            json!({ "name": "car:car", "why": "sold" }),
            "cannot_strike",
        ),
        ("take_back", json!({ "name": part(&fork) }), "not_struck_out"),
        ("close_up", json!({ "assembly": gearbox }), "still_open"),
        (
            "close_up",
            json!({ "assembly": gearbox, "waive": [{ "about": format!("job:{job}"), "why": "" }] }),
            "why_wanted",
        ),
        // The bench asks and does not guess.
        (
            "reckon",
            json!({ "name": "ring_gap", "inputs": { "bore": "1,234 mm" } }),
            "bench",
        ),
        ("reckon", json!({ "name": "astrology", "inputs": {} }), "bench"),
    ];
    for (name, args, code) in cases {
        refused(&at, &["call", name, &args.to_string()], code);
    }
    refused(&at, &["call", "car", "{not json"], "arguments");
    refused(&at, &["call", "-", "{}x"], "arguments");
    refused(&at, &["--record", "Dunlin", "call", "car"], "no_record");
    refused(&at, &["reckon", "ring_gap", "bore"], "arguments");
    // What the shell cannot read at all.
    for typed in [
        &["carry", "sideways"][..],
        &["fly"],
        &["digest", "--wings"],
        &["carry", "in"],
        &["serve", "--port", "x"],
        &[],
    ] {
        refused(&at, typed, "arguments");
    }
    let report = ask(&at, &["check"]);
    assert_eq!(report["sound"], true, "{report}");
    // A folder that is not there is not made by asking.
    let nowhere = dir.path().join("nowhere");
    let ran = run(["--at", nowhere.to_str().unwrap(), "digest"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(!nowhere.exists());
}

#[test]
fn a_session_answers_what_it_cannot_read_and_goes_on() {
    let dir = tempfile::tempdir().unwrap();
    let at = folder(dir.path(), "device", "Tern");
    let mut session = Session::at(&at);
    let digest = session.ask("digest", &json!({}));
    for line in [
        "not json",
        "[]",
        "7",
        "{\"name\": 3}",
        "{\"name\":\"fly\"}",
        "\u{0}",
    ] {
        session.send_line(line);
        let answer = session.answer().unwrap();
        assert_eq!(answer["refusal"]["fault"], "input", "{line}: {answer}");
    }
    // Longer than a shell can hand in.
    let long = json!({ "day": "2031-03-01", "before": "", "after": "x".repeat(200_001) });
    session.send("write_sheet", &long);
    let answer = session.answer().unwrap();
    assert_eq!(answer["refusal"]["code"], "misfit", "{answer}");
    assert_eq!(session.ask("digest", &json!({})), digest);
    session.end();
}

#[test]
fn carry_files_at_fault() {
    let dir = tempfile::tempdir().unwrap();
    let parent = folder(dir.path(), "parent", "Tern");
    let child = dir.path().join("child");
    let whole = dir.path().join("whole.carry");
    let good = carry_out(&parent, &whole);
    ask(&child, &["join", whole.to_str().unwrap(), "--keeper", "Wilf"]);
    call(&parent, "add_assembly", &json!({ "name": "gearbox" }));
    let newer = carry_out(&parent, &dir.path().join("newer.carry"));
    let at = |name: &str, bytes: &[u8]| {
        let file = dir.path().join(name);
        std::fs::write(&file, bytes).unwrap();
        file.to_str().unwrap().to_owned()
    };
    let mut cases = vec![
        at("empty.carry", b""),
        at(
            "text.carry",
            b"not a carry file at all, though it is long enough to be one",
        ),
        at("png.carry", b"\x89PNG\r\n\x1a\n and so on"),
        at("short.carry", &newer[..newer.len() / 2]),
        at("long.carry", &[newer.as_slice(), b"more"].concat()),
        dir.path().join("missing.carry").to_str().unwrap().to_owned(),
    ];
    for at_byte in (0..newer.len()).step_by(newer.len() / 40) {
        let mut flipped = newer.clone();
        flipped[at_byte] ^= 0x10;
        cases.push(at(&format!("flipped-{at_byte}.carry"), &flipped));
    }
    for file in &cases {
        refused(&child, &["carry", "in", file], "carry_file");
    }
    // Another car's file is told by that car's name.
    let other = folder(dir.path(), "other", "Dunlin");
    let foreign = dir.path().join("dunlin.carry");
    let _ = carry_out(&other, &foreign);
    let words = refused(
        &child,
        &["carry", "in", foreign.to_str().unwrap()],
        "other_record",
    );
    assert!(words.contains("Dunlin"), "{words}");
    // Joining what is kept already, and joining by a part.
    refused(
        &child,
        &["join", whole.to_str().unwrap(), "--keeper", "Wilf"],
        "record_there",
    );
    let back = dir.path().join("back.carry");
    let _ = carry_out(&child, &back);
    ask(&parent, &["carry", "in", "--welcome", back.to_str().unwrap()]);
    let part = dir.path().join("part.carry");
    ask(
        &parent,
        &["carry", "out", "--open", part.to_str().unwrap(), "--to", "Wilf"],
    );
    let third = folder(dir.path(), "third", "Wren");
    refused(
        &third,
        &["join", part.to_str().unwrap(), "--keeper", "Ida"],
        "not_whole",
    );
    // After all of that the good one still goes in.
    let met = ask(
        &child,
        &["carry", "in", dir.path().join("newer.carry").to_str().unwrap()],
    );
    assert_eq!(met["changes"], 1);
    assert!(!good.is_empty());
}

#[test]
fn a_second_process_is_told_of_the_first() {
    let dir = tempfile::tempdir().unwrap();
    let at = folder(dir.path(), "device", "Tern");
    let told = |id: u32, task: &str| {
        for arguments in [
            &["call", "car"][..],
            &["call", "-"],
            &["serve"],
            &["carry", "out", "--open", "x.carry"],
        ] {
            let words = refused(&at, arguments, "in_use");
            assert!(words.contains(&id.to_string()) && words.contains(task), "{words}");
        }
    };
    let served = Served::at(&at);
    told(served.id(), "witnessmark serve");
    served.kill();
    let mut session = Session::at(&at);
    session.ask("car", &json!({}));
    told(session.id(), "witnessmark call -");
    session.end();
    assert_eq!(call(&at, "car", &json!({}))["name"], "Tern");
}

/// A browser keeps what was typed by address.
#[test]
fn the_pages_are_where_they_were() {
    let dir = tempfile::tempdir().unwrap();
    let at = folder(dir.path(), "device", "Tern");
    let served = Served::at(&at);
    let (port, token) = served.door();
    served.kill();
    let again = Served::at(&at);
    assert_eq!(again.door().0, port);
    assert_ne!(again.door().1, token, "another run, another token");
    again.kill();
    let taken = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).unwrap();
    let elsewhere = Served::at(&at);
    assert_ne!(elsewhere.door().0, port);
    elsewhere.kill();
    drop(taken);
}

#[test]
fn a_newer_programs_folder_is_read_and_left_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let at = folder(dir.path(), "device", "Tern");
    let database = rusqlite::Connection::open(at.join("witnessmark.sqlite")).unwrap();
    let version: u32 = database
        .query_row("PRAGMA user_version", [], |row| row.get(0))
        .unwrap();
    database.pragma_update(None, "user_version", version + 7).unwrap();
    database
        .execute("UPDATE folder SET needs = ?1", [version + 7])
        .unwrap();
    database.pragma_update(None, "journal_mode", "DELETE").unwrap();
    drop(database);
    let before = tree(&at);
    assert_eq!(call(&at, "car", &json!({}))["name"], "Tern", "it is read");
    refused(&at, &["call", "add_part", r#"{"name":"stud"}"#], "newer_folder");
    assert_eq!(tree(&at), before);
}
