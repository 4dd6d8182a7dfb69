//! Two devices that share two cars and meet about both over one connection, on loopback: an edit in either appears at
//! once, a third car that one of them shares with somebody else is not told of, one that is no longer shared stops
//! while the other goes on, and photos of one do not hold up the edits of the other.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;
mod living;

use std::io::Cursor;
use std::path::Path;
use std::time::Duration;

use host::Handle;
use living::{LONG, ask, attend, open, pair, two, until};
use serde_json::{Value, json};

/// The issue's own figure for an edit on the same network.
const APPEARS: Duration = Duration::from_secs(1);

fn about(side: &Handle, car: &str, name: &str, args: Value) -> Value {
    side.with(|notebook| notebook.call(Some(car), name, args))
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

fn digest(side: &Handle, car: &str) -> Value {
    about(side, car, "digest", json!({}))["digest"].clone()
}

/// What the Keepers' page of a car says of a keeper's device.
fn line(side: &Handle, car: &str, keeper: &str) -> Option<Value> {
    let page = about(side, car, "meetings", json!({}));
    let all = page["devices"].as_array().unwrap();
    all.iter().find(|one| one["keeper_name"] == keeper).cloned()
}

fn is_live(side: &Handle, car: &str, keeper: &str) -> bool {
    line(side, car, keeper).is_some_and(|one| one["phase"] == "live" && one["alike"] == true)
}

fn note(side: &Handle, car: &str, text: &str) {
    about(side, car, "note", json!({ "day": "2031-03-02", "text": text }));
}

fn has(side: &Handle, car: &str, text: &str) -> bool {
    let found = about(side, car, "search", json!({ "text": text }));
    !found.as_array().unwrap().is_empty()
}

fn car(side: &Handle, name: &str) -> String {
    let records = ask(side, "records", json!({}));
    let mut all = records.as_array().unwrap().iter();
    all.find(|one| one["car"] == name).unwrap()["id"]
        .as_str()
        .unwrap()
        .to_owned()
}

/// Begins a further car on a device; it is the one that is open there.
fn begin(side: &Handle, name: &str) -> String {
    let began = ask(side, "start_record", json!({ "car": name, "keeper": "Rosalind" }));
    let id = began["id"].as_str().unwrap().to_owned();
    ask(side, "choose_record", json!({ "record": id }));
    id
}

/// Two that share two cars, both live about both.
fn two_cars(dir: &Path) -> (Handle, Handle, String, String) {
    let (parent, child) = two(dir);
    let first = car(&parent, "Tern");
    let second = begin(&parent, "Wren");
    // The line stands already, and the second car joins it.
    pair(&parent, &child, "Wilf");
    live_about(&parent, &child, &[&first, &second]);
    (parent, child, first, second)
}

fn live_about(parent: &Handle, child: &Handle, cars: &[&str]) {
    for car in cars {
        until("the parent meets about it", LONG, || is_live(parent, car, "Wilf"));
        until("the child meets about it", LONG, || {
            is_live(child, car, "Rosalind")
        });
    }
}

/// Whether anything under a folder holds this text.
fn holds(under: &Path, text: &str) -> bool {
    let mut folders = vec![under.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let bytes = std::fs::read(&path).unwrap_or_default();
            if bytes.windows(text.len()).any(|some| some == text.as_bytes()) {
                return true;
            }
        }
    }
    false
}

#[test]
fn both_cars_meet_at_once_and_a_third_is_not_told_of() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child, first, second) = two_cars(dir.path());
    let third = begin(&parent, "Plover");
    let ida = open(&dir.path().join("ida"), 3);
    attend(&ida);
    pair(&parent, &ida, "Ida");
    until("the third car is met about", LONG, || {
        is_live(&ida, &third, "Rosalind")
    });

    for (number, car) in [&first, &second, &first, &second].into_iter().enumerate() {
        for (from, to, at) in [(&parent, &child, "p"), (&child, &parent, "c")] {
            let text = format!("gudgeon{number}{at}");
            note(from, car, &text);
            let took = until("an edit on the other", APPEARS, || has(to, car, &text));
            println!("'{text}' took {took:?}");
        }
    }
    live_about(&parent, &child, &[&first, &second]);
    note(&parent, &third, "snapring");
    until("it is on the third", APPEARS, || has(&ida, &third, "snapring"));
    for car in [&first, &second] {
        assert_eq!(digest(&parent, car), digest(&child, car));
    }
    assert_ne!(digest(&parent, &first), digest(&parent, &second));

    // Each page tells of its own car and of nobody else.
    let names = |side: &Handle, car: &str| -> Vec<Value> {
        let page = about(side, car, "meetings", json!({}));
        let devices = page["devices"].as_array().unwrap().iter();
        devices.map(|one| one["keeper_name"].clone()).collect()
    };
    assert_eq!(names(&parent, &first), ["Wilf"]);
    assert_eq!(names(&parent, &second), ["Wilf"]);
    assert_eq!(names(&parent, &third), ["Ida"]);
    for car in [&first, &second] {
        let one = line(&parent, car, "Wilf").unwrap();
        assert!(one["since"].is_string() && one["last_met"].is_string(), "{one}");
        assert_eq!(one["ended"], Value::Null);
    }
    assert_eq!(ask(&child, "records", json!({})).as_array().unwrap().len(), 2);
    assert_eq!(ask(&ida, "records", json!({})).as_array().unwrap().len(), 1);
    for text in ["Plover", "snapring", &third] {
        assert!(holds(&dir.path().join("ida"), text));
        assert!(
            !holds(&dir.path().join("child"), text),
            "the child was told of {text}"
        );
    }
    for side in [&parent, &child] {
        for car in [&first, &second] {
            assert_eq!(about(side, car, "check", json!({}))["sound"], true);
        }
    }
    // A new connection is about both from its beginning, whichever is open.
    child.leave();
    until("the child is gone", LONG, || {
        line(&parent, &first, "Wilf").unwrap()["phase"] == "away"
            && line(&parent, &second, "Wilf").unwrap()["phase"] == "away"
    });
    note(&parent, &first, "tappet");
    note(&child, &second, "rocker");
    attend(&child);
    live_about(&parent, &child, &[&first, &second]);
    assert!(has(&child, &first, "tappet") && has(&parent, &second, "rocker"));
}

#[test]
fn one_that_is_shared_no_more_stops_and_the_other_goes_on_over_the_same_connection() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child, first, second) = two_cars(dir.path());
    let since = |side: &Handle, keeper: &str| line(side, &second, keeper).unwrap()["since"].clone();
    let before = (since(&parent, "Wilf"), since(&child, "Rosalind"));
    let members = about(&parent, &first, "members", json!({}));
    let mut all = members.as_array().unwrap().iter();
    let device = all.find(|one| one["keeper_name"] == "Wilf").unwrap()["device"].clone();
    about(
        &parent,
        &first,
        "revoke",
        json!({ "device": device, "why": "sold his part of it" }),
    );
    until("the first stops", LONG, || {
        line(&parent, &first, "Wilf").is_none()
    });
    until("the child sees it", LONG, || {
        line(&child, &first, "Rosalind").is_none_or(|one| one["phase"] == "away")
    });
    // Its keeper reads why, unless the last that it heard was the very change that revoked it.
    let of_this = line(&child, &first, "Rosalind").unwrap();
    println!("the child reads: {}", of_this["ended"]);
    assert!(
        of_this["ended"].as_str().unwrap().contains("share")
            || of_this["ended"].as_str().unwrap().contains("revoked")
    );
    note(&parent, &first, "crankcase");
    note(&child, &first, "mischief");
    for (from, to, text) in [(&parent, &child, "sump"), (&child, &parent, "dipstick")] {
        note(from, &second, text);
        let took = until("an edit in the other car", APPEARS, || has(to, &second, text));
        println!("'{text}' took {took:?}");
    }
    live_about(&parent, &child, &[&second]);
    // The conversation about it is the one of before: so is the connection.
    assert_eq!((since(&parent, "Wilf"), since(&child, "Rosalind")), before);
    assert!(!has(&child, &first, "crankcase") && !has(&parent, &first, "mischief"));
    // Asking again changes nothing, nor does a new connection, which is about the other car alone.
    ask(&child, "meet_now", json!({}));
    ask(&parent, "meet_now", json!({}));
    note(&parent, &second, "gasket");
    until("the other car goes on", APPEARS, || {
        has(&child, &second, "gasket")
    });
    assert!(!has(&child, &first, "crankcase") && !has(&parent, &first, "mischief"));
}

fn picture(shade: u8, side: u32) -> Vec<u8> {
    // Noise, so that it does not shrink: a photo of many pieces.
    let mut seed = u32::from(shade) + 1;
    let image = image::RgbImage::from_fn(side, side, |_, _| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        image::Rgb([(seed >> 24) as u8, (seed >> 16) as u8, (seed >> 8) as u8])
    });
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

#[test]
fn photos_of_one_car_do_not_hold_up_the_edits_of_the_other() {
    /// As many of four megabytes as take a while on any machine.
    const PHOTOS: u8 = 12;
    let dir = tempfile::tempdir().unwrap();
    let (parent, child, first, second) = two_cars(dir.path());
    // They are taken while nobody is met, so that all of them wait when the two meet.
    child.leave();
    until("the child is gone", LONG, || !is_live(&parent, &first, "Wilf"));
    for shade in 0..PHOTOS {
        let bytes = picture(shade, 1_200);
        let taken = child.with(|notebook| notebook.take_photo(&bytes).unwrap());
        about(
            &child,
            &first,
            "add_photo",
            json!({ "hash": taken.hash, "on": "2031-03-01" }),
        );
    }
    attend(&child);
    let left = || {
        line(&parent, &first, "Wilf").unwrap()["photos_left"]
            .as_u64()
            .unwrap()
    };
    until("photos are on their way", LONG, || left() > 0);
    until("the other car is met about", LONG, || {
        is_live(&parent, &second, "Wilf")
    });
    let (mut edits, mut longest) = (0, Duration::ZERO);
    while left() > 0 {
        for (from, to, at) in [(&parent, &child, "p"), (&child, &parent, "c")] {
            let text = format!("camshaft{edits}{at}");
            note(from, &second, &text);
            let took = until("an edit beside photos", 3 * APPEARS, || has(to, &second, &text));
            longest = longest.max(took);
        }
        edits += 2;
    }
    println!("{edits} edits while photos came; the slowest took {longest:?}");
    assert!(edits >= 4, "too few edits to say anything");
    live_about(&parent, &child, &[&first, &second]);
    for car in [&first, &second] {
        until("the same", LONG, || digest(&parent, car) == digest(&child, car));
    }
}
