//! Well-formed changes as another program could make them, by the thousand: taken in by a carry file, after which every
//! page and list is asked for, something is written, the document is saved and opened again, and a newcomer joins by it.
//! Nothing may panic, end the program or run without an end; nothing that stood may be gone; and of every change it is
//! known whether it came in, was set aside, or came in a file that was refused in words.
//!
//! A panic that is caught counts as one that is not: in WebAssembly none can be caught. `WITNESSMARK_FUZZ=N` sends some N
//! changes, `WITNESSMARK_SEED=S` replays one folder.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use notebook::{Fault, Notebook, Refusal, registry};
use record::{Kind, Record, Seat};
use serde_json::{Value, json};
use tests::device::unpacked;
use tests::folder::Seeded;
use tests::forge::file_of;
use tests::panics::counted;
use tests::seed::{Dice, all, seeds};
use tests::strange::Stranger;

/// Rounds of one folder, each a file of one to four changes.
const ROUNDS: usize = 20;
/// Changes that a folder is sent, about.
const EACH: u64 = 50;
/// Things that are looked at in each round, of those that are there.
const LOOKED_AT: usize = 12;
/// The longest that anything may take, on a machine that does much else.
const LONG: Duration = Duration::from_secs(60);

/// What became of the changes.
#[derive(Clone, Debug, Default)]
struct Told {
    sent: usize,
    came: usize,
    aside: usize,
    in_refused_files: usize,
    calls: usize,
    entries: usize,
}

struct Folder {
    dir: PathBuf,
    notebook: Option<Notebook>,
    seed: u64,
    told: Told,
}

impl Folder {
    fn open(dir: PathBuf, seed: u64) -> Self {
        let notebook = host::open(&dir, "a test", Box::new(Seeded::of(seed))).unwrap();
        Self {
            dir,
            notebook: Some(notebook),
            seed,
            told: Told::default(),
        }
    }

    fn reopen(&mut self) {
        self.notebook = None;
        // Another run has other randomness.
        self.seed = self.seed.wrapping_mul(31).wrapping_add(7);
        let source = Box::new(Seeded::of(self.seed));
        self.notebook = Some(host::open(&self.dir, "a test", source).unwrap());
    }

    fn ask(&mut self, name: &str, args: Value) -> Result<Value, Refusal> {
        self.told.calls += 1;
        let began = Instant::now();
        let answer = self.notebook.as_mut().unwrap().call(None, name, args.clone());
        assert!(began.elapsed() < LONG, "{name} {args} took {:?}", began.elapsed());
        if let Err(refusal) = &answer {
            assert_eq!(refusal.fault, Fault::Input, "{name} {args}: {refusal}");
        }
        answer
    }

    fn call(&mut self, name: &str, args: Value) -> Value {
        self.ask(name, args.clone())
            .unwrap_or_else(|refusal| panic!("{name} {args}: {refusal}"))
    }

    /// Writes a note. Where another program struck its keeper out, the refusal names the way on, and that is gone.
    fn note(&mut self, text: &str) {
        let note = json!({ "day": "2031-03-01", "text": text });
        match self.ask("note", note.clone()) {
            Ok(_) => {}
            Err(refusal) if refusal.code == "struck_out" => {
                let keeper = self.call("records", json!({}))[0]["keeper"].clone();
                let name = format!("keeper:{}", keeper.as_str().unwrap());
                self.call("take_back", json!({ "name": name }));
                self.call("note", note);
            }
            Err(refusal) => panic!("note {note}: {refusal}"),
        }
    }

    /// All changes of the record.
    fn changes(&mut self) -> Vec<Vec<u8>> {
        let file = self.dir.join("out.carry");
        let out = self.call(
            "carry_out",
            json!({ "open": true, "photos": false, "file": file }),
        );
        let changes = unpacked(&std::fs::read(out["file"].as_str().unwrap()).unwrap());
        std::fs::remove_file(out["file"].as_str().unwrap()).unwrap();
        changes
    }

    /// Everything that stands, of every kind but the sheets.
    fn standing(&mut self) -> BTreeSet<(Kind, String)> {
        let mut all = BTreeSet::new();
        for kind in Kind::ALL {
            for named in self.call("list", json!({ "kind": kind })).as_array().unwrap() {
                let name = named["name"].as_str().unwrap();
                all.insert((*kind, name.split_once(':').unwrap().1.to_owned()));
            }
        }
        all
    }

    fn set_aside(&mut self) -> usize {
        let page = self.call("aside", json!({}));
        let lines = page["lines"].as_array().unwrap().iter();
        lines
            .map(|line| usize::try_from(line["changes"].as_u64().unwrap()).unwrap())
            .sum()
    }

    /// Asks every query of the registry, with what it needs out of what is there.
    fn every_page(&mut self, dice: &mut Dice, things: &[(Kind, String)]) {
        for query in registry().iter().filter(|command| !command.writes) {
            let schema = query.args_schema();
            let wants: Vec<&str> = schema["required"]
                .as_array()
                .map_or_else(Vec::new, |names| names.iter().filter_map(Value::as_str).collect());
            if wants.is_empty() {
                self.ask(query.name, json!({})).ok();
                continue;
            }
            for number in 0..LOOKED_AT.min(things.len()) {
                let Some((kind, id)) = dice.one(things) else { break };
                let day = ["2031-03-01", "9999-12-31", "0001-01-01"][number % 3];
                let mut args = json!({});
                for want in &wants {
                    args[*want] = match *want {
                        "kind" => json!(kind),
                        "day" => json!(day),
                        "text" | "word" => json!(["crank", "\"", "a* OR b", "9"][number % 4]),
                        "record" => json!("none"),
                        _ => json!(id),
                    };
                }
                self.ask(query.name, args).ok();
            }
        }
    }
}

/// The beginning that every record has, as a document of another program.
fn beginning() -> Vec<u8> {
    let seat = Seat {
        device: uuid::Uuid::nil(),
        run: [0; 8],
    };
    Record::begin(seat).unwrap().snapshot()
}

fn begun(dir: &Path, seed: u64) -> (Folder, String) {
    let mut folder = Folder::open(dir.join("kept"), seed);
    let line = folder.call("start_record", json!({ "car": "Tern", "keeper": "Wilf" }));
    let engine = folder.call("add_assembly", json!({ "name": "engine" }));
    let id = engine["id"].as_str().unwrap().to_owned();
    folder.call(
        "add_part",
        json!({ "name": "crankshaft", "assembly": id, "note": "Ground once." }),
    );
    folder.call("add_container", json!({ "code": "B14" }));
    folder.call("note", json!({ "day": "2031-03-01", "text": "Head off." }));
    (folder, line["id"].as_str().unwrap().to_owned())
}

#[expect(clippy::too_many_lines, reason = "one round, told in its order")]
fn run(seed: u64) -> Told {
    let dir = tempfile::tempdir().unwrap();
    let mut dice = Dice::of(seed);
    // Other randomness than the stranger's: no other program guesses the next id.
    let (mut folder, record) = begun(dir.path(), seed ^ (0xA5 << 32));
    let devices: Vec<[u8; 16]> = folder
        .standing()
        .into_iter()
        .filter(|(kind, _)| *kind == Kind::Device)
        .map(|(_, id)| *uuid::Uuid::parse_str(&id).unwrap().as_bytes())
        .collect();
    let mut had = folder.changes();
    let mut stranger = Stranger::having(&had, &beginning(), devices);
    let file = dir.path().join("strange.carry");
    for round in 0..ROUNDS {
        let sent = stranger.writes(&mut dice);
        // Where nothing came of what it did, its last change is one that everybody has.
        let new = sent.iter().filter(|change| !had.contains(change));
        let different: BTreeSet<&Vec<u8>> = new.collect();
        std::fs::write(&file, file_of(&record, &sent)).unwrap();
        let (stood, aside) = (folder.standing(), folder.set_aside());
        let taken = folder.ask("carry_in", json!({ "file": file, "welcome": true }));
        folder.told.sent += different.len();
        match &taken {
            Ok(met) => {
                let came = usize::try_from(met["changes"].as_u64().unwrap()).unwrap();
                let now_aside = folder.set_aside() - aside;
                assert_eq!(came + now_aside, different.len(), "round {round}: {met}");
                assert_eq!(
                    now_aside > 0,
                    met["news"].to_string().contains("not taken in"),
                    "{met}"
                );
                folder.told.came += came;
                folder.told.aside += now_aside;
            }
            Err(refusal) => {
                assert!(!refusal.words.is_empty());
                folder.told.in_refused_files += different.len();
            }
        }
        let stands = folder.standing();
        let gone: Vec<_> = stood.difference(&stands).collect();
        // Struck by what came in is what the record can say; gone without a word is nothing.
        for (kind, id) in gone {
            let entry = folder.call("entry", json!({ "kind": kind, "id": id }));
            assert!(
                entry["fields"].get("struck").is_some(),
                "round {round}: {kind} {id} is gone"
            );
        }
        let things: Vec<(Kind, String)> = stands.into_iter().collect();
        folder.told.entries = things.len();
        folder.every_page(&mut dice, &things);
        folder.note(&format!("round {round}"));
        folder.call("add_part", json!({ "name": format!("part of round {round}") }));
        let now = folder.changes();
        let known: BTreeSet<&Vec<u8>> = had.iter().collect();
        let new: Vec<Vec<u8>> = now
            .iter()
            .filter(|change| !known.contains(change))
            .cloned()
            .collect();
        stranger.takes(&new);
        had = now;
        if round % 5 == 4 {
            let report = folder.call("check", json!({}));
            assert_eq!(report["sound"], true, "round {round}: {report}");
            let digest = folder.call("digest", json!({}));
            folder.reopen();
            assert_eq!(
                folder.call("digest", json!({})),
                digest,
                "round {round}: opened again"
            );
            let seat = Seat {
                device: dice.uuid(),
                run: [1; 8],
            };
            let document = Record::open(None, &had, seat).unwrap();
            let again = Record::open(Some(&document.snapshot()), &[], seat).unwrap();
            assert_eq!(
                again.digest(),
                document.digest(),
                "round {round}: out of its snapshot"
            );
        }
        assert_eq!(counted(), 0, "round {round}: something panicked");
    }
    let out = folder.call("carry_out", json!({ "open": true, "photos": false }));
    let mut newcomer = Folder::open(dir.path().join("newcomer"), seed ^ 0x5A);
    newcomer.call("join_record", json!({ "file": out["file"], "keeper": "Ida" }));
    assert_eq!(newcomer.set_aside(), 0, "what one device has, another takes");
    folder.told
}

#[test]
fn whatever_another_program_writes_the_record_stays() {
    counted();
    let told = all(
        "strange changes",
        &seeds("WITNESSMARK_FUZZ", 4, EACH),
        run,
        |sum: &mut Told, one| {
            sum.sent += one.sent;
            sum.came += one.came;
            sum.aside += one.aside;
            sum.in_refused_files += one.in_refused_files;
            sum.calls += one.calls;
            sum.entries += one.entries;
        },
    );
    println!("{told:?}");
    // Nothing is shown by changes that are all refused, or all harmless.
    assert!(told.came * 20 > told.sent, "{told:?}");
    assert!((told.aside + told.in_refused_files) * 10 > told.sent, "{told:?}");
    assert_eq!(counted(), 0);
}
