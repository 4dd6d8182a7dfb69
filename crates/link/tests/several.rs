//! What two sides talk about over one connection: lists that change while frames are on their way, conversations that
//! begin anew, and lists that no honest side sends. Both sides come to the same, and no frame of a conversation that is
//! over is taken for one of the next.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::{BTreeSet, VecDeque};

use link::talk::{
    FrameCame, MOST_ANEW, MOST_RECORDS, Message, PhotoKey, Several, Tag, Urgency, VERSION, Why,
};

fn tags(all: &[u8]) -> BTreeSet<Tag> {
    all.iter().map(|tag| [*tag; 16]).collect()
}

/// Two that have greeted with these.
fn two(one: &[u8], other: &[u8]) -> (Several, Several) {
    let (mut a, mut b) = (Several::default(), Several::default());
    let (from_a, from_b) = (a.share(&tags(one)).unwrap(), b.share(&tags(other)).unwrap());
    assert_eq!(b.got(&from_a), Ok(FrameCame::Listed));
    assert_eq!(a.got(&from_b), Ok(FrameCame::Listed));
    (a, b)
}

#[test]
fn what_both_name_is_talked_about_and_nothing_else() {
    let (mut a, b) = two(&[1, 2, 3], &[2, 3, 4]);
    let both: Vec<Tag> = a.open().into_keys().collect();
    assert_eq!(both, [[2; 16], [3; 16]]);
    assert_eq!(a.open(), b.open());
    assert_eq!(a.about(&[1; 16], b"hello"), None);
    assert_eq!(a.about(&[4; 16], b"hello"), None);
    let frame = b.about(&[2; 16], b"hello").unwrap();
    assert_eq!(a.got(&frame), Ok(FrameCame::About([2; 16], b"hello".to_vec())));
    // The same about a record that the other knows and this side shares with somebody else.
    let mut about = frame.clone();
    about[1..17].fill(1);
    assert_eq!(a.got(&about), Ok(FrameCame::Nothing));
    // What is told again is no news.
    assert_eq!(a.share(&tags(&[1, 2, 3])), None);
}

#[test]
fn a_record_joins_and_leaves_while_the_connection_stands() {
    let (mut a, mut b) = two(&[1], &[1]);
    let list = a.share(&tags(&[1, 2])).unwrap();
    assert_eq!(b.got(&list), Ok(FrameCame::Listed));
    assert_eq!(b.open().len(), 1);
    let list = b.share(&tags(&[1, 2])).unwrap();
    assert_eq!(a.got(&list), Ok(FrameCame::Listed));
    assert_eq!((a.open().len(), a.open()), (2, b.open()));
    // It leaves and comes back while a frame is on its way: that frame is of the conversation before.
    let late = b.about(&[2; 16], b"late").unwrap();
    let (left, back) = (a.share(&tags(&[1])).unwrap(), a.share(&tags(&[1, 2])).unwrap());
    assert_eq!(a.got(&late), Ok(FrameCame::Nothing));
    let stays = b.about(&[1; 16], b"stays").unwrap();
    for list in [left, back] {
        assert_eq!(b.got(&list), Ok(FrameCame::Listed));
    }
    assert_eq!(a.open(), b.open());
    assert_eq!(a.got(&stays), Ok(FrameCame::About([1; 16], b"stays".to_vec())));
    let now = b.about(&[2; 16], b"now").unwrap();
    assert_eq!(a.got(&now), Ok(FrameCame::About([2; 16], b"now".to_vec())));
}

#[test]
fn both_come_to_the_same_whatever_they_do_meanwhile() {
    for seed in 0..400_u64 {
        let mut drawn = blake3::Hasher::new().update(&seed.to_le_bytes()).finalize_xof();
        let mut below = |most: u8| {
            let mut byte = [0];
            drawn.fill(&mut byte);
            byte[0] % most
        };
        let mut sides = [Several::default(), Several::default()];
        let mut ways = [VecDeque::new(), VecDeque::new()];
        for at in 0..2 {
            ways[at].extend(sides[at].share(&tags(&[1, 2])));
        }
        let mut taken = 0;
        for _ in 0..60 {
            let at = usize::from(below(2));
            match below(6) {
                0 => {
                    let shared: Vec<u8> = (1..=3).filter(|_| below(3) > 0).collect();
                    ways[at].extend(sides[at].share(&tags(&shared)));
                }
                1 => ways[at].extend(sides[at].anew(&[1 + below(3); 16])),
                2 => {
                    let tag = [1 + below(3); 16];
                    let number = sides[at].open().get(&tag).copied();
                    let body = number.unwrap_or_default().to_le_bytes();
                    ways[at].extend(sides[at].about(&tag, &body));
                }
                _ => {
                    let Some(frame) = ways[1 - at].pop_front() else {
                        continue;
                    };
                    let frame: Vec<u8> = frame;
                    if let FrameCame::About(tag, body) = sides[at].got(&frame).unwrap() {
                        assert_eq!(sides[at].open()[&tag].to_le_bytes(), body[..], "seed {seed}");
                        taken += 1;
                    }
                }
            }
        }
        for at in 0..2 {
            for frame in std::mem::take(&mut ways[1 - at]) {
                let _ = sides[at].got(&frame).unwrap();
            }
        }
        assert_eq!(sides[0].open(), sides[1].open(), "seed {seed}");
        assert!(seed > 0 || taken > 0);
    }
}

#[test]
fn what_no_honest_side_sends_ends_it_with_one_reason() {
    let list = |names: &[u8]| {
        // Postcard's published format: the place in the list, the version and the length as variable numbers, the bytes.
        let mut frame = postcard::to_allocvec(&(0_u8, VERSION)).unwrap();
        frame.extend(postcard::to_allocvec(&u32::try_from(names.len()).unwrap()).unwrap());
        frame.extend(names);
        frame
    };
    let fresh = || {
        let mut side = Several::default();
        side.share(&tags(&[1, 2])).unwrap();
        side
    };
    let name = |tag: u8, number: u32| -> Vec<u8> {
        let mut name = vec![tag; 16];
        name.extend(number.to_le_bytes());
        name
    };
    assert_eq!(fresh().got(&list(&name(1, 1))), Ok(FrameCame::Listed));
    let garbled = |frame: &[u8]| assert!(matches!(fresh().got(frame), Err(Why::Garbled(_))), "{frame:?}");
    garbled(&[]);
    garbled(&[0xff; 40]);
    garbled(&list(&[1; 19]));
    garbled(&list(&[name(1, 1), name(1, 2)].concat()));
    let many: Vec<u8> = (0..=MOST_RECORDS)
        .flat_map(|at| {
            let mut name = vec![0; 20];
            name[..8].copy_from_slice(&at.to_le_bytes());
            name
        })
        .collect();
    garbled(&list(&many));
    assert_eq!(fresh().got(&list(&many[20..])), Ok(FrameCame::Listed));
    // A length that goes beyond its end, and something stuck to it.
    garbled(&[0, 3, 0xff, 0xff, 0xff, 0x7f, 1, 2]);
    garbled(&[list(&name(1, 1)), vec![0]].concat());
    garbled(&vec![1; (1 << 20) + 1]);
    // Before any list.
    let other = two(&[1], &[1]).1;
    garbled(&other.about(&[1; 16], b"early").unwrap());

    let later = postcard::to_allocvec(&(0_u8, VERSION + 7)).unwrap();
    assert_eq!(fresh().got(&later), Err(Why::Newer(VERSION + 7)));
    assert_eq!(fresh().got(&[0, 1, 9, 9, 9]), Err(Why::Older(1)));
    let bye = Several::bye(&Why::OtherRecord);
    assert_eq!(fresh().got(&bye), Err(Why::OtherRecord));

    let mut side = fresh();
    for number in 1..=MOST_ANEW {
        assert_eq!(side.got(&list(&name(1, number))), Ok(FrameCame::Listed));
        assert_eq!(side.got(&list(&name(9, number))), Ok(FrameCame::Listed));
    }
    assert!(matches!(side.got(&list(&name(1, 1_000))), Err(Why::Garbled(_))));
}

#[test]
fn photos_are_overtaken_and_what_answers_for_them_goes_with_them() {
    for small in [true, false] {
        let key = PhotoKey {
            hash: [200; 32],
            small,
        };
        let piece = Message::Piece {
            key,
            offset: 0,
            total: 3,
            bytes: link::talk::Bytes(vec![1, 2, 3]),
        };
        for message in [piece, Message::NoPhoto { key, at: 9 }, Message::Here { key }] {
            assert_eq!(Message::urgency_of(&message.to_bytes()), Urgency::of(small));
        }
        for message in [
            Message::Want { key, from: 0 },
            Message::Kept { key, to: 9 },
            Message::Still,
        ] {
            assert_eq!(Message::urgency_of(&message.to_bytes()), Urgency::Changes);
        }
    }
    assert!(Urgency::Changes < Urgency::Smalls && Urgency::Smalls < Urgency::Photos);
    assert_eq!(Message::urgency_of(&[]), Urgency::Changes);
}
