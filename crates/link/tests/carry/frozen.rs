//! Carry files of every released format, kept for ever: today's reader must take them. They never change; a new format gets a new file.

use crate::forge::{hash, small, taken};

const FORMAT_1: &[u8] = include_bytes!("format-1.carry");

#[test]
fn a_file_of_format_1_is_still_taken() {
    let (contents, kept) = taken(FORMAT_1).unwrap();
    assert_eq!(contents.head.car, "Aunt Dilys's Tern");
    assert_eq!(contents.head.sent, "2031-03-01T18:20:05Z");
    assert_eq!(
        (contents.changes, contents.photos, contents.photo_bytes),
        (3, 1, 50)
    );
    assert_eq!(
        kept.changes[2].1,
        b"seized, seized, seized, seized, seized, seized, seized"
    );
    assert_eq!(kept.changes[2].0, hash(b"dull"));
}

#[test]
fn todays_writer_tells_the_same() {
    // Not byte for byte: another version of the packer may pack otherwise.
    let (old, new) = (taken(FORMAT_1).unwrap(), taken(&small()).unwrap());
    assert_eq!(old.0.head, new.0.head);
    assert_eq!(old.1, new.1);
}
