//! When one device dials another, in simulated time: courtesy, patience, rests and what news end. Days of it take a moment.

#![allow(clippy::indexing_slicing, clippy::panic, reason = "a test fails by panicking")]

use link::dialler::{
    ATTEMPTS, COURTESY, DOUBLE, Dial, Dialler, FIRST_PAUSE, LONGEST_PAUSE, NEAR_PAUSE, STANDS, SeenPeer,
    Tried, older_stays,
};
use link::identity::Identity;

const AWAY: SeenPeer = SeenPeer {
    here: false,
    reachable: true,
    near: false,
    began: false,
};
const NEAR: SeenPeer = SeenPeer { near: true, ..AWAY };
const DAY: u64 = 86_400_000;

/// Tries for so long one that never answers, or refuses: when each attempt began.
fn attempts(dialler: &mut Dialler, from: u64, long: u64, seen: SeenPeer, refused: bool) -> Vec<u64> {
    let (mut now, mut all) = (from, Vec::new());
    while now < from + long {
        match dialler.next(now, seen) {
            Dial::Await => return all,
            Dial::Rest(until) | Dial::Courtesy(until) => now = until,
            Dial::Try(within) => {
                all.push(now);
                let tried = if refused { Tried::Refused } else { Tried::Missed };
                now += if refused { 1 } else { within };
                dialler.tried(now, seen, tried);
            }
        }
    }
    all
}

#[test]
fn an_absent_one_is_tried_ever_more_seldom_and_never_given_up() {
    let mut dialler = Dialler::new(false);
    let all = attempts(&mut dialler, 5, DAY, AWAY, false);
    let gaps: Vec<u64> = all.windows(2).map(|two| two[1] - two[0]).collect();
    let rests = [250, 500, 1_000, 2_000, 4_000, 8_000, 15_000, 15_000];
    for (at, rest) in rests.into_iter().enumerate() {
        assert_eq!(gaps[at], ATTEMPTS[at % ATTEMPTS.len()] + rest, "gap {at}");
    }
    assert!(gaps[8..].iter().all(|gap| *gap <= LONGEST_PAUSE / 2 + 10_000));
    let each = 4 * LONGEST_PAUSE / 2 + ATTEMPTS.iter().sum::<u64>();
    let expected = 4 * DAY / each;
    println!("{} attempts in a day", all.len());
    assert!(
        (all.len() as u64).abs_diff(expected) <= 8,
        "{} instead of {expected}",
        all.len()
    );
}

#[test]
fn one_that_was_seen_on_the_same_network_is_tried_every_second() {
    let mut dialler = Dialler::new(false);
    let all = attempts(&mut dialler, 0, 600_000, NEAR, false);
    let gaps = all.windows(2).enumerate();
    for (at, two) in gaps.skip(2) {
        assert_eq!(two[1] - two[0], ATTEMPTS[at % ATTEMPTS.len()] + NEAR_PAUSE);
    }
}

#[test]
fn one_that_lets_this_device_in_no_more_is_asked_seldom_near_or_not() {
    for seen in [AWAY, NEAR] {
        let all = attempts(&mut Dialler::new(false), 0, 600_000, seen, true);
        assert!(
            all.windows(2).all(|two| two[1] - two[0] == LONGEST_PAUSE + 1),
            "{all:?}"
        );
        assert_eq!(all.len(), 20);
    }
}

#[test]
fn the_larger_key_waits_once_and_not_where_only_it_remembers() {
    let tries = |dialler: &mut Dialler, now, seen| matches!(dialler.next(now, seen), Dial::Try(_));
    for seen in [AWAY, NEAR, SeenPeer { began: true, ..NEAR }] {
        assert!(tries(&mut Dialler::new(false), 7, seen));
        let mut larger = Dialler::new(true);
        assert_eq!(larger.next(7, seen), Dial::Courtesy(7 + COURTESY));
        assert!(tries(&mut larger, 7 + COURTESY, seen), "it waits once");
        larger.tried(200, seen, Tried::Missed);
        larger.news();
        assert!(tries(&mut larger, 300, seen));
        // The next break is another matter.
        larger.tried(400, seen, Tried::Met);
        assert_eq!(larger.next(400, SeenPeer { here: true, ..seen }), Dial::Await);
        assert_eq!(larger.next(900, seen), Dial::Courtesy(900 + COURTESY));
    }
    assert!(tries(
        &mut Dialler::new(true),
        7,
        SeenPeer { began: true, ..AWAY }
    ));
}

#[test]
fn nobody_is_dialled_who_is_here_or_of_whom_nothing_is_known() {
    let mut dialler = Dialler::new(false);
    for seen in [
        SeenPeer { here: true, ..NEAR },
        SeenPeer {
            reachable: false,
            ..NEAR
        },
        SeenPeer {
            reachable: false,
            ..AWAY
        },
    ] {
        for now in [0, 1, DAY] {
            assert_eq!(dialler.next(now, seen), Dial::Await);
        }
    }
    assert_eq!(dialler.next(DAY, AWAY), Dial::Try(ATTEMPTS[0]));
}

#[test]
fn after_short_meetings_the_next_one_waits_ever_longer_and_after_a_long_one_not_at_all() {
    let here = SeenPeer { here: true, ..AWAY };
    let mut dialler = Dialler::new(false);
    let mut now = 0;
    // How long nobody was dialled after a meeting of this length; half of them are the other's to dial.
    let mut meets = |dialler: &mut Dialler, long: u64, dialled: bool| {
        if dialled {
            assert!(matches!(dialler.next(now, AWAY), Dial::Try(_)));
            dialler.tried(now, AWAY, Tried::Met);
        }
        assert_eq!(dialler.next(now, here), Dial::Await);
        now += long;
        match dialler.next(now, AWAY) {
            Dial::Rest(until) => {
                let rest = until - now;
                now = until;
                rest
            }
            other => {
                assert_eq!(other, Dial::Try(ATTEMPTS[0]));
                0
            }
        }
    };
    for (at, rest) in [0, 250, 500, 1_000, 2_000, 4_000, 8_000, 15_000, 15_000]
        .into_iter()
        .enumerate()
    {
        assert_eq!(meets(&mut dialler, STANDS - 1, at % 2 == 0), rest);
    }
    assert_eq!(meets(&mut dialler, STANDS, true), 0);
    assert_eq!(meets(&mut dialler, 5, true), 0);
    assert_eq!(meets(&mut dialler, 5, false), FIRST_PAUSE);
    // Dialled and gone before anybody looked, and one that is known anew meanwhile.
    assert!(matches!(dialler.next(DAY, AWAY), Dial::Try(_)));
    dialler.tried(DAY, AWAY, Tried::Met);
    assert_eq!(dialler.next(DAY, AWAY), Dial::Rest(DAY + 2 * FIRST_PAUSE));
    dialler.news();
    assert!(matches!(dialler.next(DAY, AWAY), Dial::Try(_)));
}

/// Two dial each other at about the same time, and each sees both connections in an order of its own.
#[test]
fn of_two_connections_both_sides_keep_the_same_one() {
    let key = |number: u8| Identity::generate(&[number; 64]).key();
    for (a, b) in [(key(1), key(2)), (key(3), key(4)), (key(5), key(6))] {
        let smaller = a.min(b);
        for stood in [0, 1, DOUBLE - 1] {
            for (first, second) in [(a, b), (b, a)] {
                let kept = if older_stays(&first, &second, stood) {
                    first
                } else {
                    second
                };
                assert_eq!(kept, smaller);
            }
        }
        // A return, by whichever: the older is no more, though this side may not know it yet.
        for (first, second) in [(a, b), (b, a)] {
            assert!(!older_stays(&first, &second, DOUBLE));
            assert!(!older_stays(&first, &first, 0));
        }
    }
}

/// Whenever there are news, nobody rests, and attempts and rests begin from their beginning. Every case comes from a number
/// that a failure prints.
#[test]
fn news_end_every_rest() {
    for seed in 0..300_u64 {
        let mut drawn = blake3::Hasher::new().update(&seed.to_le_bytes()).finalize_xof();
        let mut below = |most: u64| {
            let mut bytes = [0; 8];
            drawn.fill(&mut bytes);
            u64::from_le_bytes(bytes) % most
        };
        let mut dialler = Dialler::new(below(2) == 0);
        let mut now = below(1_000);
        let mut waited = 0;
        for _ in 0..60 {
            let seen = SeenPeer {
                near: below(2) == 0,
                ..AWAY
            };
            let news = below(5) == 0;
            if news {
                dialler.news();
            }
            match dialler.next(now, seen) {
                Dial::Await => panic!("seed {seed}: it awaits news of one that can be reached"),
                Dial::Courtesy(until) => {
                    assert!(until - now == COURTESY && waited == 0, "seed {seed}");
                    waited += 1;
                    now = until;
                }
                Dial::Rest(until) => {
                    assert!(!news, "seed {seed}: it rests though there are news");
                    assert!(until > now && until - now <= LONGEST_PAUSE, "seed {seed}");
                    now += 1 + below(until - now);
                }
                Dial::Try(within) => {
                    assert!(!news || within == ATTEMPTS[0], "seed {seed}");
                    now += below(within);
                    let refused = below(4) == 0;
                    let tried = if refused { Tried::Refused } else { Tried::Missed };
                    dialler.tried(now, seen, tried);
                    if news && !refused {
                        assert_eq!(
                            dialler.next(now, seen),
                            Dial::Rest(now + FIRST_PAUSE),
                            "seed {seed}"
                        );
                    }
                }
            }
        }
    }
}
