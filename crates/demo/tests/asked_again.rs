//! A page is asked for again only where a change has a mark of what it was made of. Held against the demo: after each change, every page
//! that was not asked for again reads as it would if it were, and most are not asked for again.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod pages;

use std::path::Path;
use std::sync::{Arc, Mutex};

use notebook::Notebook;
use notebook::wire::{Answered, Patch};
use pages::{ask, open, pages};
use serde_json::{Value, json};

/// Every so many-th page is held against each change: all of them, in turn, over the changes.
const EVERY: usize = 6;

fn ids(notebook: &mut Notebook, kind: &str) -> Vec<String> {
    let all = ask(notebook, "list", &json!({ "kind": kind }));
    let names = all
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["name"].as_str().unwrap());
    names
        .map(|name| name.split_once(':').unwrap().1.to_owned())
        .collect()
}

/// Changes of many sorts.
fn changes(notebook: &mut Notebook) -> Vec<(&'static str, Value)> {
    let assemblies = ids(notebook, "assembly");
    let parts = ids(notebook, "part");
    let jobs = ids(notebook, "job");
    let containers = ids(notebook, "container");
    let findings = ids(notebook, "finding");
    // What stands first when its turn comes.
    let mut all = vec![("settle", Value::Null); 3];
    all.push(("add_container", json!({ "code": "Q7", "name": "egg box" })));
    for (at, assembly) in assemblies.iter().enumerate().take(6) {
        all.push((
            "add_job",
            json!({ "what": format!("Look over again, {at}"), "assembly": assembly }),
        ));
        all.push((
            "note",
            json!({ "day": "2033-05-18", "text": format!("Swept under it, {at}."), "assembly": assembly }),
        ));
        all.push((
            "change_assembly",
            json!({ "id": assembly, "fields": { "note": format!("Seen in May, {at}.") } }),
        ));
    }
    for (at, part) in parts.iter().enumerate().step_by(9).take(8) {
        all.push((
            "change_part",
            json!({ "id": part, "fields": { "note": format!("Wiped, {at}.") } }),
        ));
        all.push(("add_finding", json!({ "about": format!("part:{part}"), "what": format!("A scratch, {at}."), "how_bad": "noted", "on": "2033-05-18" })));
        let container = &containers[at % containers.len()];
        all.push((
            "change_part",
            json!({ "id": part, "fields": { "container": container } }),
        ));
        let assembly = &assemblies[at % assemblies.len()];
        all.push((
            "change_part",
            json!({ "id": part, "fields": { "assembly": assembly } }),
        ));
    }
    for job in jobs.iter().take(4) {
        all.push((
            "change_job",
            json!({ "id": job, "fields": { "note": "Half an hour." } }),
        ));
        all.push((
            "strike",
            json!({ "name": format!("job:{job}"), "why": "entered twice" }),
        ));
    }
    for finding in findings.iter().take(3) {
        all.push((
            "change_finding",
            json!({ "id": finding, "fields": { "note": "Looked at by lamp." } }),
        ));
    }
    for container in containers.iter().take(3) {
        all.push((
            "change_container",
            json!({ "id": container, "fields": { "name": "tin" } }),
        ));
    }
    all
}

/// Every so many-th page, as it reads before a change.
fn answers<'p>(
    notebook: &mut Notebook,
    pages: &'p [(&'static str, Value)],
    number: usize,
) -> Vec<(&'p (&'static str, Value), Answered)> {
    let some = pages.iter().skip(number % EVERY).step_by(EVERY);
    some.map(|page| (page, answer(notebook, page))).collect()
}

fn answer(notebook: &mut Notebook, (name, args): &(&str, Value)) -> Answered {
    notebook
        .answer(None, name, args.clone())
        .unwrap_or_else(|refusal| panic!("{name} {args}: {refusal:?}"))
}

/// As the pages have it: a patch without marks may have changed anything.
fn touches(looked_at: Option<&Vec<String>>, patches: &[Patch]) -> bool {
    looked_at.is_none_or(|looked_at| {
        patches
            .iter()
            .any(|patch| patch.marks.is_empty() || patch.marks.iter().any(|mark| looked_at.contains(mark)))
    })
}

#[test]
fn what_is_not_asked_for_again_reads_the_same() {
    let dir = tempfile::tempdir().unwrap();
    demo::build(dir.path(), "2025-11-16".parse().unwrap()).unwrap();
    let mut notebook = open(&dir.path().join("child"));
    meet(dir.path(), &mut notebook);
    let pages = pages(&mut notebook);
    let heard: Arc<Mutex<Vec<Patch>>> = Arc::default();
    let ears = Arc::clone(&heard);
    notebook.watch(move |patch| {
        ears.lock().unwrap().push(patch.clone());
        true
    });
    let (mut asked, mut kept) = (0, 0);
    for (number, (command, args)) in changes(&mut notebook).iter().enumerate() {
        let before = answers(&mut notebook, &pages, number);
        heard.lock().unwrap().clear();
        match args {
            Value::Null => settle_first(&mut notebook),
            _ => drop(ask(&mut notebook, command, args)),
        }
        let patches = heard.lock().unwrap().clone();
        assert!(!patches.is_empty(), "{command} {args} is told of");
        for (page, was) in before {
            if touches(was.looked_at.as_ref(), &patches) {
                asked += 1;
                continue;
            }
            kept += 1;
            let now = answer(&mut notebook, page);
            assert_eq!(was.reply, now.reply, "{page:?} after {command} {args}");
        }
    }
    println!("{asked} pages asked for again, {kept} not");
    assert!(kept > 3 * asked, "{asked} asked for again, {kept} not");
}

/// Takes in what the parent has, so that there is something to settle.
fn meet(dir: &Path, child: &mut Notebook) {
    let file = dir.join("stick.carry");
    let mut parent = open(&dir.join("parent"));
    ask(&mut parent, "carry_out", &json!({ "file": file, "open": true }));
    ask(child, "carry_in", &json!({ "file": file, "welcome": true }));
}

/// Settles the first point by its first choice.
fn settle_first(notebook: &mut Notebook) {
    let points = ask(notebook, "points", &json!({}));
    let (point, choice) = (&points[0]["id"], &points[0]["choices"][0]["key"]);
    ask(
        notebook,
        "settle",
        &json!({ "point": point, "choice": choice, "why": "looked at by lamp" }),
    );
}
