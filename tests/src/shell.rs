//! The built program as a person at a shell would run it. It builds nothing: a program that is not there fails the
//! test that needs it.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

/// The built program.
///
/// # Panics
/// When it is not there.
#[must_use]
pub fn program() -> PathBuf {
    if let Some(named) = std::env::var_os("WITNESSMARK_BIN") {
        return PathBuf::from(named);
    }
    // …/target/<profile>/deps/<test>: the program lies two folders up.
    let test = std::env::current_exe().unwrap();
    let built = test.ancestors().nth(2).unwrap().join("witnessmark");
    assert!(
        built.exists(),
        "the program is not built: run `cargo build -p cli` first"
    );
    built
}

/// What came of a run.
#[derive(Clone, Debug)]
pub struct Ran {
    /// The exit code; none when it was killed.
    pub code: Option<i32>,
    /// What it printed.
    pub out: String,
    /// What it complained of.
    pub err: String,
}

impl Ran {
    fn of(output: &Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        Self {
            code: output.status.code(),
            out: text(&output.stdout),
            err: text(&output.stderr),
        }
    }
}

/// Runs the program.
///
/// # Panics
/// When it cannot be started.
#[must_use]
pub fn run<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Ran {
    let mut command = Command::new(program());
    command
        .args(arguments)
        .stdin(Stdio::null())
        .env_remove("WITNESSMARK_AT");
    Ran::of(&command.output().unwrap())
}

/// Runs it on a folder and expects it to be done; the answer as JSON.
///
/// # Panics
/// When it is not done.
#[must_use]
pub fn done(at: &Path, arguments: &[&str]) -> Value {
    let at = at.to_str().unwrap();
    let mut all = vec!["--at", at, "--json"];
    all.extend(arguments);
    let ran = run(&all);
    assert_eq!(ran.code, Some(0), "{arguments:?}: {}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

/// Asks a query or does a command.
#[must_use]
pub fn call(at: &Path, name: &str, args: &Value) -> Value {
    done(at, &["call", name, &args.to_string()])
}

/// Every file of a folder with the BLAKE3 of its bytes, in order: whether anything was changed. What belongs to the
/// lock alone is left out.
///
/// # Panics
/// When the folder cannot be read.
#[must_use]
pub fn files(dir: &Path) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut open = vec![dir.to_owned()];
    while let Some(at) = open.pop() {
        for entry in std::fs::read_dir(&at).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                open.push(path);
            } else if !name.starts_with("writer.") && !name.ends_with("-shm") && !name.ends_with("-wal") {
                let hash = blake3::hash(&std::fs::read(&path).unwrap()).to_hex().to_string();
                found.push((path, hash));
            }
        }
    }
    found.sort();
    found
}
