//! One meeting about several records, in simulated time: whose word goes first on a slow line, who is waited for and how
//! long, what that failed begins again and when, and that everything comes through whatever the line does. Hours of it
//! take a moment; nothing sleeps. What a property draws comes from a seed that its failure prints.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod chance;
#[path = "../sides/mod.rs"]
mod sides;
mod world;

use link::dialler::{Dial, Dialler, LONGEST_PAUSE, SeenPeer, Tried};
use link::talk::hub::{
    ANSWER, CALM, GREETING, HubEvent, MOST_DOUBLED, PHOTOS_BELOW, REFUSAL, REST, SMALLS_BELOW,
};
use link::talk::{PIECE, Phase, PhotoKey, SILENT_AFTER, WINDOW, Why};

use sides::hash;
use world::{Device, Did, World, tag};

const HOUR: u64 = 3_600_000;

/// Two that share these records and hold as much of each.
fn two(records: &[u8]) -> World {
    let all: Vec<(u8, &[&str])> = records
        .iter()
        .map(|record| (*record, &["a"] as &[&str]))
        .collect();
    World::new(Device::new("phone", &all), Device::new("laptop", &all))
}

fn has(world: &World, at: usize, record: u8, text: &str) -> bool {
    let book = &world.devices[at].books[&tag(record)];
    book.changes.iter().any(|change| change == text.as_bytes())
}

fn is_live(world: &World, at: usize, record: u8) -> bool {
    let status = world.devices[at].hub().and_then(|hub| hub.status(&tag(record)));
    status.is_some_and(|status| status.phase == Phase::Live && status.alike)
}

fn all_live(world: &World, records: &[u8]) -> bool {
    records
        .iter()
        .all(|record| (0..2).all(|at| is_live(world, at, *record)))
}

/// A photo that the first has and the other wants.
fn photo(world: &mut World, record: u8, number: u64, length: usize, small: bool) {
    let mut bytes = vec![0; length];
    blake3::Hasher::new()
        .update(&number.to_le_bytes())
        .finalize_xof()
        .fill(&mut bytes);
    let key = PhotoKey {
        hash: hash(&bytes),
        small,
    };
    world.devices[0].book(record).photos.insert(key, bytes);
    world.devices[1].book(record).parts.insert(key, Vec::new());
}

fn ended(world: &World, at: usize) -> Option<(u64, Why)> {
    world.devices[at].ended.clone()
}

#[test]
fn whoever_was_dialled_waits_ten_seconds_for_a_greeting_and_a_dialler_a_minute() {
    for (at, patience) in [(0, ANSWER), (1, GREETING)] {
        let mut world = two(&[1]);
        world.devices[1 - at].hangs = true;
        world.connect();
        let began = world.now;
        world.until(began + HOUR, |world| ended(world, at).is_some());
        let (when, why) = ended(&world, at).unwrap();
        assert_eq!(why, Why::Silent);
        assert_eq!(when - began, patience + 1);
        // Its words leave before it goes; the other reads them when it comes to itself.
        world.devices[1 - at].hangs = false;
        world.pass(1_000);
        let (_, why) = ended(&world, 1 - at).unwrap();
        assert_eq!(why, Why::Silent);
    }
}

#[test]
fn one_that_falls_silent_is_let_go_after_a_minute() {
    let mut world = two(&[1, 2]);
    world.connect();
    assert!(world.until(HOUR, |world| all_live(world, &[1, 2])));
    world.devices[1].hangs = true;
    let began = world.now;
    world.until(began + HOUR, |world| ended(world, 0).is_some());
    let (when, why) = ended(&world, 0).unwrap();
    // Nothing is left to be talked about, and each record's keeper reads why.
    assert_eq!(why, Why::Leaving);
    let over = |did: &Did| matches!(did, Did::Over(_, Some(Why::Silent)));
    assert_eq!(world.devices[0].when(over).len(), 2);
    let silent = when - began;
    assert!(
        (SILENT_AFTER - CALM..=SILENT_AFTER + CALM).contains(&silent),
        "{silent}"
    );
}

#[test]
fn what_failed_rests_twice_as_long_each_time_while_the_other_record_goes_on() {
    let mut world = two(&[1, 2]);
    world.devices[0].refuses.insert(1);
    world.devices[1].book(1).changes.push(b"not to be taken".to_vec());
    world.connect();
    let long: u64 = (0..9).map(|times: u32| REST << times.min(MOST_DOUBLED)).sum();
    let mut edits = 0;
    let end = world.now + long + 60_000;
    while world.now < end {
        edits += 1;
        let text = format!("edit {edits}");
        let at = edits % 2;
        world.write(at, 2, &text);
        let began = world.now;
        assert!(world.until(began + 1_000, |world| has(world, 1 - at, 2, &text)));
        world.pass(30_000);
    }
    // Whoever dialled begins it anew, and both hear of it at once.
    let began = world.devices[0].when(|did| *did == Did::Began(1));
    let failed = world.devices[0].when(|did| matches!(did, Did::Over(1, Some(Why::Refused(_)))));
    assert_eq!((began.len(), failed.len()), (10, 10));
    for (times, (failed, again)) in failed.iter().zip(&began[1..]).enumerate() {
        let rest = REST << (times as u32).min(MOST_DOUBLED);
        let late = again - failed - rest;
        // The other's list has to come back.
        assert!(
            late <= 2 * world.latency + 10,
            "after {times} failures {late} ms late"
        );
    }
    let there = world.devices[1].when(|did| *did == Did::Began(1));
    assert_eq!(there.len(), 10);
    let untouched = |did: &Did| matches!(did, Did::Over(2, _));
    assert!(
        world.devices[0].when(untouched).is_empty() && edits > 200,
        "{edits}"
    );
}

#[test]
fn what_failed_begins_at_once_where_a_keeper_asks_on_either_side() {
    for asks in 0..2 {
        let mut world = two(&[1, 2]);
        world.devices[0].refuses.insert(1);
        world.devices[1].book(1).changes.push(b"later".to_vec());
        world.connect();
        world.pass(10_000);
        assert!(!has(&world, 0, 1, "later") && is_live(&world, 0, 2));
        world.devices[0].refuses.clear();
        world.on(asks, HubEvent::Hurry);
        let began = world.now;
        assert!(world.until(began + 1_000, |world| all_live(world, &[1, 2])));
        assert!(has(&world, 0, 1, "later"));
        // Nothing rests any more, and so nothing begins again.
        world.pass(HOUR);
        assert!(all_live(&world, &[1, 2]));
        assert_eq!(world.devices[0].when(|did| *did == Did::Began(1)).len(), 2);
        assert_eq!(world.devices[0].when(|did| *did == Did::Began(2)).len(), 1);
    }
}

#[test]
fn one_that_cannot_be_opened_here_rests_and_is_told() {
    let mut world = two(&[1, 2]);
    world.devices[1].shut.insert(1);
    world.connect();
    world.pass(5_000);
    assert!(is_live(&world, 0, 2));
    let left = |did: &Did| *did == Did::Over(1, Some(Why::Left));
    assert_eq!(world.devices[0].when(left).len(), 1);
    world.devices[1].shut.clear();
    let began = world.now;
    assert!(world.until(began + REST, |world| all_live(world, &[1, 2])));
}

#[test]
fn the_only_one_that_fails_ends_the_meeting() {
    let mut world = two(&[1]);
    world.devices[0].refuses.insert(1);
    world.devices[1].book(1).changes.push(b"not to be taken".to_vec());
    world.connect();
    world.pass(5_000);
    assert!(!world.is_connected());
    assert_eq!(ended(&world, 0).unwrap().1, Why::Leaving);
    assert!(matches!(
        &world.devices[0].did.iter().rev().find_map(|(_, did)| match did {
            Did::Over(1, why) => why.clone(),
            _ => None,
        }),
        Some(Why::Refused(_))
    ));
    let told = |did: &Did| *did == Did::Over(1, Some(Why::NotTaken));
    assert_eq!(world.devices[1].when(told).len(), 1);
}

/// The meeting and whoever dials it anew, together.
#[test]
fn the_only_one_that_fails_for_an_hour_is_tried_seldom_and_met_about_soon_after_its_cure() {
    let mut world = two(&[1]);
    world.devices[0].refuses.insert(1);
    world.devices[1].book(1).changes.push(b"later".to_vec());
    let mut dialler = Dialler::new(false);
    let mut meetings = 0;
    let cure = world.now + HOUR;
    let end = cure + LONGEST_PAUSE / 2 + 1_000;
    while world.now < end && !all_live(&world, &[1]) {
        if world.now >= cure {
            world.devices[0].refuses.clear();
        }
        let seen = SeenPeer {
            here: world.is_connected(),
            reachable: true,
            near: true,
            began: false,
        };
        match dialler.next(world.now, seen) {
            Dial::Await => {
                world.until(end, |world| !world.is_connected() || all_live(world, &[1]));
            }
            Dial::Rest(until) | Dial::Courtesy(until) => {
                world.until(until, |_| false);
            }
            Dial::Try(_) => {
                meetings += 1;
                world.connect();
                dialler.tried(world.now, seen, Tried::Met);
            }
        }
    }
    assert!(has(&world, 0, 1, "later"), "it is not met about again");
    println!(
        "{meetings} meetings in an hour, and {} ms after the cure",
        world.now - cure
    );
    let seldom = HOUR / (LONGEST_PAUSE / 2);
    assert!((seldom..seldom + 8).contains(&meetings), "{meetings}");
}

#[test]
fn two_that_share_nothing_say_so_and_part() {
    let mut world = World::new(
        Device::new("phone", &[(1, &["a"])]),
        Device::new("laptop", &[(2, &["a"])]),
    );
    world.connect();
    world.pass(5_000);
    for (at, record) in [(0, 1), (1, 2)] {
        assert_eq!(
            world.devices[at].when(|did| *did == Did::Unshared(record)).len(),
            1
        );
        assert_eq!(ended(&world, at).unwrap().1, Why::OtherRecord);
    }
}

#[test]
fn a_record_joins_and_leaves_while_another_goes_on() {
    let mut world = two(&[1, 2]);
    world.share(0, &[1]);
    world.connect();
    assert!(world.until(HOUR, |world| all_live(world, &[1])));
    assert!(world.devices[1].when(|did| *did == Did::Unshared(2)).len() == 1);
    world.write(1, 2, "hidden");
    world.pass(5_000);
    assert!(!has(&world, 0, 2, "hidden"));
    world.share(0, &[1, 2]);
    let began = world.now;
    assert!(world.until(began + 5_000, |world| all_live(world, &[1, 2])));
    assert!(has(&world, 0, 2, "hidden"));
    world.share(1, &[2]);
    world.write(1, 1, "after it was shared");
    world.write(1, 2, "still");
    world.pass(5_000);
    assert!(has(&world, 0, 2, "still") && !has(&world, 0, 1, "after it was shared"));
    let over = |did: &Did| *did == Did::Over(1, Some(Why::OtherRecord));
    for at in 0..2 {
        assert_eq!(world.devices[at].when(over).len(), 1);
        assert!(
            world.devices[at]
                .when(|did| matches!(did, Did::Over(2, _)))
                .is_empty()
        );
    }
}

#[test]
fn of_what_is_shared_no_more_not_a_byte_leaves_and_the_net_has_two_seconds_to_say_why() {
    for net_says in [true, false] {
        let mut world = two(&[1]);
        world.devices[0].takes = 20;
        world.connect();
        world.pass(30);
        world.write(1, 1, "not for everybody");
        world.write(0, 1, "nor this");
        world.share(1, &[]);
        let (began, said) = (world.now, world.devices[1].did.len());
        if net_says {
            world.pass(300);
            world.cut();
        }
        world.pass(HOUR);
        let after = &world.devices[1].did[said..];
        assert!(
            after.iter().all(|(_, did)| !matches!(did, Did::Sent { .. })),
            "{after:?}"
        );
        let (when, why) = ended(&world, 1).unwrap();
        if net_says {
            assert_eq!((when - began, why), (300, Why::Broke));
        } else {
            assert_eq!((when - began, why), (REFUSAL, Why::Leaving));
        }
        assert!(!has(&world, 0, 1, "not for everybody"));
    }
}

/// Photos of one record fill a slow line for minutes: what is written in the other is held up by no more than what has left
/// the hub already: the mark below which a photo may follow, the frame that passed it, the one that is leaving, and the way.
#[test]
fn an_edit_waits_for_no_photo_of_another_record_that_has_not_left() {
    for (rate, small) in [(50, false), (50, true), (1_250, false), (12_500, false)] {
        let mut world = two(&[1, 2]);
        world.rate = rate;
        world.connect();
        assert!(world.until(HOUR, |world| all_live(world, &[1, 2])));
        for number in 0..40 {
            photo(&mut world, 1, number, if small { 50_000 } else { 500_000 }, small);
        }
        let wanted = world.devices[1].book(1).wanted();
        world.devices[1].book(1).whole.clear();
        world.tell_photos(1, 1, wanted);
        let below = if small { SMALLS_BELOW } else { PHOTOS_BELOW };
        let frame = PIECE + 100;
        let bound = (below + 2 * frame) as u64 / rate + 2 * world.latency + 50;
        let (mut edits, mut longest) = (0, 0);
        while world.devices[1].book(1).whole.len() < 40 {
            edits += 1;
            let text = format!("edit {edits}");
            world.write(0, 2, &text);
            let began = world.now;
            let came = world.until(began + bound, |world| has(world, 1, 2, &text));
            assert!(
                came,
                "at {rate} bytes/ms edit {edits} is not there after {bound} ms"
            );
            longest = longest.max(world.now - began);
            world.pass(300 + edits % 700);
            assert!(edits < 10_000);
        }
        println!("{rate} bytes/ms, small {small}: {edits} edits, the slowest after {longest} ms of {bound}");
        assert!(edits >= 4, "too few edits to say anything");
        assert!(rate > 1_000 || longest > 500, "photos never filled the line");
    }
}

/// Two records with as many photos: each gets its half of the line.
#[test]
fn records_with_as_much_to_say_share_the_line_alike() {
    let mut world = two(&[1, 2, 3]);
    world.rate = 100;
    for record in 1..=3 {
        for number in 0..10 {
            photo(
                &mut world,
                record,
                u64::from(record) * 100 + number,
                300_000,
                false,
            );
        }
    }
    world.connect();
    let mut most_apart = 0;
    while world.devices[1].books.values().any(|book| book.whole.len() < 10) {
        world.pass(10_000);
        let left = |record: u8| -> usize {
            let book = &world.devices[1].books[&tag(record)];
            book.whole.iter().map(|key| book.photos[key].len()).sum::<usize>()
                + book.parts.values().map(Vec::len).sum::<usize>()
        };
        let all = [left(1), left(2), left(3)];
        let apart = all.iter().max().unwrap() - all.iter().min().unwrap();
        most_apart = most_apart.max(apart);
        // They take turns by pieces, the last of a photo is shorter, and a window each is on its way.
        assert!(apart as u64 <= WINDOW, "{all:?} after {} ms", world.now);
    }
    println!("at most {most_apart} bytes apart after {} ms", world.now);
    assert!(
        world.devices[0]
            .when(|did| matches!(did, Did::Sent { wait: true, .. }))
            .is_empty()
    );
    assert!(world.now > 80_000, "{}", world.now);
}

/// Between two things that are done it listens, so that a change is heard of at once; but where too much waits already, it
/// does that first, and the other is held back by the line.
#[test]
fn it_listens_between_any_two_things_unless_too_much_waits() {
    for (records, in_a_row) in [(&[1_u8] as &[u8], false), (&[1, 2, 3, 4], true)] {
        let mut world = two(records);
        world.rate = 100_000;
        for record in records {
            for number in 0..6 {
                photo(
                    &mut world,
                    *record,
                    u64::from(*record) * 100 + number,
                    2_000_000,
                    false,
                );
            }
        }
        world.devices[1].takes = 40;
        world.connect();
        assert!(world.until(HOUR, |world| {
            let mut books = world.devices[1].books.values();
            books.all(|book| book.whole.len() == 6)
        }));
        let did = world.devices[1].did.iter().map(|(_, did)| did);
        let did: Vec<bool> = did
            .filter(|did| matches!(did, Did::Worked(_) | Did::Listened))
            .map(|did| matches!(did, Did::Worked(_)))
            .collect();
        let rows = did.windows(2).filter(|two| two[0] && two[1]).count();
        println!(
            "{} records: {rows} of {} without listening",
            records.len(),
            did.len()
        );
        assert_eq!(rows > 0, in_a_row);
    }
}

#[test]
fn an_hour_in_which_nothing_happens_costs_a_look_a_second() {
    let mut world = two(&[1, 2, 3]);
    world.connect();
    assert!(world.until(HOUR, |world| all_live(world, &[1, 2, 3])));
    world.pass(10_000);
    for device in &mut world.devices {
        device.did.clear();
    }
    world.pass(HOUR);
    for device in &world.devices {
        let looks = device.when(|did| *did == Did::Listened).len() as u64;
        let said = device.when(|did| matches!(did, Did::Sent { .. })).len() as u64;
        println!("{}: {looks} looks and {said} frames in an hour", device.name);
        // Each of three says every fifteen seconds that it is still there, and hears the other say so.
        let still = HOUR / 15_000 * 3;
        assert!((still - 9..=still).contains(&said), "{said}");
        assert!(looks <= HOUR / CALM + 2 * still, "{looks}");
    }
}
