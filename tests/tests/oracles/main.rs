//! Oracles from PyPI, pinned in `tests/oracles/requirements*.txt`: pint judges the units, scipy the normal law and the assignments,
//! uncertainties the propagation, bd-warehouse's tables the threads, jsonschema the registry. A library that is missing fails the test.
//!
//! Random cases come from a seed that is printed; `WITNESSMARK_SEED=n` runs another.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod assignments;
mod bench;
mod normal_law;
mod propagation;
mod registry;
mod threads;
mod units;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde_json::Value;

fn python() -> PathBuf {
    if let Some(named) = std::env::var_os("WITNESSMARK_PYTHON") {
        return PathBuf::from(named);
    }
    // …/target/<profile>/deps/<test>: the libraries lie in …/target/venv.
    std::env::current_exe()
        .unwrap()
        .ancestors()
        .nth(3)
        .unwrap()
        .join("venv/bin/python")
}

/// The dice of this run. The seed is printed.
fn dice() -> ChaCha8Rng {
    let seed: u64 = std::env::var("WITNESSMARK_SEED")
        .ok()
        .map_or(20_312, |text| text.parse().unwrap());
    println!("WITNESSMARK_SEED={seed}");
    ChaCha8Rng::seed_from_u64(seed)
}

/// What an oracle says of these cases; the error is what it found wrong.
fn asked(script: &str, cases: &[Value]) -> Result<String, String> {
    let python = python();
    assert!(
        python.exists(),
        "the oracles' Python is not there: run `cargo xtask test`, which makes it"
    );
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("oracles").join(script);
    let mut oracle = Command::new(python)
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut to = oracle.stdin.take().unwrap();
    let lines: String = cases.iter().map(|case| format!("{case}\n")).collect();
    // An oracle that stops at the first fault closes its end early; what it says is read below.
    let sender = std::thread::spawn(move || drop(to.write_all(lines.as_bytes())));
    let output = oracle.wait_with_output().unwrap();
    sender.join().unwrap();
    let said = String::from_utf8_lossy(&output.stdout).trim().to_owned();
    let trouble = String::from_utf8_lossy(&output.stderr).trim().to_owned();
    // A library that is missing, or a fault of the oracle's own, is not an answer.
    assert!(trouble.is_empty(), "{said} {trouble}");
    if output.status.success() {
        Ok(said)
    } else {
        Err(said)
    }
}

/// What an oracle says of these cases, all of which it must find right.
#[track_caller]
fn judged(script: &str, cases: &[Value]) -> String {
    asked(script, cases).unwrap_or_else(|fault| panic!("{fault}"))
}

/// The oracle agrees with every case, and says no to the one that is wrong.
#[track_caller]
fn agrees(script: &str, cases: &[Value], wrong: &Value) {
    assert_eq!(judged(script, cases), format!("judged {}", cases.len()));
    let refused = asked(script, std::slice::from_ref(wrong));
    assert!(refused.is_err(), "{script} says yes to {wrong}");
}
