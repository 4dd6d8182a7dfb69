//! A thousand connections of strangers in a burst against a notebook that attends and has a ticket open: its commands
//! go on answering, nobody gets in, and memory stays bounded. A test of its own, so that nothing else is measured with
//! it; the strangers live in the same process, so the memory (VmHWM, proc(5)) is theirs as well. Linux only.

#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use host::{Handle, Surroundings};
use link::identity::{Identity, Key};
use link::net::{Handler, Net, NetEvent, Settings};
use link::pair::Ticket;
use serde_json::{Value, json};

const CONNECTIONS: usize = 1_000;
const STRANGERS: usize = 10;
/// The longest that a command may take amid it, and the half of them; the latter is what a person feels.
const WORST: Duration = Duration::from_secs(1);
const MEDIAN: Duration = Duration::from_millis(100);
/// The issue's own figure.
const MOST_KB: u64 = 256_000_000 / 1024;

struct Stranger;

impl Handler for Stranger {
    fn may(&self, _: &Key) -> bool {
        false
    }

    fn on(&self, _: NetEvent) {}
}

fn ask(notebook: &Handle, name: &str, args: Value) -> Value {
    notebook
        .with(|notebook| notebook.call(None, name, args))
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

fn peak_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.unwrap().trim().trim_end_matches(" kB").parse().unwrap()
}

#[test]
fn a_thousand_connections_leave_the_notebook_answering() {
    let dir = tempfile::tempdir().unwrap();
    let notebook = Handle::new(folders::open_keyed(dir.path(), 1));
    ask(
        &notebook,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    for number in 0..50 {
        ask(&notebook, "add_part", json!({ "name": format!("stud {number}") }));
    }
    let loopback = Surroundings {
        mdns: false,
        at: vec!["127.0.0.1:0".parse().unwrap()],
    };
    notebook.attend(loopback).unwrap();
    let open = ask(&notebook, "pair_open", json!({}));
    let ticket = Ticket::from_text(open["ticket"].as_str().unwrap()).unwrap();
    let nets: Vec<Net> = (0..STRANGERS)
        .map(|number| {
            let settings = Settings {
                at: vec!["127.0.0.1:0".parse().unwrap()],
                ..Settings::default()
            };
            let identity = Identity::generate(&[100 + u8::try_from(number).unwrap(); 64]);
            Net::start(&identity, settings, Arc::new(Stranger)).unwrap()
        })
        .collect();
    let (made, let_in) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let began = Instant::now();
    let mut took = Vec::new();
    std::thread::scope(|scope| {
        for at in 0..CONNECTIONS / 10 {
            let (net, ticket, made, let_in) = (&nets[at % STRANGERS], &ticket, &made, &let_in);
            scope.spawn(move || {
                for _ in 0..10 {
                    let within = Duration::from_millis(500);
                    let reached = net.reach(ticket.host, ticket.addresses.clone(), within);
                    made.fetch_add(1, Ordering::Relaxed);
                    // Whoever is let in to pair says nothing, and holds the place as long as the next try takes.
                    let_in.fetch_add(usize::from(reached.is_ok()), Ordering::Relaxed);
                }
            });
        }
        while made.load(Ordering::Relaxed) < CONNECTIONS {
            for (name, args) in [
                ("meetings", json!({})),
                ("search", json!({ "text": "stud" })),
                ("pair_code", json!({})),
            ] {
                let since = Instant::now();
                ask(&notebook, name, args);
                took.push(since.elapsed());
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    });
    let lasted = began.elapsed();
    took.sort();
    let (median, worst) = (took[took.len() / 2], took[took.len() - 1]);
    println!(
        "{CONNECTIONS} connections in {lasted:.1?}, {} of them as far as the open ticket; {} commands meanwhile: median {median:.1?}, worst {worst:.1?}; peak of the whole process {} kB",
        let_in.load(Ordering::Relaxed),
        took.len(),
        peak_kb()
    );
    assert!(took.len() >= 30, "too few commands were asked to say anything");
    assert!(
        median <= MEDIAN && worst <= WORST,
        "median {median:?}, worst {worst:?}"
    );
    assert!(peak_kb() <= MOST_KB, "{} kB", peak_kb());
    // Nobody came in: no device was entered, and an edit goes on as ever.
    assert_eq!(ask(&notebook, "members", json!({})).as_array().unwrap().len(), 1);
    ask(
        &notebook,
        "note",
        json!({ "day": "2031-03-01", "text": "after the burst" }),
    );
    notebook.leave();
}
