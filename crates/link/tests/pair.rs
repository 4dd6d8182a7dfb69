//! Pairing by ticket and by voice between two state machines: how it comes about, that a ticket is used once, that
//! it ends after two minutes and after three wrong tries, and what a stranger or a break does. No socket, no clock.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use link::identity::{Identity, Key};
use link::pair::{Code, Effect, Guest, Host, LIVES, PairEvent, PairTrouble, Spoken, Ticket};

const START: u64 = 1_750_000_000_000;

fn key(number: u8) -> Key {
    Identity::generate(&[number; 64]).key()
}

fn ticket() -> Ticket {
    Ticket {
        record: [1; 16],
        host: key(1),
        addresses: Vec::new(),
        secret: [7; 16],
        until: START + LIVES,
    }
}

fn met(peer: Key, random: u8) -> PairEvent {
    PairEvent::Met {
        peer,
        random: [random; 32],
    }
}

fn frames(effects: &[Effect]) -> Vec<Vec<u8>> {
    effects
        .iter()
        .filter_map(|effect| match effect {
            Effect::Send(frame) => Some(frame.clone()),
            _ => None,
        })
        .collect()
}

fn shown(effects: &[Effect]) -> Option<Code> {
    effects.iter().find_map(|effect| match effect {
        Effect::Show { code, .. } => Some(*code),
        _ => None,
    })
}

fn paired(effects: &[Effect]) -> Option<(Key, Vec<u8>)> {
    effects.iter().find_map(|effect| match effect {
        Effect::Paired { peer, introduction } => Some((*peer, introduction.clone())),
        _ => None,
    })
}

/// Two sides and everything that either was told to do.
struct Pair {
    host: Host,
    guest: Guest,
    host_did: Vec<Effect>,
    guest_did: Vec<Effect>,
}

impl Pair {
    fn new(host: Host, guest: Guest) -> Self {
        Self {
            host,
            guest,
            host_did: Vec::new(),
            guest_did: Vec::new(),
        }
    }

    fn host(&mut self, now: u64, event: PairEvent) {
        let did = self.host.on(now, event);
        self.host_did.extend(did.iter().cloned());
        for frame in frames(&did) {
            self.guest(now, PairEvent::Got(frame));
        }
    }

    fn guest(&mut self, now: u64, event: PairEvent) {
        let did = self.guest.on(now, event);
        self.guest_did.extend(did.iter().cloned());
        for frame in frames(&did) {
            self.host(now, PairEvent::Got(frame));
        }
    }

    fn connect(&mut self, now: u64, random: u8) {
        self.host(now, met(key(2), random));
        self.guest(now, met(key(1), random + 1));
    }
}

fn by_ticket() -> Pair {
    let host = Host::by_ticket(&ticket(), b"the garage's laptop".to_vec(), START);
    let guest = Guest::by_ticket(key(2), ticket(), b"nell's phone".to_vec(), START);
    Pair::new(host, guest)
}

fn by_voice(said: &str, heard: &str) -> Pair {
    let host = Host::by_voice(key(1), Spoken::typed(said).unwrap(), b"host".to_vec(), START);
    let guest = Guest::by_voice(key(2), Spoken::typed(heard).unwrap(), b"guest".to_vec(), START);
    Pair::new(host, guest)
}

#[test]
fn both_show_the_same_digits_and_pair_when_both_keepers_agree() {
    let mut pair = by_ticket();
    pair.connect(START, 10);
    let code = shown(&pair.host_did).unwrap();
    assert_eq!(shown(&pair.guest_did), Some(code));
    pair.guest(START + 1, PairEvent::Same);
    assert!(paired(&pair.guest_did).is_none() && paired(&pair.host_did).is_none());
    pair.host(START + 2, PairEvent::Same);
    assert_eq!(paired(&pair.host_did), Some((key(2), b"nell's phone".to_vec())));
    assert_eq!(
        paired(&pair.guest_did),
        Some((key(1), b"the garage's laptop".to_vec()))
    );
}

#[test]
fn other_numbers_give_other_digits() {
    let mut seen = std::collections::BTreeSet::new();
    for random in 0..100 {
        let mut pair = by_ticket();
        pair.connect(START, random);
        assert!(seen.insert(shown(&pair.host_did).unwrap().number()));
    }
}

#[test]
fn a_ticket_lets_one_guest_in_once() {
    let mut pair = by_ticket();
    pair.connect(START, 10);
    // Another with the same ticket, while the first is compared.
    assert_eq!(
        pair.host.on(START + 1, met(key(3), 1)),
        [Effect::Hang(PairTrouble::Busy)]
    );
    pair.host(START + 2, PairEvent::Same);
    pair.guest(START + 2, PairEvent::Same);
    assert!(paired(&pair.host_did).is_some());
    assert!(!pair.host.stands());
    assert_eq!(
        pair.host.on(START + 3, met(key(3), 1)),
        [Effect::Ended(PairTrouble::Used)]
    );
}

#[test]
fn a_used_ticket_does_not_come_back_when_the_connection_breaks() {
    let mut pair = by_ticket();
    pair.connect(START, 10);
    pair.host(START + 1, PairEvent::Broke);
    assert_eq!(pair.host_did.last(), Some(&Effect::Ended(PairTrouble::Broken)));
    assert!(!pair.host.stands());
}

#[test]
fn two_minutes_and_no_more() {
    let mut pair = by_ticket();
    pair.connect(START + LIVES, 10);
    assert!(shown(&pair.host_did).is_some());

    let mut pair = by_ticket();
    pair.host(START + LIVES + 1, met(key(2), 10));
    assert_eq!(pair.host_did, [Effect::Ended(PairTrouble::Over)]);
    let mut pair = by_voice("12345678", "12345678");
    pair.host(START + LIVES + 1, PairEvent::Tick);
    assert_eq!(pair.host_did, [Effect::Ended(PairTrouble::Over)]);
    // The keepers have two minutes from the claim to compare, and no more.
    let mut pair = by_ticket();
    pair.connect(START + LIVES, 10);
    pair.host(START + 2 * LIVES, PairEvent::Same);
    pair.guest(START + 2 * LIVES + 1, PairEvent::Same);
    assert!(paired(&pair.host_did).is_none() && paired(&pair.guest_did).is_none());
}

#[test]
fn three_wrong_secrets_end_a_ticket() {
    let mut host = Host::by_ticket(&ticket(), Vec::new(), START);
    let wrong = Ticket {
        secret: [8; 16],
        ..ticket()
    };
    for round in 1..=3 {
        let mut guest = Guest::by_ticket(key(2), wrong.clone(), Vec::new(), START);
        assert!(host.stands());
        assert!(host.on(START, met(key(2), 3)).is_empty());
        let claim = frames(&guest.on(START, met(key(1), 4)));
        let did = host.on(START, PairEvent::Got(claim[0].clone()));
        let last = if round < 3 {
            Effect::Hang(PairTrouble::Wrong)
        } else {
            Effect::Ended(PairTrouble::TooMany)
        };
        assert_eq!(did.last(), Some(&last));
        let told = guest.on(START, PairEvent::Got(frames(&did)[0].clone()));
        assert_eq!(told, [Effect::Ended(PairTrouble::Wrong)]);
    }
    // The right secret comes too late.
    assert!(!host.stands());
    assert_eq!(
        host.on(START, met(key(2), 3)),
        [Effect::Ended(PairTrouble::TooMany)]
    );
}

#[test]
fn two_wrong_tries_leave_a_ticket_good() {
    let mut pair = by_ticket();
    for _ in 0..2 {
        pair.host.on(START, met(key(9), 3));
        let did = pair.host.on(START, PairEvent::Got(vec![1; 33]));
        assert_eq!(did.last(), Some(&Effect::Hang(PairTrouble::Wrong)));
    }
    pair.connect(START, 10);
    assert!(shown(&pair.host_did).is_some());
}

#[test]
fn a_claim_copied_from_another_guest_is_worth_nothing() {
    let mut host = Host::by_ticket(&ticket(), Vec::new(), START);
    let mut guest = Guest::by_ticket(key(2), ticket(), Vec::new(), START);
    let claim = frames(&guest.on(START, met(key(1), 4)));
    host.on(START, met(key(3), 3));
    let did = host.on(START, PairEvent::Got(claim[0].clone()));
    assert_eq!(did.last(), Some(&Effect::Hang(PairTrouble::Wrong)));
}

#[test]
fn digits_that_differ_end_it_on_both_sides() {
    let mut pair = by_ticket();
    pair.connect(START, 10);
    pair.host(START + 1, PairEvent::Same);
    pair.guest(START + 2, PairEvent::Different);
    assert_eq!(pair.guest_did.last(), Some(&Effect::Ended(PairTrouble::Differs)));
    assert_eq!(pair.host_did.last(), Some(&Effect::Ended(PairTrouble::Differs)));
    assert!(paired(&pair.host_did).is_none());
}

#[test]
fn a_guest_speaks_to_the_tickets_host_alone() {
    let mut guest = Guest::by_ticket(key(2), ticket(), b"nell".to_vec(), START);
    assert_eq!(
        guest.on(START, met(key(5), 1)),
        [Effect::Hang(PairTrouble::Wrong)]
    );
}

#[test]
fn whoever_says_nothing_gives_up_the_place() {
    let mut pair = by_ticket();
    pair.host(START, met(key(8), 1));
    pair.host(START + 10_000, PairEvent::Tick);
    assert!(pair.host_did.is_empty());
    pair.host(START + 10_001, PairEvent::Tick);
    assert_eq!(pair.host_did, [Effect::Hang(PairTrouble::Broken)]);
    pair.connect(START + 11_000, 10);
    assert!(shown(&pair.host_did).is_some());
}

#[test]
fn by_voice_the_right_digits_lead_to_a_code_that_both_confirm() {
    let mut pair = by_voice("4711 0815", "47110815");
    pair.connect(START, 10);
    let code = shown(&pair.host_did).unwrap();
    assert_eq!(shown(&pair.guest_did), Some(code));
    assert!(paired(&pair.host_did).is_none() && paired(&pair.guest_did).is_none());
    pair.guest(START + 1, PairEvent::Same);
    // Said twice, it counts once.
    pair.guest(START + 1, PairEvent::Same);
    assert!(paired(&pair.host_did).is_none() && paired(&pair.guest_did).is_none());
    pair.host(START + 2, PairEvent::Same);
    assert_eq!(paired(&pair.host_did), Some((key(2), b"guest".to_vec())));
    assert_eq!(paired(&pair.guest_did), Some((key(1), b"host".to_vec())));
    assert!(!pair.host.stands());
    // Used: the same digits let nobody else in.
    assert_eq!(
        pair.host.on(START + 3, met(key(3), 1)),
        [Effect::Ended(PairTrouble::Used)]
    );
}

#[test]
fn by_voice_the_code_is_of_this_exchange_alone() {
    let mut seen = std::collections::BTreeSet::new();
    for random in 0..50 {
        let mut pair = by_voice("47110815", "47110815");
        pair.connect(START, random);
        assert!(seen.insert(shown(&pair.host_did).unwrap().number()));
    }
}

#[test]
fn by_voice_a_keeper_who_sees_other_digits_ends_it_on_both_sides() {
    let mut pair = by_voice("47110815", "47110815");
    pair.connect(START, 10);
    pair.guest(START + 1, PairEvent::Same);
    pair.host(START + 2, PairEvent::Different);
    assert_eq!(pair.guest_did.last(), Some(&Effect::Ended(PairTrouble::Differs)));
    assert_eq!(pair.host_did.last(), Some(&Effect::Ended(PairTrouble::Differs)));
}

/// A claim is bound to the secret of its own exchange: one without an exchange is nonsense to a host that speaks.
#[test]
fn by_voice_nobody_claims_without_having_spoken() {
    let mut host = Host::by_voice(key(1), Spoken::typed("47110815").unwrap(), Vec::new(), START);
    let mut guest = Guest::by_ticket(key(2), ticket(), Vec::new(), START);
    let claim = frames(&guest.on(START, met(key(1), 4)));
    host.on(START, met(key(2), 3));
    let did = host.on(START, PairEvent::Got(claim[0].clone()));
    assert_eq!(did.last(), Some(&Effect::Hang(PairTrouble::Nonsense)));
}

#[test]
fn by_voice_three_wrong_codes_end_it_on_both_sides() {
    let mut pair = by_voice("47110815", "47110816");
    for round in 1..=3 {
        pair.connect(START, 10 + round);
        let (host, guest) = (pair.host_did.last(), pair.guest_did.last());
        if round < 3 {
            assert_eq!(host, Some(&Effect::Hang(PairTrouble::Wrong)));
            assert_eq!(guest, Some(&Effect::Hang(PairTrouble::Wrong)));
        } else {
            assert_eq!(host, Some(&Effect::Ended(PairTrouble::TooMany)));
            assert_eq!(guest, Some(&Effect::Ended(PairTrouble::TooMany)));
        }
    }
    assert!(paired(&pair.host_did).is_none() && paired(&pair.guest_did).is_none());
}

/// The middle man passes every byte on: the code is right at both ends, and yet neither pairs, for each end's
/// exchange is bound to the key that it really speaks with.
#[test]
fn by_voice_passing_bytes_on_gains_nothing() {
    let mut pair = by_voice("47110815", "47110815");
    pair.host(START, met(key(6), 1));
    pair.guest(START, met(key(6), 2));
    assert!(shown(&pair.host_did).is_none() && shown(&pair.guest_did).is_none());
    assert!(pair.host_did.contains(&Effect::Hang(PairTrouble::Wrong)));
}

#[test]
fn strangers_who_speak_nonsense_use_up_no_try() {
    // A claim without an exchange, an exchange where a ticket is wanted, a half that is none, and no message at all.
    let mut other = Guest::by_ticket(key(3), ticket(), Vec::new(), START);
    let claim = frames(&other.on(START, met(key(1), 4))).remove(0);
    let mut other = Guest::by_voice(key(3), Spoken::typed("11112222").unwrap(), Vec::new(), START);
    let speak = frames(&other.on(START, met(key(1), 4))).remove(0);
    let mut broken = speak.clone();
    broken.truncate(9);
    let rubbish = || [vec![], vec![0xff; 40], broken.clone()];
    for (mut pair, nonsense) in [
        (by_ticket(), [rubbish().to_vec(), vec![speak.clone()]].concat()),
        (
            by_voice("47110815", "47110815"),
            [rubbish().to_vec(), vec![claim]].concat(),
        ),
    ] {
        for frame in nonsense.iter().cycle().take(20) {
            pair.host.on(START, met(key(3), 5));
            let did = pair.host.on(START, PairEvent::Got(frame.clone()));
            assert_eq!(
                did.last(),
                Some(&Effect::Hang(PairTrouble::Nonsense)),
                "{frame:?}"
            );
        }
        pair.connect(START, 10);
        assert!(shown(&pair.host_did).is_some() && shown(&pair.host_did) == shown(&pair.guest_did));
    }
}

#[test]
fn nonsense_never_panics_and_never_pairs() {
    for tag in 0..=12_u8 {
        for length in [0, 1, 31, 32, 33, 64, 5_000] {
            let frame: Vec<u8> = std::iter::once(tag)
                .chain(std::iter::repeat_n(3, length))
                .collect();
            let mut pair = by_ticket();
            pair.host.on(START, met(key(2), 1));
            let did = pair.host.on(START, PairEvent::Got(frame.clone()));
            assert!(paired(&did).is_none());
            pair.guest.on(START, met(key(1), 1));
            let did = pair.guest.on(START, PairEvent::Got(frame.clone()));
            assert!(paired(&did).is_none());
            let mut pair = by_ticket();
            pair.connect(START, 1);
            pair.host.on(START, PairEvent::Same);
            let did = pair.host.on(START, PairEvent::Got(frame));
            // Only the one byte that says "the same" may.
            assert_eq!(paired(&did).is_some(), tag == 5 && length == 0);
        }
    }
}
