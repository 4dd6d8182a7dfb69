//! Which of a photo's files is fetched, and when a photo counts as being there: parts that a copying program leaves behind
//! stand in nobody's way.

use std::collections::BTreeSet;

use link::drop::{Book, Hash, Names, Place, Shelf, Store};

use crate::fake::{Device, RECORD, members, memory, paths};

const NOW: i64 = 1_930_000_000;

/// A photo that this device has.
fn taken_by(device: &mut Device) -> Hash {
    let mut photo = vec![0; 3_000];
    blake3::Hasher::new()
        .update(b"a photo")
        .finalize_xof()
        .fill(&mut photo);
    let hash = *blake3::hash(&photo).as_bytes();
    device.photos.insert(hash, photo);
    hash
}

/// The photo files of a device.
fn photo_files(place: &mut Store, device: &Device) -> BTreeSet<String> {
    let names = Names::new(b"what only members have", RECORD);
    let folder = format!(
        "{}/{}/",
        names.record(),
        names.folder(&device.sign.public(), Shelf::Photos)
    );
    let mut paths = paths(place);
    paths.retain(|path| path.starts_with(&folder));
    paths
}

fn bytes_of(place: &mut Store, path: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    place.read(path, 1 << 20, &mut bytes).unwrap();
    bytes
}

/// Half of the file, which is shorter than the photo, or all of it but a byte.
const PARTS: [fn(usize) -> usize; 2] = [|all| all / 2, |all| all - 1];

#[test]
fn a_part_that_was_left_of_one_file_does_not_stand_before_another_that_is_whole() {
    for part in PARTS {
        // Names are hashes of what was sealed at random, so either file may come first: both ways must be seen.
        let mut seen = BTreeSet::new();
        for _ in 0..64 {
            let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
            let club = members(&[&a, &b]);
            let photo = taken_by(&mut a);
            a.look(&mut place, &club, NOW).unwrap();
            let first = photo_files(&mut place, &a).pop_first().unwrap();
            // It forgets what it put, and puts the photo once more.
            a.book = Book::new();
            a.look(&mut place, &club, NOW).unwrap();
            let mut both = photo_files(&mut place, &a);
            assert!(both.remove(&first) && both.len() == 1);
            // Of the first only a part was left, under the name that a copying program gave it.
            let mut bytes = bytes_of(&mut place, &first);
            bytes.truncate(part(bytes.len()));
            place.write(&format!("{first}~"), bytes).unwrap();
            place.remove(&first).unwrap();
            b.wanted.insert(photo);
            for look in 0..12 {
                b.look(&mut place, &club, NOW + look).unwrap();
            }
            assert!(b.wanted.is_empty(), "the photo never came");
            assert_eq!(b.photos, a.photos);
            seen.insert(first < both.pop_first().unwrap());
            if seen.len() == 2 {
                break;
            }
        }
        assert_eq!(seen.len(), 2);
    }
}

#[test]
fn a_photo_of_which_only_a_part_was_left_is_put_by_another_that_has_it() {
    let (mut a, mut b, mut c) = (Device::new(1), Device::new(2), Device::new(3));
    let mut place = memory();
    let club = members(&[&a, &b, &c]);
    let photo = taken_by(&mut a);
    b.photos = a.photos.clone();
    a.look(&mut place, &club, NOW).unwrap();
    // As long as it lies there whole, nobody else puts it.
    for look in 0..8 {
        assert_eq!(b.look(&mut place, &club, NOW + look).unwrap().photos_put, 0);
    }
    let first = photo_files(&mut place, &a).pop_first().unwrap();
    let mut bytes = bytes_of(&mut place, &first);
    bytes.truncate(1_000);
    place.write(&format!("{first} (1)"), bytes).unwrap();
    place.remove(&first).unwrap();
    let mut put = 0;
    for look in 0..8 {
        put += b.look(&mut place, &club, NOW + look).unwrap().photos_put;
    }
    assert_eq!(put, 1);
    c.wanted.insert(photo);
    c.look(&mut place, &club, NOW).unwrap();
    assert_eq!(c.photos, a.photos);
}
