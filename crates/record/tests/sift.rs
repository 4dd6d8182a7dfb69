//! What comes from outside is sorted by who is known to have written it: vouched for by its own device, claimed for one
//! that never signed, waiting for a signature, or a second change under one number.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod workshop;

use record::{ChangeId, Edit, Id, Record, Seat};
use workshop::{Device, meet};

fn note(device: &mut Device, text: &str) -> (ChangeId, Vec<u8>) {
    let before = device.record.heads();
    let edit = Edit::Note {
        day: workshop::day("2031-03-01"),
        keeper: device.keeper.clone(),
        text: text.to_owned(),
    };
    device.edit(&edit);
    device.record.changes_since(&before).pop().unwrap()
}

fn bytes(changes: &[&(ChangeId, Vec<u8>)]) -> Vec<Vec<u8>> {
    changes.iter().map(|(_, bytes)| bytes.clone()).collect()
}

/// Two devices that have the same, with this month's sheets laid.
fn two() -> (Device, Device) {
    let mut ana = Device::first("ana", 1);
    let mut ben = Device::joining("ben", 2, &ana, None);
    note(&mut ana, "begun");
    note(&mut ben, "begun");
    meet(&mut ana, &mut ben);
    (ana, ben)
}

const SIGNS: fn(&Id) -> bool = |_| true;
const NOBODY: fn(&Id) -> bool = |_| false;

#[test]
fn a_signature_vouches_for_its_own_devices_changes_below_it_and_for_no_others() {
    let (mut ana, mut ben) = two();
    let first = note(&mut ana, "one");
    meet(&mut ana, &mut ben);
    let theirs = note(&mut ben, "two");
    meet(&mut ana, &mut ben);
    let last = note(&mut ana, "three");
    let third = Device::joining("cleo", 3, &two().0, None).record;
    let all = ana.record.changes_since(&third.heads());
    let all: Vec<Vec<u8>> = all.into_iter().map(|(_, bytes)| bytes).collect();
    let (a, b) = (ana.device.clone(), ben.device.clone());
    // Ana's newest vouches for hers, not for Ben's, which waits with what stands on it.
    let sifted = third.sift(&all, &[(a.clone(), last.0)], &SIGNS).unwrap();
    assert_eq!(sifted.unsigned.get(&b), Some(&1));
    assert!(!sifted.unsigned.contains_key(&a));
    assert!(sifted.vouched[&a].contains(&first.0) && !sifted.vouched[&a].contains(&last.0));
    // Signed by another only: nothing is vouched for.
    let sifted = third.sift(&all, &[(b.clone(), last.0)], &SIGNS).unwrap();
    assert!(sifted.vouched.is_empty() && sifted.unsigned.contains_key(&a));
    // Each by its own: all of it.
    let both = [(a.clone(), last.0), (b.clone(), theirs.0)];
    let sifted = third.sift(&all, &both, &SIGNS).unwrap();
    assert!(sifted.waits.is_empty() && sifted.unsigned.is_empty());
    assert!(sifted.vouched[&a].contains(&last.0) && sifted.vouched[&b].contains(&theirs.0));
    // Of devices that never signed all of it is claimed.
    let sifted = third.sift(&all, &[], &NOBODY).unwrap();
    // The three that are new there; the others it has already.
    assert_eq!(sifted.through.len(), 3);
    assert_eq!((sifted.claimed[&a], sifted.claimed[&b]), (2, 1));
    assert!(sifted.vouched.is_empty());
}

#[test]
fn the_first_part_of_two_waits_for_the_signature_in_the_second() {
    let (mut ana, ben) = two();
    let one = note(&mut ana, "one");
    let two = note(&mut ana, "two");
    let a = ana.device.clone();
    let sifted = ben.record.sift(&bytes(&[&one]), &[], &SIGNS).unwrap();
    assert!(sifted.through.is_empty() && sifted.waits.len() == 1 && sifted.vouched.is_empty());
    // A signature whose change is not there yet says nothing.
    let promised = [(a.clone(), two.0)];
    let sifted = ben.record.sift(&bytes(&[&one]), &promised, &SIGNS).unwrap();
    assert!(sifted.through.is_empty() && sifted.waits.len() == 1);
    let sifted = ben.record.sift(&bytes(&[&one, &two]), &promised, &SIGNS).unwrap();
    assert_eq!((sifted.through.len(), sifted.waits.len()), (2, 0));
}

#[test]
fn a_second_change_under_one_number_is_told() {
    let (mut ana, ben) = two();
    let seat = Seat {
        device: ana.device.as_str().parse().unwrap(),
        run: [5; 8],
    };
    let from = ana.record.snapshot();
    let mut forks = Vec::new();
    for text in ["this", "that"] {
        ana.record = Record::open(Some(&from), &[], seat).unwrap();
        forks.push((note(&mut ana, text), note(&mut ana, "more")));
    }
    let mut ben = ben.record;
    drop(ben.receive(&bytes(&[&forks[0].0])).unwrap());
    let (fork, above) = &forks[1];
    let sifted = ben
        .sift(&bytes(&[fork, above]), &[(ana.device.clone(), above.0)], &SIGNS)
        .unwrap();
    // The gate is told, and takes neither.
    assert_eq!((sifted.through.len(), sifted.waits.len()), (2, 0));
    assert!(
        ben.receive_opened(sifted.through.clone(), sifted.repeats)
            .is_err()
    );
    assert_eq!(
        (&sifted.twice[0].held, &sifted.twice[0].other),
        (&forks[0].0.0, &fork.0)
    );
    assert!(sifted.twice[0].vouched && sifted.twice[0].device == Some(ana.device.clone()));
    // Both at once: the first that came is taken.
    let sifted = two()
        .1
        .record
        .sift(&bytes(&[&forks[0].0, fork]), &[], &NOBODY)
        .unwrap();
    assert_eq!((sifted.through.len(), sifted.twice.len()), (2, 1));
}

#[test]
fn of_what_is_signed_the_newest_and_one_in_so_many_are_handed_on() {
    let (mut ana, _) = two();
    let all: Vec<ChangeId> = (0..10)
        .map(|number| note(&mut ana, &number.to_string()).0)
        .collect();
    let signed = all.iter().copied().collect();
    let sent = all.iter().copied().collect();
    let worth = ana.record.worth_handing(&sent, &signed, 4);
    let at: Vec<usize> = (0..10).filter(|at| worth.contains(&all[*at])).collect();
    assert_eq!(at, [3, 7, 9]);
    // The newest of what was signed, where none of it is sent.
    let worth = ana
        .record
        .worth_handing(&std::collections::HashSet::new(), &signed, 4);
    assert_eq!(worth.into_iter().collect::<Vec<_>>(), [all[9]]);
    assert!(ana.record.vouched_by(&ana.device, &[all[4]]).contains(&all[0]));
    assert!(!ana.record.vouched_by(&ana.device, &[all[4]]).contains(&all[5]));
}
