//! What ten years' changes cost in a drop: bytes against the changes' own, and that nothing is done where nothing is new.

use std::time::Instant;

use crate::fake::{Device, members, memory};

/// Ten years of evenings: 31,000 changes, some 320 bytes each (the measured record of architecture's own figures).
#[test]
fn ten_years_cost_little_more_than_their_changes() {
    let (mut a, mut b, mut place) = (Device::new(1), Device::new(2), memory());
    let club = members(&[&a, &b]);
    let mut noise = vec![0; 31_000 * 140];
    blake3::Hasher::new()
        .update(b"evenings")
        .finalize_xof()
        .fill(&mut noise);
    for content in noise.chunks(140) {
        // Half of a change packs, half does not.
        a.write(&[content, &[b'w'; 147]].concat());
    }
    let own: u64 = a.changes.values().map(|bytes| bytes.len() as u64).sum();
    let began = Instant::now();
    let told = a.look(&mut place, &club, 1_930_000_000).unwrap();
    let wrote = began.elapsed();
    assert!(
        told.bytes_written * 10 <= own * 13,
        "{} for {own}",
        told.bytes_written
    );
    let began = Instant::now();
    let read = b.look(&mut place, &club, 1_930_000_000).unwrap();
    let took = began.elapsed();
    assert_eq!((read.changes, read.bytes_read), (31_000, told.bytes_written));
    assert_eq!(a.changes, b.changes);
    let began = Instant::now();
    let idle = b.look(&mut place, &club, 1_930_000_000).unwrap();
    assert_eq!((idle.bytes_read, idle.bytes_written), (0, 0));
    println!(
        "{own} bytes of changes, {} in the drop; written in {wrote:?}, read in {took:?}, nothing new in {:?}; book {} bytes",
        told.bytes_written,
        began.elapsed(),
        b.book.to_bytes().unwrap().len()
    );
}
