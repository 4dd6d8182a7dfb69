//! Nothing readable lies in a drop: no name, note, id, number or photo of the record, in any usual writing of bytes, in
//! contents or in names of files and folders.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use link::drop::{DropLimits, Store};
use record::entities as e;
use record::{Edit, Id};
use tests::act::Act;
use tests::device::Device;
use tests::ledger::Reckoned;
use tests::seed::Dice;

use crate::party::{Club, Full, Keys, RECORD, SECRET, Shelf};

/// Every way in which bytes are usually written.
fn writings(bytes: &[u8]) -> Vec<Vec<u8>> {
    let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    let wide = |order: fn(u16) -> [u8; 2]| {
        let text = String::from_utf8_lossy(bytes).into_owned();
        text.encode_utf16().flat_map(order).collect::<Vec<u8>>()
    };
    let mut all = vec![
        bytes.to_vec(),
        bytes.to_ascii_lowercase(),
        bytes.to_ascii_uppercase(),
        bytes.iter().rev().copied().collect(),
        hex.to_uppercase().into_bytes(),
        hex.into_bytes(),
        wide(u16::to_le_bytes),
        wide(u16::to_be_bytes),
    ];
    // base64 of something longer that holds these bytes, at each of the three places they can have in it.
    for before in 0..3 {
        let letters = base64(&[vec![b'#'; before], bytes.to_vec()].concat());
        // Letters that the bytes before or behind have a part in are left out.
        let from = (before * 8).div_ceil(6);
        let to = (before + bytes.len()) * 8 / 6;
        let middle = letters[from..to].to_vec();
        let url = middle
            .iter()
            .map(|letter| match letter {
                b'+' => b'-',
                b'/' => b'_',
                other => *other,
            })
            .collect();
        all.push(middle);
        all.push(url);
    }
    all.sort();
    all.dedup();
    all
}

fn base64(bytes: &[u8]) -> Vec<u8> {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = Vec::new();
    for three in bytes.chunks(3) {
        let number = (0..3).fold(0_u32, |n, at| {
            n << 8 | u32::from(three.get(at).copied().unwrap_or(0))
        });
        out.extend((0..4).map(|at| LETTERS[(number >> (18 - 6 * at) & 63) as usize]));
    }
    out
}

/// All files under a folder, with their paths below it.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let (mut found, mut open) = (Vec::new(), vec![folder.to_owned()]);
    while let Some(dir) = open.pop() {
        for entry in fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
                found.push((name, fs::read(path).unwrap()));
            }
        }
    }
    found
}

/// Which of the words are to be found, in any writing.
fn found(words: &BTreeSet<Vec<u8>>, files: &[(String, Vec<u8>)]) -> Vec<String> {
    let mut found = Vec::new();
    for word in words {
        for writing in writings(word) {
            for (name, bytes) in files {
                let in_name = name.as_bytes().windows(writing.len()).any(|part| part == writing);
                let in_bytes = bytes.windows(writing.len()).any(|part| part == writing);
                if in_name || in_bytes {
                    found.push(format!("{:?} in {name}", String::from_utf8_lossy(word)));
                }
            }
        }
    }
    found
}

/// Everything in a record that a stranger should not read and that is long enough to be found by no accident: in files
/// of some 100 KB a word of six bytes turns up by itself once in a billion tries.
fn words(device: &Device) -> BTreeSet<Vec<u8>> {
    let mut words = BTreeSet::new();
    let mut add = |bytes: &[u8]| {
        if bytes.len() >= 6 {
            words.insert(bytes.to_vec());
        }
    };
    for entry in device.record.view().everything() {
        add(entry.id.to_string().as_bytes());
        if let Ok(uuid) = uuid::Uuid::parse_str(&entry.id.to_string()) {
            add(uuid.as_bytes());
            add(uuid.simple().to_string().as_bytes());
        }
        for (field, held) in &entry.fields {
            add(field.as_bytes());
            for claim in held.claims() {
                if let Some(record::Scalar::Line(text)) = &claim.value {
                    for line in text.split_whitespace().chain([text.as_str()]) {
                        add(line.as_bytes());
                    }
                }
            }
        }
    }
    for (id, bytes) in device.record.changes_since(&[]) {
        add(id.hex().as_bytes());
        add(id.bytes());
        for part in bytes.chunks(32).filter(|part| part.len() == 32) {
            add(part);
        }
    }
    add(RECORD.as_bytes());
    add(uuid::Uuid::parse_str(RECORD).unwrap().as_bytes());
    add(SECRET);
    words
}

#[test]
fn nothing_readable_lies_in_a_drop() {
    let mut dice = Dice::of(11);
    let mut reckoned = Reckoned::default();
    let mut device = Device::first(&mut dice, &mut reckoned);
    let mut tokens = 0;
    for _ in 0..120 {
        let mut hand = std::mem::take(&mut device.hand);
        let act = Act::any(&device, &mut hand, &mut dice, &mut tokens);
        device.hand = hand;
        device.act(&act, &mut reckoned);
    }
    let keeper = Id::from_uuid(dice.uuid());
    let fields = e::KeeperFields {
        name: "Dilys Penhaligon-Brightwater".into(),
        ..Default::default()
    };
    let edit = Edit::add::<e::Keeper>(keeper, &fields).unwrap();
    let moment = record::Moment::from_seconds(1_930_000_000);
    drop(device.record.edit(&edit, moment, &mut dice).unwrap());

    let mut shelf = Shelf::of(Keys::of(1));
    let other = Keys::of(2);
    let club = Club::of([&shelf.keys, &other]);
    // A photo with a word in it, as a camera's notes would be.
    let mut photo = b"the cameras own notes: Aunt Dilys's Tern in the barn ".repeat(40);
    photo.extend(std::iter::repeat_with(|| dice.bytes()).take(5_000).flatten());
    let hash = *blake3::hash(&photo).as_bytes();
    shelf.photos.insert(hash, photo.clone());

    let folder = tempfile::tempdir().unwrap();
    let mut place = Store::folder(folder.path()).unwrap();
    let mut full = Full {
        device: &mut device,
        reckoned: &mut reckoned,
    };
    let told = shelf
        .look(
            &mut place,
            &mut full,
            &club,
            &DropLimits::default(),
            1_930_000_000,
        )
        .unwrap();
    assert_eq!((told.written, told.photos_put), (2, 1));

    let mut words = words(&device);
    assert!(words.len() > 500, "{} words", words.len());
    assert!(words.contains("Penhaligon-Brightwater".as_bytes()));
    words.insert(b"cameras own notes".to_vec());
    words.insert(photo[500..540].to_vec());
    words.insert(photo[4_000..4_040].to_vec());
    words.insert(hash.to_vec());
    for keys in [&shelf.keys, &other] {
        words.insert(keys.sign.public().to_vec());
        words.insert(keys.open.seal().into_bytes());
    }
    let lies = files(folder.path());
    assert_eq!(lies.len(), 2);
    let names: BTreeSet<usize> = lies.iter().map(|(name, _)| name.len()).collect();
    assert_eq!(
        names,
        BTreeSet::from([32 + 1 + 32 + 1 + 64]),
        "one name is longer than another"
    );
    assert_eq!(found(&words, &lies), Vec::<String>::new());

    // The search finds what is there: a carry file that is open, and each writing of a word.
    let tests::device::Content::File(open) = device.parcel(None, true).content else {
        panic!("no file")
    };
    let open = vec![("an-open.carry".to_owned(), open)];
    assert!(!found(&words, &open).is_empty());
    let word = BTreeSet::from([b"Penhaligon-Brightwater".to_vec()]);
    let text = b"## Penhaligon-Brightwater ##".to_vec();
    for writing in writings(b"Penhaligon-Brightwater") {
        assert!(!found(&word, &[("x".to_owned(), writing)]).is_empty());
    }
    for cut in 0..3 {
        assert!(!found(&word, &[("x".to_owned(), base64(&text[cut..]))]).is_empty());
    }
    let named = [("notes of penhaligon-brightwater".to_owned(), Vec::new())];
    assert!(!found(&word, &named).is_empty());
}
