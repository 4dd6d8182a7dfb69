//! What signatures cost: an edit that is signed against the same edit where this device has no key to sign with, and a join of a
//! long record with its signatures against the same join without them, as a file of a program before them has it. Through the
//! registry, over real folders; in memory where the system has a place for it, so that no disk hides the difference. The two
//! sides are run in turn and the middle of the differences counts; it fails beyond the bars.
//!
//! `cargo bench -p notebook --bench signing`; another number of changes by `WITNESSMARK_CHANGES`.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::cast_precision_loss,
    reason = "a bench that cannot run says so"
)]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;

use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use folders::{ask, id, open, open_keyed};
use link::carry::{self, Head, Limits, Sink, Wanted, Writer};
use link::vouch::Mark;
use notebook::Notebook;
use record::Moment;
use serde_json::json;
use store::{Opener, Store};

/// Most that a signature adds to an edit, in milliseconds.
const MOST_EDIT: f64 = 0.1;
/// Most of a join that goes to signatures.
const MOST_JOIN: f64 = 0.1;
const EDITS: usize = 1_000;
const JOINS: usize = 7;

fn middle(of: &[f64]) -> f64 {
    let mut sorted = of.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}

fn millis(of: Duration) -> f64 {
    of.as_secs_f64() * 1e3
}

/// A folder in memory where there is such a place.
fn place() -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() {
        tempfile::tempdir_in(memory).unwrap()
    } else {
        tempfile::tempdir().unwrap()
    }
}

/// What a keeper does: notes, parts, jobs, changed parts.
struct Garage {
    notebook: Notebook,
    assembly: String,
    parts: Vec<String>,
}

impl Garage {
    fn begun(mut notebook: Notebook) -> Self {
        ask(
            &mut notebook,
            "start_record",
            json!({ "car": "Tern", "keeper": "Rosalind" }),
        );
        let assembly = id(&ask(&mut notebook, "add_assembly", json!({ "name": "gearbox" })));
        Self {
            notebook,
            assembly,
            parts: Vec::new(),
        }
    }

    fn edit(&mut self, at: usize) -> Duration {
        let day = format!("2031-{:02}-{:02}", 1 + at / 28 % 12, 1 + at % 28);
        let (name, args) = match at % 4 {
            0 => (
                "note",
                json!({ "day": day, "text": format!("Half a turn more on stud {at}, then it held.") }),
            ),
            1 => ("add_part", json!({ "name": format!("washer {at}") })),
            2 => (
                "add_job",
                json!({ "assembly": self.assembly, "what": format!("clean the seat of washer {at}") }),
            ),
            _ => {
                let part = &self.parts[at % self.parts.len()];
                (
                    "change_part",
                    json!({ "id": part, "fields": { "position": format!("stud {at}") } }),
                )
            }
        };
        let began = Instant::now();
        let made = ask(&mut self.notebook, name, args);
        let took = began.elapsed();
        if name == "add_part" {
            self.parts.push(id(&made));
        }
        took
    }
}

/// A file's first page, its changes and its signatures.
#[derive(Default)]
struct Opened {
    head: Head,
    changes: Vec<(carry::Hash, Vec<u8>)>,
    marks: Vec<Mark>,
}

impl Sink for Opened {
    type Refusal = std::convert::Infallible;

    fn head(&mut self, head: &Head) -> Result<(), Self::Refusal> {
        self.head = head.clone();
        Ok(())
    }

    fn change(&mut self, hash: carry::Hash, bytes: Vec<u8>) -> Result<(), Self::Refusal> {
        self.changes.push((hash, bytes));
        Ok(())
    }

    fn mark(&mut self, mark: Mark) -> Result<(), Self::Refusal> {
        self.marks.push(mark);
        Ok(())
    }

    fn photo(&mut self, _: carry::Hash, _: u64) -> Result<Wanted, Self::Refusal> {
        Ok(Wanted::No)
    }

    fn photo_piece(&mut self, _: &[u8]) -> Result<(), Self::Refusal> {
        Ok(())
    }

    fn photo_end(&mut self) -> Result<(), Self::Refusal> {
        Ok(())
    }
}

impl Opened {
    fn of(file: &Path) -> Self {
        let mut opened = Self::default();
        let mut from = BufReader::new(std::fs::File::open(file).unwrap());
        carry::read(&mut from, &Limits::default(), &mut opened).unwrap();
        opened
    }

    fn with(&self, marks: &[Mark], file: &Path) {
        let mut writer = Writer::new(std::fs::File::create(file).unwrap(), self.head.clone()).unwrap();
        for (hash, bytes) in &self.changes {
            writer.change(hash, bytes).unwrap();
        }
        writer.marks(marks).unwrap();
        writer.finish().unwrap();
    }
}

fn edits(dir: &Path) -> bool {
    let mut signed = Garage::begun(open_keyed(&dir.join("signed"), 1));
    let mut bare = Garage::begun(open(&dir.join("bare"), 1));
    let (mut with, mut without, mut more) = (Vec::new(), Vec::new(), Vec::new());
    for at in 0..EDITS {
        // In turn, the other first each time.
        let (one, other) = if at / 4 % 2 == 0 {
            let one = signed.edit(at);
            (one, bare.edit(at))
        } else {
            let other = bare.edit(at);
            (signed.edit(at), other)
        };
        let (one, other) = (millis(one), millis(other));
        with.push(one);
        without.push(other);
        more.push(one - other);
    }
    let more = middle(&more);
    println!("| an edit, {EDITS} of each in turn | ms |\n| --- | ---: |");
    println!("| without a signature | {:.3} |", middle(&without));
    println!("| signed | {:.3} |", middle(&with));
    println!("| the signature (may be {MOST_EDIT}) | {more:.3} |\n");
    more <= MOST_EDIT
}

fn joins(dir: &Path) -> bool {
    let wanted: usize = std::env::var("WITNESSMARK_CHANGES").map_or(10_000, |text| text.parse().unwrap());
    let mut host = Garage::begun(open_keyed(&dir.join("host"), 3));
    for at in 0..wanted {
        host.edit(at);
    }
    let file = ask(&mut host.notebook, "carry_out", json!({ "open": true }));
    let file = PathBuf::from(file["file"].as_str().unwrap());
    let opened = Opened::of(&file);
    drop(host);
    let now = Moment::from_seconds(1_950_000_000);
    let store = Store::open(
        &dir.join("host"),
        Opener {
            program: "a bench",
            now,
        },
    )
    .unwrap();
    let record = store.records().unwrap().remove(0).id;
    let every: Vec<Mark> = store
        .signatures(&record)
        .unwrap()
        .iter()
        .map(|one| Mark {
            device: *one.device.uuid().unwrap().as_bytes(),
            change: *one.change.bytes(),
            key: key_of(&one.key),
            signature: one.signature,
        })
        .collect();
    drop(store);
    let files = [
        ("none of them, as of a program before them", Vec::new()),
        ("those that go along", opened.marks.clone()),
        ("one over every change", every),
    ];
    let mut took = [Vec::new(), Vec::new(), Vec::new()];
    for round in 0..JOINS {
        for turn in 0..files.len() {
            let at = (turn + round) % files.len();
            let file = dir.join("in.carry");
            opened.with(&files[at].1, &file);
            let to = dir.join(format!("guest {round} {at}"));
            let mut guest = open_keyed(&to, 10);
            let began = Instant::now();
            ask(
                &mut guest,
                "join_record",
                json!({ "file": file, "keeper": "Wilf" }),
            );
            took[at].push(millis(began.elapsed()));
            drop(guest);
            std::fs::remove_dir_all(&to).unwrap();
        }
    }
    println!(
        "| a join of {} changes, {JOINS} of each in turn | signatures | ms | of it for them |\n| --- | ---: | ---: | ---: |",
        opened.changes.len()
    );
    let share = |at: usize| {
        let each: Vec<f64> = took[at]
            .iter()
            .zip(&took[0])
            .map(|(with, without)| (with - without) / with)
            .collect();
        middle(&each)
    };
    for (at, (what, marks)) in files.iter().enumerate() {
        println!(
            "| {what} | {} | {:.0} | {:.1} % |",
            marks.len(),
            middle(&took[at]),
            100.0 * share(at)
        );
    }
    println!("(may be {:.0} %)", 100.0 * MOST_JOIN);
    share(1) <= MOST_JOIN
}

fn key_of(hex: &str) -> [u8; 32] {
    data_encoding::HEXLOWER
        .decode(hex.as_bytes())
        .unwrap()
        .try_into()
        .unwrap()
}

fn main() {
    let dir = place();
    let within = [edits(dir.path()), joins(dir.path())];
    assert_eq!(within, [true, true], "a signature costs more than it may");
}
