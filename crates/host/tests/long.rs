//! While a carry file goes out to a disk that stands still, pages answer and edits are kept; stopped there, nothing is left of it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod slow;

use std::path::Path;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use host::Handle;
use notebook::{Notebook, Refusal, Source};
use record::Moment;
use serde_json::{Value, json};
use slow::{Slow, gate};
use store::{Folder, Opener, Store};

/// How long an event is waited for that comes at once where nothing is wrong.
const SOON: Duration = Duration::from_secs(60);

struct Plain(u64);

impl Source for Plain {
    fn now(&mut self) -> Moment {
        self.0 += 1;
        Moment::from_seconds(1_900_000_000 + i64::try_from(self.0).unwrap())
    }

    fn random(&mut self) -> [u8; 16] {
        self.0 += 1;
        *blake3::hash(&self.0.to_le_bytes())
            .as_bytes()
            .first_chunk::<16>()
            .unwrap()
    }
}

/// A notebook whose carry file stands still in the middle of being written, with what lets it go on.
struct Standing {
    handle: Handle,
    held: Receiver<()>,
    release: Sender<()>,
    at_work: JoinHandle<Result<Value, Refusal>>,
}

fn standing(dir: &Path, file: &Path) -> Standing {
    let opener = Opener {
        program: "a test",
        now: Moment::from_seconds(1_900_000_000),
    };
    let (gate, held, release) = gate();
    let layer = Slow {
        inner: Box::new(Folder::take(dir, &opener).unwrap()),
        gate,
    };
    let store = Store::over(Box::new(layer), opener.now).unwrap();
    let mut notebook = Notebook::over(store, Box::new(Plain(0)), &mut |_| {}).unwrap();
    let start = json!({ "car": "Tern", "keeper": "Rosalind" });
    notebook.call(None, "start_record", start).unwrap();
    let handle = Handle::new(notebook);
    let at_work = {
        let (handle, args) = (handle.clone(), json!({ "file": file, "open": true }));
        std::thread::spawn(move || handle.call(None, "carry_out", args))
    };
    held.recv_timeout(SOON).unwrap();
    Standing {
        handle,
        held,
        release,
        at_work,
    }
}

/// Asks in another thread, so that a notebook that is held shows.
fn asked(handle: &Handle, name: &'static str, args: Value) -> Result<Value, Refusal> {
    let (told, answer) = channel();
    let handle = handle.clone();
    std::thread::spawn(move || told.send(handle.call(None, name, args)));
    answer.recv_timeout(SOON).unwrap()
}

fn files_in(dir: &Path) -> Vec<String> {
    let list = std::fs::read_dir(dir).unwrap();
    list.map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

#[test]
fn a_page_answers_and_an_edit_is_kept_while_the_disk_stands_still() {
    let (dir, stick) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let file = stick.path().join("out.carry");
    let standing = standing(dir.path(), &file);
    // Nothing lets the write go on before all of this was answered.
    let page = asked(&standing.handle, "car", json!({})).unwrap();
    assert!(page.to_string().contains("Tern"));
    let words = json!({ "day": "2031-04-02", "text": "Drained the gearbox." });
    asked(&standing.handle, "note", words).unwrap();
    let day = asked(&standing.handle, "day", json!({ "day": "2031-04-02" })).unwrap();
    assert!(day.to_string().contains("Drained the gearbox."));
    let going = asked(&standing.handle, "underway", json!({})).unwrap();
    assert_eq!(going[0]["name"], "carry_out");
    assert!(!standing.at_work.is_finished());
    assert!(
        standing.held.try_recv().is_err(),
        "the disk stands still at its first write"
    );
    drop(standing.release);
    let out = standing.at_work.join().unwrap().unwrap();
    assert_eq!(out["whole"], true);
    assert_eq!(files_in(stick.path()), ["out.carry"]);
    assert_eq!(asked(&standing.handle, "underway", json!({})).unwrap(), json!([]));
}

#[test]
fn stopped_while_the_disk_stands_still_it_leaves_no_file() {
    let (dir, stick) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let standing = standing(dir.path(), &stick.path().join("out.carry"));
    let digest = asked(&standing.handle, "digest", json!({})).unwrap();
    let going = asked(&standing.handle, "underway", json!({})).unwrap();
    let number = going[0]["number"].clone();
    asked(&standing.handle, "stop", json!({ "number": number })).unwrap();
    assert_eq!(files_in(stick.path()), ["out.carry.part"]);
    drop(standing.release);
    let refusal = standing.at_work.join().unwrap().unwrap_err();
    assert_eq!(refusal.code, "stopped");
    assert_eq!(files_in(stick.path()), Vec::<String>::new());
    assert_eq!(asked(&standing.handle, "digest", json!({})).unwrap(), digest);
    // What was stopped can be begun again.
    let again = asked(&standing.handle, "carry_out", json!({ "open": true })).unwrap();
    assert_eq!(again["whole"], true);
}
