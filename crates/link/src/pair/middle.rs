//! A middle man against pairing, 100,000 seeded tries each: against the twelve digits with every order of moves that
//! the frames allow, and against the spoken code by guessing. He may know the ticket, and has keys of his own.
//!
//! Bounds: one blind try a ticket, so 10⁻¹² each; three guesses a spoken code, so 3·10⁻⁸ each. As a hit is not to be
//! seen at such odds, the same tries are also counted where odds are longer (three of the digits; one unknown digit),
//! and there the hits must be as many as chance gives and no more.

use super::message::Message;
use super::transcript::Transcript;
use super::{Code, Effect, Guest, Host, LIVES, PairEvent, PairTrouble, Spoken, Ticket};
use crate::identity::{Identity, Key};

const TRIES: u64 = 100_000;
const NOW: u64 = 1_750_000_000_000;

/// Randomness from a seed and a purpose.
struct Draw(blake3::OutputReader);

impl Draw {
    fn new(seed: u64) -> Self {
        Self(
            blake3::Hasher::new_derive_key("witnessmark middle man test")
                .update(&seed.to_le_bytes())
                .finalize_xof(),
        )
    }

    fn bytes<const N: usize>(&mut self) -> [u8; N] {
        let mut bytes = [0; N];
        self.0.fill(&mut bytes);
        bytes
    }

    fn below(&mut self, count: u64) -> u64 {
        u64::from_le_bytes(self.bytes()) % count
    }
}

fn keys() -> [Key; 3] {
    [1, 2, 3].map(|number| Identity::generate(&[number; 64]).key())
}

fn sent(effects: &[Effect]) -> Message {
    let frame = effects.iter().find_map(|effect| match effect {
        Effect::Send(frame) => Some(frame),
        _ => None,
    });
    Message::read(frame.unwrap()).unwrap()
}

fn shown(effects: &[Effect]) -> Option<Code> {
    effects.iter().find_map(|effect| match effect {
        Effect::Show { code, .. } => Some(*code),
        _ => None,
    })
}

/// One try: he has the host's ticket, and has given the guest one of his own. Returns what the two honest devices
/// show, if both show anything.
#[expect(clippy::too_many_lines, reason = "the four ways of one who stands between")]
fn try_digits(seed: u64, [host_key, guest_key, middle]: [Key; 3]) -> Option<(Code, Code)> {
    let mut draw = Draw::new(seed);
    let theirs = Ticket {
        record: draw.bytes(),
        host: host_key,
        addresses: Vec::new(),
        secret: draw.bytes(),
        until: NOW + LIVES,
    };
    let his = Ticket {
        host: middle,
        ..theirs.clone()
    };
    let mut host = Host::by_ticket(&theirs, b"host".to_vec(), NOW);
    let mut guest = Guest::by_ticket(guest_key, his.clone(), b"guest".to_vec(), NOW);
    let to_host = Transcript {
        secret: &theirs.secret,
        record: &theirs.record,
        host: host_key,
        guest: middle,
    };
    let to_guest = Transcript {
        secret: &his.secret,
        record: &his.record,
        host: middle,
        guest: guest_key,
    };
    host.on(
        NOW,
        PairEvent::Met {
            peer: middle,
            random: draw.bytes(),
        },
    );
    guest.on(
        NOW,
        PairEvent::Met {
            peer: middle,
            random: draw.bytes(),
        },
    );
    let committed = host.on(NOW, PairEvent::Got(Message::Claim(to_host.claim()).written()));
    assert!(matches!(sent(&committed), Message::Commit(_)));

    let answer_host = |host: &mut Host, number: [u8; 32]| {
        let did = host.on(
            NOW,
            PairEvent::Got(Message::Mine(number, b"guest".to_vec()).written()),
        );
        shown(&did).unwrap()
    };
    let commit_to_guest = |guest: &mut Guest, number: &[u8; 32]| {
        let commitment = to_guest.commitment(number, b"host");
        match sent(&guest.on(NOW, PairEvent::Got(Message::Commit(commitment).written()))) {
            Message::Mine(theirs, _) => theirs,
            other => panic!("{other:?}"),
        }
    };
    let reveal = |guest: &mut Guest, number: [u8; 32]| {
        guest.on(
            NOW,
            PairEvent::Got(Message::Reveal(number, b"host".to_vec()).written()),
        )
    };
    let mine: [u8; 32] = draw.bytes();
    match seed % 4 {
        // The host's digits first; then the best commitment that can be made without the guest's number: sixteen
        // are tried against a guess at it.
        0 => {
            let goal = answer_host(&mut host, draw.bytes());
            let guess: [u8; 32] = draw.bytes();
            let best = (0..16)
                .map(|_| draw.bytes())
                .find(|number| {
                    to_guest.digits((number, b"host"), (&guess, b"guest")).number() % 8 == goal.number() % 8
                })
                .unwrap_or(mine);
            commit_to_guest(&mut guest, &best);
            Some((goal, shown(&reveal(&mut guest, best)).unwrap()))
        }
        // The guest's number first; then the best answer to a host whose number is not known.
        1 => {
            let number = commit_to_guest(&mut guest, &mine);
            let goal = to_guest.digits((&mine, b"host"), (&number, b"guest"));
            let guess: [u8; 32] = draw.bytes();
            let best = (0..16)
                .map(|_| draw.bytes())
                .find(|number| {
                    to_host.digits((&guess, b"host"), (number, b"guest")).number() % 8 == goal.number() % 8
                })
                .unwrap_or(number);
            let at_host = answer_host(&mut host, best);
            let at_guest = shown(&reveal(&mut guest, mine)).unwrap();
            assert_eq!(at_guest, goal);
            Some((at_host, at_guest))
        }
        // Everything is passed on as it is: the numbers of both are the same on both ways.
        2 => {
            let number = commit_to_guest(&mut guest, &mine);
            let at_host = answer_host(&mut host, number);
            Some((at_host, shown(&reveal(&mut guest, mine)).unwrap()))
        }
        // He commits, learns everything, and then reveals a number that would fit: the guest notices.
        _ => {
            let number = commit_to_guest(&mut guest, &mine);
            let goal = answer_host(&mut host, draw.bytes());
            let better = (0..16)
                .map(|_| draw.bytes())
                .find(|other| {
                    to_guest.digits((other, b"host"), (&number, b"guest")).number() % 8 == goal.number() % 8
                })
                .unwrap_or([0; 32]);
            let did = reveal(&mut guest, better);
            assert_eq!(shown(&did), None, "seed {seed}");
            assert_eq!(
                did.last(),
                Some(&Effect::Ended(PairTrouble::Changed)),
                "seed {seed}"
            );
            None
        }
    }
}

/// Whether hits are what chance gives: within five standard deviations of a binomial distribution.
fn as_chance(hits: u64, tries: u64, odds: f64) {
    #[expect(clippy::cast_precision_loss, reason = "counts are small")]
    let (hits, tries) = (hits as f64, tries as f64);
    let (mean, deviation) = (tries * odds, (tries * odds * (1.0 - odds)).sqrt());
    assert!(
        (hits - mean).abs() <= 5.0 * deviation,
        "{hits} hits in {tries} tries; chance gives {mean} ± {deviation}"
    );
}

#[test]
fn no_middle_man_makes_the_digits_agree() {
    let keys = keys();
    let (mut shown, mut whole, mut three) = (0, 0, 0);
    for seed in 0..TRIES {
        if let Some((at_host, at_guest)) = try_digits(seed, keys) {
            shown += 1;
            whole += u64::from(at_host == at_guest);
            three += u64::from(at_host.number() % 1_000 == at_guest.number() % 1_000);
        }
    }
    println!(
        "{TRIES} tries, {shown} showed digits at both ends: {whole} alike, {three} alike in three digits"
    );
    assert_eq!(shown, TRIES / 4 * 3);
    assert_eq!(whole, 0, "expected {shown} · 10⁻¹²");
    as_chance(three, shown, 1e-3);
}

/// Without a commitment he would win three digits at will: so the test above is one that can fail.
#[test]
fn without_a_commitment_he_would_win() {
    let [_, guest_key, middle] = keys();
    let mut draw = Draw::new(1);
    let (secret, record) = (draw.bytes(), draw.bytes());
    let to_guest = Transcript {
        secret: &secret,
        record: &record,
        host: middle,
        guest: guest_key,
    };
    let number: [u8; 32] = draw.bytes();
    let goal = draw.below(1_000);
    let found = (0..100_000).any(|_| {
        let his: [u8; 32] = draw.bytes();
        to_guest.digits((&his, b"host"), (&number, b"guest")).number() % 1_000 == goal
    });
    assert!(found);
}

/// Guesses at one spoken code until it is hit or dead; how many were made, and whether one hit.
fn guess(draw: &mut Draw, spoken: Spoken, mut guesses: impl FnMut(&mut Draw) -> Spoken) -> (u64, bool) {
    let [host_key, _, middle] = keys();
    let mut host = Host::by_voice(host_key, spoken, Vec::new(), NOW);
    let mut made = 0;
    while host.stands() {
        made += 1;
        let mut his = Guest::by_voice(middle, guesses(draw), Vec::new(), NOW);
        host.on(
            NOW,
            PairEvent::Met {
                peer: middle,
                random: draw.bytes(),
            },
        );
        let half = sent(&his.on(
            NOW,
            PairEvent::Met {
                peer: host_key,
                random: draw.bytes(),
            },
        ));
        let answer = sent(&host.on(NOW, PairEvent::Got(half.written())));
        let claim = sent(&his.on(NOW, PairEvent::Got(answer.written())));
        // Whoever has hit it is still to get past the digits.
        if matches!(
            sent(&host.on(NOW, PairEvent::Got(claim.written()))),
            Message::Commit(_)
        ) {
            return (made, true);
        }
    }
    (made, false)
}

#[test]
fn no_middle_man_guesses_the_spoken_code() {
    let threads = std::thread::available_parallelism().map_or(2, usize::from) as u64;
    let each = TRIES.div_ceil(threads);
    let counts: Vec<(u64, u64)> = std::thread::scope(|scope| {
        let work: Vec<_> = (0..threads)
            .map(|thread| {
                scope.spawn(move || {
                    let mut draw = Draw::new(1_000_000 + thread);
                    let (mut made, mut hits) = (0, 0);
                    while made < each {
                        let spoken = Spoken::generate(draw.bytes());
                        let (more, hit) = guess(&mut draw, spoken, |draw| Spoken::generate(draw.bytes()));
                        assert!(hit || more == 3);
                        made += more;
                        hits += u64::from(hit);
                    }
                    (made, hits)
                })
            })
            .collect();
        work.into_iter().map(|work| work.join().unwrap()).collect()
    });
    let (made, hits) = counts
        .iter()
        .fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    println!("{made} guesses at spoken codes: {hits} hit");
    assert!(made >= TRIES);
    assert_eq!(hits, 0, "expected {made} · 10⁻⁸");
}

/// With one unknown digit, three different guesses hit three times in ten: neither more nor less.
#[test]
fn three_guesses_are_three_and_no_more() {
    const HOSTS: u64 = 400;
    let mut draw = Draw::new(7);
    let mut hits = 0;
    for _ in 0..HOSTS {
        let digit = draw.below(10);
        let spoken = Spoken::typed(&format!("4711081{digit}")).unwrap();
        let mut next = draw.below(10);
        let (made, hit) = guess(&mut draw, spoken, |_| {
            next = (next + 1) % 10;
            Spoken::typed(&format!("4711081{next}")).unwrap()
        });
        assert!(made <= 3);
        hits += u64::from(hit);
    }
    println!("{HOSTS} codes with one unknown digit: {hits} guessed in three tries");
    as_chance(hits, HOSTS, 0.3);
}
