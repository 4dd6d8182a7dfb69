//! Members that mean harm, a place that does, and a member that was revoked: one clear error for each file, told once,
//! nothing taken in, and no more than 256 MB of memory.

use std::io::Write;

use link::carry::{CarryError, Head, Writer};
use link::drop::{DropError, DropLimits, Names, Place, Shelf as Folder, Store, Told};
use link::seal::{Readers, SealError, SealKind, Sealing, SigningKey, Subject};
use tests::act::Act;
use tests::device::Device;
use tests::ledger::Reckoned;
use tests::seed::Dice;

use crate::party::{Club, Full, Keys, RECORD, SECRET, Shelf};

const NOW: i64 = 1_930_000_000;

/// One device and a member that writes whatever it likes.
struct Bench {
    dice: Dice,
    reckoned: Reckoned,
    device: Device,
    shelf: Shelf,
    other: Keys,
    club: Club,
    place: Store,
    names: Names,
    now: i64,
}

impl Bench {
    fn new() -> Self {
        let mut dice = Dice::of(3);
        let mut reckoned = Reckoned::default();
        let device = Device::first(&mut dice, &mut reckoned);
        let shelf = Shelf::of(Keys::of(1));
        let other = Keys::of(2);
        let club = Club::of([&shelf.keys, &other]);
        Bench {
            dice,
            reckoned,
            device,
            shelf,
            other,
            club,
            place: Store::memory().unwrap(),
            names: Names::new(SECRET, RECORD),
            now: NOW,
        }
    }

    fn look(&mut self) -> Told {
        let mut full = Full {
            device: &mut self.device,
            reckoned: &mut self.reckoned,
        };
        self.now += 60;
        let told = self.shelf.look(
            &mut self.place,
            &mut full,
            &self.club,
            &DropLimits::default(),
            self.now,
        );
        told.unwrap()
    }

    /// Lays a file into the other device's folder, under its right name.
    fn lay(&mut self, stream: &[u8]) {
        let mut bytes = (stream.len() as u64).to_le_bytes().to_vec();
        bytes.extend(stream);
        let name = *blake3::hash(&bytes).as_bytes();
        let path = self.names.path(&self.other.sign.public(), Folder::Batches, &name);
        self.place.write(&path, bytes).unwrap();
    }

    fn sealed_by(&self, sign: &SigningKey, record: &str, kind: SealKind, content: &[u8]) -> Vec<u8> {
        let seals = [self.shelf.keys.open.seal()];
        let about = Subject { record, kind };
        let mut sealing = Sealing::new(Vec::new(), sign, &about, &Readers::Members(&seals)).unwrap();
        sealing.write_all(content).unwrap();
        sealing.finish().unwrap()
    }

    fn sealed(&self, content: &[u8]) -> Vec<u8> {
        self.sealed_by(&self.other.sign, RECORD, SealKind::Batch, content)
    }

    /// The other's file is refused with one error, told once; nothing of it is taken in, and the rest goes on.
    fn refused(&mut self, stream: &[u8]) -> DropError {
        let before = self.device.record.digest();
        self.lay(stream);
        let mut told = self.look();
        assert_eq!(told.faults.len(), 1, "{told:?}");
        let fault = told.faults.pop().unwrap();
        assert_eq!(fault.device, Some(self.other.sign.public()));
        assert_eq!((told.batches, told.waiting), (0, 0));
        assert_eq!(self.device.record.digest(), before);
        for _ in 0..3 {
            let again = self.look();
            assert!(
                again.faults.is_empty() && again.bytes_read == 0,
                "told again: {again:?}"
            );
        }
        fault.what
    }
}

/// A batch as bytes: photos that are announced, then a carry file.
fn batch(photos: u32, entries: &[u8], changes: &[([u8; 32], Vec<u8>)]) -> Vec<u8> {
    let head = Head {
        record: RECORD.to_owned(),
        changes: changes.len() as u64,
        ..Head::default()
    };
    let mut out = photos.to_le_bytes().to_vec();
    out.extend(entries);
    let mut writer = Writer::new(out, head).unwrap();
    for (hash, bytes) in changes {
        writer.change(hash, bytes).unwrap();
    }
    writer.finish().unwrap().0
}

#[test]
fn what_a_member_makes_badly_has_one_clear_error() {
    let mut bench = Bench::new();
    bench.look();
    let stranger = Keys::of(9);
    // Replayed from another record, or from another shelf.
    let other = "0198f3a2-7c11-7000-8000-00000000dead";
    let stream = bench.sealed_by(&bench.other.sign, other, SealKind::Batch, &batch(0, &[], &[]));
    assert!(matches!(
        bench.refused(&stream),
        DropError::Seal(SealError::OtherRecord)
    ));
    let stream = bench.sealed_by(&bench.other.sign, RECORD, SealKind::Photo, b"a photo");
    assert!(matches!(
        bench.refused(&stream),
        DropError::Seal(SealError::OtherKind)
    ));
    // Sealed for somebody else: an old key, or before this device joined.
    let about = Subject {
        record: RECORD,
        kind: SealKind::Batch,
    };
    let seals = [stranger.open.seal()];
    let sealing = Sealing::new(Vec::new(), &bench.other.sign, &about, &Readers::Members(&seals)).unwrap();
    let stream = sealing.finish().unwrap();
    bench.lay(&stream);
    let told = bench.look();
    assert_eq!(
        (told.not_for_me, told.batches, told.faults.len()),
        (1, 0, 0),
        "{told:?}"
    );
    let again = bench.look();
    assert_eq!((again.not_for_me, again.bytes_read), (0, 0), "{again:?}");
    let sealing = Sealing::new(Vec::new(), &bench.other.sign, &about, &Readers::Passphrase("x")).unwrap();
    let stream = sealing.finish().unwrap();
    assert!(matches!(
        bench.refused(&stream),
        DropError::Seal(SealError::OtherWay)
    ));
    // Not sealed at all, cut short inside, nothing inside.
    assert!(matches!(bench.refused(b"hello"), DropError::Seal(_)));
    let stream = bench.sealed(&batch(0, &[], &[]));
    assert!(matches!(
        bench.refused(&stream[..stream.len() - 1]),
        DropError::Seal(_)
    ));
    let stream = bench.sealed(&[]);
    assert!(matches!(
        bench.refused(&stream),
        DropError::Batch(CarryError::Malformed { .. })
    ));
    // Lists that say more than there is.
    for count in [1, 1_000, u32::MAX] {
        let stream = bench.sealed(&batch(count, &[], &[]));
        assert!(matches!(bench.refused(&stream), DropError::Batch(_)), "{count}");
    }
    let mut cut = batch(0, &[], &[([1; 32], vec![1; 100])]);
    cut.pop();
    let stream = bench.sealed(&cut);
    assert!(matches!(
        bench.refused(&stream),
        DropError::Batch(CarryError::Truncated)
    ));
    // A change that is none, or is called by another's hash.
    let stream = bench.sealed(&batch(0, &[], &[([1; 32], vec![1; 100])]));
    assert!(matches!(bench.refused(&stream), DropError::Refused(_)));
    let (id, bytes) = bench.device.record.changes_since(&[]).pop().unwrap();
    let mut wrong = *id.bytes();
    wrong[0] ^= 1;
    let stream = bench.sealed(&batch(0, &[], &[(wrong, bytes)]));
    assert!(matches!(bench.refused(&stream), DropError::Refused(_)));
}

#[test]
fn a_stranger_is_waited_for_and_read_once_it_is_known() {
    let mut bench = Bench::new();
    let stranger = Keys::of(9);
    let stream = bench.sealed_by(&stranger.sign, RECORD, SealKind::Batch, &batch(0, &[], &[]));
    bench.lay(&stream);
    let told = bench.look();
    assert_eq!(
        (told.waiting, told.batches, told.faults.len()),
        (1, 0, 0),
        "{told:?}"
    );
    assert_eq!(bench.look().bytes_read, 0);
    bench.club.join(&stranger);
    let told = bench.look();
    assert_eq!((told.waiting, told.batches), (0, 1), "{told:?}");
}

#[test]
fn a_revoked_device_is_set_aside_until_a_member_stands_for_it() {
    let mut bench = Bench::new();
    let whole = bench.device.parcel(None, false);
    let mut theirs = Device::joining(&mut bench.dice, &whole, None, &mut bench.reckoned);
    let mut tokens = 0;
    for _ in 0..10 {
        let mut hand = std::mem::take(&mut theirs.hand);
        let act = Act::any(&theirs, &mut hand, &mut bench.dice, &mut tokens);
        theirs.hand = hand;
        theirs.act(&act, &mut bench.reckoned);
    }
    bench.look();
    let third = Keys::of(3);
    bench.club.join(&third);
    let before = bench.club.clone();
    bench.club.revoke(&bench.other);
    // The revoked one writes as before: it does not know, or does not care.
    let other = std::mem::replace(&mut bench.other, Keys::of(200));
    let sign = SigningKey::from_bytes([2; 32]);
    let public = other.sign.public();
    let mut shelf = Shelf::of(other);
    let mut full = Full {
        device: &mut theirs,
        reckoned: &mut bench.reckoned,
    };
    let told = shelf
        .look(&mut bench.place, &mut full, &before, &DropLimits::default(), NOW)
        .unwrap();
    assert!(told.written > 0);
    let digest = bench.device.record.digest();
    let told = bench.look();
    assert_eq!(told.aside, [public], "{told:?}");
    assert_eq!(
        bench.device.record.digest(),
        digest,
        "what a revoked device wrote was merged"
    );
    let (by, changes) = bench.shelf.aside[0].clone();
    assert!(by == sign.public() && !changes.is_empty());
    assert!(bench.look().aside.is_empty(), "set aside twice");
    // From now on nothing is sealed for it: the device's own batches were written anew, and it cannot open them.
    assert!(told.written > 0);
    let told = shelf
        .look(
            &mut bench.place,
            &mut full_of(&mut theirs, &mut bench.reckoned),
            &before,
            &DropLimits::default(),
            NOW + 100,
        )
        .unwrap();
    assert!(told.not_for_me > 0 && told.batches == 0, "{told:?}");
    // A member that has those changes in its record brings them.
    let mut shelf = Shelf::of(third);
    shelf
        .look(
            &mut bench.place,
            &mut full_of(&mut theirs, &mut bench.reckoned),
            &bench.club,
            &DropLimits::default(),
            NOW + 200,
        )
        .unwrap();
    let told = bench.look();
    assert_eq!(told.batches, 1, "{told:?}");
    assert_eq!(bench.device.record.digest(), theirs.record.digest());
}

fn full_of<'a>(device: &'a mut Device, reckoned: &'a mut Reckoned) -> Full<'a> {
    Full { device, reckoned }
}

#[test]
fn a_photo_that_is_another_than_announced_is_not_kept() {
    let mut bench = Bench::new();
    bench.look();
    let wanted = *blake3::hash(b"the photo that was announced").as_bytes();
    bench.shelf.wanted.insert(wanted);
    let stream = bench.sealed_by(
        &bench.other.sign,
        RECORD,
        SealKind::Photo,
        b"the photo that was put there",
    );
    let mut bytes = (stream.len() as u64).to_le_bytes().to_vec();
    bytes.extend(&stream);
    let name = *blake3::hash(&bytes).as_bytes();
    let path = bench
        .names
        .path(&bench.other.sign.public(), Folder::Photos, &name);
    bench.place.write(&path, bytes).unwrap();
    let entry = [&wanted[..], &name, &28_u64.to_le_bytes()].concat();
    let stream = bench.sealed(&batch(1, &entry, &[]));
    bench.lay(&stream);
    let told = bench.look();
    assert_eq!(
        (told.batches, told.photos_fetched, told.faults.len()),
        (1, 0, 1),
        "{told:?}"
    );
    assert!(matches!(told.faults[0].what, DropError::WrongPhoto));
    assert!(bench.shelf.photos.is_empty() && bench.shelf.wanted.contains(&wanted));
    assert!(bench.look().faults.is_empty(), "told again");
}

#[test]
fn files_of_any_kind_in_the_folder_change_nothing() {
    let mut bench = Bench::new();
    bench.look();
    let record = bench.names.record();
    let mine = bench
        .names
        .folder(&bench.shelf.keys.sign.public(), Folder::Batches);
    let hash = "0".repeat(64);
    let paths = [
        format!("{record}/desktop.ini"),
        format!("{record}/{mine}/notes.txt"),
        format!("{record}/{mine}/{hash}/deeper"),
        format!("{record}/not-a-tag/{hash}"),
        format!("{record}/{}/{hash}", "0".repeat(32)),
        format!("{record}/{mine}/{hash}"),
        format!("{record}/{mine}/{hash} (1)"),
        "elsewhere/x/y".to_owned(),
    ];
    let digest = bench.device.record.digest();
    for path in &paths {
        bench.place.write(path, b"anything at all".to_vec()).unwrap();
    }
    let told = bench.look();
    assert_eq!(told.foreign, 4, "{told:?}");
    // What has a name of the drop's and is nothing of the kind is never told more than once.
    let faults: usize = (0..6).map(|_| bench.look().faults.len()).sum();
    assert!(told.faults.is_empty() && faults <= 1, "{faults}");
    assert_eq!(bench.device.record.digest(), digest);
    for path in &paths {
        assert!(
            bench.place.read(path, 100, &mut Vec::new()).is_ok(),
            "{path} was taken away"
        );
    }
}

/// What bombs cost, asked of the kernel in a process of its own (VmHWM, proc(5)).
#[cfg(target_os = "linux")]
mod memory {
    use std::process::Command;

    use tests::memory::{MOST_KB, peak_kb};

    use super::*;

    const BOMB: &str = "WITNESSMARK_TEST_DROP_BOMB";

    /// A carry file by its documented layout: one slice that says it opens to much more than it is, many times.
    fn swelling(frames: usize) -> Vec<u8> {
        let mut deflated = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
        deflated.write_all(&vec![0; 256 * 1024]).unwrap();
        let packed = deflated.finish().unwrap();
        let mut file = 0_u32.to_le_bytes().to_vec();
        file.extend(batch(0, &[], &[]));
        // Without its end: the preamble (16) and the first page, behind the list of photos.
        let page = u32::from_le_bytes(file[21..25].try_into().unwrap()) as usize;
        file.truncate(4 + 16 + 5 + page);
        for _ in 0..frames {
            file.push(b'C');
            file.extend(u32::try_from(packed.len() + 5).unwrap().to_le_bytes());
            file.push(1);
            file.extend((256_u32 * 1024).to_le_bytes());
            file.extend(&packed);
        }
        let hash = blake3::hash(&file[4..]);
        file.extend(hash.as_bytes());
        file
    }

    #[test]
    fn child() {
        let Some(bomb) = std::env::var_os(BOMB) else {
            return;
        };
        let mut bench = Bench::new();
        bench.look();
        let stream = match bomb.to_str().unwrap() {
            "swells" => bench.sealed(&swelling(20_000)),
            "noughts" => bench.sealed(&vec![0; 40_000_000]),
            "photos" => bench.sealed(&{
                let mut list = 100_000_u32.to_le_bytes().to_vec();
                list.extend(vec![7; 7_200_000]);
                list
            }),
            "header" => ("age-encryption.org/v1\n".to_owned() + &"-> X\n\n".repeat(5_000_000)).into_bytes(),
            "nothing" => Vec::new(),
            other => panic!("{other}"),
        };
        let before = peak_kb();
        if bomb != "nothing" {
            let error = bench.refused(&stream);
            println!("\n@error {error}");
        }
        println!("\n@peak {before} {}", peak_kb());
    }

    #[test]
    fn bombs_stay_small() {
        for bomb in ["nothing", "swells", "noughts", "photos", "header"] {
            let ran = Command::new(std::env::current_exe().unwrap())
                .args([
                    "--exact",
                    "hostile::memory::child",
                    "--nocapture",
                    "--test-threads=1",
                ])
                .env(BOMB, bomb)
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&ran.stdout).into_owned();
            assert!(
                ran.status.success(),
                "{bomb}: {said} {}",
                String::from_utf8_lossy(&ran.stderr)
            );
            let line = said.lines().find_map(|line| line.strip_prefix("@peak ")).unwrap();
            let peaks: Vec<u64> = line.split(' ').map(|kb| kb.parse().unwrap()).collect();
            println!(
                "{bomb}: {} MB before, {} MB at the most",
                peaks[0] / 1000,
                peaks[1] / 1000
            );
            assert!(peaks[1] < MOST_KB, "{bomb}: {peaks:?}");
        }
    }
}
