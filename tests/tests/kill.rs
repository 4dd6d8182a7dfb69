//! Kill it: a program that is killed with SIGKILL at any moment loses no command that it had answered, does no
//! command by half, and leaves a folder that passes its own check.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tests::picture;
use tests::program::{Served, Session, ask, moved, request};
use tests::seed::{Dice, how_many};

/// What must be in the folder: everything that was answered, in order.
#[derive(Clone, Debug, Default)]
struct Kept {
    /// Names of parts.
    parts: Vec<String>,
    /// The first part's position.
    position: String,
    /// Lines of the day sheet.
    lines: Vec<String>,
    /// The day's hours.
    hours: String,
    /// Whether the second part is struck out.
    struck: bool,
    /// How many commands changed something.
    changes: u64,
}

/// A command, and what it makes of what is kept.
#[derive(Clone, Debug)]
enum Command {
    Part(String),
    Position(String),
    Note(String),
    Hours(String),
    Strike,
    TakeBack,
}

impl Command {
    fn any(dice: &mut Dice, number: usize, struck: bool) -> Self {
        match dice.below(6) {
            0 => Self::Part(format!("part {number}")),
            1 => Self::Position(format!("cylinder {number}")),
            2 | 3 => Self::Note(format!("note {number}")),
            // Hours as they stand already would change nothing.
            4 => Self::Hours(format!("{}.{:03}", number % 24, number % 1000)),
            _ if struck => Self::TakeBack,
            _ => Self::Strike,
        }
    }

    fn request(&self, ids: &[String; 2]) -> Value {
        let (name, args) = match self {
            Self::Part(name) => ("add_part", json!({ "name": name })),
            Self::Position(position) => (
                "change_part",
                json!({ "id": ids[0], "fields": { "position": position } }),
            ),
            Self::Note(text) => ("note", json!({ "day": "2031-03-01", "text": text })),
            Self::Hours(hours) => ("put_hours", json!({ "day": "2031-03-01", "hours": hours })),
            Self::Strike => (
                "strike",
                json!({ "name": format!("part:{}", ids[1]), "why": "bent" }),
            ),
            Self::TakeBack => ("take_back", json!({ "name": format!("part:{}", ids[1]) })),
        };
        json!({ "name": name, "args": args })
    }

    fn done(&self, kept: &mut Kept) {
        kept.changes += 1;
        match self {
            Self::Part(name) => kept.parts.push(name.clone()),
            Self::Position(position) => kept.position = position.clone(),
            Self::Note(text) => kept.lines.push(text.clone()),
            Self::Hours(hours) => kept.hours = hours.clone(),
            Self::Strike => kept.struck = true,
            Self::TakeBack => kept.struck = false,
        }
    }
}

/// Reads everything back and holds it against what must be there.
fn holds(session: &mut Session, ids: &[String; 2], kept: &Kept) -> Result<(), String> {
    let list = session.ask("list", &json!({ "kind": "part" }));
    let names: std::collections::BTreeSet<&str> = list
        .as_array()
        .unwrap()
        .iter()
        // Its position stands after its name.
        .filter_map(|one| one["title"].as_str()?.split(", ").next())
        .collect();
    if let Some(lost) = kept.parts.iter().find(|name| !names.contains(name.as_str())) {
        return Err(format!("'{lost}' is lost"));
    }
    let position =
        session.ask("entry", &json!({ "kind": "part", "id": ids[0] }))["fields"]["position"][0]["value"]
            .clone();
    if position.as_str().unwrap_or_default() != kept.position {
        return Err(format!("the position is {position}, not {}", kept.position));
    }
    let struck =
        session.ask("entry", &json!({ "kind": "part", "id": ids[1] }))["fields"]["struck"][0]["value"]
            .is_string();
    if struck != kept.struck {
        return Err(format!("struck out: {struck}"));
    }
    let day = session.ask("day", &json!({ "day": "2031-03-01" }));
    let sheet = &day["sheets"][0];
    let lines: Vec<&str> = sheet["text"].as_str().unwrap().lines().collect();
    if lines != kept.lines {
        return Err(format!(
            "the sheet has {} lines, not {}",
            lines.len(),
            kept.lines.len()
        ));
    }
    if sheet["hours"].as_str().unwrap_or_default() != kept.hours {
        return Err(format!("the hours are {}", sheet["hours"]));
    }
    Ok(())
}

fn sound(session: &mut Session) {
    let report = session.ask("check", &json!({}));
    assert_eq!(report["sound"], true, "{report:#}");
    // The check reads the disk; this reads the document and the points as well.
    assert!(session.ask("digest", &json!({}))["changes"].as_u64().unwrap() > 1);
}

fn changes(session: &mut Session) -> u64 {
    session.ask("digest", &json!({}))["changes"].as_u64().unwrap()
}

fn begin(dir: &Path) -> [String; 2] {
    ask(dir, &["start", "--keeper", "Wilf", "--car", "Tern"]);
    let mut session = Session::at(dir);
    let ids = ["first", "second"].map(|name| {
        let made = session.ask("add_part", &json!({ "name": name }));
        made["id"].as_str().unwrap().to_owned()
    });
    session.end();
    ids
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn no_answered_command_is_lost() {
    let seed = how_many("WITNESSMARK_SEED", 1);
    let mut dice = Dice::of(seed);
    let rounds = how_many("WITNESSMARK_KILLS", 50);
    let (mut killed, mut answered, mut doubtful) = (0, 0, 0);
    let root = tempfile::tempdir().unwrap();
    let (mut dir, mut ids) = (PathBuf::new(), [String::new(), String::new()]);
    let mut kept = Kept::default();
    for round in 0..rounds {
        // A folder serves for some rounds; a fresh one now and then keeps the reading quick.
        if round % 13 == 0 {
            dir = root.path().join(format!("folder-{round}"));
            ids = begin(&dir);
            let mut session = Session::at(&dir);
            kept = Kept {
                parts: vec!["first".to_owned()],
                changes: changes(&mut session),
                ..Kept::default()
            };
            // The month of the sheets is laid by the first note, in a change of its own.
            session.ask("note", &json!({ "day": "2031-03-01", "text": "begun" }));
            kept.lines.push("begun".to_owned());
            kept.changes += 2;
            assert_eq!(changes(&mut session), kept.changes);
            session.end();
        }
        let mut struck = kept.struck;
        let commands: Vec<Command> = (0..2_000)
            .map(|number| {
                let command = Command::any(
                    &mut dice,
                    usize::try_from(round).unwrap() * 2_000 + number,
                    struck,
                );
                match command {
                    Command::Strike => struck = true,
                    Command::TakeBack => struck = false,
                    _ => {}
                }
                command
            })
            .collect();
        let mut session = Session::at(&dir);
        let mut pipe = session.take_stdin().unwrap();
        let lines: Vec<String> = commands.iter().map(|one| one.request(&ids).to_string()).collect();
        // Without waiting for answers: a kill meets requests that were read, half done, and not begun.
        let feeder = std::thread::spawn(move || {
            for line in lines {
                if writeln!(pipe, "{line}").is_err() {
                    break;
                }
            }
            pipe
        });
        let mut answers = vec![session.answer().expect("no answer at all")];
        std::thread::sleep(Duration::from_micros(u64::from(dice.number() % 120_000)));
        answers.extend(session.kill());
        drop(feeder.join().unwrap());
        killed += 1;
        for (answer, command) in answers.iter().zip(&commands) {
            assert!(
                answer["reply"].is_object(),
                "round {round}, seed {seed}: {command:?}: {answer}"
            );
            command.done(&mut kept);
        }
        answered += answers.len();

        let mut session = Session::at(&dir);
        sound(&mut session);
        let found = changes(&mut session);
        let mut with_next = kept.clone();
        if let Some(next) = commands.get(answers.len()) {
            next.done(&mut with_next);
        }
        // The one that was at work may be done whole; none beyond it, and none by half.
        if found == with_next.changes && found != kept.changes {
            doubtful += 1;
            kept = with_next;
        }
        assert_eq!(
            found,
            kept.changes,
            "round {round}, seed {seed}: {} answers",
            answers.len()
        );
        if let Err(lost) = holds(&mut session, &ids, &kept) {
            panic!(
                "round {round}, seed {seed}: after {} answers: {lost}",
                answers.len()
            );
        }
        session.end();
        assert_eq!(
            ask(&dir, &["rebuild"])["changed"],
            false,
            "round {round}, seed {seed}"
        );
    }
    println!(
        "killed {killed} times after {answered} answers; {doubtful} times the one at work was done all the same"
    );
    assert!(answered > killed * 3, "killed before anything was at stake");
}

/// Snapshots of a folder that nobody has open, and changes after the newest of them.
fn snapshots(dir: &Path) -> u32 {
    let db = rusqlite::Connection::open(dir.join("witnessmark.sqlite")).unwrap();
    db.query_row("SELECT count(*) FROM snapshots", [], |row| row.get(0))
        .unwrap()
}

#[test]
fn killed_while_the_log_is_made_into_a_snapshot() {
    let mut dice = Dice::of(7);
    let root = tempfile::tempdir().unwrap();
    let full = root.path().join("full");
    begin(&full);
    let mut session = Session::at(&full);
    // A snapshot is made after 2,000 changes; the last few are left to each round.
    let mut count = changes(&mut session);
    while count < 1_997 {
        session.ask("add_part", &json!({ "name": format!("stud {count}") }));
        count += 1;
    }
    session.end();
    assert_eq!(snapshots(&full), 0);
    // Six more: the one that brings the log to 2,000 makes the snapshot before it is answered.
    let cross = |dir: &Path, wait: Option<Duration>| {
        let mut session = Session::at(dir);
        let before = changes(&mut session);
        for number in 0..6 {
            session.send("add_part", &json!({ "name": format!("nut {number}") }));
        }
        let started = Instant::now();
        let answered = match wait {
            Some(wait) => {
                std::thread::sleep(wait);
                session.kill().len() as u64
            }
            None => {
                let answered = (0..6).map_while(|_| session.answer()).count() as u64;
                session.end();
                answered
            }
        };
        (before, answered, started.elapsed())
    };
    let trial = root.path().join("trial");
    moved(&full, &trial);
    let (before, answered, took) = cross(&trial, None);
    assert_eq!(answered, 6);
    assert_eq!(snapshots(&trial), 1, "no snapshot was made: what is killed here?");
    // The fixed beginning of the record is counted and is not in the log.
    let answers_before = 2_000 - (before - 1) - 1;
    let rounds = how_many("WITNESSMARK_KILLS", 50).div_ceil(5);
    let (mut before_it, mut after_it, mut within) = (0, 0, 0);
    for round in 0..rounds {
        let dir = root.path().join(format!("round-{round}"));
        moved(&full, &dir);
        let wait = took.mul_f64(f64::from(dice.number() % 1_000) / 900.0);
        let (before, answered, _) = cross(&dir, Some(wait));
        match (snapshots(&dir), answered) {
            (0, answered) if answered > answers_before => panic!("round {round}: answered, and no snapshot"),
            (0, answered) if answered == answers_before => within += 1,
            (0, _) => before_it += 1,
            _ => after_it += 1,
        }
        let mut session = Session::at(&dir);
        sound(&mut session);
        let there = changes(&mut session);
        assert!(
            (before + answered..=before + answered + 1).contains(&there),
            "round {round}: {answered} answered, {there} there"
        );
        // And the next change makes the snapshot that was not made.
        for number in 0..6 {
            session.ask("add_part", &json!({ "name": format!("washer {number}") }));
        }
        sound(&mut session);
        session.end();
        assert!(snapshots(&dir) >= 1, "round {round}");
        assert_eq!(ask(&dir, &["rebuild"])["changed"], false, "round {round}");
    }
    println!(
        "killed {rounds} times around a snapshot ({took:?}): {before_it} before, {within} at it, {after_it} after"
    );
    assert!(
        within > 0,
        "the snapshot itself was never met: {before_it} before, {after_it} after"
    );
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn killed_while_a_carry_file_is_taken_in() {
    let mut dice = Dice::of(8);
    let root = tempfile::tempdir().unwrap();
    let (parent, child) = (root.path().join("parent"), root.path().join("child"));
    begin(&parent);
    let (join, file) = (root.path().join("join.carry"), root.path().join("all.carry"));
    let path = |path: &Path| path.to_str().unwrap().to_owned();
    ask(&parent, &["carry", "out", "--open", &path(&join)]);
    ask(&child, &["join", &path(&join), "--keeper", "Nan"]);
    ask(&child, &["carry", "out", "--open", &path(&join)]);
    ask(&parent, &["carry", "in", "--welcome", &path(&join)]);
    let mut session = Session::at(&parent);
    for number in 0..800 {
        session.ask(
            "note",
            &json!({ "day": format!("2031-03-{:02}", 1 + number % 28), "text": format!("note {number}") }),
        );
    }
    session.end();
    let served = Served::at(&parent);
    for number in 0..4 {
        let (status, body) = served
            .request("POST", "/photo", &picture::png(number, 300))
            .unwrap();
        assert_eq!(status, 200);
        let hash = serde_json::from_slice::<Value>(&body).unwrap()["reply"]["hash"].clone();
        let call = json!({ "name": "add_photo", "args": { "hash": hash, "on": "2031-03-01" } });
        assert_eq!(
            served
                .request("POST", "/call", call.to_string().as_bytes())
                .unwrap()
                .0,
            200
        );
    }
    served.kill();
    ask(&parent, &["carry", "out", "--open", &path(&file)]);
    let wanted = ask(&parent, &["digest"]);
    let untouched = ask(&child, &["digest"]);
    let take = |dir: &Path, wait: Option<Duration>| {
        let mut session = Session::at(dir);
        let started = Instant::now();
        session.send("carry_in", &json!({ "file": path(&file) }));
        let answered = match wait {
            Some(wait) => {
                std::thread::sleep(wait);
                session.kill().len()
            }
            None => usize::from(session.answer().is_some()),
        };
        (answered, started.elapsed())
    };
    let trial = root.path().join("trial");
    moved(&child, &trial);
    let (_, took) = take(&trial, None);
    assert_eq!(ask(&trial, &["digest"]), wanted);
    let rounds = how_many("WITNESSMARK_KILLS", 50).div_ceil(5);
    let (mut nothing, mut all) = (0, 0);
    for round in 0..rounds {
        let dir = root.path().join(format!("round-{round}"));
        moved(&child, &dir);
        let wait = took.mul_f64(f64::from(dice.number() % 1_000) / 950.0);
        let (answered, _) = take(&dir, Some(wait));
        let mut session = Session::at(&dir);
        sound(&mut session);
        let digest = session.ask("digest", &json!({}));
        // One meeting, one transaction: all of its changes or none.
        if digest == untouched {
            assert_eq!(answered, 0, "round {round}: it was answered and nothing is there");
            nothing += 1;
        } else {
            assert_eq!(digest, wanted, "round {round}: a part was taken in");
            all += 1;
        }
        session.ask("carry_in", &json!({ "file": path(&file) }));
        assert_eq!(
            session.ask("digest", &json!({})),
            wanted,
            "round {round}: the second time"
        );
        assert_eq!(
            session.ask("keepers", &json!({}))["photos_missing"],
            0,
            "round {round}"
        );
        sound(&mut session);
        session.end();
    }
    println!(
        "killed {rounds} times in a meeting ({took:?}): {nothing} with nothing taken in, {all} with all of it"
    );
    assert!(nothing > 0, "never killed before the meeting was done");
}

#[test]
fn killed_while_a_photo_is_put() {
    let mut dice = Dice::of(9);
    let root = tempfile::tempdir().unwrap();
    let dir = root.path().join("folder");
    begin(&dir);
    let large = |number: u32| picture::png(number, 700);
    let served = Served::at(&dir);
    let started = Instant::now();
    assert_eq!(served.request("POST", "/photo", &large(0)).unwrap().0, 200);
    let took = started.elapsed();
    served.kill();
    let rounds = u32::try_from(how_many("WITNESSMARK_KILLS", 50).div_ceil(5)).unwrap();
    let (mut kept, mut unanswered) = (Vec::new(), 0);
    for round in 1..=rounds {
        let served = Served::at(&dir);
        let bytes = large(round);
        let (port, token) = served.door();
        let sent = bytes.clone();
        let putting = std::thread::spawn(move || request(port, &token, "POST", "/photo", &sent));
        std::thread::sleep(took.mul_f64(f64::from(dice.number() % 1_000) / 800.0));
        served.kill();
        match putting.join().unwrap() {
            Some((200, body)) => {
                let reply: Value = serde_json::from_slice(&body).unwrap();
                kept.push((reply["reply"]["hash"].as_str().unwrap().to_owned(), bytes));
            }
            Some((status, body)) => panic!("round {round}: {status} {}", String::from_utf8_lossy(&body)),
            None => unanswered += 1,
        }
        let mut session = Session::at(&dir);
        sound(&mut session);
        session.end();
        let served = Served::at(&dir);
        for (hash, bytes) in &kept {
            let (status, found) = served
                .request("GET", &format!("/photo/{hash}/original"), &[])
                .unwrap();
            assert_eq!(status, 200, "round {round}: {hash} is lost");
            assert!(&found == bytes, "round {round}: {hash} has other bytes");
        }
        // The one that was not answered can be put again, whatever is left of it.
        let (status, _) = served.request("POST", "/photo", &large(round)).unwrap();
        assert_eq!(status, 200, "round {round}");
        served.kill();
    }
    println!(
        "killed {rounds} times while a photo was put ({took:?}): {} answered and kept, {unanswered} not",
        kept.len()
    );
    assert!(unanswered > 0, "never killed before the photo was kept");
}
