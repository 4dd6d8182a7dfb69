//! What the gate refuses, and what it lets by: changes that another program could make, well-formed and harmful. The other
//! program is Automerge itself, used on the same document without this project's care.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod laid;
#[path = "../workshop/mod.rs"]
mod workshop;

use automerge::legacy::OpType;
use automerge::marks::{ExpandMark, Mark};
use automerge::transaction::{CommitOptions, Transactable, Transaction};
use automerge::{ActorId, Automerge, Change, ExpandedChange, ObjId, ObjType, ROOT, ReadDoc, ScalarValue};
use record::entities::*;
use record::{Against, BadRecord, ChangeId, Edit, Id, Kind, Record};
use workshop::{Device, day, meet, seat, seeded};

/// Another program with this device's document, writing as an actor that nobody knows.
fn other(device: &Device) -> Automerge {
    let actor = ActorId::from([7_u8; 16]);
    Automerge::load(&device.record.snapshot())
        .unwrap()
        .with_actor(actor)
}

/// What it writes.
fn made(doc: &mut Automerge, work: impl FnOnce(&mut Transaction<'_>)) -> Change {
    let mut tx = doc.transaction();
    work(&mut tx);
    tx.commit_with(
        CommitOptions::default()
            .with_message("by another program")
            .with_time(1_900_000_000),
    );
    doc.get_last_local_change().unwrap()
}

fn map(tx: &impl ReadDoc, kind: Kind, id: &Id) -> ObjId {
    let (_, many) = tx.get(ROOT, kind.root()).unwrap().unwrap();
    tx.get(&many, id.as_str()).unwrap().unwrap().1
}

/// A device with a part that has a name, a position and a note, and a sheet with a line.
fn begun() -> (Device, Id) {
    let mut phone = Device::first("phone", 41);
    let crank = phone.make::<Part>(PartFields {
        name: "crankshaft".into(),
        position: "front".into(),
        note: "Ground once.".into(),
        ..Default::default()
    });
    note(&mut phone, "Head off.");
    (phone, crank)
}

fn note(device: &mut Device, text: &str) {
    let keeper = device.keeper.clone();
    device.edit(&Edit::Note {
        day: day("2031-03-01"),
        keeper,
        text: text.to_owned(),
    });
}

fn sheet(device: &Device) -> Id {
    format!("2031-03-01_{}", device.keeper).parse().unwrap()
}

/// Refused, nothing changed by it, and everything goes on: an edit, a snapshot, opening again.
fn refused(device: &mut Device, change: &[u8]) -> Against {
    let before = device.record.digest();
    let why = match device.record.receive(&[change.to_vec()]) {
        Err(BadRecord::Against(mut refused)) => refused.remove(0).why,
        other => panic!("it was not refused: {other:?}"),
    };
    assert_eq!(device.record.digest(), before, "refused, and changed: {why}");
    note(device, "and on it goes");
    let again = Record::open(Some(&device.record.snapshot()), &[], seat(&mut seeded(5))).unwrap();
    assert_eq!(again.digest(), device.record.digest());
    why
}

/// The same change, altered.
fn altered(change: &Change, alter: impl FnOnce(&mut ExpandedChange)) -> Vec<u8> {
    let mut open = change.decode();
    alter(&mut open);
    Change::from(open).raw_bytes().to_vec()
}

#[test]
fn a_first_operation_that_is_not_the_next_one_is_refused() {
    let (mut phone, crank) = begun();
    let mut doc = other(&phone);
    let change = made(&mut doc, |tx| {
        let part = map(tx, Kind::Part, &crank);
        tx.put(&part, "number", "AB-1204").unwrap();
    });
    let start = change.start_op().get();
    for wrong in [
        1,
        start - 1,
        start + 1,
        1 << 31,
        (1 << 32) - 1,
        1 << 40,
        u64::MAX - 1,
        u64::MAX,
    ] {
        let bytes = altered(&change, |open| open.start_op = wrong.try_into().unwrap());
        let mut fresh = Device::joining("fresh", 42, &phone, None);
        let why = refused(&mut fresh, &bytes);
        // Automerge itself does not read the largest.
        let unread = wrong > u64::from(u32::MAX) && matches!(why, Against::Unfit(_));
        assert!(
            unread || matches!(why, Against::Number { found, .. } if found == wrong),
            "{why}"
        );
    }
    // Times are kept by their differences, which must not run over.
    for wrong in [i64::MIN, i64::MAX, 1 << 41] {
        let why = refused(&mut phone, &altered(&change, |open| open.time = wrong));
        assert!(matches!(why, Against::Shape(_)), "{why}");
    }
    // One without any operation can number the next ones as well.
    let bytes = altered(&change, |open| {
        open.operations.clear();
        open.start_op = (1_u64 << 31).try_into().unwrap();
    });
    let why = refused(&mut phone, &bytes);
    assert!(matches!(why, Against::Shape(_)), "{why}");
    drop(phone.record.receive(&[change.raw_bytes().to_vec()]).unwrap());
    assert_eq!(phone.entry(Kind::Part, &crank).line("number"), Some("AB-1204"));
}

#[test]
fn a_folder_that_took_such_a_change_in_before_opens_and_says_so() {
    let (phone, crank) = begun();
    let change = made(&mut other(&phone), |tx| {
        tx.put(map(tx, Kind::Part, &crank), "number", "AB-1204").unwrap();
    });
    let bytes = altered(&change, |open| {
        open.start_op = ((1_u64 << 32) - 2).try_into().unwrap()
    });
    let mut log: Vec<Vec<u8>> = phone.log.iter().map(|(_, bytes)| bytes.clone()).collect();
    log.push(bytes);
    let mut ids = seeded(6);
    let mut again = Record::open(None, &log, seat(&mut ids)).unwrap();
    assert_eq!(
        again.view().get(Kind::Part, &crank).unwrap().line("number"),
        Some("AB-1204")
    );
    let edit = Edit::Note {
        day: day("2031-03-01"),
        keeper: phone.keeper.clone(),
        text: "one more".to_owned(),
    };
    let refused = again.edit(&edit, record::Moment::from_seconds(1_900_100_000), &mut ids);
    assert!(
        matches!(refused, Err(record::edit::EditError::Broken(BadRecord::UsedUp))),
        "{refused:?}"
    );
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn what_would_take_something_away_is_refused() {
    let (phone, crank) = begun();
    let sheet = sheet(&phone);
    type Work = Box<dyn Fn(&mut Transaction<'_>)>;
    let in_part = |work: fn(&mut Transaction<'_>, ObjId)| -> Work {
        let crank = crank.clone();
        Box::new(move |tx| {
            let part = map(tx, Kind::Part, &crank);
            work(tx, part);
        })
    };
    let in_parts = |work: fn(&mut Transaction<'_>, ObjId, &str)| -> Work {
        let crank = crank.clone();
        Box::new(move |tx| {
            let (_, many) = tx.get(ROOT, "parts").unwrap().unwrap();
            work(tx, many, crank.as_str());
        })
    };
    let in_sheet = |work: fn(&mut Transaction<'_>, ObjId)| -> Work {
        let sheet = sheet.clone();
        Box::new(move |tx| {
            let sheet = map(tx, Kind::Sheet, &sheet);
            work(tx, sheet);
        })
    };
    let at_root = |work: fn(&mut Transaction<'_>)| -> Work { Box::new(work) };
    let cases: Vec<(&str, Work)> = vec![
        (
            "an entry deleted",
            in_parts(|tx, many, id| tx.delete(&many, id).unwrap()),
        ),
        (
            "a word put over an entry",
            in_parts(|tx, many, id| tx.put(&many, id, "gone").unwrap()),
        ),
        (
            "a map put over an entry",
            in_parts(|tx, many, id| drop(tx.put_object(&many, id, ObjType::Map).unwrap())),
        ),
        (
            "a word for an entry",
            in_parts(|tx, many, _| tx.put(&many, "fresh", 1).unwrap()),
        ),
        (
            "an entry under no name",
            in_parts(|tx, many, _| drop(tx.put_object(&many, "a b/c", ObjType::Map).unwrap())),
        ),
        (
            "a text deleted",
            in_part(|tx, part| tx.delete(&part, "note").unwrap()),
        ),
        (
            "a word put over a text",
            in_part(|tx, part| tx.put(&part, "note", "gone").unwrap()),
        ),
        (
            "a text put over a text",
            in_part(|tx, part| drop(tx.put_object(&part, "note", ObjType::Text).unwrap())),
        ),
        (
            "a sheet's text deleted",
            in_sheet(|tx, sheet| tx.delete(&sheet, "text").unwrap()),
        ),
        (
            "a sheet's text put over",
            in_sheet(|tx, sheet| drop(tx.put_object(&sheet, "text", ObjType::Text).unwrap())),
        ),
        (
            "a list in the place of a value",
            in_part(|tx, part| drop(tx.put_object(&part, "name", ObjType::List).unwrap())),
        ),
        (
            "a map in the place of a value",
            in_part(|tx, part| drop(tx.put_object(&part, "odd", ObjType::Map).unwrap())),
        ),
        (
            "a counter",
            in_part(|tx, part| tx.put(&part, "quantity", ScalarValue::counter(3)).unwrap()),
        ),
        (
            "a mark",
            in_part(|tx, part| {
                let (_, text) = tx.get(&part, "note").unwrap().unwrap();
                let mark = Mark::new("bold".to_owned(), true, 0, 4);
                tx.mark(&text, mark, ExpandMark::Both).unwrap();
            }),
        ),
        (
            "a number among letters",
            in_part(|tx, part| {
                let (_, text) = tx.get(&part, "note").unwrap().unwrap();
                tx.insert(&text, 0, 7).unwrap();
            }),
        ),
        (
            "another map over all parts",
            at_root(|tx| drop(tx.put_object(ROOT, "parts", ObjType::Map).unwrap())),
        ),
        (
            "all parts deleted",
            at_root(|tx| tx.delete(ROOT, "parts").unwrap()),
        ),
        (
            "the schema raised",
            at_root(|tx| tx.put(ROOT, "schema", 2).unwrap()),
        ),
        (
            "something beside the kinds",
            at_root(|tx| tx.put(ROOT, "motto", "mine").unwrap()),
        ),
        (
            "a kind that nobody lays",
            at_root(|tx| drop(tx.put_object(ROOT, "wheels", ObjType::Map).unwrap())),
        ),
        (
            "a sheet by hand",
            at_root(|tx| {
                let (_, many) = tx.get(ROOT, "sheets").unwrap().unwrap();
                drop(tx.put_object(&many, "2031-04-01_somebody", ObjType::Map).unwrap());
            }),
        ),
    ];
    for (name, work) in cases {
        let mut fresh = Device::joining("fresh", 43, &phone, None);
        let change = made(&mut other(&phone), |tx| work(tx));
        println!("{name}: {}", refused(&mut fresh, change.raw_bytes()));
        assert_eq!(
            fresh.entry(Kind::Part, &crank).line("note"),
            Some("Ground once."),
            "{name}"
        );
    }
}

#[test]
fn an_entry_that_is_there_is_not_made_again_by_who_does_not_say_so() {
    let (mut phone, crank) = begun();
    // From the beginning alone, so that it need not name what it hides.
    let beginning = Record::begin(seat(&mut seeded(1))).unwrap().snapshot();
    let mut doc = Automerge::load(&beginning)
        .unwrap()
        .with_actor(ActorId::from([8_u8; 16]));
    let change = made(&mut doc, |tx| {
        let (_, many) = tx.get(ROOT, "parts").unwrap().unwrap();
        drop(tx.put_object(&many, crank.as_str(), ObjType::Map).unwrap());
    });
    let why = refused(&mut phone, change.raw_bytes());
    assert!(
        matches!(
            why,
            Against::Entry {
                what: "makes again",
                ..
            }
        ),
        "{why}"
    );
}

#[test]
fn what_is_honest_comes_in_beside_it_and_what_stands_on_it_does_not() {
    let (mut phone, crank) = begun();
    let mut doc = other(&phone);
    let bad = made(&mut doc, |tx| {
        let (_, many) = tx.get(ROOT, "parts").unwrap().unwrap();
        tx.delete(&many, crank.as_str()).unwrap();
    });
    let on_it = made(&mut doc, |tx| {
        tx.put(map(tx, Kind::Car, &Id::car()), "colour", "green").unwrap()
    });
    let mut laptop = Device::joining("laptop", 45, &phone, None);
    let honest = laptop.record.changes_since(&phone.record.heads());
    let honest: Vec<Vec<u8>> = honest.into_iter().map(|(_, bytes)| bytes).collect();
    let mut batch = vec![on_it.raw_bytes().to_vec(), bad.raw_bytes().to_vec()];
    batch.extend(honest.clone());
    let written = phone.record.receive(&batch).unwrap();
    assert_eq!(written.changes.len(), honest.len());
    assert_eq!(phone.record.digest(), laptop.record.digest());
    let refused: Vec<(String, &Against)> = written
        .refused
        .iter()
        .map(|one| (one.actor.clone(), &one.why))
        .collect();
    assert_eq!(refused.len(), 2);
    assert!(
        refused.iter().all(|(actor, _)| *actor == "07".repeat(16)),
        "{refused:?}"
    );
    let bad_id = ChangeId::from_hex(&bad.hash().to_string()).unwrap();
    assert_eq!(refused[1].1, &Against::StandsOn(bad_id));
    assert!(
        written.refused[0].to_string().contains("it deletes part"),
        "{}",
        written.refused[0]
    );
    // What comes later and stands on it is refused by name, and is no gap that all else waits for.
    let later = made(&mut doc, |tx| {
        tx.put(map(tx, Kind::Car, &Id::car()), "colour", "red").unwrap()
    });
    note(&mut laptop, "Sump off.");
    let honest = laptop.record.changes_since(&phone.record.heads()).remove(0).1;
    let written = phone
        .record
        .receive(&[later.raw_bytes().to_vec(), honest])
        .unwrap();
    assert_eq!((written.changes.len(), written.refused.len()), (1, 1));
    meet(&mut phone, &mut laptop);
}

#[test]
fn a_deletion_inside_an_entry_counts_as_emptied_and_stays_in_the_history() {
    let (mut phone, crank) = begun();
    let mut laptop = Device::joining("laptop", 46, &phone, None);
    meet(&mut phone, &mut laptop);
    // Over a contradiction, putting the shown value is what Automerge makes into deleting the others.
    for (device, text) in [(&mut phone, "rear"), (&mut laptop, "middle")] {
        let fields = PartFields {
            position: text.into(),
            ..Default::default()
        };
        device.change::<Part>(&crank, fields);
    }
    meet(&mut phone, &mut laptop);
    let shown = phone
        .entry(Kind::Part, &crank)
        .line("position")
        .unwrap()
        .to_owned();
    let mut doc = other(&phone);
    let settled = made(&mut doc, |tx| {
        tx.put(map(tx, Kind::Part, &crank), "position", shown.as_str())
            .unwrap()
    });
    assert!(
        settled
            .decode()
            .operations
            .iter()
            .any(|op| op.action == OpType::Delete)
    );
    let written = phone.record.receive(&[settled.raw_bytes().to_vec()]).unwrap();
    assert_eq!(written.refused, []);
    assert_eq!(
        phone.entry(Kind::Part, &crank).fields["position"].claims().len(),
        1
    );
    // And a plain deletion reads as an emptied field, with what stood there before it in the history.
    let before = phone.record.heads();
    let emptied = made(&mut doc, |tx| {
        tx.delete(map(tx, Kind::Part, &crank), "position").unwrap()
    });
    let written = phone.record.receive(&[emptied.raw_bytes().to_vec()]).unwrap();
    assert!(written.touched[&(Kind::Part, crank.clone())].contains("position"));
    assert_eq!(phone.entry(Kind::Part, &crank).line("position"), None);
    let claims = phone
        .record
        .field_after(Kind::Part, &crank, "position", &before[0]);
    assert_eq!(claims[0].value, Some(record::Scalar::Line(shown)));
    note(&mut phone, "and on it goes");
    meet(&mut phone, &mut laptop);
}

#[test]
fn what_another_program_writes_inside_entries_comes_in() {
    let (mut phone, crank) = begun();
    let sheet = sheet(&phone);
    let fresh: Id = "0190a6e0-0000-7000-8000-0000000000aa".parse().unwrap();
    let mut doc = other(&phone);
    let change = made(&mut doc, |tx| {
        let part = map(tx, Kind::Part, &crank);
        for (field, value) in [
            ("quantity", ScalarValue::F64(7.0)),
            ("position", ScalarValue::Null),
            ("use_once", ScalarValue::Int(i64::MIN)),
            ("container", ScalarValue::Boolean(true)),
            ("decision", ScalarValue::Bytes(vec![1, 2])),
            ("a field of tomorrow", ScalarValue::Uint(u64::MAX)),
            ("struck", ScalarValue::Timestamp(i64::MAX)),
        ] {
            tx.put(&part, field, value).unwrap();
        }
        // Text where we write a value, and over the value.
        let text = tx.put_object(&part, "name", ObjType::Text).unwrap();
        tx.splice_text(&text, 0, 0, "crank").unwrap();
        let (_, many) = tx.get(ROOT, "parts").unwrap().unwrap();
        let new = tx.put_object(&many, fresh.as_str(), ObjType::Map).unwrap();
        tx.put(&new, "name", "thrust washer").unwrap();
        let text = tx.put_object(&new, "note", ObjType::Text).unwrap();
        tx.splice_text(&text, 0, 0, "one 🔩").unwrap();
        let (_, text) = tx.get(map(tx, Kind::Sheet, &sheet), "text").unwrap().unwrap();
        tx.splice_text(&text, 0, 4, "Gearbox").unwrap();
    });
    // And over its own text in a field of plain values.
    let again = made(&mut doc, |tx| {
        tx.put(map(tx, Kind::Part, &crank), "name", "crankshaft").unwrap()
    });
    let bytes = [change, again].map(|change| change.raw_bytes().to_vec());
    let written = phone.record.receive(&bytes).unwrap();
    assert_eq!((written.changes.len(), written.refused), (2, Vec::new()));
    assert_eq!(phone.entry(Kind::Part, &fresh).line("note"), Some("one 🔩"));
    assert_eq!(phone.entry(Kind::Part, &crank).line("name"), Some("crankshaft"));
    note(&mut phone, "and on it goes");
    let mut laptop = Device::joining("laptop", 47, &phone, None);
    meet(&mut phone, &mut laptop);
}

#[test]
fn numbers_of_a_writer_are_without_gaps_and_each_used_once() {
    let (mut phone, crank) = begun();
    let mut doc = other(&phone);
    let first = made(&mut doc, |tx| {
        tx.put(map(tx, Kind::Part, &crank), "number", "1").unwrap()
    });
    let second = made(&mut doc, |tx| {
        tx.put(map(tx, Kind::Part, &crank), "number", "2").unwrap()
    });
    let why = refused(&mut phone, &altered(&first, |open| open.seq = 2));
    assert!(matches!(why, Against::OutOfTurn { found: 2 }), "{why}");
    drop(phone.record.receive(&[first.raw_bytes().to_vec()]).unwrap());
    let twin = altered(&first, |open| open.message = Some("a twin".to_owned()));
    assert!(matches!(refused(&mut phone, &twin), Against::SameName));
    // A next one that does not say that it stands on the one before.
    let apart = altered(&second, |open| {
        open.deps = first.deps().to_vec();
        open.start_op = first.start_op();
    });
    assert!(matches!(
        refused(&mut phone, &apart),
        Against::OutOfTurn { found: 2 }
    ));
    drop(phone.record.receive(&[second.raw_bytes().to_vec()]).unwrap());
}
