//! A carry file sealed to members or to a passphrase: what lies in the clear, that it comes out as it went in, that each
//! thing that can be wrong has its own error, and that its size is told before.

use std::io::Cursor;

use link::carry::{
    CarryError, Contents, Head, Limits, MAGIC, Seal, Sealed, Size, Writer, check, read, seal_of, unseal,
};
use link::seal::{Opener, OpeningKey, Readers, SealError, SigningKey};

use crate::forge::{Kept, hash, noise, small};

const RECORD: &str = "0198f3a2-0000-7000-8000-000000000001";
const PHOTOS: [usize; 4] = [0, 1, 300_000, 262_144];

fn head() -> Head {
    Head {
        record: RECORD.into(),
        car: "Aunt Dilys's Tern".into(),
        whole: true,
        changes: 40,
        photos: PHOTOS.len() as u64,
        ..Head::default()
    }
}

fn changes() -> Vec<([u8; 32], Vec<u8>)> {
    (0..40)
        .map(|at| {
            (
                hash(format!("change {at}").as_bytes()),
                noise(&format!("c{at}"), 100 + 900 * at),
            )
        })
        .collect()
}

fn filled<W: std::io::Write>(out: W) -> (W, Contents) {
    let mut writer = Writer::new(out, head()).unwrap();
    for (hash, bytes) in changes() {
        writer.change(&hash, &bytes).unwrap();
    }
    for length in PHOTOS {
        let photo = noise("a photo", length);
        let hash = *blake3::hash(&photo).as_bytes();
        writer
            .photo(&hash, length as u64, &mut Cursor::new(photo))
            .unwrap();
    }
    writer.finish().unwrap()
}

fn sealed(readers: &Readers<'_>) -> Vec<u8> {
    let sign = SigningKey::from_bytes([7; 32]);
    let out = Sealed::new(Vec::new(), &sign, RECORD, readers).unwrap();
    filled(out).0.finish().unwrap()
}

fn opened(bytes: &[u8], opener: &Opener<'_>, record: Option<&str>) -> Result<Vec<u8>, CarryError> {
    let mut spool = Cursor::new(vec![9; 9]);
    let result = unseal(&mut Cursor::new(bytes), opener, record, 1 << 30, &mut spool);
    match result {
        Ok(opened) => {
            assert_eq!(opened.sender, SigningKey::from_bytes([7; 32]).public());
            assert_eq!(opened.record, RECORD);
            Ok(spool.into_inner())
        }
        Err(error) => {
            assert_eq!(spool.into_inner(), b"", "{error}");
            Err(error)
        }
    }
}

#[test]
fn it_comes_out_as_the_open_file_that_it_would_have_been() {
    let device = OpeningKey::generate();
    let (plain, wrote) = filled(Vec::new());
    for (readers, opener, seal) in [
        (
            Readers::Members(&[device.seal(), OpeningKey::generate().seal()]),
            Opener::Device(&device),
            Seal::Members,
        ),
        (
            Readers::Passphrase("seven spanners"),
            Opener::Passphrase("seven spanners"),
            Seal::Passphrase,
        ),
    ] {
        let bytes = sealed(&readers);
        assert_eq!(seal_of(&mut bytes.as_slice()).unwrap(), seal);
        for record in [Some(RECORD), None] {
            let inner = opened(&bytes, &opener, record).unwrap();
            assert!(inner == plain);
            assert_eq!(
                check(&mut Cursor::new(&inner), &Limits::default()).unwrap(),
                wrote
            );
        }
        // Handed over as it lies, it says so, and gives nothing away.
        let mut kept = Kept::default();
        let error = read(&mut Cursor::new(&bytes), &Limits::default(), &mut kept).unwrap_err();
        assert!(matches!(error, link::carry::Stopped::File(CarryError::Unopened)));
        assert_eq!(kept, Kept::default());
        assert!(!bytes.windows(5).any(|part| part == b"Dilys"));
        assert!(!bytes.windows(9).any(|part| part == &RECORD.as_bytes()[..9]));
    }
    assert_eq!(seal_of(&mut plain.as_slice()).unwrap(), Seal::Open);
}

#[test]
fn the_front_is_the_one_that_is_written_down() {
    let bytes = sealed(&Readers::Passphrase("seven"));
    assert_eq!(bytes[..8], MAGIC);
    assert_eq!(bytes[8..16], [1, 0, 0, 0, 2, 0, 0, 0]);
    assert!(bytes[16..].starts_with(b"age-encryption.org/v1\n"));
    let (all, last) = bytes.split_at(bytes.len() - 32);
    assert_eq!(blake3::hash(all).as_bytes(), last);
}

#[test]
fn each_thing_that_is_wrong_is_told_apart() {
    let device = OpeningKey::generate();
    let bytes = sealed(&Readers::Members(&[device.seal()]));
    let as_device = |bytes: &[u8], device: &OpeningKey, record: Option<&str>| {
        opened(bytes, &Opener::Device(device), record).unwrap_err()
    };

    let other = as_device(&bytes, &OpeningKey::generate(), Some(RECORD));
    assert!(matches!(other, CarryError::Seal(SealError::NotForMe)));
    let other = as_device(&bytes, &device, Some("another record"));
    assert!(matches!(other, CarryError::Seal(SealError::OtherRecord)));
    let other = opened(&bytes, &Opener::Passphrase("x"), None).unwrap_err();
    assert!(matches!(other, CarryError::Seal(SealError::OtherWay)));
    let locked = sealed(&Readers::Passphrase("seven"));
    let other = opened(&locked, &Opener::Passphrase("eight"), None).unwrap_err();
    assert!(matches!(other, CarryError::Seal(SealError::WrongPassphrase)));
    let open = filled(Vec::new()).0;
    let other = as_device(&open, &device, None);
    assert!(matches!(other, CarryError::Seal(SealError::OtherWay)));
    let mut limited = Cursor::new(Vec::new());
    let other = unseal(
        &mut Cursor::new(&bytes),
        &Opener::Device(&device),
        None,
        1_000,
        &mut limited,
    );
    assert!(matches!(
        other,
        Err(CarryError::Seal(SealError::TooLarge { limit: 1_000 }))
    ));

    // Not for this device and damaged: the damage is told, since it may be why.
    let mut harmed = bytes.clone();
    harmed[60] ^= 1;
    assert!(matches!(
        as_device(&harmed, &OpeningKey::generate(), None),
        CarryError::Damaged
    ));
    for at in (16..bytes.len()).step_by(4_999) {
        let mut harmed = bytes.clone();
        harmed[at] ^= 0x40;
        assert!(
            matches!(as_device(&harmed, &device, None), CarryError::Damaged),
            "{at}"
        );
        let cut = as_device(&bytes[..at], &device, None);
        assert!(
            matches!(cut, CarryError::Damaged | CarryError::Truncated),
            "{at}: {cut}"
        );
    }
    assert!(matches!(as_device(b"", &device, None), CarryError::Empty));
    assert!(matches!(
        as_device(b"nothing of the kind", &device, None),
        CarryError::Foreign
    ));
    let mut newer = bytes.clone();
    newer[12] = 3;
    assert!(matches!(
        as_device(&newer, &device, None),
        CarryError::Sealed { seal: 3 }
    ));
    let mut blank = bytes;
    blank[14] = 1;
    assert!(matches!(
        as_device(&blank, &device, None),
        CarryError::Malformed { .. }
    ));
}

#[test]
fn what_is_sealed_is_no_trap_either() {
    // A sound seal around something that is no sound carry file: unsealing gives it, reading refuses it.
    let device = OpeningKey::generate();
    let sign = SigningKey::from_bytes([7; 32]);
    let readers = [device.seal()];
    let mut out = Sealed::new(Vec::new(), &sign, RECORD, &Readers::Members(&readers)).unwrap();
    let mut inner = small();
    let last = inner.len() - 1;
    inner[last] ^= 1;
    std::io::Write::write_all(&mut out, &inner).unwrap();
    let bytes = out.finish().unwrap();
    let inner = opened(&bytes, &Opener::Device(&device), None).unwrap();
    let error = check(&mut Cursor::new(inner), &Limits::default()).unwrap_err();
    assert!(matches!(error, CarryError::Damaged));
}

#[test]
fn the_size_is_told_before_it_is_written() {
    let mut size = Size::new(head(), Limits::default()).unwrap();
    for (hash, bytes) in changes() {
        size.change(&hash, &bytes).unwrap();
    }
    for length in PHOTOS {
        size.photo(length as u64);
    }
    let plain = filled(Vec::new()).0.len() as u64;
    assert_eq!(size.open().unwrap(), plain);
    let device = OpeningKey::generate();
    let readers: Vec<String> = (0..3).map(|_| device.seal()).collect();
    for count in 1..=3 {
        let told = size.sealed(count).unwrap();
        let bytes = sealed(&Readers::Members(&readers[..count])).len() as u64;
        assert!(
            told.checked_sub(bytes).is_some_and(|over| over <= 205),
            "{told} told, {bytes} written"
        );
    }
    let bytes = sealed(&Readers::Passphrase("seven")).len() as u64;
    assert_eq!(size.sealed(0).unwrap(), bytes);
}
