//! Damaged, cut, foreign and newer files: one plain error each, nothing handed on.

use std::io::{self, Cursor, Read, Seek, SeekFrom};

use link::carry::{CarryError, Limits, check, peek};

use crate::forge::{Forge, noise, small, taken, written};

#[test]
fn every_byte_set_to_every_other_value_is_refused() {
    let whole = small();
    assert!(taken(&whole).is_ok());
    let mut bytes = whole.clone();
    let mut refused = 0_usize;
    for at in 0..whole.len() {
        for by in 1..=255_u8 {
            bytes[at] = whole[at] ^ by;
            match taken(&bytes) {
                Err(CarryError::Io(error)) => panic!("byte {at} ^ {by}: {error}"),
                Err(_) => refused += 1,
                Ok(_) => panic!("byte {at} ^ {by} was taken"),
            }
            // A preview may be wrong, but must not fall over.
            let _ = peek(&mut bytes.as_slice(), &Limits::default());
        }
        bytes[at] = whole[at];
    }
    assert_eq!(refused, whole.len() * 255);
}

#[test]
fn damage_is_called_damage() {
    let whole = small();
    for at in 0..whole.len() {
        let mut bytes = whole.clone();
        bytes[at] ^= 0x10;
        let got = taken(&bytes).unwrap_err();
        let fits = match at {
            0..8 => matches!(got, CarryError::Foreign),
            8..11 => matches!(got, CarryError::Newer { .. }),
            // Byte 11 holds the flags that may be ignored: only the BLAKE3 tells.
            11 => matches!(got, CarryError::Damaged),
            12 => matches!(got, CarryError::Sealed { .. } | CarryError::Unopened),
            // A length that became longer than the file looks like a cut; the remedy is the same.
            _ => matches!(got, CarryError::Damaged | CarryError::Truncated),
        };
        assert!(fits, "byte {at}: {got:?}");
    }
}

#[test]
fn every_cut_is_refused() {
    let long = written(&[([1; 32], noise("c", 600_000))], &[noise("p", 600_000)]);
    let whole = small();
    for length in 1..whole.len() {
        assert!(
            matches!(taken(&whole[..length]), Err(CarryError::Truncated)),
            "{length}"
        );
    }
    for length in (1..long.len()).step_by(4999) {
        assert!(
            matches!(taken(&long[..length]), Err(CarryError::Truncated)),
            "{length}"
        );
    }
    assert!(matches!(taken(&[]), Err(CarryError::Empty)));
}

#[test]
fn bytes_missing_in_the_middle_are_refused() {
    let whole = small();
    for at in 0..whole.len() {
        let mut bytes = whole.clone();
        bytes.remove(at);
        assert!(taken(&bytes).is_err(), "{at}");
        bytes.insert(at, whole[at]);
        bytes.insert(at, whole[at]);
        assert!(taken(&bytes).is_err(), "{at} twice");
    }
}

#[test]
fn anything_after_the_end_is_refused() {
    let whole = small();
    for rubbish in [vec![0], vec![0; 512], b"\r\n".to_vec(), whole.clone()] {
        let bytes = [whole.clone(), rubbish].concat();
        assert!(matches!(taken(&bytes), Err(CarryError::Trailing)));
    }
}

#[test]
fn foreign_files_are_refused() {
    // Signatures: PNG (W3C PNG, 5.2), ZIP (APPNOTE 4.3.7), JPEG (ITU-T T.81 B.1.1.3), gzip (RFC 1952, 2.3.1), SQLite
    // (its file format, 1.3), PDF (ISO 32000-1, 7.5.2).
    let png = [b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".as_slice(), &noise("png", 4000)].concat();
    for file in [
        png.as_slice(),
        b"PK\x03\x04\x14\0\0\0\x08\0",
        b"\xFF\xD8\xFF\xE0\0\x10JFIF\0",
        b"\x1F\x8B\x08\0\0\0\0\0\0\x03",
        b"SQLite format 3\0",
        b"%PDF-1.7\n",
        b"{\"record\":\"x\",\"car\":\"y\"}",
        b"The near side spring hanger is rotten.\n",
        b"x",
        b"\0",
        &[0; 100_000],
        &noise("any", 100_000),
        // A carry file that went through a text conversion: 0xE7 in UTF-8.
        b"\xC3\xA7wmcarry\x01\0\0\0",
    ] {
        assert!(
            matches!(taken(file), Err(CarryError::Foreign)),
            "{:?}",
            &file[..file.len().min(8)]
        );
    }
}

#[test]
fn newer_and_sealed_files_say_so() {
    let newer = |forge: Forge, format| match taken(&forge.end([0; 4])) {
        Err(CarryError::Newer { format: got }) => assert_eq!(got, format),
        other => panic!("{other:?}"),
    };
    newer(Forge::fronted(2, 0, 0, 0, [0; 3]), 2);
    newer(Forge::fronted(0xFFFF, 9, 9, 9, [9; 3]), 0xFFFF);
    newer(Forge::fronted(1, 1, 0, 0, [0; 3]), 1);
    for seal in [1, 2] {
        let mut sealed = Forge::fronted(1, 0, 0, seal, [0; 3]).bytes;
        sealed.extend_from_slice(&noise("sealed", 1000));
        assert!(matches!(taken(&sealed), Err(CarryError::Unopened)));
        assert!(matches!(
            peek(&mut sealed.as_slice(), &Limits::default()),
            Err(CarryError::Unopened)
        ));
    }
    for seal in 3..=255 {
        // What a seal does with the rest is not known: it must be refused before the rest is looked at.
        let mut sealed = Forge::fronted(1, 0, 0, seal, [seal; 3]).bytes;
        sealed.extend_from_slice(&noise("sealed", 1000));
        let got = taken(&sealed);
        assert!(
            matches!(got, Err(CarryError::Sealed { seal: s }) if s == seal),
            "{got:?}"
        );
        assert!(matches!(
            peek(&mut sealed.as_slice(), &Limits::default()),
            Err(CarryError::Sealed { .. })
        ));
    }
    assert!(matches!(
        taken(&Forge::fronted(0, 0, 0, 0, [0; 3]).end([0; 4])),
        Err(CarryError::Malformed { .. })
    ));
    assert!(matches!(
        taken(&Forge::fronted(1, 0, 0, 0, [0, 1, 0]).end([0; 4])),
        Err(CarryError::Malformed { .. })
    ));
}

/// A stick that fails after so many bytes.
struct Failing(Cursor<Vec<u8>>, u64);

impl Read for Failing {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.0.position() + into.len() as u64 > self.1 {
            return Err(io::Error::other("the stick was pulled out"));
        }
        self.0.read(into)
    }
}

impl Seek for Failing {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

#[test]
fn a_failing_stick_is_not_called_damage() {
    for after in (0..small().len() as u64).step_by(7) {
        let got = check(&mut Failing(Cursor::new(small()), after), &Limits::default());
        assert!(matches!(got, Err(CarryError::Io(_))), "{after}: {got:?}");
    }
}

#[test]
fn each_error_is_one_sentence_of_plain_words() {
    let cut = small()[..100].to_vec();
    let cases = [
        (taken(&[]), "The file is empty: there is no carry file in it."),
        (taken(b"GIF89a.."), "This is not a carry file."),
        (
            taken(&cut),
            "The carry file is cut short: copy it again from where it was made.",
        ),
    ];
    for (got, words) in cases {
        assert_eq!(got.unwrap_err().to_string(), words);
    }
}
