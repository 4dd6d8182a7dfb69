//! Memory is never ahead of the log: a refused edit leaves nothing behind, and a log that an earlier program left without
//! a laying opens with the laying made anew. Without a disk.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod workshop;

use record::{BadRecord, Edit, Kind, Record, edit::EditError};
use workshop::{Device, day, seat, seeded};

fn note(device: &Device, on: &str, text: &str) -> Edit {
    Edit::Note {
        day: day(on),
        keeper: device.keeper.clone(),
        text: text.to_owned(),
    }
}

fn log_of(device: &Device) -> Vec<Vec<u8>> {
    device.log.iter().map(|(_, bytes)| bytes.clone()).collect()
}

#[test]
fn a_refused_edit_in_a_new_month_leaves_nothing_in_the_document() {
    let mut tern = Device::first("garage", 1);
    tern.edit(&note(&tern, "2031-03-01", "Drained the gearbox."));
    let before = tern.record.digest();
    let rewrite = Edit::Rewrite {
        day: day("2031-04-02"),
        keeper: tern.keeper.clone(),
        before: "x".repeat(record::document::MOST_LETTERS_OUT + 1),
        after: String::new(),
    };
    let refused = tern
        .record
        .edit(&rewrite, record::Moment::from_seconds(tern.now), &mut tern.ids)
        .unwrap_err();
    assert_eq!(refused, EditError::Broken(BadRecord::TooMuchAtOnce));
    assert_eq!(tern.record.digest(), before);
    // What is written next stands on what is in the log.
    tern.edit(&note(&tern, "2031-03-02", "Cleaned the case."));
    let ids = &mut seeded(7);
    let again = Record::open(None, &log_of(&tern), seat(ids)).unwrap();
    assert_eq!(again.digest(), tern.record.digest());
}

/// The log without the layings of sheets and later kinds, as a program before this one could leave it: each a change that
/// no device made.
fn without_layings(device: &mut Device) -> (Vec<Vec<u8>>, usize) {
    let rows = device.record.log_rows();
    let laid: Vec<_> = rows
        .iter()
        .filter(|row| row.device.is_none())
        .map(|row| row.id)
        .collect();
    let all = device.log.len();
    let kept: Vec<Vec<u8>> = device
        .log
        .iter()
        .filter(|(id, _)| !laid.contains(id))
        .map(|(_, bytes)| bytes.clone())
        .collect();
    let lost = all - kept.len();
    (kept, lost)
}

#[test]
fn layings_that_a_log_lacks_are_made_anew_and_named() {
    let mut tern = Device::first("garage", 1);
    // Far from the day on which it was written, as somebody does who enters last year's book.
    for (on, text) in [
        ("2031-03-01", "Drained the gearbox."),
        ("2024-11-30", "Bought her."),
        ("2031-04-02", "Cleaned the case."),
    ] {
        tern.edit(&note(&tern, on, text));
    }
    let (log, lost) = without_layings(&mut tern);
    assert_eq!(lost, 3);
    let ids = &mut seeded(7);
    let mut again = Record::open(None, &log, seat(ids)).unwrap();
    assert_eq!(again.digest(), tern.record.digest());
    assert_eq!(again.view(), tern.record.view());
    let logged: Vec<_> = tern.log.iter().filter(|(_, bytes)| log.contains(bytes)).collect();
    let unlogged = again.unlogged(|id| logged.iter().any(|(other, _)| other == id));
    assert_eq!(unlogged.changes.len(), 3);
    assert!(unlogged.touched.keys().all(|(kind, _)| *kind == Kind::Sheet));
    assert!(again.unlogged(|_| true).changes.is_empty());
    // A change that somebody wrote is never made up: without it the record says which one did not come back.
    let mut torn = log.clone();
    torn.remove(log.len() - 2);
    let refused = Record::open(None, &torn, seat(ids)).unwrap_err();
    assert!(matches!(refused, BadRecord::Damaged(_)), "{refused}");
}
