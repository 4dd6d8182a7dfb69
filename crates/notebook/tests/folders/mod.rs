//! Notebooks over real folders, with a clock and randomness that are counted, for the notebook's own tests.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking, and each test file uses a part of this"
)]

use std::path::Path;

use notebook::{Notebook, Refusal, Source};
use record::Moment;
use serde_json::{Value, json};

/// A clock that goes on by a minute at every look, and randomness from a counter.
pub(crate) struct Counted {
    pub(crate) seconds: i64,
    pub(crate) count: u64,
}

impl Source for Counted {
    fn now(&mut self) -> Moment {
        self.seconds += 60;
        Moment::from_seconds(self.seconds)
    }

    fn random(&mut self) -> [u8; 16] {
        self.count += 1;
        let hash = blake3::hash(&self.count.to_le_bytes());
        *hash.as_bytes().first_chunk::<16>().unwrap()
    }
}

pub(crate) fn open(dir: &Path, seed: u64) -> Notebook {
    Notebook::open(
        dir,
        "a test",
        Box::new(Counted {
            seconds: 1_900_000_000,
            count: seed << 32,
        }),
    )
    .unwrap()
}

pub(crate) fn ask(notebook: &mut Notebook, name: &str, args: Value) -> Value {
    notebook
        .call(None, name, args)
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

pub(crate) fn refused(notebook: &mut Notebook, name: &str, args: Value) -> Refusal {
    notebook.call(None, name, args).unwrap_err()
}

pub(crate) fn id(made: &Value) -> String {
    made["id"].as_str().unwrap().to_owned()
}

/// Two folders that share a record.
pub(crate) fn pair(dir: &Path) -> (Notebook, Notebook) {
    let mut parent = open(&dir.join("parent"), 1);
    ask(
        &mut parent,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let mut child = open(&dir.join("child"), 2);
    let file = ask(&mut parent, "carry_out", json!({}))["file"].clone();
    ask(
        &mut child,
        "join_record",
        json!({ "file": file, "keeper": "Wilf" }),
    );
    meet(&mut parent, &mut child);
    (parent, child)
}

pub(crate) fn carry(from: &mut Notebook, to: &mut Notebook) -> Value {
    let file = ask(from, "carry_out", json!({}))["file"].clone();
    ask(to, "carry_in", json!({ "file": file }))
}

pub(crate) fn meet(one: &mut Notebook, two: &mut Notebook) {
    carry(one, two);
    carry(two, one);
    assert_eq!(
        ask(one, "digest", json!({}))["digest"],
        ask(two, "digest", json!({}))["digest"]
    );
}
