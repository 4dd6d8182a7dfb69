//! How long the longest step of long work is, of each sort: with the notebook, which others wait for, and beside it.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use notebook::Next;
use serde_json::json;

use super::{Clock, Garage};

/// How long a step is to take, in milliseconds, as a host has it.
const AIM: f64 = 10.0;

/// The longest steps of one sort.
#[derive(Clone, Debug)]
pub struct Longest {
    /// Of which command.
    pub command: &'static str,
    /// What it went over.
    pub what: &'static str,
    /// With the notebook, in milliseconds.
    pub turn: f64,
    /// Beside it, in milliseconds.
    pub beside: f64,
}

/// Does each long work once on a folder, with the document open, and measures every step.
///
/// # Panics
/// Where one is refused.
#[must_use]
pub fn longest(at: &Path, garage: &Garage) -> Vec<Longest> {
    let mut notebook = host::open(at, "years", Box::new(Clock::of(Arc::clone(&garage.at), 9))).unwrap();
    notebook.call(None, "digest", json!({})).unwrap();
    let mut all = Vec::new();
    for (command, args) in [
        ("check", json!({})),
        ("carry_size", json!({})),
        ("carry_out", json!({ "open": true })),
        ("rebuild", json!({})),
    ] {
        let mut long = notebook.long(None, command, &args).unwrap().unwrap();
        let mut found: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
        let (mut rows, mut at) = (32_u32, "");
        loop {
            let what = long.progress().what;
            if what != at {
                (rows, at) = (32, what);
            }
            let began = Instant::now();
            let turn = match long.next() {
                Next::Turn => long.turn(&mut notebook, rows).map(|()| true),
                Next::Beside => long.beside(rows).map(|()| false),
                Next::Nothing => break,
            };
            let took = began.elapsed().as_secs_f64() * 1e3;
            let (turns, besides) = found.entry(what).or_default();
            let longest = if turn.unwrap() { turns } else { besides };
            *longest = longest.max(took);
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a number of rows"
            )]
            let next = (f64::from(rows) * AIM / took.max(0.001)) as u32;
            rows = next.min(rows.saturating_mul(2)).clamp(1, 1 << 20);
        }
        notebook.long_is_over(long.number());
        long.answer().unwrap();
        all.extend(found.into_iter().map(|(what, (turn, beside))| Longest {
            command,
            what,
            turn,
            beside,
        }));
    }
    all
}
