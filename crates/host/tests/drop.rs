//! Drops through the notebook: three devices over one folder, a stick that is away, what a revoked device put there, and
//! what hostile bytes do. Every wait is for a state, and has an end.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use folders::{device_of, join_keyed, open_keyed};
use host::Handle;
use serde_json::{Value, json};

const LONG: Duration = Duration::from_secs(120);

fn ask(notebook: &Handle, name: &str, args: Value) -> Value {
    let answer = notebook.with(|notebook| notebook.call(None, name, args));
    answer.unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

/// Looks at every drop and waits until it has ended; what the first one told.
fn look(notebook: &Handle) -> Value {
    let page = ask(notebook, "drop_look", json!({}));
    assert_eq!(page["drops"][0]["busy"], true);
    let told = rested(notebook)["told"].clone();
    assert!(told.is_object(), "nothing was told");
    told
}

fn rested(notebook: &Handle) -> Value {
    let began = Instant::now();
    loop {
        let page = ask(notebook, "drops", json!({}));
        if page["drops"]
            .as_array()
            .unwrap()
            .iter()
            .all(|one| one["busy"] == false)
        {
            return page["drops"][0].clone();
        }
        assert!(began.elapsed() < LONG, "a look did not end");
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn add(notebook: &Handle, folder: &Path) {
    let args = json!({ "place": { "folder": { "path": folder } }, "name": "stick", "photos": true });
    let page = ask(notebook, "drop_add", args);
    assert_eq!(page["drops"][0]["kind"], "folder");
    // A place is in no page.
    assert!(!page.to_string().contains(folder.to_str().unwrap()), "{page}");
}

fn photo(number: u8) -> Vec<u8> {
    let picture = image::RgbImage::from_fn(80, 60, |x, y| {
        image::Rgb([
            number,
            u8::try_from((x * 7 + y * 13) % 251).unwrap(),
            number.wrapping_mul(5),
        ])
    });
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, image::ImageFormat::Png).unwrap();
    out.into_inner()
}

/// Three devices that know one another and one folder.
fn three(dir: &Path) -> ([Handle; 3], PathBuf) {
    let mut host = open_keyed(&dir.join("rosalind"), 1);
    folders::ask(
        &mut host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let mut wilf = join_keyed(&mut host, &dir.join("wilf"), 2, "Wilf");
    let mut ida = join_keyed(&mut host, &dir.join("ida"), 3, "Ida");
    let out = folders::ask(&mut host, "carry_out", json!({}));
    for notebook in [&mut wilf, &mut ida] {
        folders::ask(notebook, "carry_in", json!({ "file": out["file"] }));
    }
    let stick = dir.join("stick");
    fs::create_dir(&stick).unwrap();
    let all = [host, wilf, ida].map(Handle::new);
    for one in &all {
        one.attend_drops_when_asked().unwrap();
        add(one, &stick);
    }
    (all, stick)
}

fn files(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn digests(all: &[Handle]) -> Vec<Value> {
    all.iter()
        .map(|one| ask(one, "digest", json!({}))["digest"].clone())
        .collect()
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn three_notebooks_over_one_folder_end_alike() {
    let dir = tempfile::tempdir().unwrap();
    let (all, stick) = three(dir.path());
    for (number, one) in all.iter().enumerate() {
        ask(
            one,
            "note",
            json!({ "day": "2031-03-01", "text": format!("a note of number {number}") }),
        );
        ask(
            one,
            "add_assembly",
            json!({ "name": format!("assembly {number}") }),
        );
        let bytes = photo(u8::try_from(number).unwrap());
        let taken = one.with(|notebook| notebook.take_photo(&bytes)).unwrap();
        ask(
            one,
            "add_photo",
            json!({ "hash": taken.hash, "on": "2031-03-01", "caption": format!("photo {number}") }),
        );
    }
    // What it would be is told before, and nothing is written for it.
    let began = Instant::now();
    let sizes = loop {
        let page = ask(&all[0], "drop_ahead", json!({ "drop": "stick" }));
        if page["busy"] == false {
            break page["sizes"].clone();
        }
        assert!(began.elapsed() < LONG);
        std::thread::sleep(Duration::from_millis(5));
    };
    assert!(
        sizes["write"].as_u64().unwrap() > 0 && sizes["photos_put"] == 1,
        "{sizes}"
    );
    assert!(files(&stick).is_empty());
    for _ in 0..2 {
        for one in &all {
            let told = look(one);
            assert_eq!(
                (&told["stopped"], &told["faults"]),
                (&Value::Null, &json!([])),
                "{told}"
            );
        }
    }
    let found = digests(&all);
    assert!(found.iter().all(|one| *one == found[0]), "{found:?}");
    for one in &all {
        assert_eq!(ask(one, "keepers", json!({}))["photos_missing"], 0);
        // Once more brings and writes nothing.
        let told = look(one);
        assert_eq!(
            (&told["written"], &told["changes"]),
            (&json!(0), &json!(0)),
            "{told}"
        );
    }
    // Nothing lies there under a readable name, and nothing of the record in the open.
    for path in files(&stick) {
        let below = path.strip_prefix(&stick).unwrap().to_str().unwrap().to_owned();
        assert!(
            below.bytes().all(|byte| byte.is_ascii_hexdigit() || byte == b'/'),
            "{below}"
        );
        let bytes = fs::read(&path).unwrap();
        for word in [
            &b"Tern"[..],
            b"Wilf",
            b"assembly",
            b"a note of",
            b"\x89PNG",
            b"stick",
        ] {
            assert!(
                !bytes.windows(word.len()).any(|window| window == word),
                "{word:?} in {below}"
            );
        }
    }
    // A file with a place's secrets is its owner's alone.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let meta = fs::metadata(dir.path().join("rosalind").join("drops.key")).unwrap();
        assert_eq!(meta.permissions().mode() & 0o777, 0o600);
    }
    let page = ask(&all[0], "drop_remove", json!({ "drop": "stick" }));
    assert_eq!(page["drops"], json!([]));
    assert!(!files(&stick).is_empty(), "what lies there stays there");
}

#[test]
fn a_stick_that_is_away_is_said_and_is_found_again() {
    let dir = tempfile::tempdir().unwrap();
    let (all, stick) = three(dir.path());
    look(&all[0]);
    let away = dir.path().join("in a drawer");
    fs::rename(&stick, &away).unwrap();
    let told = look(&all[0]);
    assert!(
        told["stopped"].as_str().unwrap().contains("put the stick in"),
        "{told}"
    );
    ask(
        &all[0],
        "note",
        json!({ "day": "2031-03-02", "text": "written without the stick" }),
    );
    fs::rename(&away, &stick).unwrap();
    let told = look(&all[0]);
    assert_eq!(
        (&told["stopped"], &told["written"]),
        (&Value::Null, &json!(1)),
        "{told}"
    );
    let told = look(&all[1]);
    assert!(told["changes"].as_u64().unwrap() > 0, "{told}");
    // The empty place where a stick hung is not taken for the stick by a program that looks by itself.
    all[0].leave_drops();
    fs::rename(&stick, &away).unwrap();
    fs::create_dir(&stick).unwrap();
    all[0].attend_drops().unwrap();
    let began = Instant::now();
    loop {
        let line = ask(&all[0], "drops", json!({}))["drops"][0].clone();
        if line["told"]["stopped"]
            .as_str()
            .is_some_and(|words| words.contains("the right stick"))
        {
            break;
        }
        assert!(began.elapsed() < LONG, "{line}");
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(files(&stick).is_empty());
}

#[test]
fn edits_go_by_themselves_and_the_notebook_is_never_kept() {
    let dir = tempfile::tempdir().unwrap();
    let (all, stick) = three(dir.path());
    for one in &all {
        look(one);
        one.leave_drops();
    }
    let before = files(&stick).len();
    all[0].attend_drops().unwrap();
    ask(
        &all[0],
        "note",
        json!({ "day": "2031-03-03", "text": "goes by itself" }),
    );
    let began = Instant::now();
    while files(&stick).len() == before {
        assert!(began.elapsed() < LONG, "what was written did not go out");
        std::thread::sleep(Duration::from_millis(5));
    }
    all[0].leave_drops();
    all[1].attend_drops_when_asked().unwrap();
    assert!(look(&all[1])["changes"].as_u64().unwrap() > 0);
}

#[test]
fn what_a_revoked_device_put_there_later_is_set_aside_unless_a_standing_one_has_it() {
    let dir = tempfile::tempdir().unwrap();
    let (all, _stick) = three(dir.path());
    for one in &all {
        look(one);
    }
    let lost = all[0].with(|notebook| device_of(notebook, "Wilf"));
    ask(&all[0], "revoke", json!({ "device": lost, "why": "stolen" }));
    ask(
        &all[1],
        "add_assembly",
        json!({ "name": "gearbox of whoever found it" }),
    );
    look(&all[1]);
    let before = ask(&all[0], "digest", json!({}));
    let told = look(&all[0]);
    assert_eq!(
        (&told["aside"], &told["faults"]),
        (&json!(1), &json!([])),
        "{told}"
    );
    let now = ask(&all[0], "digest", json!({}));
    assert_eq!(now, before, "nothing of it was merged");
    let aside = ask(&all[0], "aside", json!({}))["lines"].take();
    assert_eq!(
        (&aside[0]["by"], &aside[0]["keeper_name"]),
        (&json!("drop"), &json!("Wilf"))
    );
    assert!(aside[0]["words"].to_string().contains("gearbox"), "{aside}");
    // Ida hears of the revoking from the same drop, before or after the other: either way the two end alike.
    for _ in 0..3 {
        look(&all[2]);
        look(&all[0]);
    }
    let found = digests(&[all[0].clone(), all[2].clone()]);
    assert_eq!(found[0], found[1]);
    // The revoked device itself learns of it nowhere here: it reads nothing that was sealed since.
    assert!(look(&all[1])["not_for_me"].as_u64().unwrap() > 0);
}

/// How a photo stands on a device, by its bytes' hash.
fn stands(notebook: &Handle, hash: &str) -> Value {
    let day = ask(notebook, "day", json!({ "day": "2031-03-01" }));
    let sheets = day["sheets"].as_array().unwrap();
    let mut entries = sheets
        .iter()
        .flat_map(|sheet| sheet["entries"].as_array().unwrap());
    let line = entries.find(|entry| entry["photo"]["hash"] == hash);
    line.unwrap()["photo"].clone()
}

#[test]
fn whoever_put_a_photo_there_has_it_and_one_that_is_asked_for_comes_from_there() {
    let dir = tempfile::tempdir().unwrap();
    let (all, _stick) = three(dir.path());
    let [rosalind, wilf, ida] = &all;
    // Rosalind puts no photos there; Ida, who has this one from her by hand, does.
    ask(rosalind, "drop_remove", json!({ "drop": "stick" }));
    let taken = rosalind.with(|notebook| notebook.take_photo(&photo(9))).unwrap();
    ask(
        rosalind,
        "add_photo",
        json!({ "hash": taken.hash, "on": "2031-03-01" }),
    );
    let out = ask(rosalind, "carry_out", json!({}));
    ask(ida, "carry_in", json!({ "file": out["file"] }));
    assert_eq!(look(ida)["photos_put"], 1);
    // Wilf lets photos come when he asks for them.
    ask(wilf, "live", json!({ "photos": "asked" }));
    let told = look(wilf);
    assert_eq!(
        (&told["batches"], &told["photos_fetched"]),
        (&json!(1), &json!(0)),
        "{told}"
    );
    let photo = stands(wilf, &taken.hash);
    let missing = &photo["missing"];
    let held_by = missing["held_by"].as_array().unwrap();
    let whose: Vec<_> = held_by
        .iter()
        .map(|name| name.as_str().unwrap().split('\'').next().unwrap())
        .collect();
    assert_eq!(
        (whose, &missing["waits"]),
        (vec!["Ida", "Rosalind"], &json!(true))
    );
    ask(wilf, "photo_fetch", json!({ "photo": photo["id"] }));
    assert_eq!(look(wilf)["photos_fetched"], 1);
    assert_eq!(stands(wilf, &taken.hash)["missing"], Value::Null);
}

#[test]
fn a_photo_that_is_asked_for_is_fetched_without_another_word() {
    let dir = tempfile::tempdir().unwrap();
    let (all, _stick) = three(dir.path());
    let [rosalind, wilf, _] = &all;
    let taken = rosalind.with(|notebook| notebook.take_photo(&photo(9))).unwrap();
    ask(
        rosalind,
        "add_photo",
        json!({ "hash": taken.hash, "on": "2031-03-01" }),
    );
    assert_eq!(look(rosalind)["photos_put"], 1);
    ask(wilf, "live", json!({ "photos": "asked" }));
    look(wilf);
    // From now on it looks when there is a reason to, as a program that is open does.
    wilf.leave_drops();
    wilf.attend_drops().unwrap();
    std::thread::sleep(Duration::from_millis(50));
    rested(wilf);
    let photo = stands(wilf, &taken.hash);
    assert_eq!(photo["missing"]["waits"], true);
    ask(wilf, "photo_fetch", json!({ "photo": photo["id"] }));
    let began = Instant::now();
    while stands(wilf, &taken.hash)["here"] == false {
        assert!(began.elapsed() < LONG, "it never came");
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_eq!(rested(wilf)["told"]["stopped"], Value::Null);
}

#[test]
fn a_lost_file_is_put_there_again_and_nobody_is_accused() {
    let dir = tempfile::tempdir().unwrap();
    let (all, stick) = three(dir.path());
    let note = |text: &str| {
        ask(&all[0], "note", json!({ "day": "2031-03-02", "text": text }));
    };
    for one in &all {
        look(one);
    }
    let before = files(&stick);
    let mut lost = Vec::new();
    for text in ["the first", "the second", "the third"] {
        note(text);
        look(&all[0]);
        lost.push(files(&stick));
    }
    // Once more, so that all of them were seen to lie there.
    look(&all[0]);
    for file in lost[0].iter().filter(|file| !before.contains(file)) {
        fs::remove_file(file).unwrap();
    }
    for one in &all[1..] {
        let told = look(one);
        let faults = told["faults"].to_string();
        assert!(told["waiting"].as_u64().unwrap() > 0, "{told}");
        assert!(
            faults.contains("Rosalind") && faults.contains("at their next look"),
            "{faults}"
        );
        assert!(!faults.contains("sign"), "the honest device is accused: {faults}");
    }
    assert_eq!(look(&all[0])["written"], 1);
    for one in &all[1..] {
        let told = look(one);
        assert_eq!(
            (&told["waiting"], &told["faults"]),
            (&json!(0), &json!([])),
            "{told}"
        );
        assert_eq!(told["written"], 0, "what lies there is not written again: {told}");
    }
    for one in &all {
        look(one);
    }
    let found = digests(&all);
    assert!(found.iter().all(|one| *one == found[0]), "{found:?}");
}

#[test]
fn a_data_folder_is_no_drop() {
    let dir = tempfile::tempdir().unwrap();
    let host = Handle::new(open_keyed(&dir.path().join("rosalind"), 1));
    ask(
        &host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let inside = dir.path().join("rosalind/photos");
    for path in [
        dir.path().join("rosalind"),
        inside.clone(),
        inside.join("not yet"),
    ] {
        let place = json!({ "place": { "folder": { "path": path } }, "photos": true });
        let refusal = host.call(None, "drop_add", place).unwrap_err();
        assert_eq!(refusal.code, "drop_place");
        assert!(refusal.words.contains("data folder"), "{refusal}");
    }
    let place = json!({ "place": { "folder": { "path": dir.path() } }, "photos": true });
    ask(&host, "drop_add", place);
}
