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
use store::{Opener, Store};

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

/// A notebook over a folder on the disk.
pub(crate) fn opened(dir: &Path, mut source: Box<dyn Source>) -> Result<Notebook, Refusal> {
    let opener = Opener {
        program: "a test",
        now: source.now(),
    };
    Notebook::over(Store::open(dir, opener)?, source, &mut |_| {})
}

pub(crate) fn open(dir: &Path, seed: u64) -> Notebook {
    opened(
        dir,
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
    let mut parent = open_keyed(&dir.join("parent"), 1);
    ask(
        &mut parent,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let mut child = open_keyed(&dir.join("child"), 2);
    let file = ask(&mut parent, "carry_out", json!({ "open": true }))["file"].clone();
    ask(
        &mut child,
        "join_record",
        json!({ "file": file, "keeper": "Wilf" }),
    );
    meet(&mut parent, &mut child);
    (parent, child)
}

pub(crate) fn carry(from: &mut Notebook, to: &mut Notebook) -> Value {
    let file = ask(from, "carry_out", json!({ "open": true }))["file"].clone();
    // The other keeper sits beside.
    ask(to, "carry_in", json!({ "file": file, "welcome": true }))
}

pub(crate) fn meet(one: &mut Notebook, two: &mut Notebook) {
    carry(one, two);
    carry(two, one);
    assert_eq!(
        ask(one, "digest", json!({}))["digest"],
        ask(two, "digest", json!({}))["digest"]
    );
}

/// As [`Counted`], but it lends a device its secrets, out of the same counter: so files can be sealed to it.
pub(crate) struct Lending(Counted);

impl Source for Lending {
    fn now(&mut self) -> Moment {
        self.0.now()
    }

    fn random(&mut self) -> [u8; 16] {
        self.0.random()
    }

    fn secret(&mut self) -> Option<[u8; 64]> {
        let mut secret = [0; 64];
        for part in secret.chunks_mut(16) {
            part.copy_from_slice(&self.0.random());
        }
        Some(secret)
    }
}

/// A folder whose device has keys.
pub(crate) fn open_keyed(dir: &Path, seed: u64) -> Notebook {
    open_at(dir, seed, 1_900_000_000)
}

/// The same, at another time.
pub(crate) fn open_at(dir: &Path, seed: u64, seconds: i64) -> Notebook {
    let source = Lending(Counted {
        seconds,
        count: seed << 32,
    });
    opened(dir, Box::new(source)).unwrap()
}

/// What newcomers are told by voice.
pub(crate) const SPOKEN: &str = "three words by voice";

/// A newcomer joins by a file sealed to a passphrase, and carries one back, so that both know the other's keys.
pub(crate) fn join_keyed(host: &mut Notebook, dir: &Path, seed: u64, keeper: &str) -> Notebook {
    let out = ask(host, "carry_out", json!({ "passphrase": SPOKEN }));
    assert_eq!(
        (&out["seal"], &out["whole"]),
        (&json!("passphrase"), &json!(true))
    );
    let mut guest = open_keyed(dir, seed);
    ask(
        &mut guest,
        "join_record",
        json!({ "file": out["file"], "keeper": keeper, "passphrase": SPOKEN }),
    );
    let back = ask(&mut guest, "carry_out", json!({}));
    assert_eq!(back["seal"], "members", "{back}");
    // The host does not know that device, so its keeper is asked.
    let refusal = refused(host, "carry_in", json!({ "file": back["file"] }));
    assert_eq!(
        (refusal.code.as_str(), &refusal.args["keepers"]),
        ("newcomer", &json!(keeper))
    );
    ask(host, "carry_in", json!({ "file": back["file"], "welcome": true }));
    guest
}

/// The id of the device that a keeper has, as `notebook` sees it.
pub(crate) fn device_of(notebook: &mut Notebook, keeper: &str) -> String {
    let all = ask(notebook, "members", json!({}));
    let its = all
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["keeper_name"] == keeper);
    its.unwrap()["device"].as_str().unwrap().to_owned()
}
