//! Whose turn it is, held against any state of a meeting: nobody waits while another has two turns, and nothing goes before
//! what is more urgent. Every case comes from a number that a failure prints.

use std::collections::{BTreeMap, BTreeSet};

use super::order::Order;
use super::rests::{MOST_DOUBLED, REST, Rests};
use crate::talk::{Tag, Urgency};

const URGENCIES: [Urgency; 3] = [Urgency::Changes, Urgency::Smalls, Urgency::Photos];

fn drawn(seed: u64) -> impl FnMut(usize) -> usize {
    let mut drawn = blake3::Hasher::new().update(&seed.to_le_bytes()).finalize_xof();
    move |most| {
        let mut bytes = [0; 8];
        drawn.fill(&mut bytes);
        (u64::from_le_bytes(bytes) % most as u64) as usize
    }
}

#[test]
fn the_most_urgent_goes_first_and_equals_take_turns() {
    for seed in 0..500 {
        let mut below = drawn(seed);
        let records = 1 + below(6);
        let mut wanting: BTreeMap<Tag, Urgency> = BTreeMap::new();
        // How many turns of its urgency each saw go by since it wanted one.
        let mut waited: BTreeMap<Tag, usize> = BTreeMap::new();
        let mut order = Order::default();
        for _ in 0..200 {
            let tag = [below(records) as u8; 16];
            let urgency = URGENCIES[below(3)];
            if wanting.insert(tag, urgency) != Some(urgency) {
                waited.insert(tag, 0);
            }
            if below(3) == 0 {
                continue;
            }
            let those = wanting.iter().map(|(tag, urgency)| (*tag, *urgency));
            let (tag, urgency) = order.next(those).unwrap();
            order.had(tag, urgency);
            assert_eq!(Some(&urgency), wanting.values().min(), "seed {seed}");
            if below(2) == 0 {
                wanting.remove(&tag);
            }
            waited.insert(tag, 0);
            for (other, _) in wanting
                .iter()
                .filter(|(other, same)| **other != tag && **same == urgency)
            {
                let times = waited.entry(*other).or_default();
                *times += 1;
                assert!(
                    *times < records,
                    "seed {seed}: {other:?} waited for {times} turns"
                );
            }
        }
    }
}

#[test]
fn two_that_always_want_alternate() {
    let mut order = Order::default();
    let both = || [([1; 16], Urgency::Photos), ([2; 16], Urgency::Photos)].into_iter();
    let mut turns = Vec::new();
    for _ in 0..6 {
        let (tag, urgency) = order.next(both()).unwrap();
        order.had(tag, urgency);
        turns.push(tag[0]);
        // A third has something urgent in between, which is no turn of theirs.
        order.had([9; 16], Urgency::Changes);
    }
    assert_eq!(turns, [1, 2, 1, 2, 1, 2]);
    assert_eq!(order.next(std::iter::empty()), None);
}

#[test]
fn rests_double_and_end_at_a_bound() {
    let mut rests = Rests::default();
    let tag = [3; 16];
    let mut now = 7;
    for failure in 0..12_u32 {
        rests.rest(tag, failure, now);
        let long = REST << failure.min(MOST_DOUBLED);
        assert!(rests.is_resting(&tag) && rests.rested(now + long - 1, false).is_empty());
        assert_eq!(rests.first(), Some(now + long));
        now += long;
        assert_eq!(rests.rested(now, false), [tag]);
        assert!(rests.is_empty());
    }
    // Somebody asks to meet now; what failed before is not forgotten by it.
    rests.rest(tag, 12, now);
    assert_eq!(rests.rested(now, true), [tag]);
    rests.rest(tag, 13, now);
    assert_eq!(rests.first(), Some(now + (REST << MOST_DOUBLED)));
    // Another conversation about it stands: this one's rest says nothing any more.
    rests.keep(|_, number| number == 14);
    assert!(rests.is_empty());
}

#[test]
fn every_record_rests_for_itself() {
    for seed in 0..200 {
        let mut below = drawn(seed);
        let mut rests = Rests::default();
        let mut until: BTreeMap<Tag, u64> = BTreeMap::new();
        let mut times: BTreeMap<Tag, u32> = BTreeMap::new();
        let mut now = 0;
        for number in 0..100 {
            now += below(40_000) as u64;
            let due: BTreeSet<Tag> = rests.rested(now, false).into_iter().collect();
            let expected = until.extract_if(.., |_, until| *until <= now);
            let expected: BTreeSet<Tag> = expected.map(|(tag, _)| tag).collect();
            assert_eq!(due, expected, "seed {seed}");
            let tag = [below(4) as u8; 16];
            if rests.is_resting(&tag) {
                continue;
            }
            rests.rest(tag, number, now);
            let failed = times.entry(tag).or_default();
            until.insert(tag, now + REST * 2_u64.pow((*failed).min(MOST_DOUBLED)));
            *failed += 1;
            assert_eq!(rests.first(), until.values().min().copied(), "seed {seed}");
        }
    }
}
