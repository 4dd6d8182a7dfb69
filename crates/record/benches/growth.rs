//! What grows with a record, and how: taking it in from outside, and one note written in it. Two keepers' devices in memory;
//! no disk. It prints two tables and judges nothing, since machines differ: the shares and how a row stands to the one
//! above it are what counts, and each is the middle of several rounds that were run in turn.
//!
//! `cargo bench -p record --bench growth`; `WITNESSMARK_PART=join` or `=commit` runs one of the two, `WITNESSMARK_MOST` names
//! the longest record of the first.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::cast_precision_loss,
    reason = "a bench that cannot run says so"
)]

#[path = "../tests/workshop/mod.rs"]
mod workshop;

use std::time::{Duration, Instant};

use automerge::{Automerge, Change};
use record::document::open_chunks;
use record::entities::*;
use record::rules::{self, FoundPoints, Rule};
use record::{Edit, Given, Id, Kind, Record, Ref};
use workshop::{Device, day, meet, seat, seeded};

/// How often each is timed.
const ROUNDS: usize = 5;
/// Notes written for one row of the second table.
const NOTES: usize = 60;

fn middle(mut of: Vec<Duration>) -> f64 {
    of.sort();
    of[of.len() / 2].as_secs_f64() * 1e3
}

fn timed<T>(into: &mut Vec<Duration>, work: impl FnOnce() -> T) -> T {
    let began = Instant::now();
    let done = work();
    into.push(began.elapsed());
    done
}

/// What a keeper does in a year, entry by entry: parts with their bags, jobs, findings, containers, orders, notes.
fn entered(device: &mut Device, entries: usize) {
    let mut assembly = Id::car();
    let mut bag = Id::car();
    let mut part = Id::car();
    for at in 0..entries {
        match at % 20 {
            0 => {
                assembly = device.make::<Assembly>(AssemblyFields {
                    name: format!("assembly {at}").as_str().into(),
                    ..Default::default()
                });
            }
            1 => {
                bag = device.make::<Container>(ContainerFields {
                    code: format!("B{at}").as_str().into(),
                    name: "bag".into(),
                    ..Default::default()
                });
            }
            2..=9 => {
                part = device.make::<Part>(PartFields {
                    name: format!("bolt {at}").as_str().into(),
                    assembly: Given::Put(assembly.clone()),
                    container: Given::Put(bag.to_string()),
                    ..Default::default()
                });
            }
            10..=14 => {
                device.make::<Job>(JobFields {
                    what: format!("clean the seat of bolt {at}").as_str().into(),
                    assembly: Given::Put(assembly.clone()),
                    ..Default::default()
                });
            }
            15..=17 => {
                device.make::<Finding>(FindingFields {
                    what: format!("the thread is worn on turn {at}").as_str().into(),
                    about: Given::Put(Ref::new(Kind::Part, part.clone())),
                    on: Given::Put(day("2031-03-01")),
                    ..Default::default()
                });
            }
            18 => {
                device.make::<Order>(OrderFields {
                    what: format!("bolt {at}").as_str().into(),
                    part: Given::Put(part.clone()),
                    ..Default::default()
                });
            }
            _ => note(device, at, "Half a turn more on the stud, then it held."),
        }
    }
}

fn note(device: &mut Device, at: usize, text: &str) {
    let edit = Edit::Note {
        day: day(&format!("2031-{:02}-{:02}", 1 + at / 28 % 12, 1 + at % 28)),
        keeper: device.keeper.clone(),
        text: text.to_owned(),
    };
    device.edit(&edit);
}

/// Two devices with a record of so many entries; one in thirty was entered twice apart and settled, and one in a hundred struck
/// out by one while the other worked on it, and settled as well.
fn long(entries: usize) -> (Device, Device) {
    let mut parent = Device::first("parent", 1);
    entered(&mut parent, entries);
    let mut child = Device::joining("child", 2, &parent, None);
    meet(&mut parent, &mut child);
    let parts: Vec<Id> = parent
        .record
        .view()
        .standing(Kind::Part)
        .map(|entry| entry.id.clone())
        .collect();
    for part in parts.iter().take(entries / 30) {
        for device in [&mut parent, &mut child] {
            device.make::<Order>(OrderFields {
                what: "bolt".into(),
                part: Given::Put(part.clone()),
                ..Default::default()
            });
        }
    }
    for part in parts.iter().rev().take(entries / 100) {
        parent.edit(&strike(Ref::new(Kind::Part, part.clone())));
        child.change::<Part>(
            part,
            PartFields {
                position: "cleaned".into(),
                ..Default::default()
            },
        );
    }
    meet(&mut parent, &mut child);
    for point in rules::points(parent.record.view(), parent.record.ledger()) {
        let choice = match point.rule {
            Rule::TwoOrders => "both_wanted",
            Rule::StruckWorkedOn => "stay_struck",
            other => panic!("{other:?}: {point:?}"),
        };
        parent.edit(&Edit::Settle {
            point: point.id,
            choice: choice.to_owned(),
            why: Some("so it is".to_owned()),
        });
    }
    meet(&mut parent, &mut child);
    assert_eq!(rules::points(parent.record.view(), parent.record.ledger()), []);
    (parent, child)
}

fn strike(name: Ref) -> Edit {
    Edit::strike(name, "lost")
}

#[derive(Default)]
struct Join {
    guarded: Vec<Duration>,
    sifted: Vec<Duration>,
    applied: Vec<Duration>,
    own: Vec<Duration>,
    received: Vec<Duration>,
}

fn joins() {
    let most: usize = std::env::var("WITNESSMARK_MOST").map_or(16_000, |text| text.parse().unwrap());
    let sizes: Vec<usize> = [1, 2, 4, 8, 16]
        .into_iter()
        .map(|thousands| thousands * 1_000)
        .filter(|size| *size <= most)
        .collect();
    let mut whole: Vec<(usize, usize, Vec<Vec<u8>>, Join)> = Vec::new();
    for size in sizes {
        let mut device = Device::first("parent", 1);
        let laid = device.record.count();
        entered(&mut device, size.saturating_sub(laid));
        let log: Vec<Vec<u8>> = device.log.iter().map(|(_, bytes)| bytes.clone()).collect();
        let operations = log
            .iter()
            .map(|bytes| Change::from_bytes(bytes.clone()).unwrap().len())
            .sum();
        whole.push((log.len(), operations, log, Join::default()));
    }
    for _ in 0..ROUNDS {
        for (_, _, log, join) in &mut whole {
            timed(&mut join.guarded, || open_chunks(log).unwrap());
            let mut ids = seeded(7);
            let seat = seat(&mut ids);
            let mut fresh = Record::begin(seat).unwrap();
            let sifted = timed(&mut join.sifted, || fresh.sift(log, &[], &|_| false).unwrap());
            assert_eq!(sifted.through.len(), log.len());
            let beginning: Vec<Change> = fresh
                .changes_since(&[])
                .into_iter()
                .chain(log.iter().map(|bytes| (fresh.heads()[0], bytes.clone())))
                .map(|(_, bytes)| Change::from_bytes(bytes).unwrap())
                .collect();
            let mut bare = Automerge::new();
            timed(&mut join.applied, || {
                for slice in beginning.chunks(32) {
                    bare.apply_changes(slice.iter().cloned()).unwrap();
                }
            });
            let own = timed(&mut join.own, || {
                let mut own = Record::open(None, log, seat).unwrap();
                let rows = own.log_rows();
                (own, rows)
            });
            let _ = timed(&mut join.received, || fresh.receive(log).unwrap());
            assert_eq!(own.0.digest(), fresh.digest());
        }
    }
    println!(
        "| changes | operations | opened and measured, ms | sifted with that | Automerge alone | from the own log, no gate | from outside | more than from the log | µs an operation |"
    );
    println!("| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
    for (changes, operations, _, join) in whole {
        let (own, received) = (middle(join.own), middle(join.received));
        println!(
            "| {changes} | {operations} | {:.1} | {:.1} | {:.1} | {own:.1} | {received:.1} | {:.0} % | {:.2} |",
            middle(join.guarded),
            middle(join.sifted),
            middle(join.applied),
            100.0 * (received - own) / received,
            received * 1e3 / operations as f64,
        );
    }
}

fn commits() {
    let mut whole: Vec<(usize, Device, FoundPoints, [Vec<Duration>; 3])> = Vec::new();
    for size in [1_000, 3_000, 10_000] {
        let (device, _) = long(size);
        let points = FoundPoints::of(device.record.view(), device.record.ledger());
        whole.push((size, device, points, Default::default()));
    }
    for number in 0..NOTES {
        for (_, device, points, [edited, refreshed, listed]) in &mut whole {
            let edit = Edit::Note {
                day: day("2031-03-01"),
                keeper: device.keeper.clone(),
                text: format!("note {number}"),
            };
            let written = timed(edited, || device.try_edit(&edit).unwrap());
            let (view, ledger) = (device.record.view(), device.record.ledger());
            timed(refreshed, || points.refresh(view, ledger, &written.touched));
            timed(listed, || points.list(view, ledger));
        }
    }
    println!("| entries | one note: the edit, ms | its points looked at again | listed |");
    println!("| ---: | ---: | ---: | ---: |");
    for (size, device, points, [edited, refreshed, listed]) in whole {
        assert!(
            points == FoundPoints::of(device.record.view(), device.record.ledger()),
            "points kept up are those found anew"
        );
        println!(
            "| {size} | {:.3} | {:.3} | {:.3} |",
            middle(edited),
            middle(refreshed),
            middle(listed)
        );
    }
}

fn main() {
    let part = std::env::var("WITNESSMARK_PART").unwrap_or_default();
    if part != "commit" {
        joins();
    }
    if part != "join" {
        commits();
    }
}
