//! Everything that can be wrong with something sealed has one clear error, leaves nothing behind, and does not take long.

use std::time::{Duration, Instant};

use link::seal::{Opener, OpeningKey, Readers, SealError, WORK_MAX};

use crate::forge::{Inside, RECORD, encrypted, encrypted_to, for_device, noise, opened, opened_as, sealed};

/// Long for a machine under load, and nothing beside what a trap asks for.
const SOON: Duration = Duration::from_secs(5);

fn inside(inside: &Inside<'_>) -> SealError {
    let device = OpeningKey::generate();
    opened(&encrypted(&inside.bytes(), &device), &Opener::Device(&device)).unwrap_err()
}

#[test]
fn what_the_inside_says_is_held_against_what_is_expected() {
    let is = |inside: Inside<'_>| self::inside(&inside);
    assert!(matches!(
        is(Inside {
            signs: [8; 32],
            ..Inside::default()
        }),
        SealError::NotSigned
    ));
    let words = b"witnessmark something else  1\0";
    assert!(matches!(
        is(Inside {
            words,
            ..Inside::default()
        }),
        SealError::NotSigned
    ));
    let record = "0198f3a2-0000-7000-8000-000000000002";
    assert!(matches!(
        is(Inside {
            record,
            ..Inside::default()
        }),
        SealError::OtherRecord
    ));
    assert!(matches!(
        is(Inside {
            kind: 2,
            ..Inside::default()
        }),
        SealError::OtherKind
    ));
    assert!(matches!(
        is(Inside {
            layout: 2,
            ..Inside::default()
        }),
        SealError::Newer
    ));
    assert!(matches!(
        is(Inside {
            layout: 0,
            ..Inside::default()
        }),
        SealError::Malformed
    ));
    assert!(matches!(
        is(Inside {
            magic: b"wmseat",
            ..Inside::default()
        }),
        SealError::Malformed
    ));
}

#[test]
fn a_signature_for_another_content_record_or_kind_does_not_hold() {
    let device = OpeningKey::generate();
    let right = Inside::default().bytes();
    let content = 10 + RECORD.len() + 32;
    for at in content..right.len() {
        let mut other = right.clone();
        other[at] ^= 1;
        let error = opened(&encrypted(&other, &device), &Opener::Device(&device)).unwrap_err();
        assert!(matches!(error, SealError::NotSigned), "{at}: {error}");
    }
    // What was signed for another record, put under this one's name; and as another kind.
    let mut moved = Inside {
        record: "0198f3a2-0000-7000-8000-000000000002",
        ..Inside::default()
    }
    .bytes();
    moved[10..10 + RECORD.len()].copy_from_slice(RECORD.as_bytes());
    let error = opened(&encrypted(&moved, &device), &Opener::Device(&device)).unwrap_err();
    assert!(matches!(error, SealError::NotSigned));
    let mut photo = Inside {
        kind: 3,
        ..Inside::default()
    }
    .bytes();
    photo[8] = 1;
    let error = opened(&encrypted(&photo, &device), &Opener::Device(&device)).unwrap_err();
    assert!(matches!(error, SealError::NotSigned));
}

#[test]
fn a_key_that_signs_everything_signs_nothing() {
    // The point of order one: a lax reading of RFC 8032 takes the signature (R = that point, S = 0) for any words.
    let device = OpeningKey::generate();
    let mut small = [0_u8; 32];
    small[0] = 1;
    let mut bytes = b"wmseal\x01\0\x01".to_vec();
    bytes.push(u8::try_from(RECORD.len()).unwrap());
    bytes.extend(RECORD.as_bytes());
    bytes.extend(small);
    bytes.extend(b"anything at all");
    bytes.extend(small);
    bytes.extend([0; 32]);
    let error = opened(&encrypted(&bytes, &device), &Opener::Device(&device)).unwrap_err();
    assert!(matches!(error, SealError::NotSigned));
}

#[test]
fn cut_anywhere_it_is_never_taken() {
    let device = OpeningKey::generate();
    let bytes = for_device(&noise(70_000), &device);
    let few = (0..400)
        .chain((400..bytes.len()).step_by(997))
        .chain([65_000, bytes.len() - 1]);
    for at in few {
        let error = opened(&bytes[..at], &Opener::Device(&device)).unwrap_err();
        // In the middle of a piece age cannot know whether it is the piece or its end that is missing.
        assert!(
            matches!(error, SealError::CutShort | SealError::Damaged),
            "{at}: {error}"
        );
    }
    let mut more = bytes;
    more.push(0);
    assert!(matches!(
        opened(&more, &Opener::Device(&device)),
        Err(SealError::Damaged)
    ));
}

#[test]
fn with_any_byte_changed_it_is_never_taken() {
    let device = OpeningKey::generate();
    let bytes = for_device(&noise(2_000), &device);
    let mut told = [0_usize; 3];
    for at in 0..bytes.len() {
        let mut other = bytes.clone();
        other[at] ^= 1 << (at % 8);
        match opened(&other, &Opener::Device(&device)).unwrap_err() {
            SealError::Damaged => told[0] += 1,
            SealError::NotForMe => told[1] += 1,
            SealError::CutShort => told[2] += 1,
            // The version in the first line.
            SealError::Newer if at < 22 => {}
            error => panic!("{at}: {error}"),
        }
    }
    assert!(told[0] > 2_000, "{told:?}");
}

#[test]
fn more_than_the_limit_is_not_spooled() {
    let device = OpeningKey::generate();
    let bytes = for_device(&noise(100_000), &device);
    let open = |limit| opened_as(&bytes, &Opener::Device(&device), None, limit);
    assert!(open(100_000).is_ok());
    assert!(matches!(open(99_999), Err(SealError::TooLarge { limit: 99_999 })));
    assert!(matches!(open(0), Err(SealError::TooLarge { limit: 0 })));
}

#[test]
fn another_passphrase_and_the_other_way_are_told_apart() {
    let device = OpeningKey::generate();
    let bytes = sealed(b"for a newcomer", &Readers::Passphrase("seven spanners"));
    let refused = opened(&bytes, &Opener::Passphrase("seven Spanners")).unwrap_err();
    assert!(matches!(refused, SealError::WrongPassphrase));
    let refused = opened(&bytes, &Opener::Device(&device)).unwrap_err();
    assert!(matches!(refused, SealError::OtherWay));
    let bytes = for_device(b"for a member", &device);
    let refused = opened(&bytes, &Opener::Passphrase("seven spanners")).unwrap_err();
    assert!(matches!(refused, SealError::OtherWay));
}

#[test]
fn work_without_end_is_not_begun() {
    let light = encrypted_to(&Inside::default().bytes(), "seven", 10);
    assert!(opened(&light, &Opener::Passphrase("seven")).is_ok());
    let most = encrypted_to(&Inside::default().bytes(), "seven", WORK_MAX);
    assert!(opened(&most, &Opener::Passphrase("seven")).is_ok());
    // The work that a header asks for stands in it as a number, which a trap changes.
    let text = String::from_utf8_lossy(&light[..200]).into_owned();
    let line = text.lines().nth(1).unwrap();
    for work in ["18", "40", "63"] {
        let heavy = line.strip_suffix("10").unwrap().to_owned() + work;
        let mut trap = light.clone();
        let at = text.find(line).unwrap();
        trap.splice(at..at + line.len(), heavy.bytes());
        let began = Instant::now();
        let error = opened(&trap, &Opener::Passphrase("seven")).unwrap_err();
        assert!(matches!(error, SealError::TooMuchWork), "{error}");
        assert!(began.elapsed() < SOON);
    }
}

#[test]
fn a_header_without_end_is_not_read() {
    let device = OpeningKey::generate();
    let first = "age-encryption.org/v1\n";
    let traps = [
        first.to_owned() + &"-> X\n\n".repeat(2_000_000),
        first.to_owned() + "-> " + &"x".repeat(20_000_000),
        first.to_owned() + &format!("-> X25519 {}\n{}\n", "A".repeat(43), "A".repeat(43)).repeat(200_000),
        "x".repeat(20_000_000),
        "\n".repeat(1_000_000),
    ];
    for trap in traps {
        let began = Instant::now();
        let error = opened(trap.as_bytes(), &Opener::Device(&device)).unwrap_err();
        assert!(matches!(error, SealError::Damaged), "{error}");
        assert!(began.elapsed() < SOON, "{:?}", began.elapsed());
    }
}

#[test]
fn something_else_entirely_is_refused() {
    let device = OpeningKey::generate();
    for bytes in [
        &b""[..],
        b"a",
        b"age-encryption.org/v1\n",
        b"age-encryption.org/v1\n--- \n",
        &[0; 1_000],
    ] {
        let error = opened(bytes, &Opener::Device(&device)).unwrap_err();
        assert!(
            matches!(error, SealError::CutShort | SealError::Damaged),
            "{error}"
        );
    }
    // Encrypted for this device, and nothing of ours inside; too short for a signature; empty.
    for plain in [&b"hello"[..], b"", &[0; 500], &Inside::default().bytes()[..60]] {
        let error = opened(&encrypted(plain, &device), &Opener::Device(&device)).unwrap_err();
        assert!(
            matches!(error, SealError::Malformed | SealError::CutShort),
            "{error}"
        );
    }
}
