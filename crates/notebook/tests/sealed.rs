//! Sealed carry files: who can open them, what is said where they cannot, how large they are told to be, and what becomes
//! of one that a revoked device wrote.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use std::io::Cursor;
use std::path::{Path, PathBuf};

use folders::{SPOKEN, ask, device_of, join_keyed, open_keyed, refused};
use link::carry::{Head, Writer};
use notebook::Notebook;
use serde_json::{Value, json};

fn begun(dir: &Path) -> Notebook {
    let mut host = open_keyed(&dir.join("rosalind"), 1);
    ask(
        &mut host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    host
}

fn photo(number: u8) -> Vec<u8> {
    let picture = image::RgbImage::from_fn(64, 64, |x, y| {
        image::Rgb([number, u8::try_from(x * y % 251).unwrap(), number.wrapping_mul(3)])
    });
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, image::ImageFormat::Png).unwrap();
    out.into_inner()
}

fn add_photo(notebook: &mut Notebook, number: u8) {
    let taken = notebook.take_photo(&photo(number)).unwrap();
    ask(
        notebook,
        "add_photo",
        json!({ "hash": taken.hash, "on": "2031-03-01", "caption": format!("photo {number}") }),
    );
}

fn file(out: &Value) -> PathBuf {
    PathBuf::from(out["file"].as_str().unwrap())
}

fn holds(bytes: &[u8], words: &str) -> bool {
    bytes
        .windows(words.len())
        .any(|window| window == words.as_bytes())
}

#[test]
fn a_newcomer_opens_by_the_passphrase_and_nobody_by_another() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    // Alone, there is nobody to seal to: the keeper has to say what is to be.
    assert_eq!(refused(&mut host, "carry_out", json!({})).code, "seal_wanted");
    let short = refused(&mut host, "carry_out", json!({ "passphrase": "short" }));
    assert_eq!(short.code, "passphrase");
    let both = json!({ "passphrase": SPOKEN, "open": true });
    assert_eq!(refused(&mut host, "carry_out", both).code, "seal_how");
    let out = ask(&mut host, "carry_out", json!({ "passphrase": SPOKEN }));
    assert_eq!(out["seal"], "passphrase");
    let bytes = std::fs::read(file(&out)).unwrap();
    assert!(!holds(&bytes, "Tern") && !holds(&bytes, "Rosalind"));

    let mut guest = open_keyed(&dir.path().join("wilf"), 2);
    let join = |passphrase: Value| json!({ "file": out["file"], "keeper": "Wilf", "passphrase": passphrase });
    let wanted = refused(&mut guest, "join_record", join(Value::Null));
    assert_eq!(wanted.code, "passphrase_wanted");
    let wrong = refused(&mut guest, "join_record", join(json!("four words by voice")));
    assert_eq!(wrong.code, "passphrase_wrong");
    assert_eq!(ask(&mut guest, "records", json!({})), json!([]));
    // Nothing that was opened stays behind.
    let room = dir.path().join("wilf").join("room");
    let left = std::fs::read_dir(&room).map_or(0, Iterator::count);
    #[cfg(unix)]
    assert_eq!(left, 0);
    ask(&mut guest, "join_record", join(json!(SPOKEN)));
    // A damaged one is told as damaged, not as a wrong passphrase.
    let mut damaged = bytes.clone();
    let middle = damaged.len() / 2;
    damaged[middle] ^= 1;
    let path = dir.path().join("damaged.carry");
    std::fs::write(&path, damaged).unwrap();
    let args = json!({ "file": path, "passphrase": SPOKEN });
    assert_eq!(refused(&mut guest, "carry_in", args).code, "carry_file");
}

#[test]
fn members_are_sealed_to_and_nobody_else_opens_it() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    let mut wilf = join_keyed(&mut host, &dir.path().join("wilf"), 2, "Wilf");
    ask(
        &mut host,
        "note",
        json!({ "day": "2031-03-01", "text": "a secret of the gearbox" }),
    );
    // What it will be is told before, and is so within what sealing cannot foresee.
    let to = device_of(&mut host, "Wilf");
    let size = ask(&mut host, "carry_size", json!({ "to": to }));
    let out = ask(&mut host, "carry_out", json!({ "to": to }));
    assert_eq!(
        (&out["seal"], &out["changes"]),
        (&json!("members"), &size["changes"])
    );
    let (said, was) = (
        size["bytes_changes"].as_u64().unwrap(),
        out["bytes"].as_u64().unwrap(),
    );
    assert!(said >= was && said <= was + 400, "{said} told, {was} written");
    let bytes = std::fs::read(file(&out)).unwrap();
    assert!(!holds(&bytes, "gearbox") && !holds(&bytes, "Tern"));
    // A device that is no member opens nothing, with whatever it is given.
    let mut other = open_keyed(&dir.path().join("other"), 9);
    ask(
        &mut other,
        "start_record",
        json!({ "car": "Wren", "keeper": "Ida" }),
    );
    for passphrase in [Value::Null, json!(SPOKEN)] {
        let args = json!({ "file": out["file"], "passphrase": passphrase });
        assert_eq!(refused(&mut other, "carry_in", args).code, "not_for_this_device");
    }
    let met = ask(&mut wilf, "carry_in", json!({ "file": out["file"] }));
    assert_eq!((&met["changes"], &met["aside"]), (&out["changes"], &json!(0)));
    assert_eq!(
        ask(&mut host, "digest", json!({}))["digest"],
        ask(&mut wilf, "digest", json!({}))["digest"]
    );
    // Open by wish, and said.
    let open = ask(&mut host, "carry_out", json!({ "open": true }));
    assert_eq!(open["seal"], "open");
    assert!(open["says"].as_str().unwrap().contains("Whoever finds"), "{open}");
    assert!(holds(&std::fs::read(file(&open)).unwrap(), "Tern"));
}

#[test]
fn photos_that_were_left_out_come_with_the_next_file() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    let mut wilf = join_keyed(&mut host, &dir.path().join("wilf"), 2, "Wilf");
    let to = device_of(&mut host, "Wilf");
    add_photo(&mut host, 1);
    let size = |notebook: &mut Notebook, photos: bool| {
        let size = ask(notebook, "carry_size", json!({ "to": to, "photos": photos }));
        (
            size["photos"].as_u64().unwrap(),
            size["bytes_photos"].as_u64().unwrap(),
        )
    };
    assert_eq!(size(&mut host, false), (0, 0));
    assert_eq!(size(&mut host, true), (1, photo(1).len() as u64));
    let out = ask(&mut host, "carry_out", json!({ "to": to, "photos": false }));
    ask(&mut wilf, "carry_in", json!({ "file": out["file"] }));
    let back = ask(&mut wilf, "carry_out", json!({}));
    ask(&mut host, "carry_in", json!({ "file": back["file"] }));
    // He has the entry, and still lacks the picture.
    let out = ask(&mut host, "carry_out", json!({ "to": to }));
    assert_eq!((&out["changes"], &out["photos"]), (&json!(0), &json!(1)), "{out}");
    let met = ask(&mut wilf, "carry_in", json!({ "file": out["file"] }));
    assert_eq!(met["photos"], 1);
    let back = ask(&mut wilf, "carry_out", json!({}));
    ask(&mut host, "carry_in", json!({ "file": back["file"] }));
    assert_eq!(size(&mut host, true), (0, 0));
}

#[test]
fn what_a_revoked_device_carries_is_shown_and_comes_only_by_a_standing_one() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    let mut wilf = join_keyed(&mut host, &dir.path().join("wilf"), 2, "Wilf");
    let mut ida = join_keyed(&mut host, &dir.path().join("ida"), 3, "Ida");
    let out = ask(&mut host, "carry_out", json!({}));
    for notebook in [&mut wilf, &mut ida] {
        ask(notebook, "carry_in", json!({ "file": out["file"] }));
    }
    let lost = device_of(&mut host, "Wilf");
    ask(
        &mut host,
        "revoke",
        json!({ "device": lost, "why": "lost in the yard" }),
    );
    assert_eq!(
        refused(&mut host, "carry_out", json!({ "to": lost })).code,
        "revoked"
    );
    let before = ask(&mut host, "digest", json!({}));

    ask(
        &mut wilf,
        "add_assembly",
        json!({ "name": "gearbox of whoever found it" }),
    );
    for sealed in [json!({}), json!({ "open": true })] {
        let file = ask(&mut wilf, "carry_out", sealed)["file"].clone();
        for _ in 0..2 {
            let met = ask(&mut host, "carry_in", json!({ "file": file }));
            assert_eq!((&met["changes"], &met["aside"]), (&json!(0), &json!(1)), "{met}");
        }
        let aside = ask(&mut host, "aside", json!({}))["lines"].take();
        assert_eq!(aside.as_array().unwrap().len(), 1, "{aside}");
        assert_eq!(
            (&aside[0]["keeper_name"], &aside[0]["by"], &aside[0]["changes"]),
            (&json!("Wilf"), &json!("carry"), &json!(1))
        );
        assert!(
            aside[0]["words"][0].as_str().unwrap().contains("gearbox"),
            "{aside}"
        );
    }
    assert_eq!(
        ask(&mut host, "digest", json!({})),
        before,
        "nothing of it was merged"
    );
    // What is sealed from now on is not for it.
    let out = ask(&mut host, "carry_out", json!({}));
    let refusal = refused(&mut wilf, "carry_in", json!({ "file": out["file"] }));
    assert_eq!(refusal.code, "not_for_this_device");

    // Ida, who does not know yet, takes it; by her it comes as hers, and no longer stands aside.
    let file = ask(&mut wilf, "carry_out", json!({}))["file"].clone();
    ask(&mut ida, "carry_in", json!({ "file": file }));
    let hers = ask(&mut ida, "carry_out", json!({}))["file"].clone();
    let met = ask(&mut host, "carry_in", json!({ "file": hers }));
    assert_eq!((&met["changes"], &met["aside"]), (&json!(1), &json!(0)), "{met}");
    assert_eq!(ask(&mut host, "aside", json!({}))["lines"], json!([]));
    // It outlives the program, as all that is set aside does.
    ask(&mut wilf, "add_assembly", json!({ "name": "axle" }));
    let file = ask(&mut wilf, "carry_out", json!({}))["file"].clone();
    ask(&mut host, "carry_in", json!({ "file": file }));
    drop(host);
    let mut host = open_keyed(&dir.path().join("rosalind"), 7);
    assert_eq!(ask(&mut host, "aside", json!({}))["lines"][0]["changes"], 1);
}

#[test]
fn a_revoked_device_does_not_come_back_under_a_fresh_key_unless_a_keeper_lets_it() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    let mut wilf = join_keyed(&mut host, &dir.path().join("wilf"), 2, "Wilf");
    let out = ask(&mut host, "carry_out", json!({}));
    ask(&mut wilf, "carry_in", json!({ "file": out["file"] }));
    let lost = device_of(&mut host, "Wilf");
    ask(
        &mut host,
        "revoke",
        json!({ "device": lost, "why": "lost in the yard" }),
    );
    let before = ask(&mut host, "digest", json!({}));

    // Whoever found it has all that it had, and makes a new device of it.
    let whole = ask(&mut wilf, "carry_out", json!({ "passphrase": SPOKEN }));
    let mut stray = open_keyed(&dir.path().join("stray"), 8);
    let joining =
        json!({ "file": whole["file"], "keeper": "Rosalind", "device_name": "spare", "passphrase": SPOKEN });
    ask(&mut stray, "join_record", joining);
    for sealed in [json!({}), json!({ "open": true })] {
        let file = ask(&mut stray, "carry_out", sealed)["file"].clone();
        for welcome in [Value::Null, json!(false)] {
            let refusal = refused(&mut host, "carry_in", json!({ "file": file, "welcome": welcome }));
            assert_eq!(refusal.code, "newcomer");
            assert!(refusal.words.contains("'spare' of Rosalind"), "{refusal}");
        }
    }
    assert_eq!(ask(&mut host, "digest", json!({})), before, "nothing was merged");
    assert_eq!(ask(&mut host, "members", json!({})).as_array().unwrap().len(), 2);
    // What a keeper stands for is taken in, and from then on the device is known.
    for welcome in [json!(true), json!(false)] {
        let file = ask(&mut stray, "carry_out", json!({}))["file"].clone();
        ask(&mut host, "carry_in", json!({ "file": file, "welcome": welcome }));
    }
    assert_eq!(ask(&mut host, "members", json!({})).as_array().unwrap().len(), 3);
}

/// An open file that says that a device wrote it, with one change that is none.
fn said_to_be_by(device: &str, record: &str, number: u32) -> Vec<u8> {
    let head = Head {
        record: record.to_owned(),
        device: device.to_owned(),
        changes: 1,
        ..Head::default()
    };
    let mut writer = Writer::new(Vec::new(), head).unwrap();
    writer.change(&[7; 32], &number.to_le_bytes()).unwrap();
    writer.finish().unwrap().0
}

#[test]
fn what_is_beyond_the_bound_of_what_is_set_aside_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    drop(join_keyed(&mut host, &dir.path().join("wilf"), 2, "Wilf"));
    let record = ask(&mut host, "records", json!({}))[0]["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let lost = device_of(&mut host, "Wilf");
    ask(
        &mut host,
        "revoke",
        json!({ "device": lost, "why": "lost in the yard" }),
    );
    let file = dir.path().join("flood.carry");
    let bring = |host: &mut Notebook, number| {
        std::fs::write(&file, said_to_be_by(&lost, &record, number)).unwrap();
        let met = ask(host, "carry_in", json!({ "file": file }));
        assert_eq!(met["aside"], 1);
        (met["aside_not_kept"].as_bool().unwrap(), met["news"].to_string())
    };
    for number in 0..500 {
        assert!(!bring(&mut host, number).0);
    }
    let page = ask(&mut host, "aside", json!({}));
    assert_eq!(page["lines"].as_array().unwrap().len(), 500);
    assert_eq!(
        (&page["most"], &page["not_kept"], &page["not_kept_last"]),
        (&json!(500), &json!(0), &json!(null))
    );
    // One that is kept already is kept; of any other nothing is, and that is said where it came and where they are shown.
    assert!(!bring(&mut host, 3).0);
    assert_eq!(ask(&mut host, "aside", json!({}))["not_kept"], 0);
    for number in 500..502 {
        let (not_kept, said) = bring(&mut host, number);
        assert!(not_kept);
        assert!(said.contains("were not set aside either"), "{said}");
    }
    drop(host);
    let mut host = open_keyed(&dir.path().join("rosalind"), 7);
    let page = ask(&mut host, "aside", json!({}));
    assert_eq!(page["lines"].as_array().unwrap().len(), 500);
    assert_eq!(page["not_kept"], 2);
    assert!(page["not_kept_last"].is_string(), "{}", page["not_kept_last"]);
}

#[test]
fn nothing_but_an_earlier_carry_file_of_the_same_car_is_written_over() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    let _wilf = join_keyed(&mut host, &dir.path().join("wilf"), 2, "Wilf");
    let mut other = open_keyed(&dir.path().join("ida"), 9);
    let start = json!({ "car": "Wren", "keeper": "Ida" });
    ask(&mut other, "start_record", start);
    let at = |name: &str| dir.path().join(name);
    let write = |path: &Path, bytes: &[u8]| std::fs::write(path, bytes).unwrap();
    let words = json!({ "file": at("ida.carry"), "passphrase": SPOKEN });
    ask(&mut other, "carry_out", words);
    ask(
        &mut other,
        "carry_out",
        json!({ "file": at("open.carry"), "open": true }),
    );
    write(&at("letter.txt"), b"Dear Wilf, the bearings came.");
    write(&at("half.carry.part"), b"somebody's own");
    std::fs::create_dir(at("folder.carry")).unwrap();
    for name in [
        "letter.txt",
        "ida.carry",
        "open.carry",
        "folder.carry",
        "half.carry",
    ] {
        let before = std::fs::read(at(name)).ok();
        let refusal = refused(&mut host, "carry_out", json!({ "file": at(name) }));
        assert_eq!(refusal.code, "would_overwrite", "{name}: {refusal}");
        assert!(refusal.words.contains(name), "{refusal}");
        assert_eq!(std::fs::read(at(name)).ok(), before, "{name}");
    }
    assert_eq!(std::fs::read(at("half.carry.part")).unwrap(), b"somebody's own");
    // The stick that goes to and fro, however its files are sealed.
    let stick = at("stick.carry");
    for how in [
        json!({}),
        json!({ "open": true }),
        json!({ "passphrase": SPOKEN }),
        json!({ "passphrase": SPOKEN }),
    ] {
        let mut args = how.clone();
        args["file"] = json!(stick);
        ask(&mut host, "carry_out", args);
    }
    // Sealed to words that are not said again, it is known as the one that was written here.
    ask(&mut host, "carry_out", json!({ "file": stick }));
    write(&at("new.carry"), b"");
    ask(&mut host, "carry_out", json!({ "file": at("new.carry") }));
}

#[test]
fn a_passphrase_opens_with_other_spaces_and_capitals_are_spoken_of() {
    let dir = tempfile::tempdir().unwrap();
    let mut host = begun(dir.path());
    let out = ask(
        &mut host,
        "carry_out",
        json!({ "passphrase": format!(" {SPOKEN}  ") }),
    );
    let mut guest = open_keyed(&dir.path().join("wilf"), 2);
    let join = |typed: &str| json!({ "file": out["file"], "keeper": "Wilf", "passphrase": typed });
    let refusal = refused(&mut guest, "join_record", join(&SPOKEN.to_uppercase()));
    assert!(refusal.words.contains("capital letters count"), "{refusal}");
    ask(&mut guest, "join_record", join(&SPOKEN.replace(' ', "   ")));
    let refusal = refused(&mut host, "carry_out", json!({ "passphrase": "  " }));
    assert_eq!(refusal.code, "passphrase");
    assert!(!refusal.words.contains("inf"), "{refusal}");
}
