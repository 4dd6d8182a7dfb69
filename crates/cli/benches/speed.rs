//! How long a person waits: the cold start of `witnessmark call` to its first answer, a durable edit, and a carry
//! file with 2,000 scattered changes. It prints a table; it passes no judgement, since machines differ.
//!
//! `cargo bench -p cli` builds the program in release mode and runs this over the demo.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a bench that cannot run says so"
)]

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use notebook::{Notebook, Source};
use record::Moment;
use serde_json::{Value, json};

const COLD_STARTS: usize = 30;
const EDITS: usize = 500;
const SCATTERED: usize = 2_000;

struct Counted(i64, u64);

impl Source for Counted {
    fn now(&mut self) -> Moment {
        self.0 += 1;
        Moment::from_seconds(self.0)
    }

    fn random(&mut self) -> [u8; 16] {
        self.1 += 1;
        *blake3::hash(&self.1.to_le_bytes())
            .as_bytes()
            .first_chunk::<16>()
            .unwrap()
    }
}

fn open(dir: &Path, seed: u64) -> Notebook {
    host::open(dir, "speed", Box::new(Counted(2_000_000_000, seed << 32))).unwrap()
}

fn ask(notebook: &mut Notebook, name: &str, args: Value) -> Value {
    notebook
        .call(None, name, args)
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

/// The least, the middle and the ninetieth of a hundred.
struct Spread(Vec<Duration>);

impl Spread {
    fn row(mut self, what: &str) {
        self.0.sort();
        let at = |share: usize| self.0[(self.0.len() - 1) * share / 100].as_secs_f64() * 1_000.0;
        println!(
            "| {what:58} | {:4} | {:9.2} | {:9.2} | {:9.2} |",
            self.0.len(),
            at(0),
            at(50),
            at(90)
        );
    }
}

fn timed(times: usize, mut work: impl FnMut(usize)) -> Spread {
    let time = |number| {
        let start = Instant::now();
        work(number);
        start.elapsed()
    };
    Spread((0..times).map(time).collect())
}

fn cold(at: &Path, name: &str, args: &str) -> Spread {
    timed(COLD_STARTS, |_| {
        let program = env!("CARGO_BIN_EXE_witnessmark");
        let out = Command::new(program)
            .arg("--at")
            .arg(at)
            .args(["--json", "call", name, args])
            .output()
            .unwrap();
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    })
}

fn main() {
    let dir = tempfile::tempdir().unwrap();
    demo::build(dir.path(), "2025-11-16".parse().unwrap()).unwrap();
    let (parent, child) = (dir.path().join("parent"), dir.path().join("child"));
    println!("| {:58} | runs | least  ms | middle ms | 90 %   ms |", "what");
    println!("| {:-<58} | ---- | --------- | --------- | --------- |", "");
    cold(&parent, "day", r#"{"day":"2031-03-01"}"#).row("cold start to the first answer: call day");
    cold(&parent, "car", "{}").row("cold start to the first answer: call car");
    cold(&parent, "digest", "{}").row("cold start to the first answer: call digest (document)");

    let mut at_parent = open(&parent, 1);
    let parts = ask(&mut at_parent, "list", json!({ "kind": "part" }));
    let parts: Vec<String> = parts
        .as_array()
        .unwrap()
        .iter()
        .map(|part| part["name"].as_str().unwrap()[5..].to_owned())
        .collect();
    timed(EDITS, |number| {
        let fields = json!({ "number": format!("A{number}") });
        ask(
            &mut at_parent,
            "change_part",
            json!({ "id": parts[number % parts.len()], "fields": fields }),
        );
    })
    .row("durable edit: change_part, synced to the disk");

    // Brought up to date first, so that the file holds the scattered changes and nothing else.
    let whole = ask(&mut at_parent, "carry_out", json!({ "open": true }))["file"].clone();
    let mut at_child = open(&child, 2);
    ask(&mut at_child, "carry_in", json!({ "file": whole }));
    for number in 0..SCATTERED {
        let part = &parts[(number * 7_919) % parts.len()];
        let fields = json!({ "position": format!("place {number}") });
        ask(
            &mut at_parent,
            "change_part",
            json!({ "id": part, "fields": fields }),
        );
    }
    let file = ask(&mut at_parent, "carry_out", json!({ "open": true }))["file"].clone();
    let start = Instant::now();
    let met = ask(&mut at_child, "carry_in", json!({ "file": file }));
    assert_eq!(met["changes"], SCATTERED);
    Spread(vec![start.elapsed()]).row("carry in: 2,000 scattered changes, in slices of 32, kept");
    assert_eq!(ask(&mut at_child, "check", json!({}))["sound"], true);
}
