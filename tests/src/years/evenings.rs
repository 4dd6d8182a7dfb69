//! Evening after evening at one car, as two people keep them: notes, photos, parts into bags, jobs begun and done, readings
//! against limits, assemblies closed. Everything goes through the registry of commands; refusals of a closing are part of it.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use notebook::{Notebook, Source};
use record::Moment;
use serde_json::{Value, json};

use crate::picture;
use crate::seed::Dice;

/// Seconds of a day.
const DAY: i64 = 86_400;
/// A Monday long ago at six in the evening.
const FIRST: i64 = 1_500_314_400;
/// The nests of assemblies that everything else stands in.
const ROOTS: [&str; 14] = [
    "Engine",
    "Gearbox",
    "Rear axle",
    "Front suspension",
    "Steering",
    "Brakes",
    "Fuel",
    "Cooling",
    "Wiring",
    "Dashboard",
    "Doors",
    "Seats",
    "Hood",
    "Body",
];
const NAMES: [&str; 12] = [
    "bracket", "bush", "bolt set", "cover", "shaft", "seal", "lever", "spring", "plate", "gasket", "collar",
    "cable",
];
const SEEN: [&str; 6] = [
    "Crack at the upper eye",
    "Worn oval",
    "Thread pulled",
    "Rust under the lip",
    "Scored over a third",
    "Bent out of true",
];
const DONE: [&str; 6] = [
    "Cleaned it back to metal and oiled it.",
    "The old one came off with heat and patience.",
    "Measured again with the good micrometer, same answer.",
    "Blasted, primed, hung up to dry.",
    "Found the washer that was missing since spring.",
    "Left it soaking until tomorrow.",
];

/// A clock that the evenings set, and randomness from a seed.
#[derive(Debug)]
pub struct Clock {
    at: Arc<AtomicI64>,
    dice: Dice,
}

impl Clock {
    /// A clock that reads what `at` says and goes on by a second at each look.
    #[must_use]
    pub fn of(at: Arc<AtomicI64>, seed: u64) -> Self {
        Self {
            at,
            dice: Dice::of(seed),
        }
    }
}

impl Source for Clock {
    fn now(&mut self) -> Moment {
        Moment::from_seconds(self.at.fetch_add(1, Ordering::Relaxed))
    }

    fn random(&mut self) -> [u8; 16] {
        self.dice.bytes()
    }
}

/// What the two have made so far, as far as the next evening needs it.
#[derive(Debug)]
pub struct Garage {
    /// The clock of the device, so that a folder that is opened again goes on from there.
    pub at: Arc<AtomicI64>,
    dice: Dice,
    evening: usize,
    roots: Vec<String>,
    /// Every assembly, the newest last.
    pub assemblies: Vec<String>,
    /// Every part, the newest last.
    pub parts: Vec<String>,
    /// Jobs that are not done.
    pub jobs: Vec<String>,
    /// Findings without an end.
    findings: Vec<String>,
    containers: Vec<String>,
    instruments: Vec<String>,
    limits: Vec<String>,
    /// How many parts there were when the last order was made.
    ordered: usize,
    pictures: u32,
    /// How many commands wrote.
    pub wrote: usize,
    /// How many closings were refused.
    pub refused: usize,
}

/// What pages are asked about, by their ids.
#[derive(Clone, Debug, Default)]
pub struct Sample {
    /// An assembly of six parts, each with a job, a finding, a reading and a photo.
    pub assembly: String,
    /// One of its parts, and of what is about that.
    pub part: String,
    /// A finding.
    pub finding: String,
    /// A reading.
    pub reading: String,
}

impl Garage {
    /// A garage without a car.
    #[must_use]
    pub fn of(seed: u64) -> Self {
        Self {
            at: Arc::new(AtomicI64::new(FIRST)),
            dice: Dice::of(seed),
            evening: 0,
            roots: Vec::new(),
            assemblies: Vec::new(),
            parts: Vec::new(),
            jobs: Vec::new(),
            findings: Vec::new(),
            containers: Vec::new(),
            instruments: Vec::new(),
            limits: Vec::new(),
            ordered: 0,
            pictures: 0,
            wrote: 0,
            refused: 0,
        }
    }

    /// The day of the evening that comes next, as it is written.
    #[must_use]
    pub fn day(&self) -> String {
        // Days since 1970 as a date, after Howard Hinnant's `civil_from_days` (public domain).
        let days = self.evening_begins().div_euclid(DAY) + 719_468;
        let (era, of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
        let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year + year / 4 - year / 100);
        let month = (5 * of_year + 2) / 153;
        let day = of_year - (153 * month + 2) / 5 + 1;
        let month = if month < 10 { month + 3 } else { month - 9 };
        let year = year + era * 400 + i64::from(month <= 2);
        format!("{year:04}-{month:02}-{day:02}")
    }

    fn evening_begins(&self) -> i64 {
        // Five evenings in seven.
        let evening = i64::try_from(self.evening).unwrap_or(i64::MAX);
        FIRST + (evening / 5 * 7 + evening % 5) * DAY
    }

    /// Begins the record, with what stands in the garage before the first evening.
    ///
    /// # Panics
    /// Where a command is refused that must not be.
    pub fn begin(&mut self, notebook: &mut Notebook) {
        self.ask(
            notebook,
            "start_record",
            json!({ "car": "Tern", "keeper": "Ada" }),
        );
        for root in ROOTS {
            let id = self.made(notebook, "add_assembly", json!({ "name": root }));
            self.roots.push(id.clone());
            self.assemblies.push(id);
        }
        for at in 0..12 {
            let name = format!("Micrometer {at}");
            let fields = json!({ "name": name, "resolution": "0.01 mm", "uncertainty": "0.004 mm",
                "least": "0 mm", "most": "25 mm" });
            let id = self.made(notebook, "add_instrument", fields);
            self.instruments.push(id);
        }
    }

    /// So many evenings more.
    ///
    /// # Panics
    /// Where a command is refused that must not be.
    pub fn evenings(&mut self, notebook: &mut Notebook, many: usize) {
        for _ in 0..many {
            self.at.store(self.evening_begins(), Ordering::Relaxed);
            self.evening(notebook);
            self.evening += 1;
        }
    }

    /// Makes the thing that pages are asked about, the same in a record of any size; its assembly and one part, finding and reading of it.
    ///
    /// # Panics
    /// Where a command is refused.
    pub fn sample(&mut self, notebook: &mut Notebook) -> Sample {
        self.at.store(self.evening_begins(), Ordering::Relaxed);
        let day = self.day();
        let root = self.roots[0].clone();
        let fields = json!({ "name": "Water pump", "parent": root });
        let assembly = self.made(notebook, "add_assembly", fields);
        let fields = json!({ "what": "Spindle, at the front", "low": "15.97 mm", "high": "16.00 mm" });
        let limit = self.made(notebook, "add_limit", fields);
        let instrument = self.instruments[0].clone();
        let mut sample = Sample::default();
        for at in 0..6 {
            let fields = json!({ "name": format!("Pump piece {at}"), "assembly": assembly, "decision": "replace", "on": day });
            sample.part = self.made(notebook, "add_part", fields);
            let about = format!("part:{}", sample.part);
            let fields = json!({ "what": format!("Dress pump piece {at}"), "assembly": assembly, "part": sample.part });
            self.made(notebook, "add_job", fields);
            let fields =
                json!({ "about": about, "what": format!("Pitted {at}"), "how_bad": "mend", "on": day });
            sample.finding = self.made(notebook, "add_finding", fields);
            let fields = json!({ "what": "Spindle", "about": about, "value": format!("15.9{at} mm"), "limit": limit,
                "instrument": instrument, "on": day });
            sample.reading = self.made(notebook, "add_reading", fields);
            self.photo(notebook, &about, &day);
        }
        self.assemblies.push(assembly.clone());
        sample.assembly = assembly;
        sample
    }

    fn photo(&mut self, notebook: &mut Notebook, about: &str, day: &str) {
        self.pictures += 1;
        let bytes = picture::png(self.pictures, 2);
        let hash = notebook.take_photo(&bytes).unwrap().hash;
        let fields = json!({ "hash": hash, "caption": self.word(), "about": about, "on": day });
        self.made(notebook, "add_photo", fields);
    }

    fn evening(&mut self, notebook: &mut Notebook) {
        let day = self.day();
        self.dismantled(notebook, &day);
        self.worked(notebook, &day);
        self.measured(notebook, &day);
        self.written(notebook, &day);
    }

    fn dismantled(&mut self, notebook: &mut Notebook, day: &str) {
        if self.dice.chance(17) {
            // Most stand right under a root, some in one of the newest.
            let parent = if self.dice.chance(70) {
                self.dice.pick(&self.roots).clone()
            } else {
                self.newest_assembly()
            };
            let name = format!("{} unit {}", self.word(), self.assemblies.len());
            let id = self.made(
                notebook,
                "add_assembly",
                json!({ "name": name, "parent": parent }),
            );
            self.assemblies.push(id);
        }
        if self.dice.chance(27) {
            let code = format!("B{}", self.containers.len() + 1);
            let mut fields = json!({ "code": code, "name": self.word(), "place": "Shelf by the door" });
            if self.dice.chance(40) && !self.containers.is_empty() {
                fields["inside"] = json!(self.dice.pick(&self.containers));
            }
            let id = self.made(notebook, "add_container", fields);
            self.containers.push(id);
        }
        for _ in 0..1 + usize::from(self.dice.chance(15)) {
            let number = self.parts.len();
            let mut fields = json!({
                "name": format!("{} {number}", self.word()), "assembly": self.newest_assembly(),
                "position": format!("place {}", number % 17), "number": format!("A{number}"), "on": day,
            });
            if let Some(bag) = self.containers.last() {
                fields["container"] = json!(bag);
            }
            let id = self.made(notebook, "add_part", fields);
            self.parts.push(id);
        }
        if self.dice.chance(80) {
            let id = self.dice.pick(&self.parts).clone();
            let decision = *self.dice.pick(&["reuse", "recondition", "replace"]);
            let why = format!("Looked at on {day}");
            let fields = json!({ "decision": decision, "decision_why": why });
            self.ask(notebook, "change_part", json!({ "id": id, "fields": fields }));
        }
    }

    fn worked(&mut self, notebook: &mut Notebook, day: &str) {
        if self.dice.chance(77) {
            let what = format!("Overhaul {} {}", self.word(), self.jobs.len());
            let part = self.newest_part();
            let fields = json!({ "what": what, "assembly": self.newest_assembly(), "part": part, "state": "open", "on": day });
            let id = self.made(notebook, "add_job", fields);
            self.jobs.push(id);
        }
        if self.jobs.len() > 30 || (self.jobs.len() > 3 && self.dice.chance(70)) {
            let id = self.jobs.remove(0);
            let fields = json!({ "state": "done", "outcome": "Runs free" });
            self.ask(notebook, "change_job", json!({ "id": id, "fields": fields }));
        }
        if self.dice.chance(35) {
            let what = (*self.dice.pick(&SEEN)).to_owned();
            let how_bad = *self.dice.pick(&["noted", "watch", "mend"]);
            let about = format!("part:{}", self.newest_part());
            let fields = json!({ "about": about, "what": what, "how_bad": how_bad, "on": day });
            let id = self.made(notebook, "add_finding", fields);
            self.findings.push(id);
        }
        if self.findings.len() > 8 {
            let id = self.findings.remove(0);
            let fields = json!({ "ended": "mended:dressed and checked" });
            self.may(notebook, "change_finding", json!({ "id": id, "fields": fields }));
        }
        // One order for a part, or there would be a point to settle for each second one.
        if self.dice.chance(20) && self.parts.len() > self.ordered {
            self.ordered = self.parts.len();
            let part = self.parts[self.ordered - 1].clone();
            let what = format!("{} {}", self.word(), self.ordered);
            let fields = json!({ "what": what, "part": part, "from": "Hale & Daughter", "on": day });
            self.made(notebook, "add_order", fields);
        }
        if self.dice.chance(10) {
            let back = self.assemblies.len().min(40);
            let at = self.assemblies.len() - 1 - self.dice.below(back);
            let id = self.assemblies[at].clone();
            self.may(notebook, "close_up", json!({ "assembly": id }));
        }
    }

    fn measured(&mut self, notebook: &mut Notebook, day: &str) {
        if !self.dice.chance(95) {
            return;
        }
        if self.limits.is_empty() || self.dice.chance(10) {
            let what = format!("{} diameter", self.word());
            let fields = json!({ "what": what, "low": "20.00 mm", "high": "20.40 mm", "book": "Works manual", "page": "41" });
            let id = self.made(notebook, "add_limit", fields);
            self.limits.push(id);
        }
        let value = format!("{}.{:02} mm", 20, self.dice.below(60));
        let limit = self.dice.pick(&self.limits).clone();
        let instrument = self.dice.pick(&self.instruments).clone();
        let about = format!("part:{}", self.newest_part());
        let fields = json!({ "what": "Diameter", "about": about, "at": "front", "value": value, "limit": limit,
            "instrument": instrument, "on": day });
        self.made(notebook, "add_reading", fields);
    }

    fn written(&mut self, notebook: &mut Notebook, day: &str) {
        let text = (*self.dice.pick(&DONE)).to_owned();
        let assembly = self.newest_assembly();
        self.ask(
            notebook,
            "note",
            json!({ "day": day, "text": text, "assembly": assembly }),
        );
        let text = format!("{} Evening {}.", self.dice.pick(&DONE), self.evening);
        self.ask(notebook, "note", json!({ "day": day, "text": text }));
        self.ask(notebook, "put_hours", json!({ "day": day, "hours": "2" }));
        for _ in 0..3 {
            let about = format!("part:{}", self.newest_part());
            self.photo(notebook, &about, day);
        }
    }

    fn word(&mut self) -> &'static str {
        NAMES[self.dice.below(NAMES.len())]
    }

    /// One of the five newest: an evening goes on where the one before ended.
    fn newest_assembly(&mut self) -> String {
        let back = self.dice.below(self.assemblies.len().min(5));
        self.assemblies[self.assemblies.len() - 1 - back].clone()
    }

    fn newest_part(&mut self) -> String {
        let back = self.dice.below(self.parts.len().min(8));
        self.parts[self.parts.len() - 1 - back].clone()
    }

    fn made(&mut self, notebook: &mut Notebook, name: &str, args: Value) -> String {
        let made = self.ask(notebook, name, args);
        made["id"].as_str().unwrap().to_owned()
    }

    fn ask(&mut self, notebook: &mut Notebook, name: &str, args: Value) -> Value {
        self.wrote += 1;
        notebook
            .call(None, name, args)
            .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
    }

    /// What may be refused, as a closing over an open job is.
    fn may(&mut self, notebook: &mut Notebook, name: &str, args: Value) {
        match notebook.call(None, name, args) {
            Ok(_) => self.wrote += 1,
            Err(_) => self.refused += 1,
        }
    }
}
