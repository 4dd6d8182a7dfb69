//! One schedule of notebooks over real folders: the same acts and the same mishaps as in memory, but through the
//! registry of commands, with carry files on the disk and programs that end and open their folder again. What was
//! written is looked for through the faces' own queries.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use notebook::{Notebook, Refusal, Source};
use record::{Id, Kind, Moment, Ref};
use serde_json::{Value, json};
use store::{Opener, Store};

use crate::act::{Act, Hand, Shown};
use crate::device::Did;
use crate::past;
use crate::picture;
use crate::schedule::Told;
use crate::seed::Dice;
use crate::value::{Fields, Seen};

/// A clock and randomness from a seed.
#[derive(Debug)]
pub struct Seeded {
    dice: Dice,
    now: i64,
}

impl Seeded {
    /// From any number; clocks of two of them disagree.
    #[must_use]
    pub fn of(seed: u64) -> Self {
        let mut dice = Dice::of(seed);
        let now = 1_900_000_000 + i64::from(dice.number() % 600_000);
        Self { dice, now }
    }
}

impl Source for Seeded {
    fn now(&mut self) -> Moment {
        self.now += 7;
        Moment::from_seconds(self.now)
    }
    fn random(&mut self) -> [u8; 16] {
        self.dice.bytes()
    }
}

struct Folder {
    dir: PathBuf,
    notebook: RefCell<Option<Notebook>>,
    keeper: Id,
    device: Id,
    hand: Hand,
}

/// A value that somebody wrote, as JSON, or a line of a text.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Wrote {
    kind: Kind,
    id: Id,
    field: String,
    value: String,
    line: bool,
}

struct World {
    dice: Dice,
    root: tempfile::TempDir,
    folders: Vec<Folder>,
    /// Files on their way: who sent each, where it lies, how often it was taken in.
    files: Vec<(usize, PathBuf, usize)>,
    parted: Vec<usize>,
    wrote: BTreeSet<Wrote>,
    count: u64,
    told: Told,
}

/// Runs one schedule.
///
/// # Panics
/// Where anything is not as it must be; the message says what, and the seed replays it.
#[must_use]
pub fn run(seed: u64) -> Told {
    let mut world = World {
        dice: Dice::of(seed ^ 0xF01D),
        root: tempfile::tempdir().unwrap(),
        folders: Vec::new(),
        files: Vec::new(),
        parted: vec![0; 4],
        wrote: BTreeSet::new(),
        count: 0,
        told: Told {
            schedules: 1,
            ..Told::default()
        },
    };
    world.start();
    let most = 2 + world.dice.below(3);
    world.join();
    for _ in 0..30 + world.dice.below(30) {
        world.step(most);
    }
    world.meet_all();
    world.hold();
    world.told
}

impl Folder {
    fn call(&self, name: &str, args: Value) -> Result<Value, Refusal> {
        self.notebook
            .borrow_mut()
            .as_mut()
            .unwrap()
            .call(None, name, args)
    }

    fn ask(&self, name: &str, args: Value) -> Value {
        self.call(name, args)
            .unwrap_or_else(|refusal| panic!("{name}: {refusal}"))
    }

    fn restart(&self, seed: u32) {
        let before = self.ask("digest", json!({}));
        self.notebook.replace(None);
        self.notebook.replace(Some(open(&self.dir, seed)));
        assert_eq!(
            self.ask("digest", json!({})),
            before,
            "opened again, the record is another"
        );
    }
}

/// A page without what each device knows by itself alone: who is thought to have a photo that is missing here.
fn shared(mut page: Value) -> Value {
    match &mut page {
        Value::Object(fields) => {
            fields.remove("missing");
            fields
                .values_mut()
                .for_each(|value| *value = shared(value.take()));
        }
        Value::Array(values) => values.iter_mut().for_each(|value| *value = shared(value.take())),
        _ => {}
    }
    page
}

fn open(dir: &Path, seed: u32) -> Notebook {
    host::open(dir, "a test", Box::new(Seeded::of(u64::from(seed)))).unwrap()
}

impl World {
    fn new_folder(&mut self, begin: impl FnOnce(&mut Notebook) -> Result<Value, Refusal>) {
        let dir = self.root.path().join(format!("device-{}", self.folders.len()));
        let mut notebook = open(&dir, self.dice.number());
        let line = begin(&mut notebook).unwrap();
        let id = |key: &str| -> Id { line[key].as_str().unwrap().parse().unwrap() };
        self.folders.push(Folder {
            dir,
            keeper: id("keeper"),
            device: id("device"),
            notebook: RefCell::new(Some(notebook)),
            hand: Hand::default(),
        });
    }

    fn start(&mut self) {
        let args = json!({ "car": "Tern", "keeper": "keeper 0", "device_name": "device 0" });
        self.new_folder(|notebook| notebook.call(None, "start_record", args));
    }

    fn join(&mut self) {
        let from = self.dice.below(self.folders.len());
        let path = self
            .root
            .path()
            .join(format!("join-{}.carry", self.folders.len()));
        self.folders[from].ask("carry_out", json!({ "file": path, "open": true }));
        let number = self.folders.len();
        // Now and then a further device of the first keeper, by name.
        let keeper = if self.dice.chance(45) { 0 } else { number };
        let args = json!({ "file": path, "keeper": format!("keeper {keeper}"), "device_name": format!("device {number}") });
        self.new_folder(|notebook| notebook.call(None, "join_record", args));
    }

    fn step(&mut self, most: usize) {
        match self.dice.below(100) {
            0..=57 => self.edit(),
            58..=74 => self.send(),
            75..=90 => self.deliver(),
            91..=93 => {
                let at = self.dice.below(self.folders.len());
                self.folders[at].restart(self.dice.number());
                self.told.restarts += 1;
            }
            94..=96 => {
                for at in 0..self.parted.len() {
                    self.parted[at] = self.dice.below(2);
                }
            }
            _ if self.folders.len() < most => self.join(),
            _ => self.parted.fill(0),
        }
    }

    fn edit(&mut self) {
        let at = self.dice.below(self.folders.len());
        let mut hand = std::mem::take(&mut self.folders[at].hand);
        let mut act = Act::any(&self.folders[at], &mut hand, &mut self.dice, &mut self.count);
        self.folders[at].hand = hand;
        // Whoever is revoked is met no more, so that not all would end alike: the story of that is in `aside.rs`.
        let revokes = |fields: &Fields| fields.json.contains_key("revoked");
        match &act {
            Act::Change(Kind::Device, _, fields) if revokes(fields) => return,
            Act::Strike(name, ..) if name.kind == Kind::Device => return,
            _ => {}
        }
        if let Act::Add(Kind::Photo, _, fields) = &mut act {
            let bytes = picture::png(self.dice.number(), 8);
            let taken = {
                let mut notebook = self.folders[at].notebook.borrow_mut();
                notebook.as_mut().unwrap().take_photo(&bytes).unwrap()
            };
            fields.json.insert("hash".to_owned(), json!(taken.hash));
            for (field, value) in &mut fields.kept {
                if field == "hash" {
                    *value = Some(record::Scalar::Line(taken.hash.clone()));
                }
            }
        }
        if let Act::Rewrite(day, before, ..) = &act {
            self.told.stale_rewrites += usize::from(&self.folders[at].sheet(day) != before);
        }
        let (name, args) = act.command();
        let did = match self.folders[at].call(&name, args.clone()) {
            Ok(reply) => {
                self.take_down(at, &act, &reply);
                Did::Done
            }
            Err(refusal) => {
                assert_eq!(refusal.fault, notebook::Fault::Input, "{name} {args}: {refusal}");
                Did::Refused
            }
        };
        self.told.count(&act, did);
    }

    fn take_down(&mut self, at: usize, act: &Act, reply: &Value) {
        let (kind, id) = match act {
            Act::Add(kind, ..) => (*kind, reply["id"].as_str().unwrap().parse().unwrap()),
            Act::Change(kind, id, _) => (*kind, id.clone()),
            Act::Strike(name, ..) | Act::TakeBack(name) => (name.kind, name.id.clone()),
            Act::Note(day, _) | Act::Rewrite(day, ..) | Act::Hours(day, _) => (
                Kind::Sheet,
                format!("{day}_{}", self.folders[at].keeper).parse().unwrap(),
            ),
            Act::CloseUp(assembly, _) => (Kind::Assembly, assembly.clone()),
            Act::Settle(..) => return,
        };
        let mut wrote = |field: &str, value: Value, line: bool| {
            let value = if line {
                value.as_str().unwrap().to_owned()
            } else {
                value.to_string()
            };
            let field = field.to_owned();
            self.wrote.insert(Wrote {
                kind,
                id: Id::clone(&id),
                field,
                value,
                line,
            });
        };
        match act {
            Act::Add(_, _, fields) | Act::Change(_, _, fields) => {
                for (field, value) in fields.kept.iter().filter(|(_, value)| value.is_some()) {
                    wrote(field, json!(value), false);
                }
                for (field, text) in &fields.prose {
                    text.lines().for_each(|line| wrote(field, json!(line), true));
                }
                for (field, members) in &fields.sets {
                    for member in members {
                        wrote(&format!("{field}:{member}"), json!(true), false);
                    }
                }
            }
            Act::Strike(name, why, _) => {
                wrote("struck", json!(why), false);
                self.folders[at].hand.struck.insert(name.clone());
            }
            Act::TakeBack(name) => drop(self.folders[at].hand.struck.remove(name)),
            Act::Note(_, text) => wrote("text", json!(text), true),
            Act::Rewrite(_, before, after, _) => {
                let fresh = after
                    .lines()
                    .filter(|line| !before.lines().any(|one| one == *line));
                fresh.for_each(|line| wrote("text", json!(line), true));
            }
            Act::Hours(_, hours) if !hours.is_empty() => {
                wrote("hours", json!(hours.replace(',', ".")), false)
            }
            Act::CloseUp(..) => wrote("state", json!("closed"), false),
            Act::Hours(..) | Act::Settle(..) => {}
        }
    }

    fn send(&mut self) {
        let from = self.dice.below(self.folders.len());
        let to = self.dice.below(self.folders.len());
        let path = self.root.path().join(format!(
            "{}.carry",
            self.files.len() + self.told.dropped * 100 + self.told.files * 10_000
        ));
        let device = (to != from && self.dice.chance(70)).then(|| self.folders[to].device.clone());
        let folder = &self.folders[from];
        match folder.call("carry_out", json!({ "to": device, "file": path, "open": true })) {
            Ok(_) => self.files.push((from, path, 0)),
            // A device that this one never heard of.
            Err(refusal) => assert_eq!(refusal.fault, notebook::Fault::Input, "{refusal}"),
        }
    }

    fn deliver(&mut self) {
        let to = self.dice.below(self.folders.len());
        let about: Vec<usize> = (0..self.files.len())
            .filter(|at| self.files[*at].0 != to && self.parted[self.files[*at].0] == self.parted[to])
            .collect();
        let Some(at) = self.dice.one(&about).copied() else {
            return;
        };
        let digest = self.folders[to].ask("digest", json!({}));
        // An act may give any device any key, as its own keeper would: nobody is to be asked here.
        match self.folders[to].call("carry_in", json!({ "file": self.files[at].1, "welcome": true })) {
            Ok(meeting) => {
                self.files[at].2 += 1;
                self.told.files += 1;
                self.told.framed += 1;
                self.told.twice += usize::from(meeting["changes"] == 0);
            }
            Err(refusal) => {
                assert_eq!(refusal.code, "gap", "{refusal}");
                assert_eq!(
                    self.folders[to].ask("digest", json!({})),
                    digest,
                    "refused, and changed"
                );
                self.told.gaps += 1;
            }
        }
        if self.dice.chance(30) {
            let (_, path, taken) = self.files.swap_remove(at);
            std::fs::remove_file(path).unwrap();
            self.told.dropped += usize::from(taken == 0);
        }
    }

    /// Everybody meets everybody by files with everything, once around and back.
    fn meet_all(&mut self) {
        self.told.dropped += self.files.iter().filter(|(.., taken)| *taken == 0).count();
        let count = self.folders.len();
        let around = (0..count).chain((0..count).rev());
        for (from, to) in around.clone().zip(around.skip(1)).filter(|(from, to)| from != to) {
            let path = self.root.path().join("last.carry");
            self.folders[from].ask("carry_out", json!({ "file": path, "open": true }));
            self.folders[to].ask("carry_in", json!({ "file": path, "welcome": true }));
        }
    }

    fn hold(&mut self) {
        let first = &self.folders[0];
        let same = ["digest", "points", "car", "stores"];
        let pages: Vec<Value> = same
            .iter()
            .map(|name| shared(first.ask(name, json!({}))))
            .collect();
        let mut derived = BTreeSet::new();
        for folder in &self.folders {
            for (name, page) in same.iter().zip(&pages) {
                assert_eq!(&shared(folder.ask(name, json!({}))), page, "'{name}' differs");
            }
            let missing = |folder: &Folder| folder.ask("keepers", json!({}))["photos_missing"].clone();
            assert_eq!(missing(folder), missing(first), "photos did not come along");
            let report = folder.ask("check", json!({}));
            assert_eq!(report["sound"], true, "{report}");
            let rebuilt = folder.ask("rebuild", json!({}));
            assert_eq!(
                rebuilt["changed"], false,
                "rebuilt, the read tables are others: {rebuilt}"
            );
        }
        self.look_for_everything();
        for point in pages[1].as_array().unwrap() {
            let rule = serde_json::from_value(point["rule"].clone()).unwrap();
            *self.told.points.entry(rule).or_default() += 1;
        }
        for folder in &self.folders {
            folder.notebook.replace(None);
            let opener = Opener {
                program: "a test",
                now: Moment::from_seconds(0),
            };
            let store = Store::open(&folder.dir, opener).unwrap();
            let records = store.records().unwrap();
            derived.insert(store.derived_digest(&records[0].id).unwrap());
            if derived.len() == 1 && self.told.past == past::Compared::default() {
                self.told.past = past::hold_store(&store, &records[0].id);
            }
        }
        assert_eq!(derived.len(), 1, "read tables differ on the disks");
    }

    /// Every value that was ever written is current, beside others, struck out, or in history.
    fn look_for_everything(&mut self) {
        let at = self.dice.below(self.folders.len());
        let folder = &self.folders[at];
        let mut read: BTreeMap<(Kind, Id), (Value, Value)> = BTreeMap::new();
        for wrote in &self.wrote {
            let key = (wrote.kind, wrote.id.clone());
            let (entry, history) = read.entry(key).or_insert_with(|| {
                let which = json!({ "kind": wrote.kind, "id": wrote.id });
                let entry = folder.call("entry", which.clone()).unwrap_or(Value::Null);
                (entry, folder.ask("history", which))
            });
            let fits = |value: &Value| {
                if wrote.line {
                    let mut lines = value.as_str().unwrap_or_default().lines();
                    lines.any(|line| line == wrote.value)
                } else {
                    // Both as JSON text: a number, a flag, or a line in quotes.
                    let json = value.to_string();
                    json == wrote.value
                }
            };
            let claims = entry["fields"][&wrote.field]
                .as_array()
                .cloned()
                .unwrap_or_default();
            let differ = claims.iter().any(|claim| claim["value"] != claims[0]["value"]);
            let struck = entry["fields"]["struck"][0]["value"].is_string();
            let found = &mut self.told.found;
            if claims.iter().any(|claim| fits(&claim["value"])) {
                match (wrote.line && wrote.kind == Kind::Sheet, struck, differ) {
                    (true, ..) => found.lines += 1,
                    (_, true, _) => found.struck += 1,
                    (_, _, true) => found.in_conflict += 1,
                    _ => found.current += 1,
                }
                continue;
            }
            let then = history
                .as_array()
                .unwrap()
                .iter()
                .flat_map(|line| line["fields"].as_array().unwrap());
            let in_history = then
                .filter(|then| then["field"] == json!(wrote.field))
                .any(|then| then["values"].as_array().unwrap().iter().any(fits));
            assert!(in_history, "{wrote:?} is lost: {entry:#}\n{history:#}");
            if wrote.line && wrote.kind == Kind::Sheet {
                found.lines_in_history += 1;
            } else {
                found.in_history += 1;
            }
        }
        for (entry, _) in read.values() {
            let fields = entry["fields"].as_object().into_iter().flatten();
            self.told.conflicts += fields
                .filter(|(_, claims)| {
                    let claims = claims.as_array().unwrap();
                    claims.iter().any(|claim| claim["value"] != claims[0]["value"])
                })
                .count();
        }
    }
}

impl Seen for Folder {
    fn standing(&self, kind: Kind) -> Vec<Id> {
        let names = self.ask("list", json!({ "kind": kind }));
        let id = |named: &Value| -> Ref { named["name"].as_str().unwrap().parse().unwrap() };
        names
            .as_array()
            .unwrap()
            .iter()
            .map(|named| id(named).id)
            .collect()
    }
}

impl Shown for Folder {
    fn points(&self) -> Vec<(String, Vec<(String, bool)>)> {
        let points = self.ask("points", json!({}));
        let choice = |choice: &Value| {
            let key = choice["key"].as_str().unwrap().to_owned();
            (key, choice["wants_why"].as_bool().unwrap())
        };
        let point = |point: &Value| {
            let choices = point["choices"].as_array().unwrap().iter().map(choice);
            (point["id"].as_str().unwrap().to_owned(), choices.collect())
        };
        points.as_array().unwrap().iter().map(point).collect()
    }

    fn sheet(&self, day: &str) -> String {
        let page = self.ask("day", json!({ "day": day }));
        let mine = page["sheets"]
            .as_array()
            .unwrap()
            .iter()
            .find(|sheet| sheet["mine"] == true);
        mine.map_or_else(String::new, |sheet| sheet["text"].as_str().unwrap().to_owned())
    }

    fn blockers(&self, assembly: &Id) -> Vec<Ref> {
        let found = self.ask("close_up_check", json!({ "assembly": assembly }));
        let about = |blocker: &Value| blocker["about"].as_str().unwrap().parse().unwrap();
        found.as_array().unwrap().iter().map(about).collect()
    }

    fn device(&self) -> Id {
        self.device.clone()
    }
}
