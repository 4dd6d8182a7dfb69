//! What a meeting costs end to end: two notebooks over real folders, paired, 2,000 edits on each while apart, then the one that
//! had gone attends again over loopback until their digests agree. It prints how that splits and fails beyond the bar. Nothing is
//! judged here of what the edits mean.
//!
//! `cargo bench -p notebook --bench meet`; another number of edits by `WITNESSMARK_APART`.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a bench that cannot run says so"
)]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;
#[path = "../tests/living/mod.rs"]
mod living;

use std::time::{Duration, Instant};

use host::Handle;
use living::{ask, attend, digest, open, pair, until};
use serde_json::{Value, json};

/// Most time from attending again until both are alike.
const MOST: Duration = Duration::from_secs(1);
const LONG: Duration = Duration::from_secs(60);

/// How a side stands with the other: the phase, and whether their digests agreed.
fn stands(notebook: &Handle) -> (String, bool) {
    let page = ask(notebook, "meetings", json!({}));
    let one = &page["devices"][0];
    (
        one["phase"].as_str().unwrap_or_default().to_owned(),
        one["alike"] == true,
    )
}

/// What a keeper does of an evening: a note, a part, a job, a finding, a changed part.
fn edit(notebook: &Handle, gearbox: &Value, at: usize, who: &str, parts: &mut Vec<Value>) {
    let day = format!("2031-{:02}-{:02}", 1 + at / 28 % 12, 1 + at % 28);
    match at % 5 {
        0 => drop(ask(
            notebook,
            "note",
            json!({ "day": day, "text": format!("Half a turn more on stud {at}, then it held.") }),
        )),
        1 => parts.push(
            ask(
                notebook,
                "add_part",
                json!({ "name": format!("washer {who} {at}") }),
            )["id"]
                .clone(),
        ),
        2 => drop(ask(
            notebook,
            "add_job",
            json!({ "assembly": gearbox, "what": format!("clean the seat of washer {who} {at}") }),
        )),
        3 => drop(ask(
            notebook,
            "add_container",
            json!({ "code": format!("{who}{at}"), "name": format!("tin {at}") }),
        )),
        _ => {
            let part = parts[at % parts.len()].clone();
            drop(ask(
                notebook,
                "change_part",
                json!({ "id": part, "fields": { "position": format!("stud {at}") } }),
            ));
        }
    }
}

fn main() {
    let apart: usize = std::env::var("WITNESSMARK_APART").map_or(2_000, |text| text.parse().unwrap());
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = (
        open(&dir.path().join("parent"), 1),
        open(&dir.path().join("child"), 2),
    );
    ask(
        &parent,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let gearbox = ask(&parent, "add_assembly", json!({ "name": "gearbox" }))["id"].clone();
    attend(&parent);
    attend(&child);
    pair(&parent, &child, "Wilf");
    for side in [&parent, &child] {
        until("both hold the same", LONG, || {
            stands(side) == ("live".to_owned(), true)
        });
    }
    // One goes away and comes back: the other stays where it was last found.
    child.leave();
    until("the parent sees it go", LONG, || stands(&parent).0 == "away");
    let began = Instant::now();
    for (side, who) in [(&parent, "p"), (&child, "c")] {
        let mut parts = Vec::new();
        for at in 0..apart {
            edit(side, &gearbox, at, who, &mut parts);
        }
    }
    println!(
        "{apart} edits on each device took {:.1} s, {:.2} ms each",
        began.elapsed().as_secs_f64(),
        began.elapsed().as_secs_f64() * 500.0 / f64::from(u32::try_from(apart).unwrap())
    );

    let began = Instant::now();
    attend(&child);
    let listening = began.elapsed();
    let mut seen: Vec<(Duration, [(String, bool); 2])> = Vec::new();
    loop {
        // Each look takes the notebook's lock for a moment, as a face's would.
        let now = [stands(&parent), stands(&child)];
        let done = now.iter().all(|(phase, alike)| phase == "live" && *alike);
        if seen.last().is_none_or(|(_, last)| *last != now) {
            seen.push((began.elapsed(), now));
        }
        if done {
            break;
        }
        assert!(began.elapsed() < LONG, "alike within {LONG:?}: {seen:?}");
        std::thread::sleep(Duration::from_millis(1));
    }
    let whole = began.elapsed();
    assert_eq!(digest(&parent), digest(&child));
    println!("| since attending | ms | parent | child |\n| --- | ---: | --- | --- |");
    println!("| it attends | {:.0} | | |", listening.as_secs_f64() * 1e3);
    for (when, [parent, child]) in &seen {
        let told =
            |(phase, alike): &(String, bool)| format!("{phase}{}", if *alike { ", alike" } else { "" });
        println!(
            "| | {:.0} | {} | {} |",
            when.as_secs_f64() * 1e3,
            told(parent),
            told(child)
        );
    }
    println!("| all | {:.0} | | |", whole.as_secs_f64() * 1e3);
    if apart == 2_000 {
        assert!(
            whole <= MOST,
            "a meeting after 2 × {apart} changes took {whole:?}, more than {MOST:?}"
        );
    }
}
