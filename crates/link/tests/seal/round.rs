//! What is sealed comes out as it went in, for those whom it was sealed for, and says who wrote it.

use link::seal::{
    Opener, OpeningKey, READERS_MAX, Readers, SealError, SigningKey, Subject, is_seal, sealed_size,
};

use crate::forge::{Inside, RECORD, SECRET, about, encrypted, for_device, noise, opened, opened_as, sealed};

/// Around the signature that is held back, and around age's piece of 64 KiB with the front before it.
fn lengths() -> impl Iterator<Item = usize> {
    let front = 10 + RECORD.len() + 32;
    [
        0,
        1,
        63,
        64,
        65,
        65_536 - front - 64,
        65_536 - front - 63,
        65_535,
        65_536,
        65_537,
        131_072,
        1_000_000,
    ]
    .into_iter()
}

#[test]
fn every_reader_opens_it_and_knows_the_sender() {
    let devices = [
        OpeningKey::generate(),
        OpeningKey::generate(),
        OpeningKey::generate(),
    ];
    let seals: Vec<String> = devices.iter().map(OpeningKey::seal).collect();
    for length in lengths() {
        let content = noise(length);
        let bytes = sealed(&content, &Readers::Members(&seals));
        for device in &devices {
            let (found, read) = opened(&bytes, &Opener::Device(device)).unwrap();
            assert!(read == content, "{length} bytes came out otherwise");
            assert_eq!(found.sender, SigningKey::from_bytes(SECRET).public());
            assert_eq!(found.record, RECORD);
            assert_eq!(found.length, length as u64);
            assert_eq!(found.digest, *blake3::hash(&content).as_bytes());
        }
    }
}

#[test]
fn a_passphrase_opens_it_and_the_record_need_not_be_known() {
    let content = noise(100_000);
    let bytes = sealed(&content, &Readers::Passphrase("seven spanners under the bench"));
    let opener = Opener::Passphrase("seven spanners under the bench");
    let (found, read) = opened_as(&bytes, &opener, None, 1 << 20).unwrap();
    assert!(read == content);
    assert_eq!(found.record, RECORD);
}

#[test]
fn the_layout_is_the_one_that_is_written_down() {
    let device = OpeningKey::generate();
    let bytes = encrypted(&Inside::default().bytes(), &device);
    let (found, read) = opened(&bytes, &Opener::Device(&device)).unwrap();
    assert_eq!(read, b"the content");
    assert_eq!(found.record, RECORD);
}

#[test]
fn the_size_is_told_before_and_is_never_too_small() {
    let devices: Vec<OpeningKey> = (0..9).map(|_| OpeningKey::generate()).collect();
    let seals: Vec<String> = devices.iter().map(OpeningKey::seal).collect();
    for length in lengths() {
        for readers in [1, 2, 9] {
            let told = sealed_size(length as u64, RECORD, readers);
            // age's reader at random is another each time.
            for _ in 0..20 {
                let bytes = sealed(&noise(length), &Readers::Members(&seals[..readers]));
                let over = told.checked_sub(bytes.len() as u64);
                assert!(
                    over.is_some_and(|over| over <= 205),
                    "{length}, {readers}: {over:?}"
                );
            }
        }
    }
    let told = sealed_size(70_000, RECORD, 0);
    let bytes = sealed(&noise(70_000), &Readers::Passphrase("seven"));
    assert_eq!(told, bytes.len() as u64);
}

#[test]
fn a_key_survives_as_text_and_is_never_printed() {
    let device = OpeningKey::generate();
    let text = device.secret_text();
    let again = OpeningKey::from_text(&text).unwrap();
    assert_eq!(again.seal(), device.seal());
    assert!(is_seal(&device.seal()) && !is_seal(&text) && !is_seal("age1"));
    assert!(matches!(OpeningKey::from_text("age1"), Err(SealError::BadKey)));
    let printed = format!("{device:?} {:?}", SigningKey::from_bytes(SECRET));
    assert!(!printed.contains(&text) && !printed.contains("AGE") && !printed.contains('7'));
}

#[test]
fn nobody_too_many_and_what_is_no_seal_are_refused_before_anything_is_written() {
    let sign = SigningKey::from_bytes(SECRET);
    let one = OpeningKey::generate().seal();
    let fails = |about: &Subject<'_>, readers: &Readers<'_>| {
        let mut out = Vec::new();
        let error = link::seal::Sealing::new(&mut out, &sign, about, readers)
            .err()
            .unwrap();
        assert!(out.is_empty());
        error
    };
    assert!(matches!(
        fails(&about(), &Readers::Members(&[])),
        SealError::Readers
    ));
    let many = vec![one.clone(); READERS_MAX + 1];
    assert!(matches!(
        fails(&about(), &Readers::Members(&many)),
        SealError::Readers
    ));
    let bad = [one.clone(), "age1nobody".to_owned()];
    assert!(matches!(
        fails(&about(), &Readers::Members(&bad)),
        SealError::BadSeal
    ));
    let long = "x".repeat(65);
    let about = Subject {
        record: &long,
        ..about()
    };
    assert!(matches!(
        fails(&about, &Readers::Members(&[one])),
        SealError::BadRecord
    ));
}

#[test]
fn as_many_readers_as_may_be_still_open_it() {
    let last = OpeningKey::generate();
    let mut seals: Vec<String> = (1..READERS_MAX).map(|_| OpeningKey::generate().seal()).collect();
    seals.push(last.seal());
    let bytes = sealed(b"for the whole club", &Readers::Members(&seals));
    assert_eq!(
        opened(&bytes, &Opener::Device(&last)).unwrap().1,
        b"for the whole club"
    );
    assert!(matches!(
        opened(&for_device(b"x", &OpeningKey::generate()), &Opener::Device(&last)),
        Err(SealError::NotForMe)
    ));
}
