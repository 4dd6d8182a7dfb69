//! A data folder is its owner's alone, also one that an older program left open; and what is beside it stays as it was.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use record::Moment;
use store::{Choices, Depth, Opener, Store};

use crate::made::photo_hash;

fn open(dir: &Path) -> Store {
    let opener = Opener {
        program: "test",
        now: Moment::from_seconds(0),
    };
    Store::open(dir, opener).unwrap()
}

fn mode(path: &Path) -> u32 {
    fs::metadata(path).unwrap().permissions().mode() & 0o777
}

/// Every file and folder with its mode, where it is not as it should be.
fn loose(dir: &Path) -> Vec<(String, u32)> {
    let mut found = Vec::new();
    let mut rest = vec![dir.to_owned()];
    while let Some(path) = rest.pop() {
        let is_dir = path.is_dir();
        if is_dir {
            rest.extend(fs::read_dir(&path).unwrap().map(|one| one.unwrap().path()));
        }
        if mode(&path) != if is_dir { 0o700 } else { 0o600 } {
            found.push((path.strip_prefix(dir).unwrap().display().to_string(), mode(&path)));
        }
    }
    found
}

fn fill(store: &mut Store) {
    store.choose(&Choices::default()).unwrap();
    store.keep_secret("a secret").unwrap();
    store.keep_places("places").unwrap();
    store.part_add(&photo_hash("a photo"), b"part").unwrap();
    drop(store.room().unwrap());
    let mut out = store.lend().outgoing(None, "one.carry").unwrap();
    std::io::Write::write_all(&mut out, b"carried").unwrap();
    out.keep().unwrap();
}

#[test]
fn a_new_folder_is_its_owners_alone_while_it_is_written_and_after() {
    let dir = tempfile::tempdir().unwrap();
    let dir = dir.path().join("made/here");
    let mut store = open(&dir);
    fill(&mut store);
    assert_eq!(loose(&dir), []);
    assert!(dir.join("witnessmark.sqlite-wal").exists());
    drop(store);
    assert_eq!(loose(&dir), []);
}

#[test]
fn a_folder_that_was_left_open_is_closed_at_the_next_start() {
    let dir = tempfile::tempdir().unwrap();
    let dir = dir.path().join("older");
    fill(&mut open(&dir));
    fs::create_dir(dir.join("photos/ab")).unwrap();
    fs::write(dir.join("photos/ab/picture"), b"picture").unwrap();
    for (path, mode) in [
        ("photos/ab", 0o755),
        ("photos/ab/picture", 0o644),
        ("witnessmark.sqlite", 0o644),
        ("", 0o755),
    ] {
        fs::set_permissions(dir.join(path), fs::Permissions::from_mode(mode)).unwrap();
    }
    let store = open(&dir);
    assert_eq!(loose(&dir), []);
    assert!(
        !store
            .check(None, Depth::Quick)
            .unwrap()
            .iter()
            .any(|one| one.code == "folder_open")
    );
}

#[test]
fn a_folder_that_holds_other_things_stays_as_it_is_and_the_check_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let dir = dir.path().join("shared");
    fs::create_dir(&dir).unwrap();
    fs::write(dir.join("letter.txt"), b"not ours").unwrap();
    fs::set_permissions(&dir, fs::Permissions::from_mode(0o755)).unwrap();
    fs::set_permissions(dir.join("letter.txt"), fs::Permissions::from_mode(0o644)).unwrap();
    drop(open(&dir));
    let store = open(&dir);
    assert_eq!((mode(&dir), mode(&dir.join("letter.txt"))), (0o755, 0o644));
    assert_eq!(mode(&dir.join("witnessmark.sqlite")), 0o600);
    assert!(
        store
            .check(None, Depth::Quick)
            .unwrap()
            .iter()
            .any(|one| one.code == "folder_open")
    );
}
