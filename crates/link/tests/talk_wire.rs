//! Messages and frames that come from somebody who means harm: lengths that are not there, counts beyond the end,
//! bytes bent anywhere. Nothing panics, nothing makes more room than the frame is long, and each fault has one sentence.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::Cursor;

use link::frame::{self, FRAME_MAX, FrameError};
use link::talk::{
    Bytes, DIGEST, Digest, Effect, Event, Garbled, Hashes, Hello, Message, Mine, PhotoKey, Talk, VERSION, Why,
};
use proptest::prelude::*;

fn key(small: bool) -> PhotoKey {
    PhotoKey { hash: [9; 32], small }
}

/// One of every kind.
fn every() -> Vec<Message> {
    vec![
        Message::Hello(Hello {
            version: VERSION,
            record: [3; 32],
            device: "a device".into(),
            heads: Hashes(vec![[1; 32], [2; 32]]),
            digest: DIGEST,
        }),
        Message::Bye { why: 4 },
        Message::Have {
            round: 1,
            at: 0,
            part: Bytes(vec![5; 300]),
            last: true,
        },
        Message::Changes {
            number: 1,
            ends: 1,
            left: 70_000,
            open: 3,
            packed: false,
            part: Bytes(vec![1, 2, 3]),
        },
        Message::Took {
            parts: 7,
            heads: Hashes(vec![[8; 32]]),
        },
        Message::Want {
            key: key(true),
            from: 1 << 40,
        },
        Message::Piece {
            key: key(false),
            offset: 64,
            total: 128,
            bytes: Bytes(vec![6; 64]),
        },
        Message::Kept {
            key: key(false),
            to: u64::MAX,
        },
        Message::NoPhoto {
            key: key(true),
            at: 1 << 33,
        },
        Message::Here { key: key(true) },
        Message::Compare {
            sent: 1,
            taken: 2,
            digest: Digest::default(),
        },
        Message::Still,
        Message::Who {
            number: 1,
            hashes: Hashes(vec![[1; 32], [2; 32]]),
        },
        Message::Holds {
            number: 1,
            hashes: Hashes(vec![[2; 32]]),
        },
    ]
}

/// Room that a message takes beside its own fixed size.
fn room(message: &Message) -> usize {
    match message {
        Message::Hello(hello) => hello.device.capacity() + hello.heads.0.capacity() * 32,
        Message::Have { part, .. } | Message::Changes { part, .. } => part.0.capacity(),
        Message::Took { heads, .. } => heads.0.capacity() * 32,
        Message::Who { hashes, .. } | Message::Holds { hashes, .. } => hashes.0.capacity() * 32,
        Message::Piece { bytes, .. } => bytes.0.capacity(),
        Message::Compare { digest, .. } => digest.heads.0.capacity() * 32,
        _ => 0,
    }
}

#[test]
fn every_message_crosses() {
    for message in every() {
        let bytes = message.to_bytes();
        assert_eq!(Message::from_bytes(&bytes), Ok(message.clone()));
        assert!(room(&message) <= bytes.len());
        for cut in 0..bytes.len() {
            assert_eq!(
                Message::from_bytes(&bytes[..cut]),
                Err(Garbled::Unreadable),
                "{message:?} cut at {cut}"
            );
        }
        let more = [bytes.as_slice(), &[0]].concat();
        assert_eq!(Message::from_bytes(&more), Err(Garbled::Trailing));
    }
}

#[test]
fn tags_stand_for_good() {
    let tags: Vec<u8> = every().iter().map(|message| message.to_bytes()[0]).collect();
    assert_eq!(tags, (0..14).collect::<Vec<u8>>());
    // Postcard's published format: the tag, then the version, each as a variable number.
    assert_eq!(Message::Bye { why: 4 }.to_bytes(), [1, 4]);
    assert_eq!(every()[0].to_bytes()[..2], [0, 3]);
    assert_eq!(Message::version_of(&[0, 0x82, 0x02, 0xff]), Some(258));
    assert_eq!(Message::version_of(&[1, 4]), None);
}

#[test]
fn giant_counts_make_no_room() {
    // A Have whose part claims 2^63 bytes, heads that claim four billion, a name that claims a gigabyte.
    let lies: [&[u8]; 4] = [
        &[2, 1, 0, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f, 1],
        &[4, 1, 0xff, 0xff, 0xff, 0xff, 0x0f, 1, 2, 3],
        &[3, 1, 1, 1, 1, 0, 0x80, 0x80, 0x80, 0x80, 0x04],
        &[200, 1, 1, 1],
    ];
    for lie in lies {
        assert_eq!(Message::from_bytes(lie), Err(Garbled::Unreadable), "{lie:?}");
    }
    let half_a_hash = [4, 1, 31].into_iter().chain([7; 31]).collect::<Vec<u8>>();
    assert_eq!(Message::from_bytes(&half_a_hash), Err(Garbled::Unreadable));
    assert_eq!(
        Message::from_bytes(&vec![0; FRAME_MAX + 1]),
        Err(Garbled::TooLong)
    );
}

#[test]
fn frames_are_bounded() {
    let body = every()[2].to_bytes();
    let mut stream = Vec::new();
    for _ in 0..3 {
        stream.extend(frame::front(&body).unwrap());
        stream.extend(&body);
    }
    let mut from = Cursor::new(&stream);
    for _ in 0..3 {
        assert_eq!(frame::read(&mut from).unwrap().unwrap(), body);
    }
    assert!(frame::read(&mut from).unwrap().is_none());
    let cut = frame::read(&mut Cursor::new(&stream[..9]));
    assert!(matches!(cut, Err(FrameError::Cut)));
    let cut = frame::read(&mut Cursor::new(&stream[..2]));
    assert!(matches!(cut, Err(FrameError::Cut)));
    for said in [0_u32, FRAME_MAX as u32 + 1, u32::MAX] {
        let lie = frame::read(&mut Cursor::new(said.to_le_bytes()));
        assert!(matches!(lie, Err(FrameError::Length(length)) if length == said));
    }
    // A promise of a megabyte that does not come.
    let promise = [(FRAME_MAX as u32).to_le_bytes().as_slice(), &[1, 2, 3]].concat();
    assert!(matches!(
        frame::read(&mut Cursor::new(promise)),
        Err(FrameError::Cut)
    ));
    assert!(frame::front(&[]).is_err() && frame::front(&vec![0; FRAME_MAX + 1]).is_err());
}

/// A conversation that has been greeted and is in an exchange.
fn in_the_middle() -> Talk {
    let mine = |head: u8, device: &str| Mine {
        record: [3; 32],
        device: device.into(),
        heads: vec![[head; 32]],
    };
    let (mut one, mut other) = (Talk::new(mine(1, "one")), Talk::new(mine(2, "other")));
    let _ = one.on(0, Event::Opened);
    for effect in other.on(0, Event::Opened) {
        if let Effect::Send(bytes) = effect {
            let _ = one.on(0, Event::Got(bytes));
        }
    }
    let _ = one.on(0, Event::Clock(vec![1; 40]));
    let _ = one.on(0, Event::Lacking(Ok(vec![vec![1; 3_000]; 400])));
    one
}

/// Nothing the other sends may make an effect that is larger than what it sent.
fn bounded(effects: &[Effect], most: usize) {
    for effect in effects {
        let size = match effect {
            Effect::Take(changes) => changes.iter().map(Vec::len).sum(),
            Effect::AskLacking(clock) => clock.len(),
            Effect::KeepPiece { bytes, .. } => bytes.len(),
            Effect::Has(heads) | Effect::AskHeld(heads) => heads.len() * 32,
            Effect::Holds { here, not } => (here.len() + not.len()) * 32,
            _ => 0,
        };
        assert!(size <= most, "{size} out of {most}");
    }
    let closed = effects
        .iter()
        .position(|effect| matches!(effect, Effect::Close(_)));
    assert!(
        closed.is_none_or(|at| at + 1 == effects.len()),
        "something follows the end"
    );
}

#[test]
fn a_message_out_of_place_ends_the_meeting_with_one_reason() {
    let check = |message: Message, words: &str| {
        let mut talk = in_the_middle();
        let effects = talk.on(1, Event::Got(message.to_bytes()));
        let Some(Effect::Close(Why::Garbled(found))) = effects.last() else {
            panic!("{message:?}: {effects:?}");
        };
        assert!(found.contains(words), "{found}");
        assert_eq!(
            effects
                .iter()
                .filter(|effect| matches!(effect, Effect::Close(_)))
                .count(),
            1
        );
        assert!(effects.contains(&Effect::Send(Message::Bye { why: 4 }.to_bytes())));
        assert!(
            talk.on(2, Event::Got(message.to_bytes())).is_empty(),
            "nothing follows the end"
        );
    };
    let changes = |number, ends, open, packed, part: Vec<u8>| Message::Changes {
        number,
        ends,
        left: 0,
        open,
        packed,
        part: Bytes(part),
    };
    let zeros = {
        use std::io::Write;
        let mut encoder = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
        encoder.write_all(&vec![0; 256 * 1024]).unwrap();
        encoder.finish().unwrap()
    };
    check(changes(2, 0, 0, false, vec![]), "missing");
    check(changes(1, 9, 0, false, vec![]), "not begun");
    check(changes(1, 0, 9, false, vec![1]), "cannot be opened");
    check(changes(1, 0, 256 * 1024, true, zeros), "cannot be opened");
    check(changes(1, 0, u32::MAX, true, vec![1; 40]), "cannot be opened");
    check(changes(1, 0, 4, false, vec![0xff; 4]), "cannot be opened");
    check(changes(1, 0, 4, false, vec![0; 4]), "cannot be opened");
    check(
        Message::Took {
            parts: 1_000,
            heads: Hashes::default(),
        },
        "more than was sent",
    );
    let have = |round, at| Message::Have {
        round,
        at,
        part: Bytes(vec![1]),
        last: false,
    };
    check(have(3, 0), "out of turn");
    check(have(1, 5), "missing");
    let piece = |offset, total, bytes: usize| Message::Piece {
        key: key(false),
        offset,
        total,
        bytes: Bytes(vec![1; bytes]),
    };
    check(piece(0, 1 << 40, 10), "longer");
    check(piece(90, 95, 10), "longer");
    check(piece(u64::MAX, 95, 10), "longer");
    check(piece(0, 1 << 20, 64 * 1024 + 1), "longer");
    check(piece(0, 95, 0), "empty");
    let mut other = every().remove(0);
    if let Message::Hello(hello) = &mut other {
        hello.device = "another".into();
    }
    check(other, "greets twice");
}

#[test]
fn one_who_does_not_wait_or_asks_without_end_is_left() {
    let mut talk = in_the_middle();
    let part = |number| Message::Changes {
        number,
        ends: 0,
        left: 0,
        open: 5,
        packed: false,
        part: Bytes(vec![1, 0, 0, 0, 7]),
    };
    let mut closed = None;
    for number in 1..10 {
        let effects = talk.on(1, Event::Got(part(number).to_bytes()));
        if matches!(effects.last(), Some(Effect::Close(Why::Garbled(_)))) {
            closed = Some(number);
            break;
        }
    }
    assert_eq!(closed, Some(5), "four parts may wait");
    let mut talk = in_the_middle();
    let mut asked = 0;
    for at in 0..1_000_u32 {
        let mut hash = [0; 32];
        hash[..4].copy_from_slice(&at.to_le_bytes());
        let want = Message::Want {
            key: PhotoKey { hash, small: false },
            from: 0,
        };
        let effects = talk.on(1, Event::Got(want.to_bytes()));
        asked += 1;
        if matches!(effects.last(), Some(Effect::Close(Why::Garbled(_)))) {
            break;
        }
    }
    assert_eq!(asked, 65);
    // A clock without an end.
    let mut talk = in_the_middle();
    let mut at = 0;
    loop {
        let part = Message::Have {
            round: 1,
            at,
            part: Bytes(vec![1; 256 * 1024]),
            last: false,
        };
        let effects = talk.on(1, Event::Got(part.to_bytes()));
        at += 256 * 1024;
        if matches!(effects.last(), Some(Effect::Close(Why::Garbled(_)))) {
            break;
        }
        assert!(at <= 4 << 20);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, ..ProptestConfig::default() })]

    #[test]
    fn bent_messages_never_panic_nor_swell(
        which in 0_usize..14,
        bends in prop::collection::vec((any::<u16>(), any::<u8>()), 1..6),
        cut in any::<u16>(),
        tail in prop::collection::vec(any::<u8>(), 0..40),
        first in any::<bool>(),
    ) {
        let mut bytes = every()[which].to_bytes();
        for (at, with) in bends {
            let at = usize::from(at) % bytes.len();
            bytes[at] ^= with;
        }
        if cut % 3 == 0 {
            bytes.truncate(usize::from(cut) % (bytes.len() + 1));
        }
        bytes.extend(tail);
        if let Ok(message) = Message::from_bytes(&bytes) {
            prop_assert!(room(&message) <= bytes.len());
        }
        let mut talk = in_the_middle();
        if first {
            talk = Talk::new(Mine { record: [3; 32], device: "one".into(), heads: vec![[1; 32]] });
            let _ = talk.on(0, Event::Opened);
        }
        // A part may open to at most thirty-two times its length.
        bounded(&talk.on(1, Event::Got(bytes.clone())), bytes.len() * 32);
        bounded(&talk.on(2, Event::Got(bytes.clone())), bytes.len() * 32);
    }

    #[test]
    fn any_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(message) = Message::from_bytes(&bytes) {
            prop_assert!(room(&message) <= bytes.len());
            prop_assert_eq!(Message::from_bytes(&message.to_bytes()), Ok(message));
        }
        bounded(&in_the_middle().on(1, Event::Got(bytes.clone())), bytes.len() * 32);
    }

    #[test]
    fn any_messages_in_any_order_never_panic(
        order in prop::collection::vec((0_usize..14, any::<u8>(), any::<u8>()), 1..40),
    ) {
        let mut talk = in_the_middle();
        for (which, at, with) in order {
            let mut bytes = every()[which].to_bytes();
            let at = usize::from(at) % bytes.len().min(12);
            if with.is_multiple_of(4) {
                bytes[at] ^= with;
            }
            let effects = talk.on(u64::from(with) * 1_000, Event::Got(bytes.clone()));
            bounded(&effects, bytes.len() * 32 + (4 << 20));
            // The host answers whatever is asked, sometimes with nonsense.
            for effect in effects {
                let answer = match effect {
                    Effect::AskClock => Event::Clock(vec![with; usize::from(with)]),
                    Effect::AskLacking(_) => Event::Lacking(Ok(vec![vec![with; 90]; usize::from(with)])),
                    Effect::Take(_) => Event::Taken(Ok(vec![[with; 32]])),
                    Effect::AskDigest => Event::Mine(Digest::default()),
                    Effect::AskHeld(_) => Event::Held(vec![[with; 32]; usize::from(with)]),
                    Effect::ReadPiece { key, offset, .. } => Event::PieceRead {
                        key,
                        offset,
                        piece: Some((u64::from(with), vec![with; usize::from(with / 2)])),
                    },
                    _ => continue,
                };
                let _ = talk.on(0, answer);
            }
        }
    }
}
