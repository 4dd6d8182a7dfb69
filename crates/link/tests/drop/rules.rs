//! When a device writes, writes anew, takes away and reads, and what its notes are good for.

use link::drop::{Book, DropError, Names, Place, Shelf};

use crate::fake::{DAY, Device, RECORD, change, members, memory, paths};

const NOW: i64 = 1_930_000_000;

#[test]
fn what_is_there_is_not_written_again() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let club = members(&[&a, &b]);
    a.write(b"one");
    a.write(b"two");
    assert_eq!(a.look(&mut place, &club, NOW).unwrap().written, 1);
    assert_eq!(a.look(&mut place, &club, NOW).unwrap().written, 0);
    // The other takes both, and writes only what is its own.
    let told = b.look(&mut place, &club, NOW).unwrap();
    assert_eq!((told.batches, told.changes, told.written), (1, 2, 0));
    b.write(b"three");
    let told = b.look(&mut place, &club, NOW).unwrap();
    assert_eq!((told.bytes_read, told.written), (0, 1));
    a.look(&mut place, &club, NOW).unwrap();
    assert_eq!(a.changes, b.changes);
    for device in [&mut a, &mut b] {
        assert!(device.ahead(&mut place, &club, NOW).is_idle());
    }
    assert_eq!(paths(&mut place).len(), 2);
}

#[test]
fn many_batches_become_one_and_the_old_ones_go_after_a_day_and_two_looks() {
    let (mut a, b, mut place) = (Device::new(1), Device::new(2), memory());
    a.limits.batches = 3;
    let club = members(&[&a, &b]);
    for round in 0..4_u8 {
        a.write(&[round]);
        a.look(&mut place, &club, NOW).unwrap();
    }
    // Three, and the fourth that holds all four.
    let before = paths(&mut place);
    assert_eq!(before.len(), 4);
    for look in 0..5 {
        assert_eq!(a.look(&mut place, &club, NOW + look).unwrap().removed, 0);
    }
    let told = a.look(&mut place, &club, NOW + DAY).unwrap();
    assert_eq!((told.removed, told.written), (3, 0));
    let after = paths(&mut place);
    assert!(after.len() == 1 && after.is_subset(&before));
    // A newcomer to the place gets all of it out of the one.
    let mut b = b;
    b.look(&mut place, &club, NOW + DAY).unwrap();
    assert_eq!(a.changes, b.changes);
}

/// A record of several batches, and a club that one after another joins on one day: each time all of them are written anew,
/// and none can be taken away yet. What each was replaced by is a web, whose ways would be 3 to the power of 40.
#[test]
fn batches_written_anew_again_and_again_are_soon_asked_about() {
    let (done, all) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        let (mut a, mut place) = (Device::new(1), memory());
        a.limits.batch = 1;
        for number in 0..3_u8 {
            a.write(&[number]);
        }
        let joining: Vec<Device> = (2..42).map(Device::new).collect();
        let mut club = vec![&a];
        let mut written = 0;
        let clubs: Vec<_> = joining
            .iter()
            .map(|device| {
                club.push(device);
                members(&club)
            })
            .collect();
        for club in &clubs {
            written += a.look(&mut place, club, NOW).unwrap().written;
        }
        let last = clubs.last().unwrap();
        let looks = [0, 0, DAY].map(|later| a.look(&mut place, last, NOW + later).unwrap().removed);
        let _ = done.send((written, looks, paths(&mut place).len()));
    });
    let told = all.recv_timeout(std::time::Duration::from_secs(120));
    let (written, looks, left) = told.expect("it is still counting ways");
    assert_eq!((written, looks, left), (120, [0, 0, 117], 3));
}

#[test]
fn full_batches_are_not_written_again_for_nothing() {
    let (mut a, mut place) = (Device::new(1), memory());
    a.limits.batches = 3;
    let club = members(&[&a]);
    // One change fills a batch.
    a.limits.batch = 1;
    for number in 0..6_u8 {
        a.write(&[number]);
        assert_eq!(a.look(&mut place, &club, NOW).unwrap().written, 1);
    }
    // Where they go into half as many, they are written anew.
    a.limits.batch = 1 << 20;
    a.write(b"seven");
    assert_eq!(a.look(&mut place, &club, NOW).unwrap().written, 1);
    let removed = [0, 0, DAY].map(|later| a.look(&mut place, &club, NOW + later).unwrap().removed);
    assert_eq!((removed, paths(&mut place).len()), ([0, 0, 6], 1));
}

#[test]
fn the_old_ones_stay_while_the_new_one_is_not_whole() {
    let (mut a, b, mut place) = (Device::new(1), Device::new(2), memory());
    a.limits.batches = 2;
    let club = members(&[&a, &b]);
    let mut last = Vec::new();
    for round in 0..3_u8 {
        a.write(&[round]);
        let before = paths(&mut place);
        a.look(&mut place, &club, NOW).unwrap();
        last = paths(&mut place).difference(&before).cloned().collect();
    }
    // The one that holds all three is cut short by whoever keeps the place.
    let mut bytes = Vec::new();
    place.read(&last[0], 1 << 20, &mut bytes).unwrap();
    bytes.truncate(100);
    place.write(&last[0], bytes).unwrap();
    let mut removed = 0;
    for day in 1..=4 {
        removed += a.look(&mut place, &club, NOW + day * DAY).unwrap().removed;
    }
    assert_eq!(removed, 0);
    // It counts as gone by then, so its changes were written once more; what they replace goes a day later.
    for day in 5..=9 {
        a.look(&mut place, &club, NOW + day * DAY).unwrap();
    }
    let mut b = b;
    b.look(&mut place, &club, NOW + 9 * DAY).unwrap();
    assert_eq!(a.changes, b.changes);
}

#[test]
fn a_newcomer_makes_each_write_its_own_anew() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let two = members(&[&a, &b]);
    a.write(b"one");
    a.look(&mut place, &two, NOW).unwrap();
    b.look(&mut place, &two, NOW).unwrap();
    b.write(b"two");
    b.look(&mut place, &two, NOW).unwrap();
    a.look(&mut place, &two, NOW).unwrap();
    let mut c = Device::new(3);
    let three = members(&[&a, &b, &c]);
    let told = c.look(&mut place, &three, NOW).unwrap();
    assert_eq!((told.not_for_me, told.batches, told.faults.len()), (2, 0, 0));
    for device in [&mut a, &mut b] {
        assert_eq!(device.look(&mut place, &three, NOW).unwrap().written, 1);
    }
    let told = c.look(&mut place, &three, NOW).unwrap();
    assert_eq!((told.not_for_me, told.batches), (0, 2));
    assert_eq!(c.changes, a.changes);
    // One reader fewer changes nothing that is there; what comes from now on is not for the one that left.
    let two = members(&[&a, &b]);
    assert_eq!(a.look(&mut place, &two, NOW).unwrap().written, 0);
    a.write(b"three");
    a.look(&mut place, &two, NOW).unwrap();
    assert_eq!(c.look(&mut place, &three, NOW).unwrap().not_for_me, 1);
}

#[test]
fn batches_that_build_on_each_other_are_taken_together() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let mut c = Device::new(3);
    let club = members(&[&a, &b, &c, &Device::new(4)]);
    // Each of two holds every other link of a chain, as after they wrote their batches anew.
    let mut on = Vec::new();
    for link in 0..10_u8 {
        let (hash, bytes) = change(&on, &[link]);
        let device = if link % 2 == 0 { &mut a } else { &mut b };
        device.hold(hash, bytes);
        on = vec![hash];
    }
    // They write without reading: each looks at an empty place of its own.
    let (mut one, mut other) = (memory(), memory());
    a.look(&mut one, &club, NOW).unwrap();
    b.look(&mut other, &club, NOW).unwrap();
    for from in [&mut one, &mut other] {
        for path in paths(from) {
            let mut bytes = Vec::new();
            from.read(&path, 1 << 20, &mut bytes).unwrap();
            place.write(&path, bytes).unwrap();
        }
    }
    // A third member's, which will wait for ever, does not stand in their way.
    let mut d = Device::new(4);
    let (hash, bytes) = change(&[[9; 32]], b"on nothing");
    d.hold(hash, bytes);
    let mut third = memory();
    d.look(&mut third, &club, NOW).unwrap();
    for path in paths(&mut third) {
        let mut bytes = Vec::new();
        third.read(&path, 1 << 20, &mut bytes).unwrap();
        place.write(&path, bytes).unwrap();
    }
    let told = c.look(&mut place, &club, NOW).unwrap();
    assert_eq!((told.batches, told.changes, told.waiting), (2, 10, 1), "{told:?}");
    assert_eq!(c.changes.len(), 10);
    assert!(c.waited >= 2, "nothing had to wait, so nothing was tried");
}

#[test]
fn a_bad_seal_keeps_nobody_from_writing() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let mut club = members(&[&a, &b]);
    club.push(([3; 32], "age1 is what a hostile member wrote".to_owned()));
    a.write(b"one");
    a.look(&mut place, &club, NOW).unwrap();
    assert_eq!(b.look(&mut place, &club, NOW).unwrap().batches, 1);
}

#[test]
fn a_flood_of_files_is_read_in_parts() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let club = members(&[&a, &b]);
    a.limits.batches = 1_000;
    b.limits.files = 4;
    for at in 0..10_u8 {
        a.write(&[at]);
        a.look(&mut place, &club, NOW).unwrap();
    }
    let mut looks = 0;
    while b.changes.len() < 10 {
        let told = b.look(&mut place, &club, NOW).unwrap();
        looks += 1;
        assert!(
            looks < 10 && (told.bytes_left > 0 || b.changes.len() == 10),
            "{told:?}"
        );
    }
    assert_eq!(a.changes, b.changes);
}

#[test]
fn one_that_waits_is_offered_again_when_more_is_held() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let club = members(&[&a, &b]);
    let (first, first_bytes) = change(&[], b"by another road");
    let (second, bytes) = change(&[first], b"by the drop");
    a.hold(second, bytes);
    a.look(&mut place, &club, NOW).unwrap();
    let told = b.look(&mut place, &club, NOW).unwrap();
    assert_eq!((told.waiting, told.batches), (1, 0));
    // Not read again for nothing.
    assert_eq!(b.look(&mut place, &club, NOW).unwrap().bytes_read, 0);
    b.hold(first, first_bytes);
    let told = b.look(&mut place, &club, NOW).unwrap();
    assert_eq!((told.waiting, told.batches), (0, 1));
    assert!(b.changes.contains_key(&second));
}

#[test]
fn a_book_is_kept_and_can_be_lost() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let club = members(&[&a, &b]);
    for at in 0..50_u8 {
        a.write(&[at]);
    }
    a.look(&mut place, &club, NOW).unwrap();
    b.look(&mut place, &club, NOW).unwrap();
    let bytes = b.book.to_bytes().unwrap();
    assert!(bytes.len() < 50 * 16 + 200, "{}", bytes.len());
    assert_eq!(Book::from_bytes(&bytes).unwrap(), b.book);
    for bad in [&b""[..], b"x", &bytes[..bytes.len() - 1], &[255; 40]] {
        assert!(matches!(Book::from_bytes(bad), Err(DropError::BadBook)));
    }
    b.book = Book::new();
    let told = b.look(&mut place, &club, NOW).unwrap();
    assert_eq!((told.batches, told.written), (1, 0));
    // Its own are found again, and written anew since nobody knows any more who can open them.
    a.book = Book::new();
    let told = a.look(&mut place, &club, NOW).unwrap();
    assert_eq!((told.written, told.faults.len()), (1, 0));
    assert_eq!(a.look(&mut place, &club, NOW + 1).unwrap().written, 0);
}

#[test]
fn names_are_of_one_length_and_another_for_everything() {
    let names = |secret: &[u8], record| Names::new(secret, record);
    let one = names(b"a secret of sixteen", RECORD);
    let mut all = vec![
        one.record(),
        names(b"a secret of sixteen", "another record").record(),
        names(b"another secret of it", RECORD).record(),
    ];
    for device in [[1; 32], [2; 32]] {
        for shelf in [Shelf::Batches, Shelf::Photos] {
            all.push(one.folder(&device, shelf));
        }
    }
    for name in &all {
        assert!(name.len() == 32 && name.bytes().all(|b| b.is_ascii_hexdigit()));
    }
    let before = all.len();
    all.sort();
    all.dedup();
    assert_eq!(all.len(), before);
    // Where secret ends and record begins is part of the name.
    assert_ne!(names(b"ab", "c").record(), names(b"a", "bc").record());
    assert!(!format!("{one:?}").contains("secret"));
}

#[test]
fn a_newcomer_does_not_wait_for_an_old_member_that_is_away() {
    let (mut a, mut c, mut place) = (Device::new(1), Device::new(3), memory());
    let old = members(&[&a, &c]);
    for number in 0..4_u8 {
        c.write(&[number]);
    }
    c.photos
        .insert(*blake3::hash(b"a photo").as_bytes(), b"a photo".to_vec());
    c.look(&mut place, &old, NOW).unwrap();
    a.wanted.insert(*blake3::hash(b"a photo").as_bytes());
    a.look(&mut place, &old, NOW).unwrap();
    a.write(b"a's own");
    a.look(&mut place, &old, NOW).unwrap();
    // From here on the one who wrote most of it is away.
    let mut n = Device::new(2);
    n.wanted.insert(*blake3::hash(b"a photo").as_bytes());
    let club = members(&[&a, &c, &n]);
    let mut written = Vec::new();
    for round in 0..8 {
        written.push(a.look(&mut place, &club, NOW + round).unwrap().written);
        n.look(&mut place, &club, NOW + round).unwrap();
    }
    assert_eq!(n.order.len(), 5, "of all changes");
    assert!(n.wanted.is_empty(), "the photo did not come");
    // It was written anew once: a photo and a batch.
    assert_eq!(written, [2, 0, 0, 0, 0, 0, 0, 0]);
    // A third who is here by then writes none of it again.
    let mut d = Device::new(4);
    let club = members(&[&a, &c, &n, &d]);
    a.look(&mut place, &club, NOW + 10).unwrap();
    let told = [&mut d, &mut n].map(|one| one.look(&mut place, &club, NOW + 11).unwrap().written);
    assert_eq!((told, d.order.len()), ([0, 0], 5));
}

#[test]
fn a_book_of_an_older_program_is_read_on() {
    let (mut a, mut c, mut place) = (Device::new(1), Device::new(3), memory());
    let club = members(&[&a, &c]);
    c.write(b"one");
    c.look(&mut place, &club, NOW).unwrap();
    a.look(&mut place, &club, NOW).unwrap();
    a.look(&mut place, &club, NOW).unwrap();
    // Whatever an older program knew stands before what it did not.
    let now = a.book.to_bytes().unwrap();
    let older = (1..now.len()).map(|length| now[..length].to_vec());
    let older: Vec<Book> = older.filter_map(|bytes| Book::from_bytes(&bytes).ok()).collect();
    let older = older.first().expect("no book without its end is one").clone();
    assert_ne!(older, a.book);
    assert_eq!(older.looks(), a.book.looks());
    a.book = older;
    assert_eq!(a.look(&mut place, &club, NOW).unwrap().written, 0);
}

#[test]
fn a_listing_that_is_too_long_hides_nobody_and_is_told_of() {
    let (mut a, mut b) = (Device::new(1), Device::new(2));
    let club = members(&[&a, &b]);
    let mut place = memory().listing_at_most(40);
    a.write(b"one");
    a.look(&mut place, &club, NOW).unwrap();
    let record = paths(&mut place)
        .first()
        .unwrap()
        .split('/')
        .next()
        .unwrap()
        .to_owned();
    for number in 0..60 {
        // Before and behind every folder of ours, whatever those are called.
        for folder in ["0", "ffffffffffffffffffffffffffffffff"] {
            place
                .write(&format!("{record}/{folder}/{number}"), vec![1])
                .unwrap();
        }
    }
    let told = b.look(&mut place, &club, NOW).unwrap();
    assert!(told.too_long);
    assert_eq!(
        b.order.len(),
        1,
        "what lies behind the stranger's files is not found"
    );
    // Nothing counts as gone, however often it is looked.
    for round in 0..8 {
        assert_eq!(a.look(&mut place, &club, NOW + round * DAY).unwrap().written, 0);
    }
    // Where not even the own folders can be listed, nothing is written again and nothing taken away.
    let mut place = place.listing_at_most(0);
    for round in 0..8 {
        let told = a.look(&mut place, &club, NOW + round * DAY).unwrap();
        assert_eq!((told.written, told.removed), (0, 0));
    }
}

/// A file that was there and is gone, as off a stick that lost one: whoever has what it held puts it there at its next look.
#[test]
fn what_a_lost_file_held_is_put_there_again_at_the_next_look() {
    for writer_is_here in [true, false] {
        let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
        let mut c = Device::new(3);
        let club = members(&[&a, &b, &c]);
        a.write(b"one");
        a.look(&mut place, &club, NOW).unwrap();
        let first = paths(&mut place);
        a.write(b"two");
        a.look(&mut place, &club, NOW).unwrap();
        for device in [&mut a, &mut b] {
            device.look(&mut place, &club, NOW).unwrap();
        }
        for path in &first {
            place.remove(path).unwrap();
        }
        let told = c.look(&mut place, &club, NOW).unwrap();
        assert_eq!((told.batches, told.waiting, told.faults.len()), (0, 1, 0));
        let (here, other) = if writer_is_here {
            (&mut a, &mut b)
        } else {
            (&mut b, &mut a)
        };
        assert_eq!(here.look(&mut place, &club, NOW).unwrap().written, 1);
        let told = c.look(&mut place, &club, NOW).unwrap();
        assert_eq!((told.waiting, told.faults.len()), (0, 0));
        assert_eq!(c.changes, here.changes);
        // Once is enough, and nobody writes it a third time.
        for device in [here, other, &mut c] {
            assert_eq!(device.look(&mut place, &club, NOW).unwrap().written, 0);
        }
    }
}
