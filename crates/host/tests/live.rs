//! Two notebooks that meet over loopback: pairing, joining, edits and photos that appear, a break and what follows it,
//! and a device that is met no more. Every wait has an end; a test that waits so long has failed.

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
use std::time::Duration;

use host::Handle;
use notebook::Notebook;
use serde_json::{Value, json};

use living::{LONG, ask, asked, attend, digest, ended, has, is_live, open, pair, state, two, until};

/// The issue's own figure for an edit on the same network.
const APPEARS: Duration = Duration::from_secs(1);

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

fn photo(notebook: &Handle, bytes: &[u8]) -> String {
    let taken = notebook.with(|notebook| notebook.take_photo(bytes).unwrap());
    ask(
        notebook,
        "add_photo",
        json!({ "hash": taken.hash, "on": "2031-03-01" }),
    );
    taken.hash
}

fn original(notebook: &Handle, hash: &str) -> Option<Vec<u8>> {
    let read = |notebook: &mut Notebook| notebook.photo(hash, notebook::PhotoSize::Original);
    notebook.with(read).ok().map(|(_, bytes)| bytes)
}

#[test]
fn a_newcomer_pairs_and_gets_the_whole_record_and_edits_appear_at_once() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    assert_eq!(digest(&parent), digest(&child));
    // The newcomer knows whose device it is, and both know the other's key.
    let line = &ask(&child, "records", json!({}))[0];
    assert_eq!(line["car"], "Tern");
    assert_eq!(line["keeper_name"], "Wilf");
    for side in [&parent, &child] {
        let members = ask(side, "members", json!({}));
        assert_eq!(members.as_array().unwrap().len(), 2);
        for member in members.as_array().unwrap() {
            assert!(
                member["key"].is_string() && member["sealed_to"] == true,
                "{member}"
            );
        }
    }
    let key = std::fs::read_to_string(dir.path().join("child/device.key")).unwrap();
    for (from, to, text) in [(&parent, &child, "drained"), (&child, &parent, "degreased")] {
        ask(
            from,
            "note",
            json!({ "day": "2031-03-01", "text": format!("{text} the gearbox") }),
        );
        let took = until("an edit on the other", APPEARS, || has(to, text));
        println!("'{text}' took {took:?}");
    }
    // Nobody else's device has less than this one, and nothing of the key is in a carry file.
    for side in [&parent, &child] {
        until("known to be there", LONG, || {
            ask(side, "saved", json!({}))["only_here"] == 0
        });
    }
    let file = ask(&child, "carry_out", json!({ "open": true }))["file"]
        .as_str()
        .unwrap()
        .to_owned();
    let carried = std::fs::read(file).unwrap();
    let secret = key.lines().find(|line| line.len() > 40).unwrap();
    assert!(
        !carried
            .windows(secret.len())
            .any(|some| some == secret.as_bytes())
    );
}

#[test]
fn a_break_is_followed_by_a_meeting_that_goes_on() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    child.leave();
    until("the parent sees it go", LONG, || !is_live(&parent));
    ask(
        &parent,
        "note",
        json!({ "day": "2031-03-01", "text": "whitworth" }),
    );
    ask(&child, "note", json!({ "day": "2031-03-01", "text": "metric" }));
    assert_eq!(ask(&parent, "saved", json!({}))["only_here"], 1);
    // A photo of which a part came before the break, and one of which the part is not right.
    let (half, wrong) = (picture(1, 400), picture(2, 400));
    let hashes = [photo(&parent, &half), photo(&parent, &wrong)];
    let parts = dir.path().join("child/partial");
    std::fs::create_dir_all(&parts).unwrap();
    std::fs::write(parts.join(&hashes[0]), &half[..half.len() / 2]).unwrap();
    std::fs::write(parts.join(&hashes[1]), vec![7; wrong.len() / 2]).unwrap();
    attend(&child);
    for side in [&parent, &child] {
        until("both live again", LONG, || is_live(side));
    }
    assert!(has(&child, "whitworth") && has(&parent, "metric"));
    for (hash, bytes) in hashes.iter().zip([half, wrong]) {
        until("the photo", LONG, || original(&child, hash).is_some());
        assert!(original(&child, hash).unwrap() == bytes);
        assert!(!parts.join(hash).exists());
    }
    until("the same", LONG, || digest(&parent) == digest(&child));
    for side in [&parent, &child] {
        assert_eq!(ask(side, "check", json!({}))["sound"], true);
    }
    // A folder that has come without its key: its keeper is asked, and only then it gets a new one, and says so.
    parent.leave();
    drop(parent);
    std::fs::remove_file(dir.path().join("parent/device.key")).unwrap();
    let parent = open(&dir.path().join("parent"), 77);
    let own = |notebook: &Handle| {
        let members = ask(notebook, "members", json!({}));
        let own = members
            .as_array()
            .unwrap()
            .iter()
            .find(|one| one["this"] == true)
            .cloned();
        own.unwrap()["key"].clone()
    };
    let before = own(&parent);
    attend(&parent);
    until("its keeper is asked", LONG, || {
        ask(&parent, "folder", json!({}))["doubt"] == "key"
    });
    assert_eq!(own(&parent), before);
    ask(&parent, "folder_is", json!({ "copy": false }));
    until("a new key", LONG, || own(&parent) != before);
}

#[test]
fn a_photo_appears_on_the_other() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    let bytes = picture(3, 700);
    let hash = photo(&child, &bytes);
    until("the photo", LONG, || original(&parent, &hash).is_some());
    assert!(original(&parent, &hash).unwrap() == bytes);
    let small = parent.with(|notebook| notebook.photo(&hash, notebook::PhotoSize::Thumb));
    assert!(!small.unwrap().1.is_empty());
}

/// How a photo stands on a device, by its bytes' hash.
fn stands(notebook: &Handle, hash: &str) -> Option<Value> {
    let day = ask(notebook, "day", json!({ "day": "2031-03-01" }));
    let sheets = day["sheets"].as_array().unwrap().clone();
    let mut entries = sheets
        .iter()
        .flat_map(|sheet| sheet["entries"].as_array().unwrap().clone());
    let found = entries.find(|entry| entry["photo"]["hash"] == hash)?;
    Some(ask(notebook, "photo", json!({ "photo": found["photo"]["id"] })))
}

fn small(notebook: &Handle, hash: &str) -> Option<Vec<u8>> {
    let read = |notebook: &mut Notebook| notebook.photo(hash, notebook::PhotoSize::Thumb);
    notebook.with(read).ok().map(|(_, bytes)| bytes)
}

#[test]
fn photos_come_as_the_keeper_chose_and_who_has_the_others_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    let chosen = ask(&child, "live", json!({ "photos": "asked" }));
    assert_eq!(
        (chosen["photos"].as_str(), chosen["photos_by"].as_str()),
        (Some("asked"), Some("always"))
    );
    let pictures = [picture(3, 300), picture(4, 300), picture(5, 300)];
    let hashes: Vec<String> = pictures.iter().map(|bytes| photo(&parent, bytes)).collect();
    for hash in &hashes {
        until("the small picture", LONG, || small(&child, hash).is_some());
    }
    let device = ask(&parent, "records", json!({}))[0]["device_name"].clone();
    until("who has it", LONG, || {
        stands(&child, &hashes[0]).is_some_and(|one| one["missing"]["small"] == true)
    });
    let line = stands(&child, &hashes[0]).unwrap();
    let held_by = line["missing"]["held_by"].as_array().unwrap();
    assert_eq!(held_by.len(), 1);
    assert!(
        held_by[0].as_str().unwrap().starts_with("Rosalind's "),
        "{held_by:?} {device}"
    );
    assert_eq!(line["missing"]["waits"], true);
    assert_eq!(stands(&parent, &hashes[0]).unwrap()["missing"], Value::Null);
    // It is asked for, and nothing else comes with it: the meeting is over with what was wanted.
    ask(&child, "photo_fetch", json!({ "photo": line["id"] }));
    until("the photo that was asked for", LONG, || {
        original(&child, &hashes[0]).is_some()
    });
    until("nothing is left", LONG, || is_live(&child));
    assert!(original(&child, &hashes[0]).unwrap() == pictures[0]);
    assert!(original(&child, &hashes[1]).is_none() && original(&child, &hashes[2]).is_none());
    // The small picture that came is replaced by the one made here of the original.
    assert_eq!(small(&child, &hashes[0]), small(&parent, &hashes[0]));
    assert_eq!(stands(&child, &hashes[0]).unwrap()["missing"], Value::Null);
    // Another choice holds for the meeting that stands; a metered connection waits, an unmetered one does not.
    ask(&child, "connection", json!({ "metered": true }));
    ask(
        &child,
        "live",
        json!({ "photos": "all", "photos_by": "unmetered" }),
    );
    let line = stands(&child, &hashes[1]).unwrap();
    assert_eq!(line["missing"]["waits"], true);
    ask(&child, "photo_fetch", json!({ "photo": line["id"] }));
    until("a photo asked for by any connection", LONG, || {
        original(&child, &hashes[1]).is_some()
    });
    assert!(original(&child, &hashes[2]).is_none());
    ask(&child, "connection", json!({ "metered": null }));
    until("all of them", LONG, || original(&child, &hashes[2]).is_some());
    until("the same", LONG, || digest(&parent) == digest(&child));
    for side in [&parent, &child] {
        assert_eq!(ask(side, "check", json!({}))["sound"], true);
    }
}

#[test]
fn who_has_a_photo_is_known_while_nobody_is_met() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    ask(&child, "live", json!({ "photos": "asked" }));
    // A third device takes it. The child never meets that one: who entered a photo has it, and who is met says so.
    let third = open(&dir.path().join("third"), 3);
    attend(&third);
    pair(&parent, &third, "Ida");
    until("the third knows the record", LONG, || is_live(&third));
    let hash = photo(&third, &picture(6, 200));
    until("the parent has it", LONG, || original(&parent, &hash).is_some());
    until("the small picture", LONG, || small(&child, &hash).is_some());
    let held = |side: &Handle| -> Vec<String> {
        let line = stands(side, &hash).unwrap();
        let held = line["missing"]["held_by"].as_array().unwrap().clone();
        held.iter()
            .map(|name| name.as_str().unwrap().to_owned())
            .collect()
    };
    until("both are known to have it", LONG, || held(&child).len() == 2);
    parent.leave();
    third.leave();
    until("nobody is here", LONG, || !is_live(&child));
    let held = held(&child);
    assert!(
        held[0].starts_with("Ida's ") && held[1].starts_with("Rosalind's "),
        "{held:?}"
    );
    assert!(small(&child, &hash).is_some() && original(&child, &hash).is_none());
}

#[test]
fn a_revoked_device_is_met_no_more() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    // A third, so that the parent has somebody left to listen for.
    let third = open(&dir.path().join("third"), 3);
    attend(&third);
    pair(&parent, &third, "Ida");
    until("the third knows the record", LONG, || is_live(&third));
    let members = ask(&parent, "members", json!({}));
    let wilf = members
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["keeper_name"] == "Wilf");
    let device = wilf.unwrap()["device"].clone();
    let refused = asked(&child, "revoke", json!({ "device": device, "why": "lost" })).unwrap_err();
    assert_eq!(refused.code, "this_device");
    ask(
        &parent,
        "revoke",
        json!({ "device": device, "why": "lost on the train" }),
    );
    let phase = |side: &Handle, name: &str| {
        let page = ask(side, "meetings", json!({}));
        let found = page["devices"]
            .as_array()
            .unwrap()
            .iter()
            .find(|one| one["keeper_name"] == name)
            .cloned();
        found.map(|one| one["phase"].as_str().unwrap().to_owned())
    };
    until("it is let go", LONG, || {
        phase(&child, "Rosalind").as_deref() == Some("away")
    });
    assert_eq!(phase(&parent, "Wilf"), None);
    ask(
        &parent,
        "note",
        json!({ "day": "2031-03-02", "text": "flywheel" }),
    );
    until("the third has it", LONG, || has(&third, "flywheel"));
    // It asks again, is refused each time, and its keeper reads why.
    let told = || {
        let why = ended(&child, "Rosalind").unwrap_or_default();
        why.contains("revoked") && why.contains("lost on the train")
    };
    until("it is told why", LONG, told);
    child.leave();
    attend(&child);
    until("it is told again", LONG, told);
    assert!(!has(&child, "flywheel"));
    assert_eq!(phase(&child, "Rosalind").as_deref(), Some("away"));
    assert_eq!(phase(&parent, "Ida").as_deref(), Some("live"));
}

/// The lost phone, where there are only two: the one that is left goes on listening, so that whoever has the phone is
/// refused and told why; what the phone wrote meanwhile stays there; and a new phone is paired under the same keeper.
#[test]
fn a_lost_phone_is_refused_by_the_only_other_device_and_a_new_one_takes_its_place() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, phone) = two(dir.path());
    phone.leave();
    until("the parent sees it go", LONG, || !is_live(&parent));
    let members = ask(&parent, "members", json!({}));
    let lost = members
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["keeper_name"] == "Wilf")
        .unwrap();
    ask(
        &parent,
        "revoke",
        json!({ "device": lost["device"], "why": "left on the bus" }),
    );
    ask(
        &parent,
        "note",
        json!({ "day": "2031-03-02", "text": "camshaft" }),
    );
    ask(&phone, "note", json!({ "day": "2031-03-02", "text": "mischief" }));
    let page = ask(&parent, "meetings", json!({}));
    assert_eq!(page["listening"], true);
    assert_eq!(page["devices"], json!([]));
    attend(&phone);
    until("the phone is told why", LONG, || {
        ended(&phone, "Rosalind")
            .is_some_and(|why| why.contains("revoked") && why.contains("left on the bus"))
    });
    assert_eq!(ask(&parent, "meetings", json!({}))["listening"], true);
    assert!(!has(&phone, "camshaft") && !has(&parent, "mischief"));
    assert!(!is_live(&phone) && !is_live(&parent));
    // Files are sealed to whoever stands when they are made; nothing is to be renewed for that.
    let sealed: Vec<_> = ask(&parent, "members", json!({}))
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["revoked"].is_null())
        .map(|one| one["keeper_name"].clone())
        .collect();
    assert_eq!(sealed, ["Rosalind"]);
    // The new phone of the same keeper.
    let new = open(&dir.path().join("new"), 9);
    attend(&new);
    pair(&parent, &new, "Wilf");
    until("both live", LONG, || is_live(&new) && is_live(&parent));
    assert!(has(&new, "camshaft") && !has(&new, "mischief"));
    let keepers = ask(&parent, "members", json!({}));
    let wilfs = keepers
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["keeper_name"] == "Wilf");
    assert_eq!(wilfs.count(), 2, "one keeper, the lost device and the new one");
    until("the same", LONG, || digest(&parent) == digest(&new));
}

#[test]
fn a_pairing_that_a_keeper_denies_leaves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let (host, guest) = (
        open(&dir.path().join("host"), 1),
        open(&dir.path().join("guest"), 2),
    );
    ask(
        &host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let refused = asked(&host, "pair_open", json!({})).unwrap_err();
    assert_eq!(refused.code, "not_attended");
    attend(&host);
    attend(&guest);
    assert_eq!(ask(&host, "meet_now", json!({}))["listening"], false);
    ask(&host, "live", json!({ "on": false }));
    let refused = asked(&host, "meet_now", json!({})).unwrap_err();
    assert_eq!(refused.code, "meetings_off");
    ask(&host, "live", json!({ "on": true }));
    let refused = asked(
        &guest,
        "pair_join",
        json!({ "ticket": "wm1-nonsense", "keeper": "Wilf" }),
    )
    .unwrap_err();
    assert_eq!(refused.code, "ticket");
    let before = digest(&host);
    let ticket = ask(&host, "pair_open", json!({}));
    ask(
        &guest,
        "pair_join",
        json!({ "ticket": ticket["ticket"], "keeper": "Wilf" }),
    );
    for side in [&host, &guest] {
        until("digits to compare", LONG, || state(side) == "compare");
    }
    ask(&host, "pair_confirm", json!({ "yes": true }));
    ask(&guest, "pair_confirm", json!({ "yes": false }));
    for side in [&host, &guest] {
        until("both ended", LONG, || state(side).starts_with("ended"));
    }
    assert_eq!(digest(&host), before);
    assert_eq!(ask(&guest, "records", json!({})), json!([]));
    until("nobody listens", LONG, || {
        ask(&host, "meetings", json!({}))["listening"] == false
    });
}
