//! Well-formed changes as another program could make them, by the thousand, at the record itself: received, read by every
//! rule and verdict, written after, saved and opened again. Nothing may panic or run without an end, nothing that stood may
//! be gone, and of every change it is known whether it came in and why not. The whole program is asked the same in
//! `tests/tests/strange.rs`.
//!
//! A panic that is caught counts as one that is not: in WebAssembly none can be caught. `WITNESSMARK_FUZZ=N` sends some N
//! changes, `WITNESSMARK_SEED=S` replays one record.

#![allow(
    dead_code,
    unreachable_pub,
    missing_docs,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::must_use_candidate,
    reason = "a test fails by panicking, and uses a part of what it shares with the stories"
)]

mod workshop;

#[path = "../../../tests/src/panics.rs"]
mod panics;
#[path = "../../../tests/src/seed.rs"]
mod seed;
#[path = "../../../tests/src/strange.rs"]
mod strange;

use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use panics::counted;
use record::entities::*;
use record::verdict::Judge;
use record::{BadRecord, ChangeId, Edit, Given, Id, Kind, Record, Tree, open_chunks};
use seed::{Dice, all, seeds};
use strange::Stranger;
use workshop::{Device, day, seat, seeded};

/// Rounds of one record, each of one to four changes.
const ROUNDS: usize = 20;
/// Changes that a record is sent, about.
const EACH: u64 = 50;
/// The longest that a round may take, on a machine that does much else.
const LONG: Duration = Duration::from_secs(120);

/// What became of the changes.
#[derive(Clone, Debug, Default)]
struct Told {
    sent: usize,
    came: usize,
    refused: usize,
    why: BTreeMap<String, usize>,
    entries: usize,
}

fn begun(seed: u64) -> Device {
    let mut phone = Device::first("phone", seed);
    let engine = phone.make::<Assembly>(AssemblyFields {
        name: "engine".into(),
        ..Default::default()
    });
    phone.make::<Part>(PartFields {
        name: "crankshaft".into(),
        assembly: Given::Put(engine),
        note: "Ground once.".into(),
        ..Default::default()
    });
    phone.make::<Container>(ContainerFields {
        code: "B14".into(),
        ..Default::default()
    });
    note(&mut phone, "Head off.");
    phone
}

fn note(device: &mut Device, text: &str) {
    let keeper = device.keeper.clone();
    device.edit(&Edit::Note {
        day: day("2031-03-01"),
        keeper,
        text: text.to_owned(),
    });
}

/// Everything there is, but for sheets, of which a blank one is none.
fn there(record: &Record) -> BTreeSet<(Kind, Id)> {
    let entries = record
        .view()
        .everything()
        .filter(|entry| entry.kind != Kind::Sheet);
    entries.map(|entry| (entry.kind, entry.id.clone())).collect()
}

/// Reads all that can be read of a record without a program around it.
fn read(record: &Record) {
    let (view, ledger) = (record.view(), record.ledger());
    let points = record::rules::points(view, ledger);
    drop(record::members::members(view));
    for tree in [Tree::of_assemblies(view), Tree::of_containers(view)] {
        for (_, id) in tree.lines() {
            drop((tree.upward(&id), tree.within(&id)));
        }
    }
    for entry in view.all(Kind::Assembly) {
        drop(record::edit::blockers(view, &points, &entry.id));
    }
    let judge = Judge::of(view);
    for entry in view.all(Kind::Reading) {
        drop(record::remedy::of_reading(&judge, entry));
        drop(judge.verdict(entry));
    }
    for entry in view.all(Kind::TighteningRun) {
        drop(record::tightening::RunStanding::of(view, entry));
    }
    for entry in view.everything() {
        drop(record::edit::title(entry));
    }
}

fn id_of(bytes: &[u8]) -> ChangeId {
    open_chunks(&[bytes.to_vec()]).unwrap().remove(0).id
}

#[expect(clippy::too_many_lines, reason = "one round, told in its order")]
fn run(seed: u64) -> Told {
    let mut told = Told::default();
    let mut dice = Dice::of(seed);
    // Other randomness than the stranger's: no other program guesses the next id.
    let mut phone = begun(seed ^ (0xA5 << 32));
    let beginning = Record::begin(seat(&mut seeded(1))).unwrap().snapshot();
    let bytes = |changes: Vec<(ChangeId, Vec<u8>)>| -> Vec<Vec<u8>> {
        changes.into_iter().map(|(_, bytes)| bytes).collect()
    };
    let device = *phone.device.uuid().unwrap().as_bytes();
    let mut stranger = Stranger::having(&bytes(phone.record.changes_since(&[])), &beginning, vec![device]);
    for round in 0..ROUNDS {
        let began = Instant::now();
        let (stood, heads) = (there(&phone.record), phone.record.heads());
        let sent = stranger.writes(&mut dice);
        // Where nothing came of what it did, its last change is one that everybody has.
        let ledger = phone.record.ledger();
        let new = sent.iter().map(|bytes| id_of(bytes)).filter(|id| !ledger.has(id));
        let different: BTreeSet<ChangeId> = new.collect();
        told.sent += different.len();
        let before = phone.record.digest();
        let refused = match phone.record.receive(&sent) {
            Ok(written) => {
                let came: Vec<_> = written
                    .changes
                    .iter()
                    .map(|one| (one.id, one.bytes.clone()))
                    .collect();
                phone.log.extend(came);
                told.came += written.changes.len();
                assert_eq!(written.changes.len() + written.refused.len(), different.len());
                written.refused
            }
            Err(BadRecord::Against(refused)) => {
                assert_eq!(
                    phone.record.digest(),
                    before,
                    "round {round}: refused, and changed"
                );
                assert_eq!(refused.len(), different.len());
                refused
            }
            Err(BadRecord::Gap(_) | BadRecord::OverBudget(_)) => {
                assert_eq!(
                    phone.record.digest(),
                    before,
                    "round {round}: refused, and changed"
                );
                Vec::new()
            }
            Err(bad) => panic!("round {round}: {bad}"),
        };
        told.refused += refused.len();
        for one in refused {
            let why = format!("{:?}", one.why);
            let why = why.split([' ', '(']).next().unwrap_or_default().to_owned();
            *told.why.entry(why).or_default() += 1;
        }
        let now = there(&phone.record);
        let gone: Vec<_> = stood.difference(&now).collect();
        assert!(gone.is_empty(), "round {round}: gone without a word: {gone:?}");
        told.entries = now.len();
        read(&phone.record);
        note(&mut phone, &format!("round {round}"));
        phone.make::<Part>(PartFields {
            name: format!("part of round {round}").into(),
            ..Default::default()
        });
        stranger.takes(&bytes(phone.record.changes_since(&heads)));
        if round % 5 == 4 {
            let log: Vec<Vec<u8>> = phone.log.iter().map(|(_, bytes)| bytes.clone()).collect();
            let mut ids = seeded(seed ^ round as u64);
            let mut place = seat(&mut ids);
            place.device = phone.device.uuid().unwrap();
            let again = Record::open(None, &log, place).unwrap();
            assert_eq!(
                again.digest(),
                phone.record.digest(),
                "round {round}: out of its log"
            );
            let again = Record::open(Some(&phone.record.snapshot()), &[], place).unwrap();
            assert_eq!(
                again.digest(),
                phone.record.digest(),
                "round {round}: out of its snapshot"
            );
            assert_eq!(
                again.view(),
                phone.record.view(),
                "round {round}: out of its snapshot"
            );
            phone.record = again;
        }
        assert_eq!(counted(), 0, "round {round}: something panicked");
        assert!(began.elapsed() < LONG, "round {round} took {:?}", began.elapsed());
    }
    // What one device has, another takes.
    let mut fresh = Record::begin(seat(&mut seeded(seed ^ 0x5A))).unwrap();
    let written = fresh.receive(&bytes(phone.record.changes_since(&[]))).unwrap();
    assert_eq!(written.refused, []);
    assert_eq!(fresh.digest(), phone.record.digest());
    told
}

#[test]
fn whatever_another_program_writes_the_record_stays() {
    counted();
    let told = all(
        "strange changes",
        &seeds("WITNESSMARK_FUZZ", 6, EACH),
        run,
        |sum: &mut Told, one| {
            sum.sent += one.sent;
            sum.came += one.came;
            sum.refused += one.refused;
            sum.entries += one.entries;
            for (why, count) in &one.why {
                *sum.why.entry(why.clone()).or_default() += count;
            }
        },
    );
    println!("{told:?}");
    // Nothing is shown by changes that are all refused, or all harmless.
    assert!(
        told.came * 20 > told.sent && told.refused * 20 > told.sent,
        "{told:?}"
    );
    assert_eq!(counted(), 0);
}
