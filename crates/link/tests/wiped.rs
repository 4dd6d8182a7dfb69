//! What a device holds of its secrets is gone from the memory of the program when it is let go. The memory is read as the
//! system shows it (Linux, `/proc/self/mem`); what is looked for is worked out letter by letter, so that the search
//! itself holds no copy. What is passed over is the stack of the thread that runs: the next calls write over it, and which
//! copies a compiler leaves there is no library's to say.

#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};

use link::identity::Identity;
use link::seal::{OpeningKey, SigningKey};

/// What the secrets are made of: no two places alike, and never held as a whole.
fn byte(place: usize) -> u8 {
    u8::try_from((place * 73 + 41) % 251).unwrap()
}

/// How often a run of bytes, told one by one, stands in the memory that this program writes.
fn copies(length: usize, wanted: impl Fn(usize) -> u8) -> usize {
    let maps = std::fs::read_to_string("/proc/self/maps").unwrap();
    let mut memory = File::open("/proc/self/mem").unwrap();
    let mut found = 0;
    let mut page = vec![0; 1 << 20];
    let own = page.as_ptr().addr()..page.as_ptr().addr() + page.len();
    let on_the_stack = 0_u8;
    let stack = std::ptr::from_ref(&on_the_stack).addr();
    for line in maps.lines().filter(|line| line.contains(" rw-p ")) {
        let (from, to) = line.split(' ').next().unwrap().split_once('-').unwrap();
        let number = |text| usize::from_str_radix(text, 16).unwrap();
        let (mut at, to) = (number(from), number(to));
        if (at..to).contains(&stack) {
            continue;
        }
        while at < to {
            let most = page.len().min(to - at);
            let read = memory.seek(SeekFrom::Start(at as u64)).is_ok()
                && memory.read_exact(&mut page[..most]).is_ok();
            for place in 0..if read { most.saturating_sub(length) + 1 } else { 0 } {
                let here = (0..length).all(|step| page[place + step] == wanted(step));
                found += usize::from(here && !own.contains(&(at + place)));
            }
            // What lies across the edge of two pieces is seen in the next one.
            if most <= length || at + most >= to {
                break;
            }
            at += most - length;
        }
    }
    found
}

#[test]
fn secrets_are_wiped_when_they_go() {
    let mut random = Box::new([0; 64]);
    for place in 0..64 {
        random[place] = byte(place);
    }
    let identity = Identity::generate(&random);
    random.fill(0);
    let seal = |step| byte(32 + step);
    assert_eq!(
        (copies(32, byte), copies(32, seal)),
        (1, 1),
        "the search sees what is there"
    );

    let text = identity.to_text();
    let letters: Vec<u8> = text.bytes().map(|letter| letter ^ 0x5a).collect();
    let secret = |step: usize| letters[letters.len() - 40 + step] ^ 0x5a;
    assert!(copies(30, secret) > 0);
    // Moved, copied, read back and used: none of it leaves anything behind.
    let back = Identity::from_text(&text).unwrap();
    let copy = back.copied(&[7; 64]);
    let moved = Some(back);
    {
        let (sign, open) = (SigningKey::of(&identity), OpeningKey::of(&identity).unwrap());
        assert_eq!(&sign.public(), identity.key().as_bytes());
        assert_eq!(Some(open.seal()), identity.recipient());
        let _ = identity.sign(b"something");
    }
    drop((moved, copy, identity, text));
    let left = (copies(32, byte), copies(32, seal), copies(30, secret));
    println!("copies left of seed, seal and the seal's text: {left:?}");
    assert_eq!(left, (0, 0, 0));
}
