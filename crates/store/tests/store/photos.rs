//! Originals: whole or not there, by their hash, healed when they come again.

use std::io::{self, Read};
use std::path::{Path, PathBuf};

use record::{Kind, PhotoHash};
use serde_json::json;
use store::{Batch, Depth, Level, NewPhoto, PhotoMeta, Store};

use crate::made::*;

fn files(dir: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(files(&path))
        } else {
            all.push(path)
        }
    }
    all
}

fn keep(store: &mut Store, bytes: &[u8]) -> PhotoHash {
    let kept = store.keep_photo(&mut &bytes[..], 10_000_000, None).unwrap();
    let hash = *kept.hash();
    let meta = PhotoMeta {
        mime: "image/jpeg".to_owned(),
        width: 640,
        height: 480,
        camera: "Box".to_owned(),
    };
    store
        .enter_photos(&[NewPhoto {
            kept,
            meta,
            thumb: vec![1, 2],
            added: now(),
        }])
        .unwrap();
    hash
}

fn codes(store: &Store) -> Vec<(Level, &'static str)> {
    let found = store.check(None, Depth::Whole).unwrap();
    found
        .into_iter()
        .map(|trouble| (trouble.level, trouble.code))
        .collect()
}

#[test]
fn an_original_is_kept_under_its_hash_and_reads_back_in_stretches() {
    let (dir, mut store, record) = one_record();
    let picture: Vec<u8> = (0..200_000_u32).map(|n| (n % 251) as u8).collect();
    let named = photo_hash(&picture);
    let entries = [entry(
        Kind::Photo,
        "photo-1",
        json!({"hash": named, "caption": "The pin"}),
    )];
    store
        .commit(
            &record,
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    assert_eq!(
        store.photos_wanted(&record).unwrap(),
        std::slice::from_ref(&named)
    );
    assert_eq!(codes(&store), [(Level::Note, "photos_away")]);

    let hash = keep(&mut store, &picture);
    assert_eq!(hash, named);
    let path = dir
        .path()
        .join("photos")
        .join(&hash.hex()[..2])
        .join(hash.to_string());
    assert_eq!(std::fs::read(&path).unwrap(), picture);
    assert_eq!(store.photo_bytes(&hash, 100, 50).unwrap(), picture[100..150]);
    assert_eq!(store.photo_bytes(&hash, 199_990, 50).unwrap(), picture[199_990..]);
    assert!(store.photo_bytes(&hash, 300_000, 50).unwrap().is_empty());
    let mut all = Vec::new();
    store.open_photo(&hash).unwrap().read_to_end(&mut all).unwrap();
    assert_eq!(all, picture);
    let row = store.photo(&hash).unwrap().unwrap();
    assert_eq!(
        (row.length, row.meta.width, row.meta.camera.as_str()),
        (200_000, 640, "Box")
    );
    assert_eq!(store.thumb(&hash).unwrap(), Some(vec![1, 2]));
    assert_eq!(store.photos_here(&record).unwrap(), std::slice::from_ref(&hash));
    assert!(store.photos_wanted(&record).unwrap().is_empty());
    // The same again is the same file.
    assert_eq!(keep(&mut store, &picture), hash);
    assert_eq!(files(&dir.path().join("photos")), [path]);
    assert_eq!(codes(&store), []);
}

/// Yields some bytes, then fails, as a stick that is pulled out.
struct Torn(usize);
impl Read for Torn {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.0 == 0 {
            return Err(io::Error::other("the stick is gone"));
        }
        let some = self.0.min(buffer.len());
        self.0 -= some;
        Ok(some)
    }
}

#[test]
fn what_does_not_arrive_whole_leaves_nothing() {
    let (dir, store, _) = one_record();
    let wrong = photo_hash("another picture");
    let refused = [
        store.keep_photo(&mut Torn(100_000), u64::MAX, None).unwrap_err(),
        store
            .keep_photo(&mut &b"too many bytes"[..], 5, None)
            .unwrap_err(),
        store
            .keep_photo(&mut &b"a picture"[..], 100, Some(&wrong))
            .unwrap_err(),
    ];
    assert_eq!(
        refused.each_ref().map(store::StoreError::code),
        ["io", "photo_too_large", "wrong_photo"]
    );
    assert!(files(&dir.path().join("photos")).is_empty());
    assert_eq!(store.photo_bytes(&wrong, 0, 9).unwrap_err().code(), "no_photo");
}

#[test]
fn what_was_arriving_when_the_program_was_stopped_is_swept_at_the_next_opening() {
    let (dir, store, _) = one_record();
    let torn = dir.path().join("photos").join("arriving-4711-0");
    std::fs::write(&torn, b"half a pic").unwrap();
    assert_eq!(codes(&store), [(Level::Note, "arriving")]);
    drop(store);
    let store = open(dir.path());
    assert!(!torn.exists());
    assert_eq!(codes(&store), []);
}

#[test]
fn damaged_and_missing_originals_are_told_and_heal_when_they_come_again() {
    let (dir, mut store, record) = one_record();
    let hash = keep(&mut store, b"a picture");
    let entries = [entry(Kind::Photo, "photo-1", json!({"hash": hash}))];
    store
        .commit(
            &record,
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    let path = dir
        .path()
        .join("photos")
        .join(&hash.hex()[..2])
        .join(hash.to_string());

    std::fs::write(&path, b"a pictur3").unwrap();
    assert_eq!(codes(&store), [(Level::Broken, "photo_damaged")]);
    assert!(
        store.check(None, Depth::Quick).unwrap().is_empty(),
        "a quick check looks at lengths only"
    );
    std::fs::write(&path, b"a pict").unwrap();
    assert_eq!(store.check(None, Depth::Quick).unwrap()[0].code, "photo_damaged");
    assert_eq!(keep(&mut store, b"a picture"), hash);
    assert_eq!(codes(&store), []);

    std::fs::remove_file(&path).unwrap();
    assert_eq!(codes(&store), [(Level::Broken, "photo_gone")]);
    assert_eq!(store.photos_wanted(&record).unwrap(), std::slice::from_ref(&hash));
    assert!(store.photos_here(&record).unwrap().is_empty());
    assert_eq!(keep(&mut store, b"a picture"), hash);

    std::fs::write(dir.path().join("photos").join("notes.txt"), b"?").unwrap();
    let _orphan = store.keep_photo(&mut &b"never entered"[..], 100, None).unwrap();
    assert_eq!(
        codes(&store),
        [(Level::Note, "orphan"), (Level::Note, "stranger")]
    );
}
