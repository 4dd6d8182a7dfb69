//! A club: twenty devices that meet through one bucket and nothing else, on an S3 server (moto) that the test starts. What
//! the roads cost grows with what is written, not with how often everybody looks.

use std::time::Instant;

use link::drop::{DropLimits, Names, Place, Store};

use crate::group::Group;
use crate::party::{RECORD, SECRET};
use crate::servers::bucket;

const DEVICES: usize = 20;
const DAY: i64 = 86_400;
const PHOTO: usize = 30_000;

#[test]
fn twenty_devices_meet_through_one_bucket() {
    let began = Instant::now();
    let (_server, bucket) = bucket();
    let mut places: Vec<Store> = (0..DEVICES).map(|_| Store::bucket(&bucket).unwrap()).collect();
    let mut group = Group::of(1, 11);
    let limits = DropLimits::default();
    let mut now = 1_930_000_000;
    // They join on one day, one after another; each is sealed to those that stand when it is written.
    group.edit(0, 40);
    let (mut read, mut written) = (0, 0);
    let mut look = |group: &mut Group, at: usize, now: i64| {
        let told = group.look(at, &mut places[at], &limits, now);
        read += told.bytes_read;
        written += told.bytes_written;
    };
    for at in 1..DEVICES {
        group.join();
        group.edit(at, 1);
        for one in [at, 0] {
            look(&mut group, one, now);
        }
    }
    // One of them has a photo that all want.
    let photo = group.dice.bytes().repeat(PHOTO / 16);
    let hash = *blake3::hash(&photo).as_bytes();
    for (at, shelf) in group.shelves.iter_mut().enumerate() {
        if at == 7 {
            shelf.photos.insert(hash, photo.clone());
        } else {
            shelf.wanted.insert(hash);
        }
    }
    for day in 0..5 {
        for at in 0..DEVICES {
            // Nobody writes on the last days: what is on its way arrives, and what is old goes.
            if day < 2 {
                group.edit(at, 1);
            }
            look(&mut group, at, now);
        }
        now += DAY;
    }
    let first = &group.devices[0].record;
    for (device, shelf) in group.devices.iter().zip(&group.shelves) {
        assert_eq!(device.record.heads(), first.heads());
        assert_eq!(device.record.digest(), first.digest());
        assert!(
            shelf.photos.get(&hash) == Some(&photo),
            "the photo did not come to all"
        );
    }
    for (at, place) in places.iter_mut().enumerate() {
        let ahead = group.ahead(at, place, &limits, now);
        assert!(ahead.is_idle(), "{at}: {ahead:?}");
    }
    let names = Names::new(SECRET, RECORD);
    let there = places[0].list(&names.record()).unwrap();
    let bytes: u64 = there.iter().map(|one| one.size).sum();
    println!(
        "twenty devices: {:.1} s, {} files of {bytes} bytes lie there; {read} bytes read and {written} written",
        began.elapsed().as_secs_f64(),
        there.len(),
    );
    // Of each device some batches, and one photo in all: whoever has it and finds it there puts it not again.
    assert!(
        there.len() <= DEVICES * limits.batches + 1,
        "{} files",
        there.len()
    );
    let photos = there.iter().filter(|one| one.size > PHOTO as u64).count();
    assert_eq!(photos, 1);
    // Each reads what the others wrote, once.
    assert!(
        read <= written * DEVICES as u64,
        "{read} read of {written} written"
    );
}
