//! What asking and writing cost in a record, each measured several times, and by which power that grows from one size to
//! the next.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicI64;
use std::time::{Duration, Instant};

use notebook::Notebook;
use serde_json::{Value, json};

use super::{Clock, Garage, Sample};

/// How often a warm question is asked and an edit is made.
const TIMES: usize = 15;

/// One thing that was measured.
#[derive(Clone, Debug)]
pub struct Row {
    /// What.
    pub what: String,
    /// The middle, in milliseconds.
    pub middle: f64,
    /// Of which kind.
    pub kind: &'static str,
    /// How many bytes the answer has, where it is one.
    pub bytes: usize,
    /// How many entries were read for it, where nothing was at hand.
    pub read: usize,
}

/// Everything that was measured at one size.
#[derive(Clone, Debug, Default)]
pub struct Costs {
    /// How many changes the record has.
    pub changes: u32,
    /// Row by row, in one order at each size.
    pub rows: Vec<Row>,
}

/// By which power a cost grows: 0 where it stays, 1 where it doubles with the size, 2 where it is four times as much.
#[must_use]
#[allow(
    clippy::disallowed_methods,
    reason = "a measurement, which no device compares"
)]
pub fn exponent(small: (u32, f64), large: (u32, f64)) -> f64 {
    (large.1 / small.1).ln() / (f64::from(large.0) / f64::from(small.0)).ln()
}

fn middle(mut of: Vec<Duration>) -> f64 {
    of.sort();
    of[of.len() / 2].as_secs_f64() * 1e3
}

fn open(at: &Path, clock: &Arc<AtomicI64>) -> Notebook {
    host::open(at, "years", Box::new(Clock::of(Arc::clone(clock), 7))).unwrap()
}

/// The pages that a keeper looks at, with what they are asked with.
fn pages(garage: &Garage, sample: &Sample) -> Vec<(&'static str, Value)> {
    let (assembly, part) = (&sample.assembly, &sample.part);
    vec![
        ("saved", json!({})),
        ("day", json!({ "day": garage.day() })),
        ("tonight", json!({})),
        ("begun", json!({})),
        ("car_own", json!({})),
        ("away", json!({})),
        ("car", json!({})),
        ("assembly", json!({ "id": assembly })),
        ("stores", json!({})),
        ("keepers", json!({})),
        ("points", json!({})),
        ("agreed", json!({})),
        ("entry", json!({ "kind": "part", "id": part })),
        ("history", json!({ "kind": "part", "id": part })),
        ("list", json!({ "kind": "part" })),
        ("search", json!({ "text": "micrometer" })),
        ("pictures", json!({ "about": format!("part:{part}") })),
        ("close_up_check", json!({ "assembly": assembly })),
        ("finding", json!({ "id": sample.finding })),
        ("reading", json!({ "id": sample.reading })),
        ("verdict_history", json!({ "id": sample.reading })),
        ("strike_check", json!({ "name": format!("assembly:{assembly}") })),
    ]
}

impl Costs {
    /// Measures a folder that a garage was written into.
    ///
    /// # Panics
    /// Where a command is refused.
    #[must_use]
    pub fn of(at: &Path, garage: &mut Garage) -> Self {
        let mut costs = Self::default();
        let sample = garage.sample(&mut open(at, &garage.at.clone()));
        for (name, args) in pages(garage, &sample) {
            let mut read = 0;
            let cold = (0..3).map(|_| {
                let mut notebook = open(at, &garage.at);
                let began = Instant::now();
                notebook.call(None, name, args.clone()).unwrap();
                let took = began.elapsed();
                read = notebook.at_hand();
                took
            });
            let cold = middle(cold.collect());
            costs.put(format!("cold {name}"), "cold", cold, (0, read));
        }
        let mut notebook = open(at, &garage.at);
        let began = Instant::now();
        let day = garage.day();
        let first = json!({ "day": day, "text": "The first word after opening." });
        notebook.call(None, "note", first).unwrap();
        let took = began.elapsed().as_secs_f64() * 1e3;
        costs.put("first edit".to_owned(), "first", took, (0, 0));
        for (name, args) in pages(garage, &sample) {
            let bytes = notebook.call(None, name, args.clone()).unwrap().to_string().len();
            let warm = (0..TIMES).map(|_| {
                let began = Instant::now();
                notebook.call(None, name, args.clone()).unwrap();
                began.elapsed()
            });
            let warm = middle(warm.collect());
            costs.put(format!("warm {name}"), "page", warm, (bytes, 0));
        }
        costs.edits(&mut notebook, garage, &sample, &day);
        costs.changes = notebook.call(None, "keepers", json!({})).unwrap()["changes"]
            .as_u64()
            .and_then(|many| u32::try_from(many).ok())
            .unwrap();
        costs
    }

    fn edits(&mut self, notebook: &mut Notebook, garage: &Garage, sample: &Sample, day: &str) {
        let (assembly, part) = (sample.assembly.clone(), sample.part.clone());
        let job = garage.jobs.last().unwrap().clone();
        let reading = |at: usize| json!({ "what": "Bore", "about": format!("part:{part}"), "value": format!("20.{at:02} mm"), "on": day });
        let edit = |at: usize, name: &str| -> (String, Value) {
            match name {
                "note" => (
                    "note".into(),
                    json!({ "day": day, "text": format!("A word {at}.") }),
                ),
                "part" => (
                    "change_part".into(),
                    json!({ "id": part, "fields": { "position": format!("place {at}") } }),
                ),
                "job" => (
                    "change_job".into(),
                    json!({ "id": job, "fields": { "outcome": format!("So far {at}") } }),
                ),
                "reading" => ("add_reading".into(), reading(at)),
                "finding" => (
                    "add_finding".into(),
                    json!({ "about": format!("part:{part}"), "what": format!("A mark {at}"), "on": day }),
                ),
                _ => (
                    "change_assembly".into(),
                    json!({ "id": assembly, "fields": { "note": format!("Words {at}") } }),
                ),
            }
        };
        for name in ["note", "part", "job", "reading", "finding", "assembly"] {
            let took = (0..TIMES).map(|at| {
                let (command, args) = edit(at, name);
                let began = Instant::now();
                notebook
                    .call(None, &command, args)
                    .unwrap_or_else(|refusal| panic!("{command}: {refusal:?}"));
                began.elapsed()
            });
            let took = middle(took.collect());
            self.put(format!("edit {name}"), "edit", took, (0, 0));
        }
    }

    fn put(&mut self, what: String, kind: &'static str, middle: f64, (bytes, read): (usize, usize)) {
        self.rows.push(Row {
            what,
            middle,
            kind,
            bytes,
            read,
        });
    }
}
