//! What goes in comes out, and what would not come out does not go in.

use std::io::{self, Cursor, Read, Seek, SeekFrom, Write};

use link::carry::{
    CarryBound, CarryError, Hash, Head, Limits, Sink, Stopped, Wanted, Writer, check, peek, read,
};
use serde_json::json;

use crate::forge::{
    Forge, Kept, deflated, entry, hash, head, noise, small, some_changes, taken, taken_within, written,
};

#[track_caller]
fn round(changes: &[(Hash, Vec<u8>)], photos: &[Vec<u8>]) {
    let bytes = written(changes, photos);
    let (contents, kept) = taken(&bytes).unwrap();
    assert_eq!(kept.changes, changes);
    assert_eq!(kept.photos.len(), photos.len());
    for (got, photo) in kept.photos.iter().zip(photos) {
        assert_eq!(got, &(hash(photo), photo.len() as u64, photo.clone()));
    }
    assert_eq!(kept.ended, photos.len());
    assert_eq!(kept.head.as_ref(), Some(&head(changes.len(), photos.len())));
    assert_eq!(contents.head, head(changes.len(), photos.len()));
    assert_eq!(
        (contents.changes, contents.photos),
        (changes.len() as u64, photos.len() as u64)
    );
    assert_eq!(
        contents.change_bytes,
        changes.iter().map(|c| c.1.len() as u64).sum::<u64>()
    );
    assert_eq!(
        contents.photo_bytes,
        photos.iter().map(|p| p.len() as u64).sum::<u64>()
    );
    assert_eq!(contents.digest.as_slice(), &bytes[bytes.len() - 32..]);
    assert_eq!(
        check(&mut Cursor::new(&bytes), &Limits::default()).unwrap(),
        contents
    );
}

#[test]
fn what_goes_in_comes_out() {
    const SLICE: usize = 256 * 1024;
    let one = |length| vec![(hash(b"x"), noise("x", length))];
    round(&[], &[]);
    round(&some_changes(3, 100), &[]);
    round(
        &[],
        &[
            noise("p", 10),
            Vec::new(),
            noise("q", SLICE),
            noise("r", 3 * SLICE + 1),
        ],
    );
    round(&some_changes(40, 30_000), &[noise("p", 1_000_000)]);
    // Around the edge of a slice: the entry's own 36 bytes count too.
    for length in [SLICE - 37, SLICE - 36, SLICE - 35, SLICE, 2 * SLICE - 36] {
        round(&one(length), &[]);
        round(&[one(length), some_changes(2, 10)].concat(), &[]);
    }
}

#[test]
fn the_dullest_change_is_no_trap() {
    // DEFLATE would make 16 MB of one letter a thousand times shorter; the writer then leaves it plain.
    let dull = vec![b'x'; 16 * 1024 * 1024];
    let bytes = written(&[(hash(&dull), dull.clone())], &[]);
    assert!(bytes.len() > dull.len());
    assert!(taken(&bytes).unwrap().1.changes[0].1 == dull);
}

#[test]
fn text_packs() {
    let text = noise("text", 3_000)
        .iter()
        .map(|b| format!("shim {b:03} under the left nut; "))
        .collect::<String>();
    let bytes = written(&[(hash(b"t"), text.clone().into_bytes())], &[]);
    assert!(bytes.len() < text.len() / 3, "{} of {}", bytes.len(), text.len());
}

#[test]
fn the_same_calls_give_the_same_bytes() {
    assert_eq!(small(), small());
}

#[test]
fn a_head_of_a_newer_version_is_kept() {
    let mut newer = serde_json::to_value(head(0, 0)).unwrap();
    newer["weather"] = json!({ "rain": [1, 2.5, null] });
    let file = Forge::fronted(1, 0, 0x40, 0, [0; 3])
        .frame(b'H', &serde_json::to_vec(&newer).unwrap())
        .frame(b'z', b"a part that an older reader may skip")
        .end([0; 4]);
    let (contents, _) = taken(&file).unwrap();
    assert_eq!(contents.head.extra["weather"], newer["weather"]);
    let again = Writer::new(Vec::new(), contents.head.clone())
        .unwrap()
        .finish()
        .unwrap()
        .0;
    assert_eq!(taken(&again).unwrap().0.head, contents.head);
}

#[test]
fn a_part_goes_with_its_base() {
    let part = Head {
        whole: false,
        base: vec!["0f".repeat(32)],
        ..head(0, 0)
    };
    let bytes = Writer::new(Vec::new(), part.clone()).unwrap().finish().unwrap().0;
    assert_eq!(taken(&bytes).unwrap().0.head, part);
    assert_eq!(peek(&mut bytes.as_slice(), &Limits::default()).unwrap(), part);
}

#[test]
fn heads_that_cannot_be_are_not_written() {
    for bad in [
        Head {
            heads: vec!["a1".repeat(31)],
            ..head(0, 0)
        },
        Head {
            heads: vec!["A1".repeat(32)],
            ..head(0, 0)
        },
        Head {
            base: vec!["a1".repeat(32)],
            ..head(0, 0)
        },
    ] {
        assert!(matches!(
            Writer::new(Vec::new(), bad),
            Err(CarryError::Malformed { .. })
        ));
    }
    let long = Head {
        car: "x".repeat(65 * 1024),
        ..head(0, 0)
    };
    assert!(matches!(
        Writer::new(Vec::new(), long),
        Err(CarryError::TooLarge {
            what: CarryBound::Head,
            limit: 65536
        })
    ));
}

#[test]
fn what_a_reader_refuses_is_not_written() {
    let mut limits = Limits::default();
    (limits.change, limits.changes, limits.change_count) = (100, 400, 4);
    (limits.photo, limits.photo_count) = (50, 2);
    let start = || Writer::with_limits(Vec::new(), head(0, 0), limits).unwrap();
    let large = |got: Result<(), CarryError>, what| match got {
        Err(CarryError::TooLarge { what: got, .. }) => assert_eq!(got, what),
        other => panic!("{other:?} for {what:?}"),
    };

    large(start().change(&[0; 32], &[1; 101]), CarryBound::Change);
    let mut writer = start();
    // Each change costs its bytes and 64: two of 100 leave 72, a third does not fit.
    writer.change(&[0; 32], &[1; 100]).unwrap();
    writer.change(&[0; 32], &[1; 100]).unwrap();
    large(writer.change(&[0; 32], &[1; 9]), CarryBound::Changes);
    writer.change(&[0; 32], &[1; 8]).unwrap();
    let mut wider = limits;
    wider.changes = 4000;
    let mut writer = Writer::with_limits(Vec::new(), head(0, 0), wider).unwrap();
    for _ in 0..4 {
        writer.change(&[0; 32], &[1; 1]).unwrap();
    }
    large(writer.change(&[0; 32], &[1; 1]), CarryBound::ChangeCount);
    large(
        start().photo(&hash(&[1; 51]), 51, &mut [1; 51].as_slice()),
        CarryBound::Photo,
    );
    let mut writer = start();
    writer.photo(&hash(b"a"), 1, &mut b"a".as_slice()).unwrap();
    writer.photo(&hash(b"a"), 1, &mut b"a".as_slice()).unwrap();
    large(
        writer.photo(&hash(b"a"), 1, &mut b"a".as_slice()),
        CarryBound::PhotoCount,
    );
    assert!(matches!(
        start().change(&[0; 32], &[]),
        Err(CarryError::Malformed { .. })
    ));
    assert!(matches!(
        writer.change(&[0; 32], &[1]),
        Err(CarryError::Malformed { .. })
    ));
}

#[test]
fn a_photo_is_the_one_named_or_is_not_written() {
    let photo = noise("p", 300_000);
    let wrong = |hash: Hash, length: usize, bytes: &[u8]| {
        let mut writer = Writer::new(Vec::new(), head(0, 1)).unwrap();
        let got = writer.photo(&hash, length as u64, &mut &bytes[..]);
        assert!(matches!(got, Err(CarryError::WrongPhoto)), "{got:?}");
    };
    wrong(hash(&photo), photo.len(), &photo[1..]);
    wrong(hash(&photo), photo.len() - 1, &photo);
    wrong(hash(&photo[1..]), photo.len(), &photo);
    wrong(hash(&photo), photo.len(), &[]);
}

#[test]
fn promised_counts_are_kept() {
    for (changes, photos) in [(0, 0), (2, 1), (1, 0), (1, 2)] {
        let mut writer = Writer::new(Vec::new(), head(changes, photos)).unwrap();
        writer.change(&[7; 32], b"x").unwrap();
        writer.photo(&hash(b"p"), 1, &mut b"p".as_slice()).unwrap();
        assert!(matches!(writer.finish(), Err(CarryError::CountsDiffer)));
    }
}

/// A stick with room for so many bytes.
struct Stick(usize);

impl Write for Stick {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let fits = bytes.len().min(self.0);
        self.0 -= fits;
        Ok(fits)
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_full_stick_is_told_at_every_byte() {
    let fill = |room| -> Result<(), CarryError> {
        let mut writer = Writer::new(Stick(room), head(1, 1))?;
        writer.change(&[7; 32], b"oil seal was in back to front")?;
        writer.photo(&hash(b"photo"), 5, &mut b"photo".as_slice())?;
        writer.finish().map(|_| ())
    };
    let mut whole = Writer::new(Vec::new(), head(1, 1)).unwrap();
    whole.change(&[7; 32], b"oil seal was in back to front").unwrap();
    whole.photo(&hash(b"photo"), 5, &mut b"photo".as_slice()).unwrap();
    let length = whole.finish().unwrap().0.len();
    for room in 0..length {
        assert!(matches!(fill(room), Err(CarryError::Io(_))), "{room} of {length}");
    }
    fill(length).unwrap();
}

/// Refuses at a chosen call, and wants no photo.
struct Picky {
    refuse: &'static str,
    calls: Vec<&'static str>,
}

impl Picky {
    fn say(&mut self, call: &'static str) -> Result<(), String> {
        self.calls.push(call);
        if call == self.refuse {
            Err(format!("no {call}"))
        } else {
            Ok(())
        }
    }
}

impl Sink for Picky {
    type Refusal = String;
    fn head(&mut self, _: &Head) -> Result<(), String> {
        self.say("head")
    }
    fn change(&mut self, _: Hash, _: Vec<u8>) -> Result<(), String> {
        self.say("change")
    }
    fn photo(&mut self, _: Hash, _: u64) -> Result<Wanted, String> {
        self.say("photo").map(|()| Wanted::No)
    }
    fn photo_piece(&mut self, _: &[u8]) -> Result<(), String> {
        self.say("piece")
    }
    fn photo_end(&mut self) -> Result<(), String> {
        self.say("end")
    }
}

#[test]
fn the_sink_may_refuse_and_may_pass_over_photos() {
    let calls = |refuse| {
        let mut sink = Picky {
            refuse,
            calls: Vec::new(),
        };
        let got = read(&mut Cursor::new(small()), &Limits::default(), &mut sink);
        match got {
            Ok(_) => assert_eq!(refuse, ""),
            Err(Stopped::Sink(why)) => assert_eq!(why, format!("no {refuse}")),
            Err(Stopped::File(error)) => panic!("{error}"),
        }
        sink.calls.join(" ")
    };
    assert_eq!(calls(""), "head change change change photo");
    assert_eq!(calls("head"), "head");
    assert_eq!(calls("change"), "head change");
    assert_eq!(calls("photo"), "head change change change photo");
}

/// A file to which somebody writes between the check and the handing on.
struct Touched {
    file: Cursor<Vec<u8>>,
    rewinds: usize,
    then: Vec<u8>,
}

impl Read for Touched {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.file.read(into)
    }
}

impl Seek for Touched {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.rewinds += 1;
        if self.rewinds == 2 {
            *self.file.get_mut() = std::mem::take(&mut self.then);
        }
        self.file.seek(to)
    }
}

#[test]
fn a_file_changed_while_it_is_read_is_never_ok() {
    let touched = |then: Vec<u8>, what: &str| {
        let mut file = Touched {
            file: Cursor::new(small()),
            rewinds: 0,
            then,
        };
        let got = read(&mut file, &Limits::default(), &mut Kept::default());
        assert!(
            matches!(got, Err(Stopped::File(CarryError::Damaged))),
            "{what}: {got:?}"
        );
        assert_eq!(file.rewinds, 2, "{what}: the check must pass first");
    };
    for at in 0..small().len() {
        let mut then = small();
        then[at] ^= 1;
        touched(then, &format!("byte {at}"));
    }
    touched(Vec::new(), "emptied");
    touched(written(&[], &[]), "another file, sound in itself");
}

#[test]
fn the_forge_and_the_writer_agree_on_the_layout() {
    let bytes = b"sump plug: two threads gone, two threads gone, two threads gone".to_vec();
    let id = hash(&bytes);
    let photo = noise("photo", 70);
    let list = entry(&id, bytes.len() as u32, &bytes);
    let front = || Forge::new(1, 1);
    let forged = front()
        .packed(&list)
        .photo(hash(&photo), 70)
        .frame(b'B', &photo)
        .end([1, 1, bytes.len() as u64, 70]);
    let (_, kept) = taken(&forged).unwrap();
    assert_eq!(kept.changes, [(id, bytes.clone())]);
    assert_eq!(kept.photos, [(hash(&photo), 70, photo.clone())]);
    // The writer packs with another effort; on so short a list that makes no difference.
    assert!(deflated(&list).len() < list.len());
    assert_eq!(forged, written(&[(id, bytes)], &[photo]));
}

#[test]
fn tighter_limits_are_kept_when_reading() {
    let large = |set: fn(&mut Limits), what| {
        let mut limits = Limits::default();
        set(&mut limits);
        match taken_within(&small(), &limits) {
            Err(CarryError::TooLarge { what: got, .. }) => assert_eq!(got, what),
            other => panic!("{other:?} for {what:?}"),
        }
    };
    large(|l| l.head = 100, CarryBound::Head);
    large(|l| l.change = 19, CarryBound::Change);
    large(|l| l.changes = 150, CarryBound::Changes);
    large(|l| l.change_count = 2, CarryBound::ChangeCount);
    large(|l| l.photo = 49, CarryBound::Photo);
    large(|l| l.photo_count = 0, CarryBound::PhotoCount);
}
