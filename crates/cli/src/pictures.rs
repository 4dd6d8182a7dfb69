//! A folder of pictures taken in, each to the day on which it was taken: file by file, so that one that is no picture keeps no other out, and
//! that a run which was stopped goes on where it stopped, since what the record has is not entered again. The files stay as they are.

use std::path::{Path, PathBuf};

use host::Handle;
use notebook::{MOST_PHOTO, Refusal, TakenPhoto};
use record::{Day, Ref};
use serde_json::{Value, json};

use crate::machine;

/// So many are entered by one change.
const AT_ONCE: usize = 50;
/// No camera's clock is wrong by more days: a century.
const FURTHEST: u64 = 36_525;
/// Folders within folders are followed no deeper.
const DEEPEST: usize = 32;

/// What is to be taken in, and what is said of all of it.
pub(crate) struct PicturesIn {
    /// The folder, or one picture.
    pub(crate) from: PathBuf,
    /// What they show.
    pub(crate) about: Option<Ref>,
    /// The day of those that do not say theirs.
    pub(crate) day: Option<Day>,
    /// What the camera's clock was wrong by, in days.
    pub(crate) shift: i64,
}

/// What came of it: how many were entered, how many the record had, and what was left out, file by file, with why.
#[derive(Default)]
struct Told {
    entered: usize,
    were_here: usize,
    left_out: Vec<(String, String)>,
}

/// Takes them in; what came of it.
pub(crate) fn take(at: Option<PathBuf>, record: Option<&str>, taking: &PicturesIn) -> Result<Value, Refusal> {
    let mut files = Vec::new();
    let mut told = Told::default();
    if taking.shift.unsigned_abs() > FURTHEST {
        return Err(Refusal::input(
            "arguments",
            format!("a camera's clock is wrong by {FURTHEST} days at most"),
        ));
    }
    below(&taking.from, DEEPEST, &mut files, &mut told)?;
    files.sort();
    let handle = Handle::new(machine::open(at, "photos in", false)?);
    let mut looked = 0_usize;
    for some in files.chunks(AT_ONCE) {
        looked = looked.saturating_add(some.len());
        let photos = some.iter().filter_map(|file| {
            let photo = one(&handle, file, taking);
            photo
                .map_err(|why| told.left_out.push((shown(&taking.from, file), why)))
                .ok()
        });
        let photos: Vec<Value> = photos.collect();
        if photos.is_empty() {
            continue;
        }
        let made = handle.call(record, "add_photos", json!({ "photos": photos }))?;
        let made = made.get("photos").and_then(Value::as_array).into_iter().flatten();
        for photo in made {
            match photo.get("was_here") == Some(&Value::Bool(true)) {
                true => told.were_here += 1,
                false => told.entered += 1,
            }
        }
        eprintln!("{looked} of {}", files.len());
    }
    let left_out = told.left_out.iter();
    let left_out = left_out.map(|(file, why)| json!({ "file": file, "why": why }));
    Ok(json!({
        "entered": told.entered,
        "were_here": told.were_here,
        "left_out": left_out.collect::<Vec<Value>>(),
    }))
}

/// Hands in a picture's bytes; how it is to be entered.
fn one(handle: &Handle, file: &Path, taking: &PicturesIn) -> Result<Value, String> {
    let bytes = std::fs::read(file).map_err(|error| error.to_string())?;
    // Whether it is a picture is seen before it is kept; whether it says its day, before it is entered.
    let taken: TakenPhoto = handle.take_photo(&bytes).map_err(|refusal| refusal.words)?;
    let said = taken.taken_on.map(|day| day.later(taking.shift));
    let on = said
        .or(taking.day)
        .ok_or("it does not say when it was taken: say it with --day")?;
    Ok(json!({ "hash": taken.hash, "on": on, "about": taking.about }))
}

/// Every file below a folder that may be a picture; what is too large is told of.
fn below(at: &Path, deepest: usize, files: &mut Vec<PathBuf>, told: &mut Told) -> Result<(), Refusal> {
    let trouble = |error: std::io::Error| Refusal::input("path", format!("'{}': {error}", at.display()));
    let about = std::fs::metadata(at).map_err(trouble)?;
    if about.is_file() {
        match about.len() > MOST_PHOTO as u64 {
            true => {
                let why = format!("it has more than {MOST_PHOTO} bytes");
                told.left_out.push((record::shown(&at.to_string_lossy()), why));
            }
            false => files.push(at.to_owned()),
        }
        return Ok(());
    }
    if !about.is_dir() || deepest == 0 {
        return Ok(());
    }
    for entry in std::fs::read_dir(at).map_err(trouble)? {
        let path = entry.map_err(trouble)?.path();
        let hidden = path
            .file_name()
            .is_some_and(|name| name.as_encoded_bytes().starts_with(b"."));
        // A link leads out of what was named.
        if hidden || path.is_symlink() {
            continue;
        }
        if let Err(refusal) = below(&path, deepest - 1, files, told) {
            told.left_out
                .push((record::shown(&path.to_string_lossy()), refusal.words));
        }
    }
    Ok(())
}

/// A file as it is told of: from the folder on.
fn shown(from: &Path, file: &Path) -> String {
    record::shown(&file.strip_prefix(from).unwrap_or(file).to_string_lossy())
}
