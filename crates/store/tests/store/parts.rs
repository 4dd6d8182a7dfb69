//! Parts of photos that meetings have brought: they outlive the program as long as somebody waits for them, and are bounded.

use std::fs::File;
use std::io::Read;
use std::time::Duration;

use record::{Kind, PhotoHash};
use serde_json::json;
use store::{Batch, Depth, NewPhoto, PhotoMeta, Store};

use crate::made::*;

/// A folder whose record names this photo, which is not here.
fn naming(hash: &PhotoHash) -> (tempfile::TempDir, Store) {
    let (dir, mut store, record) = one_record();
    let entries = [entry(Kind::Photo, "photo-1", json!({ "hash": hash }))];
    let batch = Batch {
        entries: &entries,
        ..Batch::default()
    };
    store.commit(&record, &batch).unwrap();
    (dir, store)
}

fn says(store: &Store) -> Vec<(&'static str, String)> {
    let found = store.check(None, Depth::Quick).unwrap();
    found.into_iter().map(|one| (one.code, one.says)).collect()
}

#[test]
fn a_part_of_a_photo_grows_and_outlives_the_program() {
    let hash = photo_hash("awaited");
    let (dir, store) = naming(&hash);
    assert_eq!(store.part_length(&hash).unwrap(), 0);
    store.part_add(&hash, b"12").unwrap();
    drop(store);
    let store = open(dir.path());
    store.part_add(&hash, b"345").unwrap();
    assert_eq!(store.part_length(&hash).unwrap(), 5);
    let mut part = Vec::new();
    store.part_open(&hash, 4).unwrap().read_to_end(&mut part).unwrap();
    assert_eq!(part, b"1234");
    assert!(store.photo(&hash).unwrap().is_none());
    store.part_drop(&hash).unwrap();
    store.part_drop(&hash).unwrap();
    assert_eq!(store.part_length(&hash).unwrap(), 0);
}

#[test]
fn parts_that_nobody_waits_for_are_told_of_and_go_at_the_next_opening() {
    let (awaited, unknown) = (photo_hash("awaited"), photo_hash("unknown"));
    let (dir, store) = naming(&awaited);
    for hash in [&awaited, &unknown] {
        store.part_add(hash, b"half").unwrap();
    }
    std::fs::write(dir.path().join("partial/notes.txt"), "not ours").unwrap();
    let found = says(&store);
    let told = |code: &str, words: &str| {
        found
            .iter()
            .any(|(one, says)| *one == code && says.contains(words))
    };
    assert!(told("part_left", &unknown.hex()), "{found:?}");
    assert!(told("parts", "1 photo is here in part (4 bytes)"), "{found:?}");
    assert!(told("stranger", "notes.txt"), "{found:?}");
    drop(store);
    let store = open(dir.path());
    assert_eq!(store.part_length(&unknown).unwrap(), 0);
    assert_eq!(store.part_length(&awaited).unwrap(), 4);
    assert!(dir.path().join("partial/notes.txt").exists());
    assert!(!says(&store).iter().any(|(code, _)| *code == "part_left"));
}

#[test]
fn a_photo_that_comes_by_another_road_leaves_no_part_behind() {
    let picture = b"a picture";
    let hash = photo_hash(picture);
    let (dir, mut store) = naming(&hash);
    store.part_add(&hash, b"a pic").unwrap();
    let kept = store.keep_photo(&mut &picture[..], 100, None).unwrap();
    let photo = NewPhoto {
        kept,
        meta: PhotoMeta::default(),
        thumb: vec![1],
        added: now(),
    };
    store.enter_photos(&[photo]).unwrap();
    assert_eq!(std::fs::read_dir(dir.path().join("partial")).unwrap().count(), 0);
}

#[test]
fn parts_are_bounded_in_number_and_bytes_and_an_old_one_gives_way() {
    let (dir, store, _) = one_record();
    let hash = |number: u32| photo_hash(number.to_le_bytes());
    let file = |number| {
        let path = dir.path().join("partial").join(hash(number).to_string());
        File::options().append(true).open(path).unwrap()
    };
    for number in 0..256 {
        store.part_add(&hash(number), b"half").unwrap();
    }
    // Each of them is on its way now: another has to wait, and nothing of it is left.
    let refused = store.part_add(&hash(256), b"half").unwrap_err();
    assert!(refused.to_string().contains("too many photos wait"), "{refused}");
    assert_eq!(
        std::fs::read_dir(dir.path().join("partial")).unwrap().count(),
        256
    );
    store.part_add(&hash(7), b"more").unwrap();
    // One to which nothing was added for an hour gives way.
    let old = file(3);
    let before = old.metadata().unwrap().modified().unwrap() - Duration::from_secs(3_600);
    old.set_modified(before).unwrap();
    store.part_add(&hash(256), b"half").unwrap();
    assert_eq!(store.part_length(&hash(3)).unwrap(), 0);
    assert_eq!(store.part_length(&hash(256)).unwrap(), 4);
    // Bytes count too; a file that is long and takes no room is as good as a full one.
    file(9).set_len(512 << 20).unwrap();
    assert!(store.part_add(&hash(7), b"more").is_err());
    assert_eq!(store.part_length(&hash(7)).unwrap(), 8);
}
