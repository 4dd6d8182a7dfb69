//! Notebooks that attend on loopback: opened with secrets out of a seed, asked by name, waited for and paired. Nothing is
//! announced and no network is needed. Every wait has an end, and says what was waited for.

use std::path::Path;
use std::time::{Duration, Instant};

use host::{Handle, Surroundings};
use link::net::Address;
use link::pair::Ticket;
use notebook::{Refusal, Source};
use record::Moment;
use serde_json::{Value, json};

use crate::seed::Dice;

/// The longest that anything is waited for.
pub const LONG: Duration = Duration::from_secs(20);

/// A clock that goes on by a second at every look, and randomness and secrets from a seed.
#[derive(Debug)]
pub struct Seeded {
    seconds: i64,
    dice: Dice,
}

impl Seeded {
    /// From any number.
    #[must_use]
    pub fn of(seed: u64) -> Self {
        Self {
            seconds: 1_900_000_000,
            dice: Dice::of(seed),
        }
    }
}

impl Source for Seeded {
    fn now(&mut self) -> Moment {
        self.seconds += 1;
        Moment::from_seconds(self.seconds)
    }

    fn random(&mut self) -> [u8; 16] {
        self.dice.bytes()
    }

    fn secret(&mut self) -> Option<[u8; 64]> {
        let mut secret = [0; 64];
        for part in secret.chunks_mut(16) {
            part.copy_from_slice(&self.random());
        }
        Some(secret)
    }
}

/// A folder that attends.
///
/// # Panics
/// Where it cannot be opened.
#[must_use]
pub fn open(dir: &Path, seed: u64) -> Handle {
    let notebook = host::open(dir, "a test", Box::new(Seeded::of(seed))).unwrap();
    let notebook = Handle::new(notebook);
    attend(&notebook);
    notebook
}

/// Attends on loopback.
///
/// # Panics
/// Where the net does not start.
pub fn attend(notebook: &Handle) {
    let loopback = Surroundings {
        mdns: false,
        at: vec!["127.0.0.1:0".parse().unwrap()],
    };
    notebook.attend(loopback).unwrap();
}

/// Asks the registry.
///
/// # Panics
/// Where it is refused.
pub fn ask(notebook: &Handle, name: &str, args: Value) -> Value {
    notebook
        .with(|notebook| notebook.call(None, name, args))
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

/// Asks the registry for what may be refused.
///
/// # Errors
/// The refusal.
pub fn asked(notebook: &Handle, name: &str, args: Value) -> Result<Value, Refusal> {
    notebook.with(|notebook| notebook.call(None, name, args))
}

/// A folder that attends and has begun Rosalind's record of the Tern.
///
/// # Panics
/// Where it cannot.
#[must_use]
pub fn begun(dir: &Path, seed: u64) -> Handle {
    let host = open(dir, seed);
    ask(
        &host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    host
}

/// Rosalind's and Wilf's folders, `first` and `second`, which share a record and attend.
///
/// # Panics
/// Where they do not come to it.
#[must_use]
pub fn two(dir: &Path) -> (Handle, Handle) {
    let host = begun(&dir.join("first"), 1);
    let guest = open(&dir.join("second"), 2);
    pair(&host, &guest, "Wilf");
    (host, guest)
}

/// Waits until it is so.
///
/// # Panics
/// Where it is not within [`LONG`].
pub fn until(what: &str, so: impl Fn() -> bool) {
    let began = Instant::now();
    while !so() {
        assert!(began.elapsed() < LONG, "{what} within {LONG:?}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// Whether it is in a meeting with its only other device, which holds the same.
#[must_use]
pub fn is_alike(notebook: &Handle) -> bool {
    let page = ask(notebook, "meetings", json!({}));
    let devices = page["devices"].as_array().unwrap();
    let [other] = devices.as_slice() else {
        return false;
    };
    other["phase"] == "live" && other["alike"] == true
}

/// Pairs a guest with a host by a ticket, and waits until both hold the same; the host's addresses, as the ticket had them.
///
/// # Panics
/// Where they do not come to it.
pub fn pair(host: &Handle, guest: &Handle, keeper: &str) -> Vec<Address> {
    let ticket = ask(host, "pair_open", json!({}))["ticket"].clone();
    ask(guest, "pair_join", json!({ "ticket": ticket, "keeper": keeper }));
    let state = |side: &Handle| ask(side, "pair_code", json!({}))["state"].clone();
    for side in [host, guest] {
        until("digits to compare", || state(side) == "compare");
    }
    for side in [host, guest] {
        ask(side, "pair_confirm", json!({ "yes": true }));
    }
    for side in [host, guest] {
        until("both hold the same", || is_alike(side));
    }
    Ticket::from_text(ticket.as_str().unwrap()).unwrap().addresses
}
