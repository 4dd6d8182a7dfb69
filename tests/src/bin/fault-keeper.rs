//! A keeper's notebook as a process of its own, for the faults: it opens a folder, does some things, and says on standard
//! output what was answered as kept, a line each, the moment it is: `kept note DAY TEXT`, `kept photo HASH`, `kept file NAME
//! SUM`; `no CODE WORDS` for what was refused. After each refusal it reads a page: `page ok` or `page no CODE`. Only tests
//! start it.
//!
//! `fault-keeper FOLDER SEED COUNT`; where the folder cannot be opened, `shut CODE WORDS`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a part of a test: it stops at the first thing that is not as it must be"
)]

use std::path::Path;

use notebook::{Notebook, Refusal, Source};
use record::Moment;
use serde_json::{Value, json};
use tests::attending::Seeded;

/// A clock of its own for each run, so that no two files have one name.
struct Later(Seeded, i64);

impl Source for Later {
    fn now(&mut self) -> Moment {
        Moment::from_seconds(self.0.now().seconds() + self.1)
    }

    fn random(&mut self) -> [u8; 16] {
        self.0.random()
    }

    fn secret(&mut self) -> Option<[u8; 64]> {
        self.0.secret()
    }
}

fn refused(refusal: &Refusal) -> String {
    format!("{} {}", refusal.code, refusal.words.replace('\n', " "))
}

fn ask(notebook: &mut Notebook, name: &str, args: Value) -> Result<Value, Refusal> {
    notebook.call(None, name, args)
}

/// One thing; what is to be said of it when it is kept.
fn one(notebook: &mut Notebook, seed: u64, number: u64) -> Result<String, Refusal> {
    let day = format!("2031-{:02}-{:02}", number % 12 + 1, number % 28 + 1);
    match number % 8 {
        5 => {
            let picture = tests::picture::png(u32::try_from(seed % 1_000 * 1_000 + number).unwrap(), 24);
            let taken = notebook.take_photo(&picture)?;
            ask(
                notebook,
                "add_photo",
                json!({ "hash": taken.hash, "on": day, "caption": format!("photo {number} of {seed}") }),
            )?;
            Ok(format!("photo {}", taken.hash))
        }
        7 => {
            let file = ask(notebook, "carry_out", json!({ "open": true }))?["file"].clone();
            let path = Path::new(file.as_str().unwrap());
            let sum = blake3::hash(&std::fs::read(path).unwrap()).to_hex();
            Ok(format!(
                "file {sum} {}",
                path.file_name().unwrap().to_str().unwrap()
            ))
        }
        _ => {
            let text = format!(
                "entry {number} of {seed}: {}",
                "cleaned and oiled ".repeat(number as usize % 9)
            );
            let text = text.trim();
            ask(notebook, "note", json!({ "day": day, "text": text }))?;
            Ok(format!("note {day} {text}"))
        }
    }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (seed, count): (u64, u64) = (words[1].parse().unwrap(), words[2].parse().unwrap());
    let source = Later(Seeded::of(seed), i64::try_from(seed).unwrap() * 100_000);
    let mut notebook = match host::open(Path::new(&words[0]), "a test", Box::new(source)) {
        Ok(notebook) => notebook,
        Err(refusal) => {
            println!("shut {}", refused(&refusal));
            return;
        }
    };
    let lines = ask(&mut notebook, "records", json!({}));
    let begun = lines.is_ok_and(|lines| lines.as_array().is_some_and(|lines| !lines.is_empty()));
    if !begun {
        match ask(
            &mut notebook,
            "start_record",
            json!({ "car": "Tern", "keeper": "Rosalind" }),
        ) {
            Ok(_) => println!("kept start"),
            Err(refusal) => println!("no {}", refused(&refusal)),
        }
    }
    for number in 0..count {
        match one(&mut notebook, seed, number) {
            Ok(kept) => println!("kept {kept}"),
            Err(refusal) => {
                println!("no {}", refused(&refusal));
                match ask(&mut notebook, "day", json!({ "day": "2031-01-01" })) {
                    Ok(_) => println!("page ok"),
                    Err(refusal) => println!("page no {}", refused(&refusal)),
                }
            }
        }
    }
    drop(notebook);
    println!("end");
}
