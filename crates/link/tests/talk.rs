//! The conversation of two devices over records that are no more than sets of changes: who says what in which order, what
//! is said again, what is gone on with, and how each kind of end is told. Nothing here sleeps.
//!
//! Length: every conversation is held by the same two sides, and each test says in order what is said.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod sides;

use std::collections::BTreeSet;

use link::talk::{
    ASKED_ABOUT, Bytes, CHANGE_MAX, DIGEST, Effect, Event, Hashes, Hello, Kept, Message, Mine, PIECE, Phase,
    PhotoKey, SAY_EVERY, SILENT_AFTER, Status, Talk, VERSION, WINDOW, Wanted, Why,
};

use sides::*;

#[test]
fn both_end_with_everything_and_say_so() {
    let (mut one, mut other) = (Side::of("one", &["a", "b", "c"]), Side::of("other", &["a", "d"]));
    open(&mut one, &mut other);
    same(&one, &other);
    for side in [&one, &other] {
        let status = side.talk.status();
        assert_eq!(
            (status.phase, status.alike, status.difference),
            (Phase::Live, true, false)
        );
        assert_eq!((status.lacking_here, status.lacking_there), (0, 0));
    }
    assert_eq!((one.talk.status().sent, one.talk.status().got), (2, 1));
    assert_eq!(one.met.as_deref(), Some("other"));
}

#[test]
fn those_who_hold_the_same_say_little() {
    let (mut one, mut other) = (Side::of("one", &["a", "b"]), Side::of("other", &["b", "a"]));
    let said = open(&mut one, &mut other);
    assert_eq!(said.len(), 4, "two greetings, two digests: {said:?}");
    assert!(one.talk.status().alike && other.talk.status().alike);
}

#[test]
fn what_is_new_goes_at_once_and_is_compared_after_a_while() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    open(&mut one, &mut other);
    one.write("new");
    assert!(!one.talk.status().alike);
    let said = run_out(&mut one, &mut other);
    assert_eq!(said.len(), 2, "one part, one answer: {said:?}");
    same(&one, &other);
    assert_eq!(other.talk.status().phase, Phase::Live);
    assert!(tick(&mut one, &mut other, 500).is_empty());
    let said = tick(&mut one, &mut other, 1_600);
    assert!(
        said.iter()
            .all(|(_, message)| matches!(message, Message::Compare { .. })),
        "{said:?}"
    );
    assert!(one.talk.status().alike && other.talk.status().alike);
}

#[test]
fn what_is_written_between_the_greetings_is_not_lost() {
    for (mine, theirs) in [(vec!["a"], vec!["a"]), (vec!["a", "b"], vec!["a"])] {
        let (mut one, mut other) = (Side::of("one", &mine), Side::of("other", &theirs));
        one.tell(Event::Opened);
        other.tell(Event::Opened);
        one.write("after the greeting");
        other.write("there too");
        run_out(&mut one, &mut other);
        same(&one, &other);
        tick(&mut one, &mut other, 2_500);
        assert!(one.talk.status().alike && other.talk.status().alike);
    }
}

#[test]
fn what_is_written_at_any_moment_arrives() {
    for after in 0..40 {
        let (mut one, mut other) = (Side::of("one", &["a", "b", "c"]), Side::of("other", &["d", "e"]));
        one.tell(Event::Opened);
        other.tell(Event::Opened);
        for at in 0..after {
            let (from, to) = if at % 2 == 0 {
                (&mut one, &mut other)
            } else {
                (&mut other, &mut one)
            };
            if let Some(frame) = from.out.pop_front() {
                to.tell(Event::Got(frame));
            }
            from.perform();
        }
        one.write("in between");
        other.write("in between there");
        run_out(&mut one, &mut other);
        tick(&mut one, &mut other, 2_500);
        same(&one, &other);
        assert!(
            one.talk.status().alike && !one.talk.status().difference,
            "after {after}"
        );
    }
}

#[test]
fn every_frame_may_come_twice() {
    let (mut one, mut other) = (Side::of("one", &["a", "b", "c"]), Side::of("other", &["d", "e"]));
    let key = photo(&mut one, &mut other, 200_000, false);
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    loop {
        let mut busy = false;
        for at in 0..2 {
            let (from, to) = if at == 0 {
                (&mut one, &mut other)
            } else {
                (&mut other, &mut one)
            };
            if let Some(frame) = from.out.pop_front() {
                to.tell(Event::Got(frame.clone()));
                to.tell(Event::Got(frame));
                busy = true;
            }
            busy |= from.perform();
        }
        if !busy {
            break;
        }
    }
    same(&one, &other);
    assert_eq!(other.whole, [key]);
    assert!(one.closed.is_none() && other.closed.is_none());
}

/// Many changes, one of them as large as any may be: they cross in parts, and no more than four wait.
#[test]
fn large_changes_cross_parts() {
    let mut one = Side::of("one", &[]);
    let mut noise = vec![0; CHANGE_MAX];
    blake3::Hasher::new().finalize_xof().fill(&mut noise);
    one.changes.push(b"before".to_vec());
    one.changes.push(noise);
    one.changes
        .extend((0..8_000_u32).map(|at| hash(&at.to_le_bytes()).to_vec()));
    one.talk = Talk::new(Mine {
        record: [7; 32],
        device: "one".into(),
        heads: vec![[1; 32]],
    });
    one.lie = Some(vec![[1; 32]]);
    let mut other = Side::of("other", &["mine"]).lying(vec![[2; 32]]);
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    let mut most = 0;
    loop {
        let mut busy = false;
        for at in 0..2 {
            let (from, to) = if at == 0 {
                (&mut one, &mut other)
            } else {
                (&mut other, &mut one)
            };
            let parts = from.out.iter().filter(|frame| frame[0] == 3).count();
            most = most.max(parts);
            if let Some(frame) = from.out.pop_front() {
                to.tell(Event::Got(frame));
                busy = true;
            }
            busy |= from.perform();
        }
        if !busy {
            break;
        }
    }
    assert!(most <= 4, "{most}");
    assert_eq!(other.changes.len(), 8_003);
    assert_eq!(other.changes[2].len(), CHANGE_MAX);
    assert_eq!(other.taken.iter().sum::<usize>(), 8_002);
}

fn photo(from: &mut Side, to: &mut Side, length: usize, small: bool) -> PhotoKey {
    let mut bytes = vec![0; length];
    blake3::Hasher::new()
        .update(&length.to_le_bytes())
        .finalize_xof()
        .fill(&mut bytes);
    let key = PhotoKey {
        hash: hash(&bytes),
        small,
    };
    from.photos.insert(key, bytes);
    to.parts.insert(key, Vec::new());
    key
}

#[test]
fn small_pictures_come_first_and_changes_before_both() {
    let (mut one, mut other) = (Side::of("one", &["a", "b"]), Side::of("other", &["c"]));
    let large = photo(&mut one, &mut other, 500_000, false);
    let small = photo(&mut one, &mut other, 3_000, true);
    let said = open(&mut one, &mut other);
    assert_eq!(other.whole, [small, large]);
    let of = |is: fn(&Message) -> bool| {
        said.iter()
            .position(|(at, message)| *at == 0 && is(message))
            .unwrap()
    };
    assert!(
        of(|message| matches!(message, Message::Changes { .. }))
            < of(|message| matches!(message, Message::Piece { .. }))
    );
    // What is new goes between the pieces.
    let key = photo(&mut one, &mut other, 3_000_000, false);
    other.tell(Event::Photos(vec![Wanted { key, from: 0 }]));
    for _ in 0..12 {
        if let Some(frame) = other.out.pop_front() {
            one.tell(Event::Got(frame));
        }
        one.perform();
    }
    one.write("in between");
    let mut out = 0_u64;
    for frame in &one.out {
        if let Ok(Message::Piece { bytes, .. }) = Message::from_bytes(frame) {
            out += bytes.0.len() as u64;
        }
    }
    assert!(out > 0 && out <= WINDOW, "{out}");
    assert!(matches!(
        Message::from_bytes(one.out.back().unwrap()),
        Ok(Message::Changes { .. })
    ));
    run_out(&mut one, &mut other);
    assert_eq!(other.photos[&key].len(), 3_000_000);
    same(&one, &other);
}

#[test]
fn a_photo_is_gone_on_with_where_it_was_left() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    let key = photo(&mut one, &mut other, 20 * PIECE, false);
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    while other.parts[&key].len() < 7 * PIECE {
        for at in 0..2 {
            let (from, to) = if at == 0 {
                (&mut one, &mut other)
            } else {
                (&mut other, &mut one)
            };
            if let Some(frame) = from.out.pop_front() {
                to.tell(Event::Got(frame));
            }
            from.perform();
        }
    }
    other.tell(Event::Broke);
    assert_eq!(other.closed, Some(Why::Broke));
    assert!(other.talk.on(9, Event::Tick).is_empty());
    let mut again = Side::of("one", &["a"]);
    again.photos = one.photos;
    let mut back = Side::of("other", &["a"]);
    back.parts = other.parts;
    let said = open(&mut again, &mut back);
    let pieces: Vec<u64> = said
        .iter()
        .filter_map(|(_, message)| match message {
            Message::Piece { offset, .. } => Some(*offset),
            _ => None,
        })
        .collect();
    assert_eq!(pieces.first(), Some(&(7 * PIECE as u64)));
    assert_eq!(pieces.len(), 13, "nothing is sent twice");
    assert_eq!(back.whole, [key]);
}

#[test]
fn a_wrong_photo_is_asked_for_once_more_and_then_left() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    let key = photo(&mut one, &mut other, 200_000, false);
    one.photos.get_mut(&key).unwrap()[150_000] ^= 1;
    let said = open(&mut one, &mut other);
    let wants = said
        .iter()
        .filter(|(_, message)| matches!(message, Message::Want { .. }))
        .count();
    assert_eq!(wants, 2);
    assert!(
        other.whole.is_empty() && other.photos.is_empty(),
        "a wrong byte landed"
    );
    let status = other.talk.status();
    assert_eq!(
        (status.photos_wrong, status.photos_left, status.phase),
        (1, 0, Phase::Live)
    );
    assert!(other.closed.is_none());
}

#[test]
fn a_photo_that_comes_later_is_told() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    let key = photo(&mut one, &mut other, 1_000, false);
    let bytes = one.photos.remove(&key).unwrap();
    let said = open(&mut one, &mut other);
    assert!(said.contains(&(0, Message::NoPhoto { key, at: 0 })));
    assert_eq!(other.talk.status().photos_left, 0);
    one.photos.insert(key, bytes);
    one.tell(Event::PhotoHere(key));
    run_out(&mut one, &mut other);
    assert_eq!(other.whole, [key]);
    // No room: no more are asked for, and the meeting goes on.
    let key = photo(&mut one, &mut other, 1_000_000, false);
    other.tell(Event::Photos(vec![Wanted { key, from: 0 }]));
    while other.todo.is_empty() {
        while let Some(frame) = other.out.pop_front() {
            one.tell(Event::Got(frame));
        }
        one.perform();
        while let Some(frame) = one.out.pop_front() {
            other.tell(Event::Got(frame));
        }
    }
    other.todo.clear();
    other.tell(Event::PieceKept {
        key,
        kept: Kept::Cannot,
    });
    run_out(&mut one, &mut other);
    assert_eq!(
        (other.talk.status().photos_left, one.talk.status().phase),
        (0, Phase::Live)
    );
}

/// What was kept of a photo from an earlier meeting is wrong at its beginning, and the other got the photo only after it
/// was asked: that it had not as far says nothing of what is wrong here.
#[test]
fn a_part_that_is_wrong_is_dropped_though_the_other_got_the_photo_later() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    let key = photo(&mut one, &mut other, 3 * PIECE, false);
    let bytes = one.photos.remove(&key).unwrap();
    other.parts.insert(key, vec![0xbd; 1_000]);
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    // Until the other side was told that it is not there, and asks from the beginning.
    let again = Message::Want { key, from: 0 }.to_bytes();
    for step in 0.. {
        assert!(step < 100, "it does not ask from the beginning");
        if let Some(frame) = one.out.pop_front() {
            other.tell(Event::Got(frame));
        }
        other.perform();
        if other.out.contains(&again) {
            break;
        }
        if let Some(frame) = other.out.pop_front() {
            one.tell(Event::Got(frame));
        }
        one.perform();
    }
    // Now another device brings it there.
    one.photos.insert(key, bytes.clone());
    one.tell(Event::PhotoHere(key));
    run_out(&mut one, &mut other);
    assert_eq!(other.whole, [key]);
    assert!(other.photos[&key] == bytes);
    assert_eq!(other.talk.status().photos_wrong, 0);
}

/// Another meeting of the same device brought a wrong part, which was dropped while pieces were on their way here.
#[test]
fn what_is_gone_is_gone_on_with_from_where_it_is() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    let key = photo(&mut one, &mut other, 30 * PIECE, false);
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    let mut drops = 0;
    loop {
        let mut busy = false;
        for at in 0..2 {
            let (from, to) = if at == 0 {
                (&mut one, &mut other)
            } else {
                (&mut other, &mut one)
            };
            if let Some(frame) = from.out.pop_front() {
                to.tell(Event::Got(frame));
                busy = true;
            }
            busy |= from.perform();
        }
        if let Some(part) = other.parts.get_mut(&key)
            && part.len() >= (4 + 5 * drops) * PIECE
            && drops < 4
        {
            part.truncate(part.len() / (drops + 1) / 2);
            drops += 1;
        }
        if !busy {
            break;
        }
    }
    assert_eq!(drops, 4);
    assert_eq!(other.whole, [key]);
    assert_eq!(other.talk.status().photos_wrong, 0);
    assert_eq!(
        one.talk.status().phase,
        Phase::Live,
        "nothing waits for an answer"
    );
}

#[test]
fn a_photo_that_is_wanted_no_more_is_given_up_and_comes_when_it_is_again() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    let keys: Vec<PhotoKey> = (1..=20)
        .map(|at| photo(&mut one, &mut other, at * PIECE, false))
        .collect();
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    for step in 0.. {
        assert!(step < 1_000, "no photo comes");
        if !other.whole.is_empty() {
            break;
        }
        for at in 0..2 {
            let (from, to) = if at == 0 {
                (&mut one, &mut other)
            } else {
                (&mut other, &mut one)
            };
            if let Some(frame) = from.out.pop_front() {
                to.tell(Event::Got(frame));
            }
            from.perform();
        }
    }
    // The keeper wants one of them only.
    let asked = *other.parts.keys().last().unwrap();
    let wanted = |side: &Side| side.wanted().into_iter().filter(|one| one.key == asked).collect();
    let few: Vec<Wanted> = wanted(&other);
    other.tell(Event::Photos(few));
    run_out(&mut one, &mut other);
    assert!(other.whole.contains(&asked));
    assert!(other.whole.len() < 6, "{} came", other.whole.len());
    assert_eq!(
        (other.talk.status().photos_left, one.talk.status().phase),
        (0, Phase::Live)
    );
    // And then all of them.
    let all = other.wanted();
    other.tell(Event::Photos(all));
    run_out(&mut one, &mut other);
    assert!(keys.iter().all(|key| other.photos[key] == one.photos[key]));
}

#[test]
fn who_has_what_is_missing_is_told_exactly_and_told_again() {
    let (mut one, mut other) = (Side::of("one", &["a", "b"]), Side::of("other", &["a", "c"]));
    let has = photo(&mut one, &mut other, 5_000, false);
    let later = photo(&mut one, &mut other, 6_000, false);
    let bytes = one.photos.remove(&later).unwrap();
    other.asks_who = true;
    // Nothing is wanted: the keeper asks for photos one by one.
    other.parts.clear();
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    run_out(&mut one, &mut other);
    let many: Vec<[u8; 32]> = (0..10_000_u32).map(|at| hash(&at.to_le_bytes())).collect();
    other.tell(Event::Missing(
        [vec![has.hash, later.hash], many.clone()].concat(),
    ));
    let said = run_out(&mut one, &mut other);
    let questions: Vec<usize> = said
        .iter()
        .filter_map(|(_, message)| match message {
            Message::Who { hashes, .. } => Some(hashes.0.len()),
            _ => None,
        })
        .collect();
    assert_eq!(questions, [ASKED_ABOUT, ASKED_ABOUT, 10_002 - 2 * ASKED_ABOUT]);
    assert_eq!(other.there, BTreeSet::from([has.hash]));
    assert!(other.whole.is_empty(), "what is only missing is not fetched");
    // Asked again, nothing is said again; what comes there later is told.
    other.tell(Event::Missing(many));
    assert!(run_out(&mut one, &mut other).is_empty());
    one.photos.insert(later, bytes);
    one.tell(Event::PhotoHere(later));
    run_out(&mut one, &mut other);
    assert_eq!(other.there, BTreeSet::from([has.hash, later.hash]));
}

#[test]
fn what_was_derived_wrongly_is_made_anew_and_both_end_alike() {
    for bent in [[true, false], [false, true], [true, true]] {
        let (mut one, mut other) = (Side::of("one", &["a", "b"]), Side::of("other", &["b", "a"]));
        (one.bent, other.bent) = (bent[0], bent[1]);
        // Two that are wrong in the same way agree, and so find nothing: what one derived is not the other's to judge.
        let agree = bent == [true, true];
        open(&mut one, &mut other);
        for side in [&one, &other] {
            assert_eq!(side.mended, usize::from(!agree));
            assert!(side.talk.status().alike && !side.talk.status().difference);
        }
    }
    // One who is wrong for good is shown.
    let (mut one, mut liar) = (Side::of("one", &["a", "b"]), Side::of("other", &["b", "a"]));
    liar.bent = true;
    one.tell(Event::Opened);
    liar.tell(Event::Opened);
    loop {
        // Both, whatever the first says.
        let busy = [one.perform(), liar.perform()].contains(&true);
        liar.bent = true;
        let (mine, theirs) = (one.out.pop_front(), liar.out.pop_front());
        let busy = busy || mine.is_some() || theirs.is_some();
        mine.into_iter().for_each(|frame| liar.tell(Event::Got(frame)));
        theirs.into_iter().for_each(|frame| one.tell(Event::Got(frame)));
        if !busy {
            break;
        }
    }
    assert!(one.talk.status().difference && liar.talk.status().difference);
    assert_eq!(one.mended, 1, "once, and not for ever");
}

#[test]
fn other_versions_and_records_are_told_apart() {
    let greeted = |hello: Vec<u8>| {
        let mut one = Side::of("one", &["a"]);
        one.tell(Event::Opened);
        one.out.clear();
        one.tell(Event::Got(hello));
        let bye = one
            .out
            .pop_back()
            .map(|frame| Message::from_bytes(&frame).unwrap());
        (one.closed.unwrap(), bye.unwrap())
    };
    let hello = |version, record| {
        Message::Hello(Hello {
            version,
            record: [record; 32],
            device: "other".into(),
            heads: Hashes::default(),
            digest: DIGEST,
        })
        .to_bytes()
    };
    let (why, bye) = greeted(hello(VERSION - 1, 7));
    assert_eq!((why, bye), (Why::Older(VERSION - 1), Message::Bye { why: 2 }));
    // A newer greeting may go on in any way.
    let (why, _) = greeted(vec![0, 9, 0xff, 0xff, 0xff]);
    assert_eq!(why, Why::Newer(9));
    assert!(why.to_string().contains("newer"));
    let (why, bye) = greeted(hello(VERSION, 8));
    assert_eq!((why, bye), (Why::OtherRecord, Message::Bye { why: 3 }));
    let (why, _) = greeted(Message::Still.to_bytes());
    assert!(matches!(why, Why::Garbled(words) if words.contains("greet")));
    // And each end is told to the other.
    for why in [Why::Leaving, Why::Revoked, Why::Silent] {
        let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
        open(&mut one, &mut other);
        one.tell(Event::Leave(why.clone()));
        run_out(&mut one, &mut other);
        assert_eq!(other.closed, Some(Why::told(why.code())));
        assert_eq!(
            (one.talk.status().phase, other.talk.status().phase),
            (Phase::Ended, Phase::Ended)
        );
    }
}

#[test]
fn silence_is_noticed_and_a_leap_of_the_clock_is_none() {
    let (mut one, mut other) = (Side::of("one", &["a"]), Side::of("other", &["a"]));
    open(&mut one, &mut other);
    // Three minutes, in which each says now and then that it is there.
    let mut still = 0;
    for _ in 0..36 {
        let said = tick(&mut one, &mut other, 5_000);
        still += said
            .iter()
            .filter(|(_, message)| *message == Message::Still)
            .count();
    }
    assert!(
        one.closed.is_none() && still as u64 >= 2 * (180_000 / SAY_EVERY) - 2,
        "{still}"
    );
    // Ten years at once are no silence, and a clock that goes back neither.
    let ten_years = 315_576_000_000;
    for now in [one.now + ten_years, one.now, 0] {
        one.now = now;
        one.tell(Event::Tick);
        assert!(one.closed.is_none());
    }
    let started = one.now;
    while one.closed.is_none() {
        one.now += 5_000;
        one.tell(Event::Tick);
        one.out.clear();
        assert!(one.now < started + 2 * SILENT_AFTER);
    }
    assert_eq!(one.closed, Some(Why::Silent));
}

#[test]
fn one_who_lies_about_heads_makes_a_difference_that_is_said() {
    // It says that it has what the other has, and holds something else.
    let honest = Side::of("one", &["a", "b"]);
    let heads = honest.heads();
    let (mut one, mut liar) = (honest, Side::of("liar", &["a", "z"]).lying(heads));
    let said = open(&mut one, &mut liar);
    // Everything was gone through once more, and it was mended: the heads were a lie, the changes came all the same.
    assert!(
        said.iter()
            .any(|(_, message)| matches!(message, Message::Have { round: 1, .. }))
    );
    assert!(one.changes.contains(&b"z".to_vec()));
    assert!(one.closed.is_none());
    // It says that it has heads that nobody has, and never gives them.
    let (mut one, mut liar) = (
        Side::of("one", &["a"]),
        Side::of("liar", &["a"]).lying(vec![[0xee; 32]]),
    );
    let said = open(&mut one, &mut liar);
    let rounds: BTreeSet<u32> = said
        .iter()
        .filter_map(|(_, message)| match message {
            Message::Have { round, .. } => Some(*round),
            _ => None,
        })
        .collect();
    assert_eq!(rounds, BTreeSet::from([1, 2]), "once more, and not for ever");
    let status: Status = one.talk.status();
    assert!(status.difference && !status.alike && status.phase == Phase::Live);
    assert!(liar.talk.status().difference);
    // The meeting goes on, and what is new still comes.
    liar.write("news");
    run_out(&mut one, &mut liar);
    assert!(one.changes.contains(&b"news".to_vec()));
    // When the difference is gone, it is no longer said.
    let (mut one, mut other) = (
        Side::of("one", &["a"]),
        Side::of("other", &["a"]).lying(vec![[0xee; 32]]),
    );
    open(&mut one, &mut other);
    other.lie = None;
    one.write("more");
    run_out(&mut one, &mut other);
    tick(&mut one, &mut other, 2_500);
    assert!(one.talk.status().alike && !one.talk.status().difference);
}

#[test]
fn what_the_record_refuses_ends_the_meeting_on_both_sides() {
    let (mut one, mut other) = (Side::of("one", &["a", "b"]), Side::of("other", &["a"]));
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    loop {
        if let Some(frame) = one.out.pop_front() {
            other.tell(Event::Got(frame));
        }
        if let Some(frame) = other.out.pop_front() {
            one.tell(Event::Got(frame));
        }
        one.perform();
        if matches!(other.todo.front(), Some(Effect::Take(_))) {
            break;
        }
        other.perform();
    }
    other.todo.clear();
    other.tell(Event::Taken(Err("a change is damaged".into())));
    run_out(&mut one, &mut other);
    assert_eq!(other.closed, Some(Why::Refused("a change is damaged".into())));
    assert_eq!(one.closed, Some(Why::NotTaken));
    let garbled = Message::Changes {
        number: 1,
        ends: 0,
        left: 0,
        open: 1,
        packed: true,
        part: Bytes(vec![0xff]),
    };
    assert!(one.talk.on(0, Event::Got(garbled.to_bytes())).is_empty());
}
