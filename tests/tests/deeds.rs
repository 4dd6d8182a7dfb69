//! Each day's deeds, as its page tells them, against an independent reading of the raw history: who, when and what, for random
//! records made on two devices. The history is walked with Automerge's own reading at the heads of each change; nothing of the
//! record's or the store's code reads it here.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use automerge::{Automerge, ChangeHash, ObjId, ROOT, ReadDoc, ScalarValue, Value as Put};
use notebook::{Notebook, Source};
use record::Moment;
use serde_json::{Value, json};
use tests::device::unpacked;
use tests::seed::{Dice, all, seeds};

const DAY: i64 = 86_400;

/// A clock that the test sets, and randomness from a seed.
struct Set {
    clock: Arc<AtomicI64>,
    dice: Dice,
}

impl Source for Set {
    fn now(&mut self) -> Moment {
        Moment::from_seconds(self.clock.fetch_add(61, Ordering::Relaxed))
    }

    fn random(&mut self) -> [u8; 16] {
        self.dice.bytes()
    }
}

struct Side {
    notebook: Notebook,
    clock: Arc<AtomicI64>,
    file: std::path::PathBuf,
}

impl Side {
    fn open(dir: &Path, name: &str, seed: u64, start: i64) -> Self {
        let clock = Arc::new(AtomicI64::new(start));
        let source = Set {
            clock: Arc::clone(&clock),
            dice: Dice::of(seed),
        };
        Self {
            notebook: host::open(&dir.join(name), "a test", Box::new(source)).unwrap(),
            clock,
            file: dir.join(format!("{name}.carry")),
        }
    }

    fn ask(&mut self, name: &str, args: Value) -> Value {
        self.try_ask(name, args)
            .unwrap_or_else(|refused| panic!("{name}: {refused:?}"))
    }

    fn try_ask(&mut self, name: &str, args: Value) -> Result<Value, notebook::Refusal> {
        self.notebook.call(None, name, args)
    }

    fn today(&self) -> String {
        date(self.clock.load(Ordering::Relaxed))
    }

    fn out(&mut self) -> std::path::PathBuf {
        let _ = std::fs::remove_file(&self.file);
        let args = json!({ "open": true, "file": self.file });
        self.ask("carry_out", args);
        self.file.clone()
    }
}

fn date(seconds: i64) -> String {
    Moment::from_seconds(seconds).to_string()[..10].to_owned()
}

fn meet(one: &mut Side, two: &mut Side) {
    let file = one.out();
    two.ask("carry_in", json!({ "file": file, "welcome": true }));
    let file = two.out();
    one.ask("carry_in", json!({ "file": file, "welcome": true }));
}

/// Ids of what was made, by kind.
type Made = BTreeMap<&'static str, Vec<String>>;

fn states(kind: &str) -> &'static [&'static str] {
    match kind {
        "assembly" => &["fitted", "off", "apart", "away"],
        "job" => &["open", "done", "dropped"],
        "hold_point" => &["open", "met"],
        _ => &["to_find", "asked", "ordered", "in", "returned", "cancelled"],
    }
}

/// One thing that a keeper does; what is refused was not done.
#[expect(clippy::too_many_lines, reason = "an act a line")]
fn act(side: &mut Side, dice: &mut Dice, made: &mut Made, number: usize) {
    let on = dice.chance(50).then(|| side.today());
    let any = |dice: &mut Dice, kind: &str| made.get(kind).and_then(|all| dice.one(all)).cloned();
    let (assembly, container) = (any(dice, "assembly"), any(dice, "container"));
    let kinds = ["assembly", "job", "hold_point", "order"];
    let (name, kind, args) = match dice.below(18) {
        0 => (
            "add_assembly",
            "assembly",
            json!({ "name": format!("assembly {number}") }),
        ),
        1 => (
            "add_container",
            "container",
            json!({ "code": format!("B{number}") }),
        ),
        2 => {
            let state = dice.chance(20).then_some("done");
            let what = format!("job {number}");
            (
                "add_job",
                "job",
                json!({ "what": what, "assembly": assembly, "on": on, "state": state }),
            )
        }
        3 => {
            let what = format!("hold {number}");
            (
                "add_hold_point",
                "hold_point",
                json!({ "what": what, "assembly": assembly, "how": "seen" }),
            )
        }
        4 => (
            "add_order",
            "order",
            json!({ "what": format!("order {number}"), "on": on }),
        ),
        5 => {
            let container = container.filter(|_| dice.chance(50));
            let name = format!("part {number}");
            (
                "add_part",
                "part",
                json!({ "name": name, "container": container, "on": on }),
            )
        }
        6 | 7 => {
            let container = container.filter(|_| dice.chance(70));
            let id = any(dice, "part");
            (
                "change_part",
                "",
                json!({ "id": id, "fields": { "container": container } }),
            )
        }
        8 => {
            let decision = dice.pick(&["reuse", "recondition", "replace"]);
            let id = any(dice, "part");
            (
                "change_part",
                "",
                json!({ "id": id, "fields": { "decision": decision } }),
            )
        }
        14 if assembly.is_some() => {
            let what = format!("finding {number}");
            let about = format!("assembly:{}", assembly.unwrap_or_default());
            (
                "add_finding",
                "finding",
                json!({ "what": what, "about": about, "how_bad": "watch", "on": side.today() }),
            )
        }
        15 | 16 => {
            let job = any(dice, "job").unwrap_or_default();
            let by = format!("mended_by:{job}");
            let all = [
                Some("mended:a new one"),
                Some("lived_with:it holds"),
                Some(by.as_str()),
                None,
            ];
            let ended = dice.pick(&all);
            let id = any(dice, "finding");
            (
                "change_finding",
                "",
                json!({ "id": id, "fields": { "ended": ended } }),
            )
        }
        17 => {
            let how_bad = dice.pick(&["watch", "mend", "danger"]);
            let id = any(dice, "finding");
            (
                "change_finding",
                "",
                json!({ "id": id, "fields": { "how_bad": how_bad } }),
            )
        }
        9 => ("close_up", "", json!({ "assembly": assembly })),
        10 if dice.chance(40) => {
            let points = side.ask("points", json!({}));
            let choice = points[0]["choices"][0]["key"].clone();
            (
                "settle",
                "",
                json!({ "point": points[0]["id"], "choice": choice, "why": "we looked" }),
            )
        }
        _ => {
            let kind = *dice.pick(&kinds);
            let (id, state) = (any(dice, kind), dice.pick(states(kind)));
            let name = match kind {
                "assembly" => "change_assembly",
                "job" => "change_job",
                "hold_point" => "change_hold_point",
                _ => "change_order",
            };
            let mut fields = json!({ "state": state });
            if *state == "met" {
                fields["met_how"] = json!("with the torch");
            }
            (name, "", json!({ "id": id, "fields": fields }))
        }
    };
    if let Ok(reply) = side.try_ask(name, args)
        && let (Some(id), false) = (reply["id"].as_str(), kind.is_empty())
    {
        made.entry(kind).or_default().push(id.to_owned());
    }
}

/// What a day tells: by day and keeper, each thing with what was done to it, in small letters.
type Told = BTreeMap<(String, String), BTreeMap<String, String>>;

/// The words for a value, of the test's own.
fn words(kind: &str, field: &str, value: Option<&str>, code: &dyn Fn(&str) -> String) -> String {
    match (kind, field, value) {
        (_, "container", Some(bag)) => format!("into {}", code(bag)),
        (_, "decision", Some("reuse")) => "decided: goes back".to_owned(),
        (_, "decision", Some(decision)) => format!("decided: {decision}"),
        ("assembly", _, Some("fitted")) => "open, on the car".to_owned(),
        ("assembly", _, Some("closed")) => "closed up".to_owned(),
        ("assembly", _, Some("away")) => "sent away".to_owned(),
        ("assembly", _, Some(state)) => format!("taken {state}"),
        ("finding", _, Some(kept)) if kept.starts_with("mended_by:") => "to be mended by a job".to_owned(),
        ("finding", _, Some(kept)) if kept.starts_with("mended:") => "mended".to_owned(),
        ("finding", _, Some(_)) => "lived with".to_owned(),
        ("job", _, Some("open")) => "job open again".to_owned(),
        ("job", _, Some(state)) => format!("job {state}"),
        ("hold_point", _, Some("open")) => "hold point open again".to_owned(),
        ("hold_point", _, Some(state)) => format!("hold point {state}"),
        ("order", _, Some("to_find")) => "to find again".to_owned(),
        ("order", _, Some("asked")) => "asked for".to_owned(),
        ("order", _, Some("in")) => "come in".to_owned(),
        ("order", _, Some("returned")) => "sent back".to_owned(),
        ("order", _, Some(state)) => state.to_owned(),
        other => panic!("no words for {other:?}"),
    }
}

const KINDS: [(&str, &str, &[&str]); 6] = [
    ("assembly", "assemblies", &["state"]),
    ("job", "jobs", &["state"]),
    ("hold_point", "hold_points", &["state"]),
    ("order", "orders", &["state"]),
    ("part", "parts", &["container", "decision"]),
    ("finding", "findings", &["ended"]),
];

fn text(put: &Put<'_>) -> Option<String> {
    match put {
        Put::Scalar(scalar) => match scalar.as_ref() {
            ScalarValue::Str(text) if !text.is_empty() => Some(text.to_string()),
            _ => None,
        },
        Put::Object(_) => None,
    }
}

struct History<'a>(&'a Automerge);

impl History<'_> {
    fn map(&self, root: &str, heads: &[ChangeHash]) -> Option<ObjId> {
        Some(self.0.get_at(ROOT, root, heads).unwrap()?.1)
    }

    fn entry(&self, root: &str, id: &str, heads: &[ChangeHash]) -> Option<ObjId> {
        let many = self.map(root, heads)?;
        Some(self.0.get_at(&many, id, heads).unwrap()?.1)
    }

    fn ids(&self, root: &str, heads: &[ChangeHash]) -> Vec<String> {
        let many = self.map(root, heads);
        many.map_or_else(Vec::new, |many| self.0.keys_at(&many, heads).collect())
    }

    /// Every value that stands, with the operation that put it, and the one shown.
    fn values(&self, entry: &ObjId, field: &str, heads: &[ChangeHash]) -> (BTreeSet<String>, Option<String>) {
        let each = self.0.get_all_at(entry, field, heads).unwrap();
        let puts = each.iter().map(|(_, op)| op.to_string()).collect();
        (puts, each.last().and_then(|(value, _)| text(value)))
    }

    fn line(&self, root: &str, id: &str, field: &str, heads: &[ChangeHash]) -> Option<String> {
        self.values(&self.entry(root, id, heads)?, field, heads).1
    }
}

/// Each thing with the fields that were put and what is said of that.
type Lines<'a> = BTreeMap<String, Vec<(&'a str, String)>>;

/// One deed of the raw history.
struct Raw {
    at: i64,
    keeper: String,
    kind: &'static str,
    id: String,
    field: &'static str,
    words: String,
}

/// The days as the raw history has them.
#[expect(clippy::too_many_lines, reason = "an act a line: what is told of each")]
fn expected(doc: &mut Automerge) -> Told {
    let now = doc.get_heads();
    let changes = doc.get_changes(&[]);
    let history = History(doc);
    let code = |bag: &str| history.line("containers", bag, "code", &now).unwrap();
    let mut raw: Vec<Raw> = Vec::new();
    let mut entered: Vec<(String, String, &str, String)> = Vec::new();
    let mut last: BTreeMap<(String, &str), String> = BTreeMap::new();
    for change in &changes {
        let Ok(actor) = <[u8; 24]>::try_from(change.actor_id().to_bytes()) else {
            continue;
        };
        let device = uuid::Uuid::from_slice(&actor[..16]).unwrap().to_string();
        let keeper = history.line("devices", &device, "keeper", &now);
        let Some(keeper) = keeper.and_then(|id| history.line("keepers", &id, "name", &now)) else {
            continue;
        };
        let (before, after) = (change.deps(), [change.hash()]);
        let settled: Vec<String> = history.ids("settlements", &after);
        let settles = settled
            .iter()
            .filter(|id| history.entry("settlements", id, before).is_none())
            .filter_map(|id| history.line("settlements", id, "rule", &after))
            .any(|rule| rule == "two_values" || rule == "settled_two_ways");
        // Assemblies come first: what an assembly that is opened asks anew is told by its own line.
        let mut opens = false;
        for (kind, root, fields) in KINDS {
            for id in history.ids(root, &after) {
                let entry = history.entry(root, &id, &after).unwrap();
                let then = history.entry(root, &id, before);
                if then.is_none()
                    && kind != "assembly"
                    && let Some(on) = history.line(root, &id, "on", &now)
                {
                    entered.push((on, keeper.clone(), kind, id.clone()));
                }
                for field in fields {
                    let (puts, value) = history.values(&entry, field, &after);
                    let was = then.as_ref().map(|then| history.values(then, field, before));
                    if was.as_ref().is_some_and(|(puts_then, _)| *puts_then == puts) {
                        continue;
                    }
                    let key = (id.clone(), *field);
                    let out_of = last.get(&key).cloned();
                    match &value {
                        Some(value) => last.insert(key, value.clone()),
                        None => last.remove(&key),
                    };
                    let began = match kind {
                        "assembly" => true,
                        "job" | "hold_point" => value.as_deref() == Some("open"),
                        "order" => value.as_deref() == Some("to_find"),
                        _ => value.is_none(),
                    };
                    opens |= kind == "assembly";
                    if opens && kind == "hold_point" && value.as_deref() == Some("open") {
                        continue;
                    }
                    if settles || (then.is_none() && began) || (puts.is_empty() && was.is_none()) {
                        continue;
                    }
                    let words = match (&value, *field) {
                        // Which bag it was in is known for certain where the history is one line; the test compares the rest.
                        (None, "container") => out_of.map_or_else(
                            || "out of its container".to_owned(),
                            |bag| format!("out of {}", code(&bag)),
                        ),
                        (None, "ended") => "finding open again".to_owned(),
                        (None, _) => "decision taken back".to_owned(),
                        (value, field) => words(kind, field, value.as_deref(), &code),
                    };
                    raw.push(Raw {
                        at: change.timestamp(),
                        keeper: keeper.clone(),
                        kind,
                        id: id.clone(),
                        field,
                        words,
                    });
                }
            }
        }
    }
    raw.sort_by_key(|deed| deed.at);
    let mut lines: BTreeMap<(String, String), Lines<'_>> = BTreeMap::new();
    for deed in &raw {
        let day = lines.entry((date(deed.at), deed.keeper.clone())).or_default();
        let line = day.entry(format!("{}:{}", deed.kind, deed.id)).or_default();
        // Of what was put again on the same day only the last is told, but for an assembly.
        if deed.kind != "assembly" {
            line.retain(|(field, _)| *field != deed.field);
        }
        line.push((deed.field, deed.words.clone()));
    }
    for (on, keeper, kind, id) in entered {
        let day = lines.entry((on, keeper)).or_default();
        let line = day.entry(format!("{kind}:{id}")).or_default();
        match kind {
            "part" => line.insert(0, ("on", "part".to_owned())),
            "finding" => line.insert(0, ("on", "finding".to_owned())),
            "job" if line.is_empty() => line.push(("on", "job to do".to_owned())),
            "order" if line.is_empty() => line.push(("on", "to find".to_owned())),
            _ => {}
        }
    }
    let joined = |line: Vec<(&str, String)>| {
        line.into_iter()
            .map(|(_, words)| words)
            .collect::<Vec<_>>()
            .join(", ")
    };
    let of_day = |day: Lines<'_>| -> BTreeMap<String, String> {
        day.into_iter().map(|(name, line)| (name, joined(line))).collect()
    };
    lines.into_iter().map(|(key, day)| (key, of_day(day))).collect()
}

/// The days as their pages tell them.
fn pages(side: &mut Side, from: i64, until: i64) -> Told {
    let mut told = Told::new();
    let mut at = from;
    while at <= until {
        let day = date(at);
        let page = side.ask("day", json!({ "day": day }));
        for sheet in page["sheets"].as_array().unwrap() {
            for line in sheet["entries"].as_array().unwrap() {
                let name = line["name"].as_str().unwrap();
                if name.starts_with("settlement:") {
                    continue;
                }
                let many = line["many"].as_array().unwrap();
                let names = many.iter().map(|item| item["name"].as_str().unwrap());
                let names: Vec<&str> = if many.is_empty() {
                    vec![name]
                } else {
                    names.collect()
                };
                let key = (day.clone(), sheet["name"].as_str().unwrap().to_owned());
                let did = line["did"].as_str().unwrap();
                for name in names {
                    // Labels of bags are in capitals in both.
                    let before = told.entry(key.clone()).or_default();
                    let before = before.insert(name.to_owned(), small(did));
                    assert_eq!(before, None, "{name} has two lines on {day}");
                }
            }
        }
        at += DAY;
    }
    told
}

fn small(did: &str) -> String {
    let (first, rest) = did.split_at(1);
    first.to_lowercase() + rest
}

fn one(seed: u64) -> usize {
    let dir = tempfile::tempdir().unwrap();
    let mut dice = Dice::of(seed);
    let start = 1_900_000_000;
    let mut parent = Side::open(dir.path(), "parent", seed * 2, start);
    parent.ask("start_record", json!({ "car": "Tern", "keeper": "Rosalind" }));
    let mut child = Side::open(dir.path(), "child", seed * 2 + 1, start + 7);
    let file = parent.out();
    child.ask("join_record", json!({ "file": file, "keeper": "Wilf" }));
    meet(&mut parent, &mut child);
    let mut made = Made::new();
    for number in 0..70 {
        let first = dice.chance(50);
        let side = if first { &mut parent } else { &mut child };
        act(side, &mut dice, &mut made, number);
        if dice.chance(15) {
            for side in [&parent, &child] {
                side.clock.fetch_add(DAY, Ordering::Relaxed);
            }
        }
        if dice.chance(12) {
            meet(&mut parent, &mut child);
        }
    }
    meet(&mut parent, &mut child);
    let until = parent
        .clock
        .load(Ordering::Relaxed)
        .max(child.clock.load(Ordering::Relaxed))
        + DAY;
    let mut doc = Automerge::new();
    let file = parent.out();
    for change in unpacked(&std::fs::read(file).unwrap()) {
        doc.load_incremental(&change).unwrap();
    }
    let mut deeds = 0;
    for side in [&mut parent, &mut child] {
        // Of which bag a part was taken is not told apart where two devices wrote it without knowing of each other.
        let plain = |mut told: Told| {
            for day in told.values_mut() {
                for words in day.values_mut() {
                    let parts = words.split(", ").map(|one| match one {
                        one if one.starts_with("out of ") => "out".to_owned(),
                        // That it was in pieces before is just as little.
                        "off in one piece" => "taken off".to_owned(),
                        one => one.to_owned(),
                    });
                    *words = parts.collect::<Vec<_>>().join(", ");
                }
            }
            told
        };
        let (wanted, told) = (plain(expected(&mut doc)), plain(pages(side, start, until)));
        assert_eq!(told, wanted, "seed {seed}");
        deeds = told.values().map(BTreeMap::len).sum();
        // Made anew from the document, the days are the same.
        side.ask("rebuild", json!({}));
        assert_eq!(plain(pages(side, start, until)), told, "seed {seed}, rebuilt");
    }
    deeds
}

#[test]
fn each_day_tells_what_the_raw_history_says_was_done_by_whom_and_when() {
    let seeds = seeds("WITNESSMARK_DAYS", 12, 1);
    let lines = all("deeds", &seeds, one, |all, one| *all += one);
    assert!(lines > seeds.len() * 15, "only {lines} lines");
}
