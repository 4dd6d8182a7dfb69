//! A writer that is killed at any moment loses nothing that it said was done.
//!
//! The program reads requests line by line and answers each when it is on the disk. It is killed with SIGKILL at a
//! random moment, opened again, and asked for everything that was answered.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::Duration;

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use tests::shell::{call, done, program};

/// How often to kill, when nobody says otherwise.
const KILLS: usize = 50;

fn asked(name: &str, usual: u64) -> u64 {
    std::env::var(name)
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(usual)
}

fn writer(at: &Path) -> Child {
    let mut command = Command::new(program());
    command.args(["--at", at.to_str().unwrap(), "call", "-"]);
    command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Sends requests without end until the writer dies; answers come back as they are read.
fn storm(
    at: &Path,
    kill_after: Duration,
    requests: impl Iterator<Item = Value> + Send + 'static,
) -> Vec<Value> {
    let mut child = writer(at);
    let mut to = child.stdin.take().unwrap();
    let from = BufReader::new(child.stdout.take().unwrap());
    let (answered, answers) = mpsc::channel();
    let sender = std::thread::spawn(move || {
        for request in requests {
            // The writer is gone: that is the point.
            if writeln!(to, "{request}").is_err() {
                break;
            }
        }
    });
    let reader = std::thread::spawn(move || {
        for line in from.lines() {
            // A torn last line was not an answer.
            let Some(answer) = line
                .ok()
                .and_then(|line| serde_json::from_str::<Value>(&line).ok())
            else {
                break;
            };
            answered.send(answer).unwrap();
        }
    });
    std::thread::sleep(kill_after);
    child.kill().unwrap();
    let status = child.wait().unwrap();
    assert_eq!(status.code(), None, "it was killed and did not end by itself");
    reader.join().unwrap();
    sender.join().unwrap();
    answers.into_iter().collect()
}

#[test]
fn nothing_that_was_answered_is_lost() {
    let seed = asked("WITNESSMARK_SEED", 20_310);
    let kills = usize::try_from(asked("WITNESSMARK_KILLS", KILLS as u64)).unwrap();
    println!("seed {seed}, {kills} kills");
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("device");
    let _ = done(&at, &["start", "--keeper", "Rosalind", "--car", "Tern"]);
    let mut promised: Vec<String> = Vec::new();
    let mut notes: Vec<String> = Vec::new();
    let mut idle = 0;
    for round in 0..kills {
        let wait = Duration::from_micros(dice.random_range(5_000..120_000));
        let requests = (0..).map(move |number: usize| {
            if number % 3 == 0 {
                let day = format!("2031-03-{:02}", 1 + round % 28);
                json!({ "name": "note", "args": { "day": day, "text": format!("note {round}.{number}") } })
            } else {
                json!({ "name": "add_part", "args": { "name": format!("stud {round}.{number}") } })
            }
        });
        let answers = storm(&at, wait, requests);
        if answers.is_empty() {
            idle += 1;
        }
        for (number, answer) in answers.iter().enumerate() {
            assert!(answer.get("reply").is_some(), "{answer}");
            if number % 3 == 0 {
                notes.push(format!("note {round}.{number}"));
            } else {
                promised.push(answer["reply"]["id"].as_str().unwrap().to_owned());
            }
        }
        // Every tenth time the whole folder is read; each time it must open.
        if round % 10 == 9 || round + 1 == kills {
            let report = done(&at, &["check"]);
            assert_eq!(report["sound"], true, "seed {seed}, round {round}: {report}");
        }
        let kept = call(&at, "list", &json!({ "kind": "part" })).to_string();
        for id in &promised {
            assert!(
                kept.contains(id.as_str()),
                "seed {seed}, round {round}: part {id} was promised and is gone"
            );
        }
    }
    let text: String = (1..=28)
        .map(|day| {
            call(&at, "day", &json!({ "day": format!("2031-03-{day:02}") }))["sheets"][0]["text"].to_string()
        })
        .collect();
    for note in &notes {
        assert!(
            text.contains(&format!("{note}\\n")),
            "seed {seed}: '{note}' was promised and is gone"
        );
    }
    assert_eq!(done(&at, &["rebuild"])["changed"], false);
    println!(
        "{} parts and {} notes answered; {idle} kills came before any answer",
        promised.len(),
        notes.len()
    );
    assert!(
        promised.len() > kills,
        "too few answers for the kills to mean anything"
    );
}

#[test]
fn killed_while_a_carry_file_comes_in() {
    let seed = asked("WITNESSMARK_SEED", 20_311);
    let kills = usize::try_from(asked("WITNESSMARK_KILLS", KILLS as u64) / 5)
        .unwrap()
        .max(5);
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = (dir.path().join("parent"), dir.path().join("child"));
    let _ = done(&parent, &["start", "--keeper", "Rosalind", "--car", "Tern"]);
    let first = dir.path().join("first.carry");
    let _ = done(&parent, &["carry", "out", first.to_str().unwrap()]);
    let _ = done(&child, &["join", first.to_str().unwrap(), "--keeper", "Wilf"]);
    // Long enough that the child makes a snapshot as it comes in.
    let mut writer = writer(&parent);
    let mut to = writer.stdin.take().unwrap();
    let count = 2_300;
    let sender = std::thread::spawn(move || {
        for number in 0..count {
            let request = json!({ "name": "add_part", "args": { "name": format!("stud {number}") } });
            writeln!(to, "{request}").unwrap();
        }
    });
    let answers = BufReader::new(writer.stdout.take().unwrap()).lines().count();
    sender.join().unwrap();
    assert!(writer.wait().unwrap().success());
    assert_eq!(answers, count);
    let file = dir.path().join("much.carry");
    let _ = done(&parent, &["carry", "out", file.to_str().unwrap()]);
    let before = done(&child, &["digest"]);
    let mut interrupted = 0;
    for round in 0..kills {
        let mut taking = Command::new(program())
            .args([
                "--at",
                child.to_str().unwrap(),
                "carry",
                "in",
                file.to_str().unwrap(),
            ])
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(dice.random_range(1..400)));
        let _ = taking.kill();
        if taking.wait().unwrap().code().is_none() {
            interrupted += 1;
        }
        let report = done(&child, &["check"]);
        assert_eq!(report["sound"], true, "seed {seed}, round {round}: {report}");
        let changes = done(&child, &["digest"])["changes"].as_u64().unwrap();
        let (none, all) = (
            before["changes"].as_u64().unwrap(),
            before["changes"].as_u64().unwrap() + count as u64,
        );
        assert!(
            changes == none || changes == all,
            "seed {seed}, round {round}: a part of a file came in: {changes}"
        );
    }
    println!("seed {seed}: {interrupted} of {kills} were killed on the way");
    assert!(interrupted > 0, "no kill came in time to mean anything");
    let _ = done(&child, &["carry", "in", file.to_str().unwrap()]);
    assert_eq!(
        call(&child, "list", &json!({ "kind": "part" }))
            .as_array()
            .unwrap()
            .len(),
        count
    );
    assert_eq!(done(&child, &["check"])["sound"], true);
}
