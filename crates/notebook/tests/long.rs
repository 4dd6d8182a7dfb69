//! Long work, stepped by hand with edits between the steps: what it reads is of one moment or it begins again, and stopped
//! half-way it leaves nothing.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use std::path::Path;

use folders::{Counted, ask, open_keyed};
use notebook::{Long, Next, Notebook, Refusal};
use serde_json::{Value, json};

fn note(notebook: &mut Notebook, text: &str) {
    ask(notebook, "note", json!({ "day": "2031-04-02", "text": text }));
}

/// A folder with a car and some entries.
fn begun(dir: &Path) -> Notebook {
    let mut notebook = open_keyed(dir, 1);
    begin(&mut notebook);
    notebook
}

fn begin(notebook: &mut Notebook) {
    let start = json!({ "car": "Tern", "keeper": "Rosalind" });
    ask(notebook, "start_record", start);
    for number in 0..12 {
        let assembly = json!({ "name": format!("Assembly {number}") });
        ask(notebook, "add_assembly", assembly);
    }
    note(notebook, "Drained the gearbox.");
}

fn long(notebook: &mut Notebook, name: &str, args: Value) -> Long {
    notebook.long(None, name, &args).unwrap().unwrap()
}

/// One step over so many rows; whether there is more.
fn step(notebook: &mut Notebook, long: &mut Long, rows: u32) -> Result<bool, Refusal> {
    match long.next() {
        Next::Turn => long.turn(notebook, rows)?,
        Next::Beside => long.beside(rows)?,
        Next::Nothing => return Ok(false),
    }
    Ok(true)
}

/// To its end, with something else done before each step; what came of it and how many steps it took.
fn through(
    notebook: &mut Notebook,
    mut long: Long,
    rows: u32,
    mut between: impl FnMut(&mut Notebook, u32),
) -> (Value, u32) {
    let mut steps = 0;
    loop {
        between(notebook, steps);
        if !step(notebook, &mut long, rows).unwrap() {
            break;
        }
        steps += 1;
        assert!(steps < 10_000, "it comes to no end");
    }
    notebook.long_is_over(long.number());
    (long.answer().unwrap(), steps)
}

fn digest(notebook: &mut Notebook) -> String {
    ask(notebook, "digest", json!({}))["digest"]
        .as_str()
        .unwrap()
        .to_owned()
}

fn files_in(dir: &Path) -> Vec<String> {
    let list = std::fs::read_dir(dir).unwrap();
    list.map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

#[test]
fn a_check_reads_of_one_moment_whatever_is_written_between_its_steps() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = begun(dir.path());
    let whole = ask(&mut notebook, "check", json!({}));
    let check = long(&mut notebook, "check", json!({}));
    let (report, steps) = through(&mut notebook, check, 1, |notebook, step| {
        note(notebook, &format!("Between {step}."));
    });
    assert!(steps > 40, "{steps} steps");
    assert_eq!(report, whole);
    assert_eq!(report["sound"], true);
    // And what was written meanwhile is sound as well.
    assert_eq!(ask(&mut notebook, "check", json!({})), whole);
}

#[test]
fn where_no_reader_can_be_lent_a_check_begins_again_when_something_was_written() {
    let source = Counted {
        seconds: 1_930_000_000,
        count: 0,
    };
    let mut notebook = Notebook::in_memory(Box::new(source)).unwrap();
    begin(&mut notebook);
    let mut alone = 0;
    let check = long(&mut notebook, "check", json!({}));
    let (whole, undisturbed) = through(&mut notebook, check, 1, |_, _| alone += 1);
    let mut check = long(&mut notebook, "check", json!({}));
    let mut done = Vec::new();
    while check.progress().done < 9 {
        assert!(step(&mut notebook, &mut check, 1).unwrap());
        done.push(check.progress().done);
    }
    note(&mut notebook, "And filled it.");
    step(&mut notebook, &mut check, 1).unwrap();
    assert_eq!(check.progress().done, 0, "after {done:?}");
    let (report, again) = through(&mut notebook, check, 1, |_, _| {});
    assert_eq!(report, whole);
    assert!(again >= undisturbed - 2, "{again} steps, {undisturbed} before");
}

#[test]
fn a_carry_file_holds_what_there_was_when_it_was_begun() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = begun(&dir.path().join("rosalind"));
    let before = digest(&mut notebook);
    let file = dir.path().join("out.carry");
    let args = json!({ "file": file, "open": true });
    let out = long(&mut notebook, "carry_out", args);
    let mut begun = false;
    let (told, steps) = through(&mut notebook, out, 1, |notebook, _| {
        // From when the file is there it is written of what was read before.
        begun |= files_in(dir.path()).iter().any(|name| name.ends_with(".part"));
        if begun {
            note(notebook, "Said while it was written.");
        }
    });
    assert!(steps > 15, "{steps} steps");
    assert_ne!(digest(&mut notebook), before);
    let mut guest = open_keyed(&dir.path().join("wilf"), 2);
    ask(
        &mut guest,
        "join_record",
        json!({ "file": told["file"], "keeper": "Wilf" }),
    );
    let words = |notebook: &mut Notebook| {
        let day = ask(notebook, "day", json!({ "day": "2031-04-02" }));
        day.to_string()
    };
    assert!(words(&mut guest).contains("Drained the gearbox."));
    assert!(!words(&mut guest).contains("while it was written"));
    assert!(words(&mut notebook).contains("while it was written"));
}

#[test]
fn stopped_half_way_a_carry_file_leaves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = begun(&dir.path().join("rosalind"));
    // So that the device's own key is in the record already.
    ask(&mut notebook, "carry_out", json!({ "open": true }));
    let before = digest(&mut notebook);
    let place = dir.path().join("stick");
    std::fs::create_dir(&place).unwrap();
    let args = json!({ "file": place.join("out.carry"), "open": true });
    let mut out = long(&mut notebook, "carry_out", args.clone());
    // Two are not written at once.
    let second = notebook.long(None, "carry_out", &args).unwrap();
    assert_eq!(second.unwrap_err().code, "under_way");
    while !files_in(&place).contains(&"out.carry.part".to_owned()) || out.progress().done < 4 {
        assert!(step(&mut notebook, &mut out, 1).unwrap());
    }
    let going = ask(&mut notebook, "underway", json!({}));
    assert_eq!(going[0]["number"], out.number());
    assert_eq!(going[0]["name"], "carry_out");
    assert!(notebook.long_goes_on(&out));
    ask(&mut notebook, "stop", json!({ "number": out.number() }));
    assert!(!notebook.long_goes_on(&out) && out.can_be_stopped());
    let number = out.number();
    drop(out);
    notebook.long_is_over(number);
    assert_eq!(files_in(&place), Vec::<String>::new());
    assert_eq!(digest(&mut notebook), before);
    assert_eq!(ask(&mut notebook, "underway", json!({})), json!([]));
    let refusal = notebook
        .call(None, "stop", json!({ "number": number }))
        .unwrap_err();
    assert_eq!(refusal.code, "not_under_way");
    // And it can be begun again.
    let again = long(&mut notebook, "carry_out", args);
    let (told, _) = through(&mut notebook, again, 1, |_, _| {});
    assert_eq!(files_in(&place), ["out.carry"]);
    assert_eq!(told["whole"], true);
}

#[test]
fn rows_are_made_anew_while_others_are_written() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = begun(dir.path());
    let rebuild = long(&mut notebook, "rebuild", json!({}));
    let (report, steps) = through(&mut notebook, rebuild, 1, |notebook, step| {
        let part = json!({ "name": format!("Part {step}") });
        ask(notebook, "add_part", part);
    });
    assert!(steps > 20, "{steps} steps");
    assert_eq!(report["changed"], false, "{report}");
    let check = ask(&mut notebook, "check", json!({}));
    assert_eq!(check["sound"], true, "{check}");
    let found = ask(&mut notebook, "search", json!({ "text": "Part 3" }));
    assert!(found.to_string().contains("Part 3"));
}

#[test]
fn stopped_half_way_a_rebuild_leaves_rows_that_are_sound() {
    let dir = tempfile::tempdir().unwrap();
    let mut notebook = begun(dir.path());
    let before = digest(&mut notebook);
    let mut rebuild = long(&mut notebook, "rebuild", json!({}));
    while rebuild.progress().what != "entries" || rebuild.progress().done < 5 {
        assert!(step(&mut notebook, &mut rebuild, 1).unwrap());
    }
    let number = rebuild.number();
    drop(rebuild);
    notebook.long_is_over(number);
    assert_eq!(digest(&mut notebook), before);
    let check = ask(&mut notebook, "check", json!({}));
    assert_eq!(check["sound"], true, "{check}");
}
