//! Meetings of records in memory: sheets begun twice, texts written in at once, order of arrival, damage.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod workshop;

use record::edit::EditError;
use record::entities::*;
use record::{Edit, Given, Id, Ids, Kind, Moment, Record, Refusal, open_chunks};
use workshop::{Device, day, meet, part, seat, seeded};

fn pair() -> (Device, Device) {
    let mut parent = Device::first("parent", 11);
    let mut child = Device::joining("child", 12, &parent, None);
    meet(&mut parent, &mut child);
    (parent, child)
}

fn note(device: &mut Device, on: &str, text: &str) {
    let keeper = device.keeper.clone();
    device.edit(&Edit::Note {
        day: day(on),
        keeper,
        text: text.to_owned(),
    });
}

#[test]
fn two_devices_of_one_keeper_begin_one_sheet() {
    let mut phone = Device::first("parent's phone", 21);
    let keeper = phone.keeper.clone();
    let mut laptop = Device::joining("parent's laptop", 22, &phone, Some(keeper.clone()));
    meet(&mut phone, &mut laptop);
    note(
        &mut phone,
        "2031-03-01",
        "Head off; two studs came with their nuts.",
    );
    note(&mut laptop, "2031-03-01", "Looked up the thread of the studs.");
    meet(&mut phone, &mut laptop);
    let sheet = phone.sheet("2031-03-01", &keeper);
    assert!(sheet.contains("two studs came with their nuts.\n"), "{sheet}");
    assert!(sheet.contains("Looked up the thread of the studs.\n"), "{sheet}");
    assert_eq!(
        phone.record.view().all(Kind::Sheet).count(),
        1,
        "blank sheets of the month are not entries"
    );
}

#[test]
fn a_rewrite_keeps_what_came_in_while_it_was_being_written() {
    let mut phone = Device::first("parent's phone", 23);
    let keeper = phone.keeper.clone();
    let mut laptop = Device::joining("parent's laptop", 24, &phone, Some(keeper.clone()));
    note(&mut phone, "2031-03-02", "Gearbox drained.");
    meet(&mut phone, &mut laptop);
    let seen = laptop.sheet("2031-03-02", &keeper);
    note(&mut phone, "2031-03-02", "Brass in the oil, a thimble of it.");
    meet(&mut phone, &mut laptop);
    let after = format!("{}Magnet clean.\n", seen.replace("drained", "drained, 1.9 l"));
    laptop.edit(&Edit::Rewrite {
        day: day("2031-03-02"),
        keeper: keeper.clone(),
        before: seen,
        after,
    });
    meet(&mut phone, &mut laptop);
    let text = phone.sheet("2031-03-02", &keeper);
    for wanted in [
        "Gearbox drained, 1.9 l.",
        "Brass in the oil, a thimble of it.",
        "Magnet clean.",
    ] {
        assert!(text.contains(wanted), "'{wanted}' is not in: {text}");
    }
}

#[test]
fn a_conflict_between_losers_is_seen_too() {
    // Three devices write one field apart. The third value loses against one that lost already: no patch of the
    // shown value tells of it, and it must stand in the entry all the same.
    let (mut parent, mut child) = pair();
    let mut uncle = Device::joining("uncle", 13, &parent, None);
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    for device in [&mut child, &mut uncle] {
        device.take(&parent.record.changes_since(&[]));
    }
    for (device, text) in [(&mut parent, "a"), (&mut child, "b"), (&mut uncle, "c")] {
        device.change::<Part>(
            &crank,
            PartFields {
                position: text.into(),
                ..Default::default()
            },
        );
    }
    meet(&mut parent, &mut child);
    meet(&mut parent, &mut uncle);
    meet(&mut parent, &mut child);
    for device in [&parent, &child, &uncle] {
        assert_eq!(
            device.entry(Kind::Part, &crank).fields["position"].claims().len(),
            3,
            "{}",
            device.name
        );
    }
}

#[test]
fn opened_from_its_log_or_its_snapshot_it_reads_the_same() {
    let (mut parent, mut child) = pair();
    for number in 0..100 {
        note(&mut parent, "2031-03-01", &format!("line {number}"));
        child.make::<Part>(PartFields {
            name: format!("stud {number}").into(),
            ..Default::default()
        });
    }
    meet(&mut parent, &mut child);
    let log: Vec<Vec<u8>> = parent.log.iter().map(|(_, bytes)| bytes.clone()).collect();
    let mut ids = seeded(99);
    let from_log = Record::open(None, &log, seat(&mut ids)).unwrap();
    assert_eq!(from_log.digest(), parent.record.digest());
    assert_eq!(from_log.view(), parent.record.view());
    let snapshot = parent.record.snapshot();
    let from_snapshot = Record::open(Some(&snapshot), &log[log.len() - 40..], seat(&mut ids)).unwrap();
    assert_eq!(from_snapshot.digest(), parent.record.digest());
    assert_eq!(from_snapshot.view(), parent.record.view());
    let known: Vec<_> = log
        .iter()
        .map(|bytes| open_chunks(std::slice::from_ref(bytes)).unwrap().len())
        .collect();
    assert!(known.iter().all(|count| *count == 1));
}

#[test]
fn a_log_with_a_damaged_or_missing_change_does_not_open() {
    let (mut parent, _) = pair();
    note(&mut parent, "2031-03-01", "a line that will be damaged");
    let log: Vec<Vec<u8>> = parent.log.iter().map(|(_, bytes)| bytes.clone()).collect();
    let mut damaged = log.clone();
    let last = damaged.last_mut().unwrap();
    let middle = last.len() / 2;
    last[middle] ^= 1;
    assert!(Record::open(None, &damaged, seat(&mut seeded(1))).is_err());
    let mut gap = log.clone();
    gap.remove(2);
    assert!(Record::open(None, &gap, seat(&mut seeded(1))).is_err());
    assert!(Record::open(None, &log, seat(&mut seeded(1))).is_ok());
}

#[test]
fn changes_come_in_any_order_and_more_than_once() {
    let (mut parent, mut child) = pair();
    for number in 0..50 {
        parent.make::<Part>(PartFields {
            name: format!("bolt {number}").into(),
            ..Default::default()
        });
    }
    let mut changes = parent.record.changes_since(&child.record.heads());
    changes.reverse();
    let twice: Vec<_> = changes.iter().chain(changes.iter()).cloned().collect();
    child.take(&twice);
    assert_eq!(child.record.digest(), parent.record.digest());
    child.take(&twice);
    assert_eq!(child.record.digest(), parent.record.digest());
}

#[test]
fn a_flipped_bit_anywhere_in_a_change_is_refused_and_nothing_is_taken_in() {
    let (mut parent, mut child) = pair();
    let before = child.record.digest();
    parent.make::<Part>(PartFields {
        name: "con rod".into(),
        position: "2".into(),
        ..Default::default()
    });
    let (_, bytes) = parent.record.changes_since(&child.record.heads()).remove(0);
    for at in 0..bytes.len() {
        for bit in 0..8 {
            let mut flipped = bytes.clone();
            flipped[at] ^= 1 << bit;
            let result = child.record.receive(&[flipped]);
            assert!(result.is_err(), "byte {at} bit {bit} was taken in");
        }
        assert!(child.record.receive(&[bytes[..at].to_vec()]).is_err() || at == 0);
    }
    assert_eq!(child.record.digest(), before);
    child.take(&[(parent.record.heads()[0], bytes)]);
    assert_eq!(child.record.digest(), parent.record.digest());
}

#[test]
fn a_gap_is_told_and_nothing_is_taken_in() {
    let (mut parent, mut child) = pair();
    let before = child.record.digest();
    for number in 0..3 {
        parent.make::<Part>(PartFields {
            name: format!("nut {number}").into(),
            ..Default::default()
        });
    }
    let mut changes = parent.record.changes_since(&child.record.heads());
    changes.remove(0);
    let bytes: Vec<_> = changes.into_iter().map(|(_, bytes)| bytes).collect();
    let error = child.record.receive(&bytes).unwrap_err();
    assert!(matches!(error, record::BadRecord::Gap(1)), "{error:?}");
    assert_eq!(child.record.digest(), before);
}

#[test]
fn what_is_struck_out_stays_and_says_why() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    parent.edit(&Edit::strike(part(&crank), "it belongs to the spare engine"));
    meet(&mut parent, &mut child);
    let (why, stamp) = child.entry(Kind::Part, &crank).struck().unwrap();
    assert_eq!(why, "it belongs to the spare engine");
    assert_eq!(stamp.device.as_ref(), Some(&parent.device));
    let fields = PartFields {
        position: "front".into(),
        ..Default::default()
    };
    let refused = child.try_edit(&Edit::change::<Part>(crank.clone(), &fields).unwrap());
    assert!(matches!(refused, Err(EditError::Refused(Refusal::StruckOut(_)))));
    child.edit(&Edit::TakeBack { name: part(&crank) });
    meet(&mut parent, &mut child);
    assert!(parent.entry(Kind::Part, &crank).stands());
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn refused_edits_change_nothing() {
    let (mut parent, _) = pair();
    let gone: Id = "0190a6e0-0000-7000-8000-00000000dead".parse().unwrap();
    let engine = parent.make::<Assembly>(AssemblyFields {
        name: "engine".into(),
        ..Default::default()
    });
    let head = parent.make::<Assembly>(AssemblyFields {
        name: "head".into(),
        parent: Given::Put(engine.clone()),
        ..Default::default()
    });
    let before = parent.record.digest();
    let cases: Vec<(Edit, &str)> = vec![
        (
            Edit::Add {
                id: gone.clone(),
                fields: given_part(PartFields::default()),
            },
            "missing",
        ),
        (part_in(&parent, &gone), "unknown"),
        (
            Edit::change::<Assembly>(
                engine.clone(),
                &AssemblyFields {
                    parent: Given::Put(head.clone()),
                    ..Default::default()
                },
            )
            .unwrap(),
            "circle",
        ),
        (
            Edit::change::<Assembly>(
                head,
                &AssemblyFields {
                    state: Given::Put(record::words::AssemblyState::Closed),
                    ..Default::default()
                },
            )
            .unwrap(),
            "only_by_close_up",
        ),
        (
            Edit::strike(record::Ref::new(Kind::Assembly, engine), "  "),
            "why_wanted",
        ),
        (
            Edit::strike(record::Ref::new(Kind::Car, Id::car()), "sold"),
            "cannot_strike",
        ),
        (
            Edit::Settle {
                point: "none".into(),
                choice: "side_1".into(),
                why: None,
            },
            "no_such_point",
        ),
        (Edit::TakeBack { name: part(&gone) }, "unknown"),
    ];
    for (edit, code) in cases {
        match parent.try_edit(&edit) {
            Err(EditError::Refused(refusal)) => assert_eq!(refusal.code(), code, "{edit:?}"),
            other => panic!("{edit:?}: {other:?}"),
        }
        assert_eq!(parent.record.digest(), before, "{edit:?}");
    }
    // Shapes are refused before an edit is even made.
    let word = PartFields {
        decision: Given::Put(record::words::Decision::Other("throw_away".into())),
        ..Default::default()
    };
    assert_eq!(
        Edit::change::<Part>(gone.clone(), &word).unwrap_err().code(),
        "misfit"
    );
    let lines = PartFields {
        name: "two\nlines".into(),
        ..Default::default()
    };
    assert_eq!(
        Edit::change::<Part>(gone.clone(), &lines).unwrap_err().code(),
        "misfit"
    );
    let unclear = LimitFields {
        high: "about an inch".into(),
        ..Default::default()
    };
    assert_eq!(
        Edit::change::<Limit>(gone, &unclear).unwrap_err().code(),
        "misfit"
    );
}

fn given_part(fields: PartFields) -> record::edit::GivenFields {
    record::edit::GivenFields::of::<Part>(&fields).unwrap()
}

fn part_in(device: &Device, assembly: &Id) -> Edit {
    let fields = PartFields {
        name: "nut".into(),
        assembly: Given::Put(assembly.clone()),
        ..Default::default()
    };
    Edit::add::<Part>(Id::from_uuid(seeded(device.now.unsigned_abs()).fresh()), &fields).unwrap()
}

#[test]
fn an_edit_that_changes_nothing_makes_no_change() {
    let (mut parent, _) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    let before = parent.record.digest();
    let same = PartFields {
        name: "crankshaft".into(),
        number: Given::Clear,
        ..Default::default()
    };
    let written = parent.edit(&Edit::change::<Part>(crank, &same).unwrap());
    assert_eq!(written.len(), 0);
    assert_eq!(parent.record.digest(), before);
}

#[test]
fn a_copied_folder_writes_under_another_name() {
    let mut parent = Device::first("parent", 31);
    let log: Vec<Vec<u8>> = parent.log.iter().map(|(_, bytes)| bytes.clone()).collect();
    let mut ids = seeded(32);
    let mut run = seat(&mut ids);
    run.device = parent.device.uuid().unwrap();
    let mut copy = Record::open(None, &log, run).unwrap();
    note(&mut parent, "2031-03-01", "on the old phone");
    let edit = Edit::Note {
        day: day("2031-03-01"),
        keeper: parent.keeper.clone(),
        text: "on the new phone".into(),
    };
    let written = copy
        .edit(&edit, Moment::from_seconds(1_900_100_000), &mut ids)
        .unwrap();
    let bytes: Vec<_> = written.changes.into_iter().map(|change| change.bytes).collect();
    let taken = parent.record.receive(&bytes).unwrap();
    assert_eq!(taken.changes.len(), 1, "the month was laid down alike on both");
    let keeper = parent.keeper.clone();
    let sheet = parent.sheet("2031-03-01", &keeper);
    assert!(
        sheet.contains("on the old phone") && sheet.contains("on the new phone"),
        "{sheet}"
    );
}

#[test]
fn every_value_ever_written_can_be_read_back() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    let mut changes = Vec::new();
    for (word, called) in [
        ("front", "crankshaft"),
        ("rear", "crankshaft, front"),
        ("front again", "crankshaft, rear"),
    ] {
        let fields = PartFields {
            position: word.into(),
            ..Default::default()
        };
        let written = parent.edit(&Edit::change::<Part>(crank.clone(), &fields).unwrap());
        changes.push((word, written[0].id));
        assert!(written[0].touched[&(Kind::Part, crank.clone())].contains("position"));
        assert_eq!(written[0].message, format!("Changed position of part '{called}'"));
    }
    meet(&mut parent, &mut child);
    for (word, change) in changes {
        let claims = child.record.field_after(Kind::Part, &crank, "position", &change);
        assert_eq!(claims[0].value, Some(record::Scalar::Line(word.to_owned())));
    }
}

fn rewrite(device: &mut Device, on: &str, before: &str, after: &str) {
    let keeper = device.keeper.clone();
    device.edit(&Edit::Rewrite {
        day: day(on),
        keeper,
        before: before.to_owned(),
        after: after.to_owned(),
    });
}

#[test]
fn a_sheet_that_was_emptied_reads_as_it_does_after_opening_again() {
    let mut phone = Device::first("parent's phone", 25);
    note(&mut phone, "2031-03-03", "Wrong day.");
    let written = phone.sheet("2031-03-03", &phone.keeper.clone());
    rewrite(&mut phone, "2031-03-03", &written, "");
    assert_eq!(phone.record.view().all(Kind::Sheet).count(), 0);
    let log: Vec<Vec<u8>> = phone.log.iter().map(|(_, bytes)| bytes.clone()).collect();
    let again = Record::open(None, &log, seat(&mut seeded(9))).unwrap();
    assert_eq!(again.view(), phone.record.view());
    assert_eq!(again.digest(), phone.record.digest());
}

#[test]
fn hours_that_stand_beside_emptied_ones_are_a_contradiction_and_not_hidden() {
    let mut phone = Device::first("parent's phone", 26);
    let keeper = phone.keeper.clone();
    let mut laptop = Device::joining("parent's laptop", 27, &phone, Some(keeper.clone()));
    meet(&mut phone, &mut laptop);
    let hours = |device: &mut Device, hours: &str| {
        let keeper = device.keeper.clone();
        device.edit(&Edit::Hours {
            day: day("2031-03-04"),
            keeper,
            hours: hours.to_owned(),
        });
    };
    hours(&mut phone, "1");
    meet(&mut phone, &mut laptop);
    hours(&mut phone, "2.5");
    hours(&mut laptop, "");
    meet(&mut phone, &mut laptop);
    let sheet: Id = format!("2031-03-04_{keeper}").parse().unwrap();
    let claims = phone.entry(Kind::Sheet, &sheet).fields["hours"].claims();
    assert_eq!(claims.len(), 2, "{claims:?}");
    assert_eq!(
        record::rules::points(phone.record.view(), phone.record.ledger()).len(),
        1
    );
}

#[test]
fn a_line_stays_whole_beside_one_that_another_device_wrote_over() {
    let mut phone = Device::first("parent's phone", 28);
    let keeper = phone.keeper.clone();
    let mut laptop = Device::joining("parent's laptop", 29, &phone, Some(keeper.clone()));
    note(&mut phone, "2031-03-05", "Seized at the pedal.");
    meet(&mut phone, &mut laptop);
    let seen = phone.sheet("2031-03-05", &keeper);
    // Both share letters with the line that goes: a diff by letters would thread them through each other.
    rewrite(&mut phone, "2031-03-05", &seen, "Scored, look at it again.\n");
    rewrite(
        &mut laptop,
        "2031-03-05",
        &seen,
        &format!("Steering box is dry.\n{seen}"),
    );
    meet(&mut phone, &mut laptop);
    let text = phone.sheet("2031-03-05", &keeper);
    let mut lines: Vec<&str> = text.lines().collect();
    lines.sort_unstable();
    assert_eq!(
        lines,
        ["Scored, look at it again.", "Steering box is dry."],
        "{text}"
    );
    // And the same when the writer's device had met the other before the sheet was written back.
    note(&mut phone, "2031-03-06", "Seized at the pedal.");
    let seen = phone.sheet("2031-03-06", &keeper);
    rewrite(&mut phone, "2031-03-06", &seen, "Scored, look at it again.\n");
    rewrite(
        &mut phone,
        "2031-03-06",
        &seen,
        &format!("Steering box is dry.\n{seen}"),
    );
    let text = phone.sheet("2031-03-06", &keeper);
    let mut lines: Vec<&str> = text.lines().collect();
    lines.sort_unstable();
    assert_eq!(
        lines,
        ["Scored, look at it again.", "Steering box is dry."],
        "{text}"
    );
}

#[test]
fn the_longest_text_there_may_be_goes_in_and_comes_out_and_travels() {
    let mut phone = Device::first("parent's phone", 30);
    let mut child = Device::joining("child", 31, &phone, None);
    meet(&mut phone, &mut child);
    // 200,000 bytes in lines that are all alike, which is what packs best.
    let line = "aaaaaaaaa\n";
    let long = line.repeat(20_000);
    rewrite(&mut phone, "2031-03-07", "", &long);
    let keeper = phone.keeper.clone();
    let empty = |before: &str| Edit::Rewrite {
        day: day("2031-03-07"),
        keeper: keeper.clone(),
        before: before.to_owned(),
        after: String::new(),
    };
    let refused = phone.try_edit(&empty(&long)).unwrap_err();
    assert!(
        matches!(refused, EditError::Broken(record::BadRecord::TooMuchAtOnce)),
        "{refused:?}"
    );
    assert_eq!(phone.sheet("2031-03-07", &keeper), long, "refused, and changed");
    meet(&mut phone, &mut child);
    // In steps, each of which is taken in by itself.
    for left in [14_000, 8_000, 2_000, 0] {
        let before = phone.sheet("2031-03-07", &keeper);
        rewrite(&mut phone, "2031-03-07", &before, &line.repeat(left));
        meet(&mut phone, &mut child);
    }
    assert_eq!(child.sheet("2031-03-07", &keeper), "");
}
