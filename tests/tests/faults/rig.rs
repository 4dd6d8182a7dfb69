//! What the faults share: the library and the keeper's process under it, and the questions that are asked of a folder
//! afterwards.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use notebook::{Notebook, PhotoSize};
use serde_json::{Value, json};
use tempfile::TempDir;
use tests::attending::Seeded;

/// How many of something are tried, by environment.
pub(crate) fn wanted(name: &str, usual: u64) -> u64 {
    std::env::var(name).map_or(usual, |number| number.parse().unwrap())
}

/// Where a run begins.
pub(crate) fn seed() -> u64 {
    wanted("WITNESSMARK_SEED", 1)
}

/// A folder in memory, where there is such a thing: a real disk's syncs would only cost time here.
pub(crate) fn room() -> TempDir {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() {
        tempfile::tempdir_in(memory).unwrap()
    } else {
        tempfile::tempdir().unwrap()
    }
}

/// The library, built once.
pub(crate) fn library() -> &'static Path {
    static BUILT: OnceLock<(TempDir, PathBuf)> = OnceLock::new();
    let (_, path) = BUILT.get_or_init(|| {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("faults.so");
        let made = Command::new("cc")
            .args(["-shared", "-fPIC", "-O1", "-o"])
            .arg(&path)
            .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("faults/faults.c"))
            .args(["-ldl", "-lpthread"])
            .status()
            .unwrap();
        assert!(made.success());
        (dir, path)
    });
    path
}

/// Which calls fail.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Fault {
    /// Letters of the calls, as the library has them.
    pub(crate) kinds: &'static str,
    /// The number of the one that fails; 0 counts only.
    pub(crate) at: u64,
    /// What the system says then.
    pub(crate) errno: i32,
    /// Whether all after it fail too.
    pub(crate) good: bool,
}

/// What a keeper's process said.
#[derive(Debug)]
pub(crate) struct Said {
    pub(crate) lines: Vec<String>,
    /// How many calls counted.
    pub(crate) calls: u64,
}

impl Said {
    /// What was answered as kept.
    pub(crate) fn kept(&self) -> Vec<String> {
        kept(&self.lines)
    }
}

pub(crate) fn kept(lines: &[String]) -> Vec<String> {
    let kept = lines.iter().filter_map(|line| line.strip_prefix("kept "));
    kept.map(str::to_owned).collect()
}

pub(crate) fn keeper() -> Command {
    Command::new(env!("CARGO_BIN_EXE_fault-keeper"))
}

/// Runs a keeper over a folder under a fault.
pub(crate) fn run(folder: &Path, seed: u64, count: u64, fault: Fault, trace: Option<&Path>) -> Said {
    let beside = room();
    let count_file = beside.path().join("count");
    let mut command = keeper();
    command
        .arg(folder)
        .args([seed.to_string(), count.to_string()])
        .env("LD_PRELOAD", library())
        .env("FAULT_UNDER", folder)
        .env("FAULT_KINDS", fault.kinds)
        .env("FAULT_AT", fault.at.to_string())
        .env("FAULT_ERRNO", fault.errno.to_string())
        .env("FAULT_FOR", if fault.good { "good" } else { "once" })
        .env("FAULT_COUNT", &count_file);
    if let Some(trace) = trace {
        command.env("FAULT_TRACE", trace);
    }
    let out = command.output().unwrap();
    let lines: Vec<String> = String::from_utf8(out.stdout)
        .unwrap()
        .lines()
        .map(str::to_owned)
        .collect();
    assert!(
        out.status.success(),
        "{fault:?}: the program fell: {}\n{lines:#?}",
        String::from_utf8_lossy(&out.stderr)
    );
    let calls = std::fs::read_to_string(&count_file).unwrap().parse().unwrap();
    Said { lines, calls }
}

pub(crate) fn open(folder: &Path, seed: u64) -> Result<Notebook, notebook::Refusal> {
    let mut notebook = host::open(folder, "a test", Box::new(Seeded::of(seed)))?;
    // It was copied for the test, and is the only one that goes on. A damaged one may not be able to say so.
    let _ = notebook.call(None, "folder_is", json!({ "copy": false }));
    Ok(notebook)
}

pub(crate) fn ask(notebook: &mut Notebook, name: &str, args: Value) -> Value {
    notebook
        .call(None, name, args)
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

/// What was answered as kept and is not there.
pub(crate) fn missing(notebook: &mut Notebook, folder: &Path, kept: &[String]) -> Vec<String> {
    let mut missing = Vec::new();
    for line in kept {
        let mut words = line.splitn(3, ' ');
        let there = match words.next().unwrap() {
            "start" => !ask(notebook, "records", json!({})).as_array().unwrap().is_empty(),
            "note" => {
                let (day, text) = (words.next().unwrap(), words.next().unwrap());
                let page = notebook.call(None, "day", json!({ "day": day }));
                page.is_ok_and(|page| page.to_string().contains(text))
            }
            "photo" => {
                let hash = words.next().unwrap();
                let original = notebook.photo(hash, PhotoSize::Original);
                original.is_ok_and(|(_, bytes)| blake3::hash(&bytes).to_hex().as_str() == hash)
            }
            "file" => {
                let (sum, name) = (words.next().unwrap(), words.next().unwrap());
                let file = std::fs::read(folder.join("carry").join(name));
                file.is_ok_and(|bytes| blake3::hash(&bytes).to_hex().as_str() == sum)
            }
            other => panic!("'{other}' is nothing that was kept"),
        };
        if !there {
            missing.push(line.clone());
        }
    }
    missing
}

/// Open, check, edit, reopen: what was kept is there and the folder is sound. `told` names the case.
pub(crate) fn holds(folder: &Path, kept: &[String], told: &str) {
    let mut notebook =
        open(folder, 900_001).unwrap_or_else(|refusal| panic!("{told}: does not open: {refusal:?}"));
    let health = ask(&mut notebook, "check", json!({}));
    assert_eq!(health["sound"], true, "{told}: {}", health["found"]);
    let lost = missing(&mut notebook, folder, kept);
    assert!(lost.is_empty(), "{told}: kept and gone: {lost:#?}");
    if ask(&mut notebook, "records", json!({}))
        .as_array()
        .unwrap()
        .is_empty()
    {
        ask(
            &mut notebook,
            "start_record",
            json!({ "car": "Tern", "keeper": "Rosalind" }),
        );
    }
    ask(
        &mut notebook,
        "note",
        json!({ "day": "2031-11-30", "text": "Afterwards." }),
    );
    let digest = ask(&mut notebook, "digest", json!({}));
    drop(notebook);
    let mut again =
        open(folder, 900_002).unwrap_or_else(|refusal| panic!("{told}: does not reopen: {refusal:?}"));
    assert_eq!(ask(&mut again, "digest", json!({})), digest, "{told}");
    let health = ask(&mut again, "check", json!({}));
    assert_eq!(health["sound"], true, "{told}, reopened: {}", health["found"]);
}

/// Refusals that a keeper can make something of: a code that faces know, and a sentence.
pub(crate) fn is_clear(line: &str) -> bool {
    let (code, words) = line.split_once(' ').unwrap_or((line, ""));
    let known = [
        "disk_full",
        "io",
        "not_allowed",
        "database",
        "damaged_folder",
        "no_record",
        "carry_io",
        "no_photo",
    ];
    known.contains(&code) && words.split(' ').count() > 4
}
