//! A member says that it has thousands of newest changes, which every turn on the notebook has to look at.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use link::identity::{Identity, Key};
use link::talk::{Hash, Hashes, Message};
use rusqlite::Connection;
use serde_json::json;
use tests::attending::{ask, open, pair, until};

use super::device::Rogue;
use super::other;

/// The house's own figure for anything that a page asks for.
const PAGE: Duration = Duration::from_millis(1_000);

#[test]
fn a_message_of_twenty_thousand_heads_holds_no_page() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = (
        open(&dir.path().join("parent"), 21),
        open(&dir.path().join("child"), 22),
    );
    let started = ask(
        &parent,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let record = started["id"].as_str().unwrap().to_owned();
    for number in 0..1_500 {
        ask(&parent, "add_assembly", json!({ "name": format!("a{number}") }));
    }
    let addresses = pair(&parent, &child, "Wilf");
    let members = ask(&child, "members", json!({}));
    let of = |this: bool| {
        let found = members.as_array().unwrap().iter().find(|one| one["this"] == this);
        found.unwrap().clone()
    };
    let key: Key = of(false)["key"].as_str().unwrap().parse().unwrap();
    let device = of(true)["device"].as_str().unwrap().to_owned();
    child.leave();
    drop(child);
    until("the child is gone", || other(&parent)["phase"] == "away");

    let db = Connection::open(dir.path().join("child/witnessmark.sqlite")).unwrap();
    let mut sql = db.prepare("SELECT hash FROM change_log").unwrap();
    let rows = sql.query_map([], |row| row.get::<_, String>(0)).unwrap();
    let hash = |hex: String| -> Hash {
        std::array::from_fn(|at| u8::from_str_radix(&hex[2 * at..2 * at + 2], 16).unwrap())
    };
    let known: Vec<Hash> = rows.map(|hex| hash(hex.unwrap())).collect();
    assert!(known.len() > 1_500, "{}", known.len());
    drop(sql);
    drop(db);
    let text = std::fs::read_to_string(dir.path().join("child/device.key")).unwrap();
    let identity = Identity::from_text(&text).unwrap();
    let rogue = Rogue::new(&identity, &record, &device, (key, addresses));
    let said = |strangers: u16, first: usize| {
        let made = (0..strangers).map(|number| *blake3::hash(&number.to_be_bytes()).as_bytes());
        let heads: Vec<Hash> = known.iter().skip(first).copied().chain(made).collect();
        let parts = 0;
        Message::Took {
            parts,
            heads: Hashes(heads),
        }
        .to_bytes()
    };
    let messages = [
        rogue.hello().to_bytes(),
        said(0, 0),
        said(0, 1),
        said(18_500, 2),
        said(18_500, 3),
    ];

    let done = AtomicBool::new(false);
    let slowest = std::thread::scope(|scope| {
        let pages = scope.spawn(|| {
            let mut slowest = Duration::ZERO;
            while !done.load(Ordering::SeqCst) {
                let began = Instant::now();
                ask(&parent, "day", json!({ "day": "2031-03-01" }));
                slowest = slowest.max(began.elapsed());
                std::thread::sleep(Duration::from_millis(5));
            }
            slowest
        });
        rogue.says(&messages, Some(b"no picture"));
        done.store(true, Ordering::SeqCst);
        pages.join().unwrap()
    });
    println!("the slowest page took {slowest:?}");
    assert!(slowest < PAGE, "a page took {slowest:?}");
    // What is remembered of it is no more than it can have.
    let db = Connection::open(dir.path().join("parent/witnessmark.sqlite")).unwrap();
    let kept: i64 = db
        .query_row("SELECT max(length(heads)) FROM peers", [], |row| row.get(0))
        .unwrap();
    assert!(kept < 100_000, "{kept} bytes are remembered of it");
}
