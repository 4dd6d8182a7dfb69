//! The TypeScript types of the wire: written from the registry, and checked to be fresh.
//!
//! It never edits them by hand: the registry in Rust is the only source.

use std::collections::BTreeMap;
use std::path::Path;

use crate::house::{House, do_it};
use crate::trouble::Trouble;

/// Where the committed types live.
const GENERATED: &str = "ui/src/generated";

/// `cargo xtask types`: writes the committed folder anew.
pub(crate) fn write(house: &House) -> Result<(), Trouble> {
    do_it(house.cargo().args(["build", "--package", "cli"]))?;
    let folder = house.at(GENERATED);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).map_err(|source| Trouble::file("emptying", &folder, source))?;
    }
    generate(house, &folder)
}

/// Makes the types beside the committed ones and compares. Needs `witnessmark` to be built.
pub(crate) fn check_fresh(house: &House) -> Result<(), Trouble> {
    let beside = house.target().join("xtask/types");
    if beside.exists() {
        std::fs::remove_dir_all(&beside).map_err(|source| Trouble::file("emptying", &beside, source))?;
    }
    generate(house, &beside)?;
    let stale = differences(&files(&beside)?, &files(&house.at(GENERATED))?);
    if stale.is_empty() {
        return Ok(());
    }
    Err(Trouble::words(format!(
        "{GENERATED} is stale ({}); run `cargo xtask types`",
        stale.join(", ")
    )))
}

fn generate(house: &House, folder: &Path) -> Result<(), Trouble> {
    std::fs::create_dir_all(folder).map_err(|source| Trouble::file("making", folder, source))?;
    do_it(
        house
            .command(house.program("witnessmark"))
            .args(["types", "--out"])
            .arg(folder),
    )
}

/// File names with their bytes; a folder that is not there is an empty one.
fn files(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>, Trouble> {
    let mut found = BTreeMap::new();
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(source) if source.kind() == std::io::ErrorKind::NotFound => return Ok(found),
        Err(source) => return Err(Trouble::file("listing", folder, source)),
    };
    for entry in entries {
        let path = entry
            .map_err(|source| Trouble::file("listing", folder, source))?
            .path();
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        if path.is_dir() {
            for (inner, bytes) in files(&path)? {
                found.insert(format!("{name}/{inner}"), bytes);
            }
        } else {
            let bytes = std::fs::read(&path).map_err(|source| Trouble::file("reading", &path, source))?;
            found.insert(name, bytes);
        }
    }
    Ok(found)
}

/// Each file that is missing, left over or other than it should be. No file at all is a difference too.
fn differences(made: &BTreeMap<String, Vec<u8>>, kept: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    let mut told = Vec::new();
    if made.is_empty() {
        told.push("nothing was generated".to_owned());
    }
    for (name, bytes) in made {
        match kept.get(name) {
            None => told.push(format!("{name} is missing")),
            Some(old) if old != bytes => told.push(format!("{name} differs")),
            Some(_) => {}
        }
    }
    told.extend(
        kept.keys()
            .filter(|name| !made.contains_key(*name))
            .map(|name| format!("{name} is left over")),
    );
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(files: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
        files
            .iter()
            .map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()))
            .collect()
    }

    #[test]
    fn stale_types_are_told_file_by_file() {
        let made = folder(&[("a.ts", "1"), ("b.ts", "2")]);
        assert!(differences(&made, &made).is_empty());
        let kept = folder(&[("a.ts", "other"), ("c.ts", "3")]);
        assert_eq!(
            differences(&made, &kept),
            ["a.ts differs", "b.ts is missing", "c.ts is left over"]
        );
        assert_eq!(differences(&folder(&[]), &folder(&[])), ["nothing was generated"]);
    }

    #[test]
    fn files_are_read_with_their_folders() {
        let place = tempfile::tempdir().unwrap();
        std::fs::create_dir(place.path().join("in")).unwrap();
        std::fs::write(place.path().join("in/x.ts"), "x").unwrap();
        assert_eq!(files(place.path()).unwrap(), folder(&[("in/x.ts", "x")]));
        assert!(files(&place.path().join("absent")).unwrap().is_empty());
    }
}
