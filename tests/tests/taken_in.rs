//! A folder of pictures taken in by the shell: each goes to the day on which its camera says it was taken, what is no picture keeps no other
//! out, and a run that was stopped goes on where it stopped. How a header says when is tested where it is read.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use std::io::Cursor;
use std::path::Path;

use image::{ImageFormat, Rgb, RgbImage};
use serde_json::{Value, json};
use tests::picture::png;
use tests::program::{ask, call, run};

/// A JPEG with when it was taken in its header (CIPA DC-008, 4.5.2 and 4.6.3), each shade another.
fn taken(shade: u8, said: &[u8; 19]) -> Vec<u8> {
    let mut picture = Cursor::new(Vec::new());
    let one = RgbImage::from_pixel(24, 16, Rgb([shade, 90, 40]));
    one.write_to(&mut picture, ImageFormat::Jpeg).unwrap();
    let picture = picture.into_inner();
    let mut header = b"Exif\0\0MM\0\x2a\0\0\0\x08".to_vec();
    for (tag, kind, count, value) in [(0x8769_u16, 4_u16, 1_u32, 26_u32), (0x9003, 2, 20, 44)] {
        header.extend([&1_u16.to_be_bytes()[..], &tag.to_be_bytes(), &kind.to_be_bytes()].concat());
        header.extend([count.to_be_bytes(), value.to_be_bytes(), [0; 4]].concat());
    }
    header.extend(said);
    header.push(0);
    let length = u16::try_from(header.len() + 2).unwrap().to_be_bytes();
    [&picture[..2], &[0xFF, 0xE1], &length, &header, &picture[2..]].concat()
}

fn photos(at: &Path, day: &str) -> usize {
    let page = call(at, "day", &json!({ "day": day }));
    let sheets = page["sheets"].as_array().unwrap().iter();
    let entries = sheets.flat_map(|sheet| sheet["entries"].as_array().unwrap());
    entries.filter(|entry| !entry["photo"].is_null()).count()
}

fn start(at: &Path) {
    let begun = run([
        "start",
        "--at",
        at.to_str().unwrap(),
        "--car",
        "Tern",
        "--keeper",
        "Wilf",
    ]);
    assert_eq!(begun.code, 0, "{}", begun.err);
}

fn take_in(at: &Path, more: &[&str]) -> Value {
    ask(at, &[&["photos", "in"], more].concat())
}

#[test]
fn each_picture_goes_to_its_day_and_once_only() {
    let dir = tempfile::tempdir().unwrap();
    let (at, roll) = (dir.path().join("car"), dir.path().join("roll"));
    start(&at);
    std::fs::create_dir_all(roll.join("second evening")).unwrap();
    let put = |name: &str, bytes: &[u8]| std::fs::write(roll.join(name), bytes).unwrap();
    put("1.jpg", &taken(1, b"2031:03:01 18:05:59"));
    put("2.jpg", &taken(2, b"2031:03:01 23:59:59"));
    put("second evening/3.jpg", &taken(3, b"2031:03:02 00:00:00"));
    // The first once more, under another name: it is one picture.
    put("second evening/4.jpg", &taken(1, b"2031:03:01 18:05:59"));
    put("scan.png", &png(1, 8));
    put("list.txt", b"half-inch spanner, rags");
    put(".hidden.jpg", &taken(9, b"2031:03:01 18:05:59"));
    let folder = roll.to_str().unwrap();

    let told = take_in(&at, &[folder]);
    assert_eq!(
        (&told["entered"], &told["were_here"]),
        (&json!(3), &json!(1)),
        "{told}"
    );
    let left: Vec<&str> = told["left_out"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["file"].as_str().unwrap())
        .collect();
    assert_eq!(left, ["list.txt", "scan.png"]);
    assert!(
        told["left_out"][1]["why"].as_str().unwrap().contains("--day"),
        "{told}"
    );
    assert_eq!((photos(&at, "2031-03-01"), photos(&at, "2031-03-02")), (2, 1));
    // The files are as they were.
    assert_eq!(
        std::fs::read(roll.join("1.jpg")).unwrap(),
        taken(1, b"2031:03:01 18:05:59")
    );

    // Again: what is there is not entered again, and what did not say its day is told it.
    let told = take_in(&at, &[folder, "--day", "2031-02-28"]);
    assert_eq!(
        (&told["entered"], &told["were_here"]),
        (&json!(1), &json!(4)),
        "{told}"
    );
    assert_eq!((photos(&at, "2031-03-01"), photos(&at, "2031-02-28")), (2, 1));

    // A camera that was a year behind.
    let other = dir.path().join("other.jpg");
    std::fs::write(&other, taken(40, b"2030:03:05 10:00:00")).unwrap();
    let told = take_in(&at, &[other.to_str().unwrap(), "--shift", "365"]);
    assert_eq!(told["entered"], 1);
    assert_eq!(photos(&at, "2031-03-05"), 1);
    // And one that was ahead of its time.
    std::fs::write(&other, taken(41, b"2031:03:09 10:00:00")).unwrap();
    let _ = take_in(&at, &[other.to_str().unwrap(), "--shift", "-2"]);
    assert_eq!(photos(&at, "2031-03-07"), 1);
}

#[test]
fn many_photos_are_one_change_and_so_is_taking_them_back() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("car");
    start(&at);
    let roll = dir.path().join("roll");
    std::fs::create_dir(&roll).unwrap();
    for number in 0..5 {
        std::fs::write(
            roll.join(format!("{number}.jpg")),
            taken(20 * number, b"2031:03:01 18:05:59"),
        )
        .unwrap();
    }
    let changes = || call(&at, "digest", &json!({}))["changes"].as_u64().unwrap();
    let before = changes();
    let _ = take_in(&at, &[roll.to_str().unwrap()]);
    assert_eq!(changes(), before + 1);
    let list = call(&at, "list", &json!({ "kind": "photo" }));
    let ids: Vec<&str> = list
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["name"].as_str().unwrap().strip_prefix("photo:").unwrap())
        .collect();
    assert_eq!(ids.len(), 5);
    call(
        &at,
        "strike_photos",
        &json!({ "photos": ids, "why": "taken in by a slip" }),
    );
    assert_eq!(changes(), before + 2);
    assert_eq!(call(&at, "list", &json!({ "kind": "photo" })), json!([]));
    // What was struck out is taken in again when that is meant.
    let told = take_in(&at, &[roll.to_str().unwrap()]);
    assert_eq!(told["entered"], 5, "{told}");
}

#[test]
fn a_picture_that_is_gone_from_the_disk_is_there_again_once_it_is_taken_in_again() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("car");
    start(&at);
    let (file, bytes) = (dir.path().join("1.jpg"), taken(60, b"2031:03:01 18:05:59"));
    std::fs::write(&file, &bytes).unwrap();
    let _ = take_in(&at, &[file.to_str().unwrap()]);
    let hash = blake3::hash(&bytes).to_hex().to_string();
    let kept = at.join("photos").join(&hash[..2]).join(&hash);
    for harm in [None, Some(&b"not what it was"[..])] {
        match harm {
            None => std::fs::remove_file(&kept).unwrap(),
            Some(other) => std::fs::write(&kept, other).unwrap(),
        }
        let told = take_in(&at, &[file.to_str().unwrap()]);
        assert_eq!(told["were_here"], 1, "{told}");
        assert_eq!(std::fs::read(&kept).unwrap(), bytes);
    }
}
