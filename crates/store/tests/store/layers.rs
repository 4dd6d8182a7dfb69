//! Every layer lends the same: a folder on this disk and memory are asked the same things, and answer alike.

use std::io::{Read as _, Seek as _, SeekFrom, Write as _};

use serde_json::json;
use store::{Batch, Folder, Layer, Memory, NewPhoto, Opener, PhotoMeta, Store};

use crate::made::{entry, id, now, photo_hash, row};

/// The same on each layer, named where it fails.
fn on_each(asked: impl Fn(&mut Store, &str)) {
    let dir = tempfile::tempdir().unwrap();
    let opener = Opener {
        program: "witnessmark test",
        now: now(),
    };
    let layers: [(&str, Box<dyn Layer>); 2] = [
        ("a folder", Box::new(Folder::take(dir.path(), &opener).unwrap())),
        ("memory", Box::new(Memory::default())),
    ];
    for (name, layer) in layers {
        let mut store = Store::over(layer, now()).unwrap();
        let begin = row("car-1", "Ostrel Falk");
        let batch = Batch {
            begin: Some(&begin),
            ..Batch::default()
        };
        store.commit(&begin.id, &batch).unwrap();
        asked(&mut store, name);
    }
}

#[test]
fn photos_and_parts_of_them() {
    let picture: Vec<u8> = (0..100_000_u32).map(|byte| (byte % 251) as u8).collect();
    let hash = photo_hash(&picture);
    on_each(|store, layer| {
        let record = id("car-1");
        let named = [entry(record::Kind::Photo, "photo-1", json!({ "hash": hash }))];
        let batch = Batch {
            entries: &named,
            ..Batch::default()
        };
        store.commit(&record, &batch).unwrap();
        assert_eq!(
            store.photos_wanted(&record).unwrap(),
            std::slice::from_ref(&hash),
            "{layer}"
        );
        // A part comes, then the rest.
        assert_eq!(store.part_length(&hash).unwrap(), 0, "{layer}");
        store.part_add(&hash, &picture[..40_000]).unwrap();
        store.part_add(&hash, &picture[40_000..]).unwrap();
        assert_eq!(store.part_length(&hash).unwrap(), 100_000, "{layer}");
        let mut part = store.part_open(&hash, 200_000).unwrap();
        let too_large = store.keep_photo(&mut part, 99_999, None).unwrap_err();
        assert_eq!(too_large.code(), "photo_too_large", "{layer}");
        let wrong = store
            .keep_photo(&mut &b"another"[..], 1 << 20, Some(&hash))
            .unwrap_err();
        assert_eq!(wrong.code(), "wrong_photo", "{layer}");
        assert!(!store.has_photo(&hash), "{layer}");
        let mut part = store.part_open(&hash, 200_000).unwrap();
        let kept = store.keep_photo(&mut part, 1 << 20, Some(&hash)).unwrap();
        let new = NewPhoto {
            kept,
            meta: PhotoMeta {
                mime: "image/png".to_owned(),
                width: 1,
                height: 1,
                camera: String::new(),
            },
            thumb: Vec::new(),
            added: now(),
        };
        store.enter_photos(&[new]).unwrap();
        assert_eq!(
            store.photos_here(&record).unwrap(),
            std::slice::from_ref(&hash),
            "{layer}"
        );
        assert_eq!(
            store.part_length(&hash).unwrap(),
            0,
            "{layer}: nobody waits for a part any more"
        );
        assert_eq!(
            store.photo_bytes(&hash, 99_990, 50).unwrap(),
            picture[99_990..],
            "{layer}"
        );
        let mut whole = Vec::new();
        let mut file = store.open_photo(&hash).unwrap();
        assert_eq!(file.length().unwrap(), 100_000, "{layer}");
        file.read_to_end(&mut whole).unwrap();
        assert_eq!(whole, picture, "{layer}");
        assert!(
            store.check(None, store::Depth::Whole).unwrap().is_empty(),
            "{layer}"
        );
    });
}

#[test]
fn secrets_and_rooms() {
    on_each(|store, layer| {
        assert_eq!(store.secret().unwrap(), None, "{layer}");
        store.keep_secret("one").unwrap();
        store.keep_secret("two").unwrap();
        store.keep_places("there").unwrap();
        assert_eq!(store.secret().unwrap().as_deref(), Some("two"), "{layer}");
        assert_eq!(store.places().unwrap().as_deref(), Some("there"), "{layer}");
        store.lay_secret_beside().unwrap();
        assert_eq!(store.secret().unwrap(), None, "{layer}");
        let mut room = store.room().unwrap();
        room.write_all(b"written").unwrap();
        assert_eq!(room.length().unwrap(), 7, "{layer}");
        room.seek(SeekFrom::Start(2)).unwrap();
        let mut rest = String::new();
        room.read_to_string(&mut rest).unwrap();
        assert_eq!(rest, "itten", "{layer}");
        room.empty().unwrap();
        assert_eq!(
            (room.length().unwrap(), room.stream_position().unwrap()),
            (0, 0),
            "{layer}"
        );
    });
}

#[test]
fn carry_files() {
    on_each(|store, layer| {
        let mut out = store.lend().outgoing(None, "one.carry").unwrap();
        out.write_all(b"all of it").unwrap();
        let place = out.place().to_owned();
        assert_eq!(out.name(), "one.carry", "{layer}");
        assert!(store.incoming(&place).is_err(), "{layer}: not before it is whole");
        assert_eq!(out.keep().unwrap(), 9, "{layer}");
        let mut back = String::new();
        store.incoming(&place).unwrap().read_to_string(&mut back).unwrap();
        assert_eq!(back, "all of it", "{layer}");
        assert_eq!(store.carried("one.carry").unwrap(), b"all of it", "{layer}");
        assert!(store.carried("../one.carry").is_err(), "{layer}");
        let mut given_up = store.lend().outgoing(None, "two.carry").unwrap();
        given_up.write_all(b"half").unwrap();
        drop(given_up);
        assert!(store.carried("two.carry").is_err(), "{layer}");
        let mut handed = store.set_down("in").unwrap();
        handed.write_all(b"from a page").unwrap();
        handed.flush().unwrap();
        let place = handed.place().to_owned();
        let mut read = String::new();
        store.incoming(&place).unwrap().read_to_string(&mut read).unwrap();
        assert_eq!(read, "from a page", "{layer}");
        drop(handed);
        assert!(store.incoming(&place).is_err(), "{layer}: gone with its handle");
    });
}
