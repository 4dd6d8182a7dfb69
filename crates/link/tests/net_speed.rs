//! How fast frames go, beside a plain copy over an iroh stream in the same run on the same machine. A test of its
//! own, so that no other test of this crate runs beside it.
//!
//! Both run between two endpoints on loopback that are set up alike (the plain ones by the net's own `transport`), each
//! endpoint with a runtime of its own as a net has one, over one stream that stands for many bursts. In both a thread of
//! the caller's at either end gives and takes pieces of the same size, a fresh one each time: that a caller is a thread
//! which waits, and that a piece is its own to keep, counts in both. In the plain copy that thread drives the stream by
//! itself; what counts against frames alone is what the net adds: the length before each, the queues between
//! the caller and the stream, and the tasks that stand between them. Not counted in either: connecting, and the first
//! burst of each connection.
//!
//! Bursts are measured in turn, plain and framed, and what is judged is the middle one of the pairs' ratios: a busy
//! neighbour hurts both of a pair, and the pairs that it hurts unevenly lie at the ends. On two cores the middle one lay
//! between 0.88 and 0.99 in ten runs of ten while builds ran beside it (load 8 to 15). Fewer connections for longer were
//! less steady (0.78 to 1.07): one that fares badly, by its congestion window say, does so for as long as it stands.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    dead_code,
    reason = "a test fails by panicking; the device has more than is needed here"
)]

#[path = "net/device.rs"]
mod device;
#[path = "../src/net/transport.rs"]
mod transport;

use std::time::{Duration, Instant};

use iroh::endpoint::{Connection, RecvStream, SendStream, presets};
use iroh::{Endpoint, EndpointAddr, TransportAddr};
use link::net::Meeting;
use tokio::runtime::Runtime;

use device::{Device, frame};

/// A burst, and the pieces that it is copied in (those of photos are of this size).
const BURST: usize = 4 * 1024 * 1024;
const PIECE: usize = 64 * 1024;
/// The share of a plain copy that is wanted.
const WANTED: f64 = 0.8;
/// Connections of each kind, one after another, and pairs of bursts over each.
const CONNECTIONS: usize = 25;
const PAIRS: usize = 5;

/// A runtime as a net has one; each end has its own, as two devices have.
fn runtime() -> Runtime {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .unwrap()
}

/// One end of the plain copy.
struct End {
    send: SendStream,
    receive: RecvStream,
    connection: Connection,
    endpoint: Endpoint,
    runtime: Runtime,
}

async fn bare() -> Endpoint {
    Endpoint::builder(presets::Minimal)
        .alpns(vec![b"plain".to_vec()])
        .transport_config(transport::transport())
        .relay_mode(iroh::RelayMode::Disabled)
        .clear_ip_transports()
        .bind_addr("127.0.0.1:0")
        .unwrap()
        .bind()
        .await
        .unwrap()
}

/// Two ends with one stream between them, on which a byte went each way, as a meeting's greeting does.
fn ends() -> (End, End) {
    let (sending, receiving) = (runtime(), runtime());
    let (from, to) = (sending.block_on(bare()), receiving.block_on(bare()));
    let place = TransportAddr::Ip(to.bound_sockets()[0]);
    let address = EndpointAddr::from_parts(to.id(), [place]);
    let there = to.clone();
    let accepted = receiving.spawn(async move {
        let connection = there.accept().await.unwrap().await.unwrap();
        let (mut send, mut receive) = connection.accept_bi().await.unwrap();
        receive.read_exact(&mut [0]).await.unwrap();
        send.write_all(&[1]).await.unwrap();
        (connection, send, receive)
    });
    let (connection, send, receive) = sending.block_on(async {
        let connection = from.connect(address, b"plain").await.unwrap();
        let (mut send, mut receive) = connection.open_bi().await.unwrap();
        send.write_all(&[1]).await.unwrap();
        receive.read_exact(&mut [0]).await.unwrap();
        (connection, send, receive)
    });
    let one = End {
        send,
        receive,
        connection,
        endpoint: from,
        runtime: sending,
    };
    let (connection, send, receive) = receiving.block_on(accepted).unwrap();
    let other = End {
        send,
        receive,
        connection,
        endpoint: to,
        runtime: receiving,
    };
    (one, other)
}

/// How long a burst took: from before its first piece was given until the last was taken.
fn burst(mut give: impl FnMut() + Send, mut take: impl FnMut() -> usize) -> Duration {
    let began = Instant::now();
    std::thread::scope(|scope| {
        scope.spawn(move || {
            for _ in 0..BURST / PIECE {
                give();
            }
        });
        for _ in 0..BURST / PIECE {
            assert_eq!(take(), PIECE);
        }
        began.elapsed()
    })
}

fn plain(one: &mut End, other: &mut End) -> Duration {
    burst(
        || {
            let piece = vec![7; PIECE].into();
            one.runtime.block_on(one.send.write_chunk(piece)).unwrap();
        },
        || {
            let mut piece = vec![0; PIECE];
            other
                .runtime
                .block_on(other.receive.read_exact(&mut piece))
                .unwrap();
            piece.len()
        },
    )
}

fn framed(here: &Meeting, there: &Meeting) -> Duration {
    burst(|| here.send(vec![7; PIECE]).unwrap(), || frame(there).len())
}

/// MB a second.
fn rate(took: Duration) -> f64 {
    BURST as f64 / took.as_secs_f64() / 1e6
}

fn middle(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

#[test]
fn frames_are_not_much_slower_than_a_plain_copy() {
    let (mut plains, mut frames, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for round in 0..CONNECTIONS {
        let (mut from, mut to) = ends();
        let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
        one.wishes(&other);
        let (here, there) = (one.here(), other.here());
        plain(&mut from, &mut to);
        framed(&here, &there);
        let mut told = String::new();
        for pair in 0..PAIRS {
            // Who goes first takes turns as well.
            let (copy, framed) = if pair % 2 == 0 {
                let copy = plain(&mut from, &mut to);
                (copy, framed(&here, &there))
            } else {
                let framed = framed(&here, &there);
                (plain(&mut from, &mut to), framed)
            };
            let (copy, framed) = (rate(copy), rate(framed));
            told.push_str(&format!(" {copy:.0}/{framed:.0}"));
            plains.push(copy);
            frames.push(framed);
            ratios.push(framed / copy);
        }
        println!("connection {round}, MB/s plain/frames:{told}");
    }
    ratios.sort_by(f64::total_cmp);
    let shown: Vec<String> = ratios.iter().map(|ratio| format!("{ratio:.2}")).collect();
    println!("ratios: {}", shown.join(" "));
    let ratio = middle(ratios);
    println!(
        "frames at {ratio:.2} of a plain copy; {:.0} of {:.0} MB/s in the middle",
        middle(frames),
        middle(plains)
    );
    assert!(ratio >= WANTED, "{ratio:.2} of a plain copy, {WANTED} is wanted");
}
