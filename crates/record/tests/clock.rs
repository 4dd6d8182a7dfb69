//! The clock says exactly what a record holds: held against `changes_since`, with runs that end and begin again, a
//! device that was restored from a backup, a clock of a device that knows more, and clocks made to do harm.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod workshop;

use std::collections::BTreeSet;

use rand::RngCore;
use record::document::MOST_ACTORS;
use record::{BadClock, ChangeId, Clock, Edit, Record, Seat, open_chunks};
use workshop::{Device, meet, seeded};

type Changes = Vec<(ChangeId, Vec<u8>)>;

fn names(changes: &Changes) -> BTreeSet<ChangeId> {
    changes.iter().map(|(id, _)| *id).collect()
}

/// What `from` has and `to` lacks, found by asking for each by name.
fn truly_lacking(from: &Record, to: &Record) -> BTreeSet<ChangeId> {
    let all = from.changes_since(&[]);
    all.into_iter()
        .map(|(id, _)| id)
        .filter(|id| !to.ledger().has(id))
        .collect()
}

/// Each change comes after those it builds on, or they are there already.
fn in_order(changes: &Changes, there: &Record) {
    let mut seen: BTreeSet<ChangeId> = BTreeSet::new();
    for (id, bytes) in changes {
        let chunk = open_chunks(std::slice::from_ref(bytes)).unwrap().remove(0);
        assert_eq!(&chunk.id, id);
        for dep in &chunk.deps {
            assert!(
                seen.contains(dep) || there.ledger().has(dep),
                "{id} comes before {dep}"
            );
        }
        seen.insert(*id);
    }
}

fn note(device: &mut Device, text: &str) {
    let edit = Edit::Note {
        day: workshop::day("2031-03-01"),
        keeper: device.keeper.clone(),
        text: text.to_owned(),
    };
    device.edit(&edit);
}

/// The same device in a new run of the program.
fn run_again(device: &mut Device, from: &[u8]) {
    let mut run = [0; 8];
    device.ids.0.fill_bytes(&mut run);
    let seat = Seat {
        device: device.device.as_str().parse().unwrap(),
        run,
    };
    device.record = Record::open(Some(from), &[], seat).unwrap();
}

#[test]
fn what_is_lacking_is_what_is_not_there_and_in_order() {
    let mut parent = Device::first("parent", 31);
    let mut child = Device::joining("child", 32, &parent, None);
    for round in 0..6 {
        for at in 0..5 {
            note(&mut parent, &format!("parent {round} {at}"));
            note(&mut child, &format!("child {round} {at}"));
        }
        for (one, other) in [(&parent, &child), (&child, &parent)] {
            let lacking = one.record.lacking(&other.record.clock());
            assert!(!lacking.is_empty());
            assert_eq!(names(&lacking), truly_lacking(&one.record, &other.record));
            in_order(&lacking, &other.record);
        }
        meet(&mut parent, &mut child);
        assert_eq!(parent.record.clock(), child.record.clock());
        assert!(parent.record.lacking(&child.record.clock()).is_empty());
        // A new run writes under a new actor.
        let snapshot = parent.record.snapshot();
        run_again(&mut parent, &snapshot);
    }
    let whole = parent.record.lacking(&Clock::default());
    assert_eq!(whole, parent.record.changes_since(&[]));
}

#[test]
fn a_device_restored_from_a_backup_gets_its_own_lost_changes_back() {
    let mut parent = Device::first("parent", 41);
    let mut child = Device::joining("child", 42, &parent, None);
    note(&mut child, "before the backup");
    let backup = child.record.snapshot();
    let kept = child.record.clock();
    for at in 0..4 {
        note(&mut child, &format!("after it {at}"));
    }
    meet(&mut parent, &mut child);
    run_again(&mut child, &backup);
    note(&mut child, "restored, and written anew");
    assert_ne!(child.record.clock(), kept, "the new run has a name of its own");
    let lacking = parent.record.lacking(&child.record.clock());
    assert_eq!(lacking.len(), 4, "just the four that the backup did not have");
    assert_eq!(names(&lacking), truly_lacking(&parent.record, &child.record));
    in_order(&lacking, &child.record);
    assert_eq!(child.record.lacking(&parent.record.clock()).len(), 1);
    meet(&mut parent, &mut child);
    assert_eq!(parent.record.digest(), child.record.digest());
}

#[test]
fn a_clock_that_knows_more_says_nothing_of_it() {
    let mut parent = Device::first("parent", 51);
    note(&mut parent, "the month's sheets are laid");
    let mut newer = Device::joining("newer", 52, &parent, None);
    for at in 0..3 {
        note(&mut newer, &format!("unknown to the other {at}"));
    }
    let mut third = Device::joining("third", 53, &newer, None);
    note(&mut third, "a bracket");
    assert!(parent.record.lacking(&third.record.clock()).is_empty());
    note(&mut parent, "known to nobody else");
    assert_eq!(parent.record.lacking(&third.record.clock()).len(), 1);
}

#[test]
fn a_clock_crosses_as_bytes_and_as_json() {
    let mut parent = Device::first("parent", 61);
    let mut child = Device::joining("child", 62, &parent, None);
    for _ in 0..20 {
        note(&mut parent, "a line");
        let snapshot = parent.record.snapshot();
        run_again(&mut parent, &snapshot);
    }
    meet(&mut parent, &mut child);
    let clock = child.record.clock();
    let bytes = clock.to_bytes();
    assert_eq!(Clock::from_bytes(&bytes).unwrap(), clock);
    // Twenty runs of one device: sixteen bytes of each are shared.
    assert!(
        bytes.len() < clock.len() * 16 + 100,
        "{} bytes for {}",
        bytes.len(),
        clock.len()
    );
    let json = serde_json::to_string(&clock).unwrap();
    assert_eq!(serde_json::from_str::<Clock>(&json).unwrap(), clock);
    let actor = json.split('"').nth(1).unwrap();
    assert!(clock.of(actor) > 0 && clock.of("00") == 0 && clock.of("not hex") == 0);
}

#[test]
fn bad_clocks_are_refused() {
    let check = |bytes: &[u8], bad: BadClock| assert_eq!(Clock::from_bytes(bytes), Err(bad), "{bytes:?}");
    assert_eq!(Clock::from_bytes(&[]), Ok(Clock::default()));
    check(&[0, 4, 1, 2], BadClock::Cut);
    check(&[0, 1, 7], BadClock::Cut);
    check(&[0, 1, 7, 0], BadClock::Order);
    check(&[5, 1, 7, 1], BadClock::Cut);
    check(&[0, 1, 7, 1, 0, 1, 7, 1], BadClock::Order);
    check(&[0, 1, 7, 1, 0, 1, 6, 1], BadClock::Order);
    check(&[0xff; 12], BadClock::Order);
    check(&[0, 0xff, 0xff, 0xff, 0xff, 0x7f, 1], BadClock::Cut);
    let honest = Device::first("parent", 71).record.clock().to_bytes();
    for cut in 1..honest.len() {
        let _ = Clock::from_bytes(&honest[..cut]);
        let mut bent = honest.clone();
        bent[cut] ^= 0x55;
        if let Ok(clock) = Clock::from_bytes(&bent) {
            assert_ne!(clock.to_bytes(), honest);
        }
    }
}

#[test]
fn a_clock_larger_than_any_record_is_refused() {
    let mut many = Vec::new();
    for at in 0..=MOST_ACTORS as u32 {
        many.extend([0, 4]);
        many.extend(at.to_be_bytes());
        many.push(1);
    }
    assert_eq!(Clock::from_bytes(&many), Err(BadClock::TooLong));
    many.truncate(many.len() - 7);
    assert_eq!(Clock::from_bytes(&many).unwrap().len(), MOST_ACTORS);
    // A long actor that each of the next shares: four bytes that unfold to sixteen thousand.
    let mut swelling = vec![0, 0x80, 0x80, 1];
    swelling.extend([9; 1 << 14]);
    swelling.push(1);
    let mut length = 1_u64 << 14;
    while (swelling.len() as u64) < 40_000 {
        let shared = [
            (length & 0x7f) as u8 | 0x80,
            (length >> 7 & 0x7f) as u8 | 0x80,
            (length >> 14) as u8,
        ];
        swelling.extend(shared);
        swelling.extend([1, 9, 1]);
        length += 1;
    }
    assert_eq!(Clock::from_bytes(&swelling), Err(BadClock::TooLong));
    let json = format!("{{\"{}\":1,\"zz\":2}}", "ab".repeat(24));
    assert!(serde_json::from_str::<Clock>(&json).is_err());
}

#[test]
fn random_meetings_agree_with_the_ledger() {
    let mut ids = seeded(99);
    for seed in 0..20 {
        let mut devices = vec![Device::first("one", 1_000 + seed)];
        for (at, name) in ["two", "three", "four"].into_iter().enumerate() {
            let next = Device::joining(name, 2_000 + 10 * seed + at as u64, &devices[0], None);
            devices.push(next);
        }
        for _ in 0..40 {
            let (from, to) = (ids.0.next_u32() as usize % 4, ids.0.next_u32() as usize % 4);
            note(&mut devices[from], "a line");
            if from == to {
                let snapshot = devices[from].record.snapshot();
                run_again(&mut devices[from], &snapshot);
                continue;
            }
            let lacking = devices[from].record.lacking(&devices[to].record.clock());
            assert_eq!(
                names(&lacking),
                truly_lacking(&devices[from].record, &devices[to].record)
            );
            in_order(&lacking, &devices[to].record);
            devices[to].take(&lacking);
            assert!(truly_lacking(&devices[from].record, &devices[to].record).is_empty());
        }
        // What some changes stand on is found by one walk, as by asking of each of them whether each of the others knew it.
        let ledger = devices[0].record.ledger();
        let all: Vec<ChangeId> = names(&devices[0].record.changes_since(&[])).into_iter().collect();
        let some: Vec<ChangeId> = (0..9)
            .map(|_| all[ids.0.next_u32() as usize % all.len()])
            .collect();
        let newest: BTreeSet<ChangeId> = some
            .iter()
            .filter(|one| !some.iter().any(|other| other != *one && ledger.knew(other, one)))
            .copied()
            .collect();
        assert_eq!(
            ledger.newest(&some),
            newest.into_iter().collect::<Vec<_>>(),
            "seed {seed}"
        );
        let under = ledger.under(&some[..2]);
        for one in &all {
            assert_eq!(
                under.has(one),
                some[..2].iter().any(|head| ledger.knew(head, one)),
                "seed {seed}"
            );
        }
    }
}
