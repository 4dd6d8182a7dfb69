//! A page is asked for again only where a change has a mark of what it was made of. Held against the demo: after each change, every page
//! that was not asked for again reads as it would if it were, and most are not asked for again.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod pages;

use std::sync::{Arc, Mutex};

use notebook::Notebook;
use notebook::wire::{Answered, Patch};
use pages::{ask, open, pages};
use serde_json::{Value, json};

/// Every so many-th page is held against each change: all of them, in turn, over the changes.
const EVERY: usize = 6;

fn ids(notebook: &mut Notebook, kind: &str) -> Vec<String> {
    let all = ask(notebook, "list", &json!({ "kind": kind }));
    let names = all.as_array().unwrap().iter().map(|line| line["name"].as_str().unwrap());
    names.map(|name| name.split_once(':').unwrap().1.to_owned()).collect()
}

/// Changes of many sorts, each with what it is to be called when it goes wrong.
fn changes(notebook: &mut Notebook) -> Vec<(&'static str, Value)> {
    let assemblies = ids(notebook, "assembly");
    let parts = ids(notebook, "part");
    let jobs = ids(notebook, "job");
    let containers = ids(notebook, "container");
    let findings = ids(notebook, "finding");
    let mut all = vec![("add_container", json!({ "code": "Q7", "what": "egg box" }))];
    for (at, assembly) in assemblies.iter().enumerate().take(6) {
        all.push(("add_job", json!({ "what": format!("Look over again, {at}"), "assembly": assembly })));
        all.push(("note", json!({ "day": "2033-05-18", "text": format!("Swept under it, {at}."), "assembly": assembly })));
        all.push(("change_assembly", json!({ "id": assembly, "fields": { "note": format!("Seen in May, {at}.") } })));
    }
    for (at, part) in parts.iter().enumerate().step_by(9).take(8) {
        all.push(("change_part", json!({ "id": part, "fields": { "note": format!("Wiped, {at}.") } })));
        all.push(("add_finding", json!({ "about": format!("part:{part}"), "what": format!("A scratch, {at}."), "how_bad": "noted" })));
        let container = &containers[at % containers.len()];
        all.push(("change_part", json!({ "id": part, "fields": { "lies": format!("container:{container}") } })));
        let assembly = &assemblies[at % assemblies.len()];
        all.push(("change_part", json!({ "id": part, "fields": { "assembly": assembly } })));
    }
    for job in jobs.iter().take(4) {
        all.push(("change_job", json!({ "id": job, "fields": { "note": "Half an hour." } })));
        all.push(("strike", json!({ "name": format!("job:{job}"), "why": "entered twice" })));
    }
    for finding in findings.iter().take(3) {
        all.push(("change_finding", json!({ "id": finding, "fields": { "note": "Looked at by lamp." } })));
    }
    for container in containers.iter().take(3) {
        all.push(("change_container", json!({ "id": container, "fields": { "what": "tin" } })));
    }
    all
}

#[test]
fn what_is_not_asked_for_again_reads_the_same() {
    let dir = tempfile::tempdir().unwrap();
    demo::build(dir.path()).unwrap();
    let mut notebook = open(&dir.path().join("child"));
    let pages = pages(&mut notebook);
    let changes = changes(&mut notebook);
    let heard: Arc<Mutex<Vec<Patch>>> = Arc::default();
    let ears = Arc::clone(&heard);
    notebook.watch(move |patch| {
        ears.lock().unwrap().push(patch.clone());
        true
    });
    let answer = |notebook: &mut Notebook, (name, args): &(&str, Value)| -> Answered {
        notebook
            .answer(None, name, args.clone())
            .unwrap_or_else(|refusal| panic!("{name} {args}: {refusal:?}"))
    };
    let (mut asked, mut kept, mut done) = (0, 0, 0);
    for (number, (command, args)) in changes.iter().enumerate() {
        let some: Vec<&(&str, Value)> = pages.iter().skip(number % EVERY).step_by(EVERY).collect();
        let before: Vec<Answered> = some.iter().map(|page| answer(&mut notebook, page)).collect();
        heard.lock().unwrap().clear();
        // What is refused changes nothing, and then every page is as it was.
        done += usize::from(notebook.call(None, command, args.clone()).is_ok());
        let patches = heard.lock().unwrap().clone();
        let touches = |page: &Answered| match &page.looked_at {
            None => true,
            Some(looked_at) => patches
                .iter()
                .any(|patch| patch.marks.is_empty() || patch.marks.iter().any(|mark| looked_at.contains(mark))),
        };
        for (page, was) in some.iter().zip(before) {
            if touches(&was) {
                asked += 1;
                continue;
            }
            kept += 1;
            let now = answer(&mut notebook, page);
            assert_eq!(was.reply, now.reply, "{} {} after {command} {args}", page.0, page.1);
        }
    }
    println!("{done} of {} changes; {asked} pages asked for again, {kept} not", changes.len());
    assert!(done * 10 > changes.len() * 9, "{done} of {} changes were made", changes.len());
    assert!(kept > 3 * asked, "{asked} asked for again, {kept} not");
}
