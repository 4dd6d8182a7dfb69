//! Parts of a meeting before their signatures, and what was unsigned before.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use record::{Id, Moment};
use serde_json::json;
use store::Batch;

use crate::live::Waiting;
use crate::notebook::Notebook;
use crate::source::Fresh;
use crate::source::Source;
use crate::wire::AsideBy;

struct Lending(i64, u64);

impl Source for Lending {
    fn now(&mut self) -> Moment {
        self.0 += 60;
        Moment::from_seconds(self.0)
    }

    fn random(&mut self) -> [u8; 16] {
        self.1 += 1;
        *blake3::hash(&self.1.to_le_bytes())
            .as_bytes()
            .first_chunk::<16>()
            .unwrap()
    }

    fn secret(&mut self) -> Option<[u8; 64]> {
        let mut secret = [0; 64];
        for part in secret.chunks_mut(16) {
            part.copy_from_slice(&self.random());
        }
        Some(secret)
    }
}

fn open(dir: &std::path::Path, seed: u64) -> Notebook {
    let mut source = Lending(1_900_000_000, seed << 32);
    let opener = store::Opener {
        program: "a test",
        now: source.now(),
    };
    let store = store::Store::open(dir, opener).unwrap();
    Notebook::over(store, Box::new(source), &mut |_| {}).unwrap()
}

fn ask(notebook: &mut Notebook, name: &str, args: serde_json::Value) -> serde_json::Value {
    notebook.call(None, name, args).unwrap()
}

fn two(dir: &std::path::Path) -> (Notebook, Notebook, Id) {
    let mut host = open(&dir.join("host"), 1);
    ask(
        &mut host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let mut guest = open(&dir.join("guest"), 2);
    let file = ask(&mut host, "carry_out", json!({ "open": true }))["file"].clone();
    ask(
        &mut guest,
        "join_record",
        json!({ "file": file, "keeper": "Wilf" }),
    );
    ask(
        &mut guest,
        "note",
        json!({ "day": "2031-03-01", "text": "begun" }),
    );
    let file = ask(&mut guest, "carry_out", json!({ "open": true }))["file"].clone();
    ask(&mut host, "carry_in", json!({ "file": file, "welcome": true }));
    let record = host.which(None).unwrap().id;
    (host, guest, record)
}

fn take(host: &mut Notebook, record: &Id, waiting: &mut Waiting, part: &[Vec<u8>]) {
    host.take_in(record, waiting, part.to_vec(), AsideBy::Meeting, None)
        .unwrap();
}

#[test]
fn the_first_part_waits_aside_until_its_signature_is_there() {
    let dir = tempfile::tempdir().unwrap();
    let (mut host, mut guest, record) = two(dir.path());
    let before = host.heads_now(&record).unwrap();
    for text in ["one", "two"] {
        ask(&mut guest, "note", json!({ "day": "2031-03-01", "text": text }));
    }
    let changes = guest.document(&record).unwrap().record.changes_since(&before);
    let stream = guest.with_marks(&record, changes, false).unwrap();
    let [one, mark_of_one, two, mark_of_two] = stream.as_slice() else {
        panic!("{} in the stream", stream.len());
    };
    let mut waiting = Waiting::default();
    take(&mut host, &record, &mut waiting, std::slice::from_ref(one));
    assert!(waiting.left().unwrap().contains("Wilf"), "{:?}", waiting.left());
    assert_eq!(host.heads_now(&record).unwrap(), before);
    // The newest vouches for those below it.
    take(
        &mut host,
        &record,
        &mut waiting,
        &[two.clone(), mark_of_two.clone()],
    );
    assert_eq!(waiting.left(), None);
    assert_eq!(
        host.heads_now(&record).unwrap(),
        guest.heads_now(&record).unwrap()
    );
    // Known already, it comes to no more; and what is handed on goes with what vouches for it.
    take(
        &mut host,
        &record,
        &mut waiting,
        &[one.clone(), mark_of_one.clone()],
    );
    let all = host.document(&record).unwrap().record.changes_since(&before);
    let ids: Vec<_> = all.iter().map(|(id, _)| *id).collect();
    assert!(!host.marks_for(&record, &ids, true).unwrap().is_empty());
    assert_eq!(ask(&mut host, "check", json!({}))["sound"], true);
}

#[test]
fn what_was_written_unsigned_before_is_signed_when_it_is_handed_on() {
    let dir = tempfile::tempdir().unwrap();
    let (mut host, _, record) = two(dir.path());
    // As an older program writes: nothing is signed.
    let now = host.now();
    let keeper = host.store.record(&record).unwrap().keeper.unwrap();
    let note = record::Edit::Note {
        day: "2031-03-01".parse().unwrap(),
        keeper,
        text: "by the older program".to_owned(),
    };
    let mut pending = host.pending(&record).unwrap();
    let mut ids = Fresh {
        source: host.source.as_mut(),
        now,
    };
    pending.edit(&note, now, &mut ids).unwrap();
    let newest = pending.record().heads();
    let batch = Batch {
        changes: &pending.written.changes,
        ..Batch::default()
    };
    host.store.commit(&record, &batch).unwrap();
    assert!(host.store.signature(&record, &newest[0]).unwrap().is_none());
    drop(host);
    host = open(&dir.path().join("host"), 6);
    let marks = host.marks_for(&record, &newest, true).unwrap();
    assert!(marks.iter().any(|mark| &mark.change == newest[0].bytes()));
}
