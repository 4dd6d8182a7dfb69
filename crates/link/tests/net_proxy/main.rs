//! Photos over a bad line: two nets on loopback with a proxy between them that breaks the line again and again and spoils
//! one packet in 10,000, the real conversation (`link::talk`) over it, and photos in memory. Counted: bytes of pieces
//! that the sender gave to its net against bytes of photos (the issue's own figure: at most three in a hundred more), and
//! beside it what went over UDP. Every photo must come whole and right.
//!
//! The short form takes half a minute. `WITNESSMARK_WHOLE=1` runs the issue's own: 200 MB in 500 photos, breaks every 1 to
//! 10 s. A record's changes, a store and a disk are not in it: the notebook's tests have them.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::cast_precision_loss,
    dead_code,
    reason = "a test fails by panicking; the device and the sides have more than is needed here"
)]

#[path = "../net/device.rs"]
mod device;
mod line;
#[path = "../sides/mod.rs"]
mod sides;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use device::Device;
use line::{Line, Manners};
use link::net::{Got, Meeting, NetEvent as Net};
use link::talk::{Event, Message, Mine, PhotoKey, Talk};
use sides::{Side, hash};

/// The most that may be sent again, in hundredths of the photos' bytes: the issue's own figure.
const MOST_AGAIN: f64 = 3.0;
/// A photo, as a phone makes them after shrinking.
const PHOTO: usize = 400_000;

fn photo(number: usize) -> (PhotoKey, Vec<u8>) {
    let mut bytes = vec![0; PHOTO];
    let mut drawn = blake3::Hasher::new_derive_key("witnessmark test photo");
    drawn
        .update(&number.to_le_bytes())
        .finalize_xof()
        .fill(&mut bytes);
    let key = PhotoKey {
        hash: hash(&bytes),
        small: false,
    };
    (key, bytes)
}

/// What both ends count.
#[derive(Default)]
struct Counts {
    pieces: AtomicU64,
    piece_bytes: AtomicU64,
    wrong: AtomicU64,
    meetings: AtomicU64,
    over: AtomicBool,
}

/// One meeting from its beginning to its end, or until the guest has everything.
fn converse(
    side: &mut Side,
    meeting: &Meeting,
    began: Instant,
    counts: &Counts,
    done: &dyn Fn(&Side) -> bool,
) {
    side.talk = Talk::new(Mine {
        record: [7; 32],
        device: "a device".to_owned(),
        heads: side.heads(),
    });
    (side.closed, side.met) = (None, None);
    side.out.clear();
    side.todo.clear();
    side.tell(Event::Opened);
    while side.closed.is_none() && !counts.over.load(Ordering::SeqCst) && !done(side) {
        side.now = u64::try_from(began.elapsed().as_millis()).unwrap();
        if let Some(frame) = side.out.pop_front() {
            if let Ok(Message::Piece { bytes, .. }) = Message::from_bytes(&frame) {
                counts.pieces.fetch_add(1, Ordering::Relaxed);
                counts
                    .piece_bytes
                    .fetch_add(bytes.0.len() as u64, Ordering::Relaxed);
            }
            if meeting.send(frame).is_err() {
                side.tell(Event::Broke);
            }
            continue;
        }
        if side.perform() {
            continue;
        }
        match meeting.receive(Duration::from_millis(50)) {
            Got::Frame(frame) => side.tell(Event::Got(frame)),
            Got::Nothing => side.tell(Event::Tick),
            Got::Gone => side.tell(Event::Broke),
        }
    }
    counts
        .wrong
        .fetch_add(side.talk.status().photos_wrong, Ordering::Relaxed);
}

/// Meets whoever comes until all is over.
fn attend(device: &Device, side: &mut Side, began: Instant, counts: &Counts, done: impl Fn(&Side) -> bool) {
    while !counts.over.load(Ordering::SeqCst) {
        let Some(Net::Here(meeting)) = device.next(Duration::from_millis(50)) else {
            continue;
        };
        counts.meetings.fetch_add(1, Ordering::Relaxed);
        converse(side, &meeting, began, counts, &done);
        if done(side) {
            counts.over.store(true, Ordering::SeqCst);
        }
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn photos_come_whole_over_a_line_that_breaks_and_spoils_and_little_is_sent_again() {
    let whole = std::env::var_os("WITNESSMARK_WHOLE").is_some();
    // The short form breaks as often as it would on a quiet machine: a busy one takes longer, and is no worse line.
    let (count, stands, rate, breaks) = if whole {
        (500, (1_000, 10_000), 4_000_000, u64::MAX)
    } else {
        (120, (1_000, 3_000), 8_000_000, 4)
    };
    let seed = std::env::var("WITNESSMARK_SEED").map_or(4, |text| text.parse().unwrap());
    let limit = Duration::from_secs(if whole { 1_200 } else { 240 });
    // The one listens on IPv4 alone and the other on IPv6 alone: there is no way around the proxy.
    let host = Device::at(1, &[2], "127.0.0.1:0".parse().unwrap());
    let guest = Device::at(2, &[1], "[::1]:0".parse().unwrap());
    let line = Line::new(
        host.socket(),
        Manners {
            seed,
            stands: (Duration::from_millis(stands.0), Duration::from_millis(stands.1)),
            breaks,
            spoils: 10_000,
            rate,
        },
    );
    let (mut giving, mut taking) = (Side::of("host", &["one"]), Side::of("guest", &["one"]));
    for number in 0..count {
        let (key, bytes) = photo(number);
        giving.photos.insert(key, bytes);
        taking.parts.insert(key, Vec::new());
    }
    let total = (count * PHOTO) as u64;
    let (at_host, at_guest) = (Counts::default(), Counts::default());
    let began = Instant::now();
    guest
        .net
        .wish(vec![(device::key(1), vec![line.at.to_string().parse().unwrap()])]);
    std::thread::scope(|scope| {
        scope.spawn(|| attend(&host, &mut giving, began, &at_host, |_| false));
        let end = scope.spawn(|| {
            attend(&guest, &mut taking, began, &at_guest, |side| {
                side.parts.is_empty()
            })
        });
        while !end.is_finished() && began.elapsed() < limit {
            std::thread::sleep(Duration::from_millis(20));
        }
        at_guest.over.store(true, Ordering::SeqCst);
        at_host.over.store(true, Ordering::SeqCst);
    });
    let took = began.elapsed();
    let did = &line.did;
    let (sent, udp) = (
        at_host.piece_bytes.load(Ordering::SeqCst),
        did.bytes.load(Ordering::SeqCst),
    );
    let over = |bytes: u64| (bytes as f64 / total as f64 - 1.0) * 100.0;
    println!(
        "seed {seed}: {count} photos, {total} bytes in {took:.1?} at {rate} bytes/s at most; {} of them came",
        taking.whole.len()
    );
    println!(
        "the line: {} short and {} long breaks, {} packets, {} of them spoiled, {} lost in breaks; {} meetings",
        did.blinks.load(Ordering::SeqCst),
        did.deaths.load(Ordering::SeqCst),
        did.packets.load(Ordering::SeqCst),
        did.spoiled.load(Ordering::SeqCst),
        did.lost.load(Ordering::SeqCst),
        at_guest.meetings.load(Ordering::SeqCst),
    );
    println!(
        "sent again: {:.2} % of the photos' bytes as pieces ({} pieces), {:.2} % at UDP with its headers",
        over(sent),
        at_host.pieces.load(Ordering::SeqCst),
        over(udp)
    );
    assert_eq!(taking.whole.len(), count, "within {limit:?}");
    assert!(taking.photos == giving.photos, "a byte is wrong");
    assert_eq!(
        at_guest.wrong.load(Ordering::SeqCst),
        0,
        "a piece came that was not right"
    );
    assert!(udp >= total, "something went around the proxy");
    assert!(did.deaths.load(Ordering::SeqCst) >= 1 && did.blinks.load(Ordering::SeqCst) >= 1);
    assert!(
        did.spoiled.load(Ordering::SeqCst) >= 1,
        "the line spoiled nothing"
    );
    assert!(over(sent) <= MOST_AGAIN, "{:.2} % sent again", over(sent));
}
