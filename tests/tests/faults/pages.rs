//! Pages of the database, damaged one by one, and single bytes that turn: whatever reads otherwise than before is told by a
//! check, nothing that was kept goes without a word, and no page or edit falls over it. One bit in the write-ahead log takes
//! what came after it along; the tally tells.

use std::collections::BTreeMap;
use std::path::Path;

use notebook::Notebook;
use record::{Moment, PhotoHash, Record, Seat};
use rusqlite::Connection;
use rusqlite::types::Value as Cell;
use serde_json::json;
use store::{Opener, Store};
use tests::program::copy;
use tests::seed::Dice;

use crate::rig::{Fault, ask, kept, missing, open, room, run, seed, wanted};

const DATABASE: &str = "witnessmark.sqlite";

fn page_size(db: &Connection) -> usize {
    let size: u32 = db
        .pragma_query_value(None, "page_size", |row| row.get(0))
        .unwrap();
    size as usize
}

/// Everything that the database says, by table; nothing where it does not say it any more.
fn all_of(folder: &Path) -> BTreeMap<String, Option<Vec<Vec<Cell>>>> {
    let db = Connection::open(folder.join(DATABASE)).unwrap();
    // Up to where the log was unsigned is one number that only words hang on.
    let names = "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'
                 AND name NOT LIKE 'search_%' AND name <> 'unsigned_before'";
    let read = |sql: &str| -> rusqlite::Result<Vec<Vec<Cell>>> {
        let mut sql = db.prepare(sql)?;
        let count = sql.column_count();
        let mut rows: Vec<Vec<Cell>> = sql
            .query_map([], |row| (0..count).map(|at| row.get(at)).collect())?
            .collect::<rusqlite::Result<_>>()?;
        rows.sort_by_key(|row| format!("{row:?}"));
        Ok(rows)
    };
    let Ok(names) = read(names) else {
        return BTreeMap::new();
    };
    let text = |cell: &Cell| match cell {
        Cell::Text(text) => text.clone(),
        other => format!("{other:?}"),
    };
    names
        .iter()
        .map(|row| {
            let name = text(&row[0]);
            let columns = match name.as_str() {
                // When a snapshot was made is read by nobody.
                "snapshots" => "record, upto, sum, bytes",
                // Nor is a row's number, but for the order.
                "signatures" => "record, device, change, key, signature",
                _ => "*",
            };
            let rows = read(&format!("SELECT {columns} FROM \"{name}\"")).ok();
            (name, rows)
        })
        .collect()
}

/// The store of a folder, and its document from it.
fn document(folder: &Path) -> (Store, Record) {
    let opener = Opener {
        program: "a test",
        now: Moment::from_seconds(1_930_000_000),
    };
    let store = Store::open(folder, opener).unwrap();
    let id = store.records().unwrap()[0].id.clone();
    let loaded = store.load(&id).unwrap();
    let seat = Seat {
        device: uuid::Uuid::from_u128(1),
        run: [0; 8],
    };
    let document = Record::open(loaded.snapshot.as_deref(), &loaded.log, seat).unwrap();
    (store, document)
}

/// A snapshot of the document, as a long log would have it.
fn snapshot(folder: &Path) {
    let (mut store, document) = document(folder);
    let id = store.records().unwrap()[0].id.clone();
    let last = store.last(&id).unwrap();
    let now = Moment::from_seconds(1_930_000_000);
    store.compact(&id, &document.snapshot(), last, now).unwrap();
}

/// A folder with something in every table: two snapshots and a log after them, another device that was met, photos.
fn folder(root: &Path) -> (std::path::PathBuf, Vec<String>) {
    let (mine, other) = (root.join("mine"), root.join("other"));
    let mut lines = run(&mine, 1, 16, Fault::default(), None).lines;
    snapshot(&mine);
    let mut notebook = open(&mine, 20).unwrap();
    let file = ask(&mut notebook, "carry_out", json!({ "open": true }))["file"].clone();
    let mut there = open(&other, 21).unwrap();
    ask(
        &mut there,
        "join_record",
        json!({ "file": file, "keeper": "Wilf" }),
    );
    ask(
        &mut there,
        "note",
        json!({ "day": "2031-03-01", "text": "Looked it over." }),
    );
    let file = ask(&mut there, "carry_out", json!({ "open": true }))["file"].clone();
    ask(
        &mut notebook,
        "carry_in",
        json!({ "file": file, "welcome": true }),
    );
    drop(notebook);
    lines.extend(run(&mine, 2, 8, Fault::default(), None).lines);
    snapshot(&mine);
    lines.extend(run(&mine, 3, 8, Fault::default(), None).lines);
    beside(&mine);
    (mine, kept(&lines))
}

/// What meetings, drops and a revoked device would have left: a small picture, who has which photo, notes, a parcel.
fn beside(folder: &Path) {
    let (mut store, _) = document(folder);
    let id = store.records().unwrap()[0].id.clone();
    let hash = |name: &str| blake3::hash(name.as_bytes()).to_hex().to_string();
    let photo = |name: &str| PhotoHash::from_bytes(blake3::hash(name.as_bytes()).into());
    store.keep_small(&photo("a photo"), &[7; 9_000]).unwrap();
    let parcel = store::AsideRow {
        parcel: hash("a parcel"),
        device: id.clone(),
        road: "drop".to_owned(),
        came: Moment::from_seconds(1_930_000_000),
        told: "{}".to_owned(),
        bytes: vec![9; 9_000],
    };
    assert!(store.set_aside(&id, &parcel).unwrap());
    let noted = store::DropRow {
        book: vec![5; 9_000],
        ..store::DropRow::default()
    };
    store.note_drop(&id, "a stick", Some(&noted)).unwrap();
    let device = store.peers(&id).unwrap()[0].device.clone();
    let has: Vec<PhotoHash> = (0..40).map(|number| photo(&format!("photo {number}"))).collect();
    store.keep_holdings(&id, &device, &has, &[]).unwrap();
}

/// Whether the document has a text, whatever the read tables say.
fn in_document(folder: &Path, text: &str) -> bool {
    let (_, document) = document(folder);
    let mut all = document.view().everything();
    all.any(|entry| serde_json::to_string(entry).unwrap().contains(text))
}

/// What a check says: whether it is sound, and in which words.
fn health(notebook: &mut Notebook) -> (bool, String) {
    let health = ask(notebook, "check", json!({}));
    (health["sound"] == true, health["found"].to_string())
}

/// Damages a copy and asks everything of it. Gives whether the damage was told.
fn told(sound: &Path, trial: &Path, lines: &[String], case: &str, damage: impl FnOnce(&mut Vec<u8>)) -> bool {
    copy(sound, trial);
    let path = trial.join(DATABASE);
    let mut bytes = std::fs::read(&path).unwrap();
    damage(&mut bytes);
    std::fs::write(&path, &bytes).unwrap();
    let (now, before) = (all_of(trial), all_of(sound));
    let other: Vec<&String> = before
        .keys()
        .filter(|name| now.get(*name) != before.get(*name))
        .collect();
    let same = other.is_empty();
    let told = match open(trial, 30) {
        Err(refusal) => {
            assert!(
                refusal.words.split(' ').count() > 4,
                "{case}: {} {}",
                refusal.code,
                refusal.words
            );
            true
        }
        Ok(mut notebook) => {
            let (is_sound, found) = health(&mut notebook);
            assert!(
                !is_sound || same,
                "{case}: {other:?} read otherwise, and the check is silent: {found}"
            );
            if is_sound {
                let lost = missing(&mut notebook, trial, lines);
                assert!(lost.is_empty(), "{case}: kept and gone: {lost:#?}");
            }
            // An edit is kept, or refused in words; what was answered as kept is there after the next start.
            let text = "Afterwards, over the damage.";
            let edit = notebook.call(None, "note", json!({ "day": "2031-11-30", "text": text }));
            drop(notebook);
            match edit {
                Ok(_) => assert!(in_document(trial, text), "{case}: an edit went"),
                Err(refusal) => assert!(
                    !is_sound && refusal.words.split(' ').count() > 4,
                    "{case}: {refusal:?}"
                ),
            }
            !is_sound
        }
    };
    std::fs::remove_dir_all(trial).unwrap();
    told
}

#[test]
fn a_damaged_page_of_any_table_is_told_and_takes_nothing_along_without_a_word() {
    let root = room();
    let (sound, lines) = folder(root.path());
    let trial = root.path().join("trial");
    assert!(!told(&sound, &trial, &lines, "nothing damaged", |_| ()));
    let db = Connection::open(sound.join(DATABASE)).unwrap();
    let size = page_size(&db);
    let mut sql = db
        .prepare(
            "SELECT name, pageno FROM dbstat WHERE ncell > 0 OR pagetype = 'overflow' ORDER BY name, pageno",
        )
        .unwrap();
    let pages: Vec<(String, u32)> = sql
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    drop(sql);
    drop(db);
    let mut by_table: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (name, page) in &pages {
        by_table.entry(name).or_default().push(*page as usize);
    }
    let mut dice = Dice::of(seed());
    let mut all = 0;
    for (name, pages) in &by_table {
        let page = *dice.one(pages).unwrap();
        let case = format!("page {page} of {name} zeroed");
        let place = (page - 1) * size;
        assert!(
            told(&sound, &trial, &lines, &case, |bytes| bytes[place..place + size]
                .fill(0)),
            "{case}: nothing was told"
        );
        all += 1;
    }
    println!(
        "seed {}: {all} tables and indexes, a page of each zeroed: all told",
        seed()
    );
}

#[test]
fn a_byte_that_turns_is_told_wherever_it_reads_otherwise() {
    let root = room();
    let (sound, lines) = folder(root.path());
    let trial = root.path().join("trial");
    let length = std::fs::metadata(sound.join(DATABASE)).unwrap().len();
    let (from, flips) = (seed(), wanted("WITNESSMARK_FLIPS", 60));
    let mut said = 0;
    for number in from..from + flips {
        let mut dice = Dice::of(number);
        let (at, bit) = (dice.below(usize::try_from(length).unwrap()), dice.below(8));
        let case = format!("seed {number}, bit {bit} of byte {at}");
        said += u64::from(told(&sound, &trial, &lines, &case, |bytes| {
            bytes[at] ^= 1 << bit;
        }));
    }
    println!("{flips} turned bytes from seed {from}: {said} told, of the others nothing reads otherwise");
}

#[test]
fn a_digit_that_turns_in_a_small_row_is_told_and_rebuild_puts_right_what_the_record_knows() {
    let root = room();
    let (sound, _) = folder(root.path());
    let db = Connection::open(sound.join(DATABASE)).unwrap();
    let text = |sql: &str| -> String { db.query_row(sql, [], |row| row.get(0)).unwrap() };
    let rows = [
        ("which device it is", text("SELECT device FROM folder"), true),
        ("whose it is", text("SELECT keeper FROM records"), true),
        ("what the car is called", text("SELECT car FROM records"), true),
        ("what another has", text("SELECT heads FROM peers"), false),
        ("what was chosen here", text("SELECT current FROM choices"), false),
    ];
    // From which row: the text as it lies in that table, not where else it stands.
    let place = |table: &str, text: &str, bytes: &[u8]| -> Vec<usize> {
        let size = page_size(&db);
        let mut sql = db.prepare("SELECT pageno FROM dbstat WHERE name = ?1").unwrap();
        let pages: Vec<u32> = sql
            .query_map([table], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        let inside = |page: &u32| {
            let from = (*page as usize - 1) * size;
            let found = bytes[from..from + size]
                .windows(text.len())
                .position(|window| window == text.as_bytes());
            // A letter or digit in the middle of it.
            let middle = (text.len() / 2..text.len()).find(|at| text.as_bytes()[*at].is_ascii_alphanumeric());
            found.map(|at| from + at + middle.unwrap())
        };
        pages.iter().filter_map(inside).collect()
    };
    let tables = ["folder", "records", "records", "peers", "choices"];
    for ((what, text, mends), table) in rows.iter().zip(tables) {
        let trial = root.path().join("trial");
        copy(&sound, &trial);
        let path = trial.join(DATABASE);
        let mut bytes = std::fs::read(&path).unwrap();
        let places = place(table, text, &bytes);
        assert!(!places.is_empty(), "{what}: '{text}' does not lie in {table}");
        for at in places {
            // A digit for a digit, a letter for a letter.
            bytes[at] = if bytes[at] == b'1' { b'2' } else { b'1' };
        }
        std::fs::write(&path, &bytes).unwrap();
        let mut notebook = open(&trial, 30).unwrap();
        let (is_sound, found) = health(&mut notebook);
        assert!(!is_sound, "{what}: the check is silent");
        println!("{what}: {found}");
        if *mends {
            let refused = notebook.call(None, "note", json!({ "day": "2031-11-30", "text": "As nobody." }));
            assert_eq!(
                refused.is_err(),
                *what != "what the car is called",
                "{what}: {refused:?}"
            );
            ask(&mut notebook, "rebuild", json!({}));
            assert!(health(&mut notebook).0, "{what}: {}", health(&mut notebook).1);
            ask(
                &mut notebook,
                "note",
                json!({ "day": "2031-11-30", "text": "Put right." }),
            );
        }
        drop(notebook);
        std::fs::remove_dir_all(&trial).unwrap();
    }
}

#[test]
fn a_bit_in_the_write_ahead_log_takes_entries_along_and_the_tally_tells() {
    let root = room();
    let folder = root.path().join("folder");
    run(&folder, 1, 4, Fault::default(), None);
    let mut notebook = open(&folder, 2).unwrap();
    for number in 0..30 {
        let text = format!("entry {number}");
        ask(
            &mut notebook,
            "note",
            json!({ "day": "2031-03-01", "text": text }),
        );
    }
    // As a program that was killed leaves it: nothing of the write-ahead log is in the database yet.
    let torn = root.path().join("torn");
    copy(&folder, &torn);
    let file = ask(&mut notebook, "carry_out", json!({ "open": true }))["file"].clone();
    drop(notebook);
    let wal = torn.join("witnessmark.sqlite-wal");
    let mut bytes = std::fs::read(&wal).unwrap();
    let at = bytes.len() / 2;
    bytes[at] ^= 4;
    std::fs::write(&wal, bytes).unwrap();
    let mut notebook = open(&torn, 3).unwrap();
    let page = ask(&mut notebook, "day", json!({ "day": "2031-03-01" })).to_string();
    assert!(page.contains("entry 1") && !page.contains("entry 29"), "{page}");
    let (is_sound, found) = health(&mut notebook);
    assert!(!is_sound && found.contains("are gone"), "{found}");
    // Still told after the next start, and when more was written than went.
    drop(notebook);
    let mut notebook = open(&torn, 4).unwrap();
    for number in 0..40 {
        let text = format!("later {number}");
        ask(
            &mut notebook,
            "note",
            json!({ "day": "2031-03-02", "text": text }),
        );
    }
    let (is_sound, found) = health(&mut notebook);
    assert!(!is_sound && found.contains("are gone"), "{found}");
    // What another has of it brings it back.
    ask(
        &mut notebook,
        "carry_in",
        json!({ "file": file, "welcome": true }),
    );
    let (is_sound, found) = health(&mut notebook);
    assert!(is_sound, "{found}");
    let page = ask(&mut notebook, "day", json!({ "day": "2031-03-01" })).to_string();
    assert!(page.contains("entry 29"), "{page}");
}
