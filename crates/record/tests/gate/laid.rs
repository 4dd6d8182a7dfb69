//! What the program lays down itself, forged and true.

use super::*;

/// The sheets of March, as the program lays them.
fn laid() -> (Device, Change) {
    let (phone, _) = begun();
    let changes = phone.record.changes_since(&[]);
    let laid = changes
        .iter()
        .map(|(_, bytes)| Change::from_bytes(bytes.clone()).unwrap())
        .find(|change| change.message() == Some("Laid down the day sheets of 2031-03"));
    (phone, laid.unwrap())
}

#[test]
fn a_forged_laying_is_refused_and_the_true_one_comes() {
    let (phone, laying) = laid();
    let beginning = || Device::first("elsewhere", 48);
    let forged: Vec<(&str, Vec<u8>)> = vec![
        (
            "a day less",
            altered(&laying, |open| open.operations.truncate(60)),
        ),
        (
            "other words",
            altered(&laying, |open| open.message = Some("mine".to_owned())),
        ),
        ("another time", altered(&laying, |open| open.time = 1)),
        (
            "a sheet without its text",
            altered(&laying, |open| {
                open.operations
                    .retain(|op| !matches!(op.action, OpType::Make(ObjType::Text)))
            }),
        ),
        (
            "another change by an actor of that length",
            made(&mut other(&phone).with_actor(ActorId::from([9_u8; 12])), |tx| {
                tx.put(map(tx, Kind::Car, &Id::car()), "colour", "green").unwrap();
            })
            .raw_bytes()
            .to_vec(),
        ),
    ];
    for (name, bytes) in forged {
        let mut device = if name.starts_with("another change") {
            Device::joining("laptop", 51, &phone, None)
        } else {
            beginning()
        };
        let why = refused(&mut device, &bytes);
        assert!(matches!(why, Against::Laying), "{name}: {why}");
        device.take(&phone.record.changes_since(&[]));
        let sheet = format!("2031-03-01_{}", phone.keeper).parse().unwrap();
        assert_eq!(
            device.entry(Kind::Sheet, &sheet).line("text"),
            Some("Head off.\n"),
            "{name}"
        );
    }
}

#[test]
fn kinds_that_are_laid_are_compared_and_those_of_a_newer_program_pass() {
    let (mut phone, _) = begun();
    let kept = KeptAnswerFields {
        what: "A cylinder".into(),
        calculation: "cylinder".into(),
        answer: "1 l".into(),
        on: record::Given::Put(day("2031-03-01")),
        ..Default::default()
    };
    phone.make::<KeptAnswer>(kept);
    let changes = phone.record.changes_since(&[]);
    let laying = changes
        .iter()
        .map(|(_, bytes)| Change::from_bytes(bytes.clone()).unwrap())
        .find(|change| change.message() == Some("Laid down the kinds of version 2"))
        .unwrap();
    let as_version = |version: u32, name: &str| {
        altered(&laying, |open| {
            open.actor_id = ActorId::from(format!("kinds {version}").into_bytes());
            open.message = Some(format!("Laid down the kinds of version {version}"));
            open.operations.truncate(1);
            open.operations[0].key = automerge::legacy::Key::Map(name.into());
        })
    };
    let newer = Kind::ALL.iter().map(|kind| kind.since()).max().unwrap() + 1;
    for (version, name) in [
        (2, "wheels"),
        (newer, "parts"),
        (newer, "schema"),
        (1, "wheels"),
        (newer, "Wheels"),
    ] {
        let mut device = Device::first("elsewhere", 49);
        let why = refused(&mut device, &as_version(version, name));
        assert!(matches!(why, Against::Root), "{version} {name}: {why}");
    }
    let before = phone.record.view().clone();
    let written = phone.record.receive(&[as_version(newer, "wheels")]).unwrap();
    assert_eq!((written.changes.len(), written.refused.len()), (1, 0));
    assert_eq!(phone.record.view(), &before);
    // An entry of a kind that nobody here knows is kept and handed on, and protected as all are.
    let mut doc = other(&phone);
    let wheel = made(&mut doc, |tx| {
        let (_, many) = tx.get(ROOT, "wheels").unwrap().unwrap();
        let wheel = tx.put_object(&many, "w1", ObjType::Map).unwrap();
        tx.put(&wheel, "size", "15 in").unwrap();
        tx.put_object(&wheel, "note", ObjType::Text).unwrap();
    });
    let gone = made(&mut doc, |tx| {
        let (_, many) = tx.get(ROOT, "wheels").unwrap().unwrap();
        tx.delete(&many, "w1").unwrap();
    });
    drop(phone.record.receive(&[wheel.raw_bytes().to_vec()]).unwrap());
    let why = refused(&mut phone, gone.raw_bytes());
    assert!(matches!(why, Against::Entry { what: "deletes", .. }), "{why}");
    let mut laptop = Device::joining("laptop", 50, &phone, None);
    meet(&mut phone, &mut laptop);
}
