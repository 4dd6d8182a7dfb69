//! How fast frames go, beside a plain copy over an iroh stream in the same run on the same machine. A test of its
//! own, so that no other test of this crate runs beside it. The wanted four fifths are what it prints and a quiet machine
//! reaches (0.9 to 1.1 seen); it fails below three fifths, so that a busy neighbour fails nobody's work.
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

use std::time::{Duration, Instant};

use iroh::endpoint::presets;
use iroh::{Endpoint, EndpointAddr, TransportAddr};

use device::{Device, frame};

const TOTAL: usize = 48 * 1024 * 1024;
const PIECE: usize = 64 * 1024;

/// A runtime as a net has one; each end has its own, as two devices have.
fn runtime() -> tokio::runtime::Runtime {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .unwrap()
}

async fn bare() -> Endpoint {
    Endpoint::builder(presets::Minimal)
        .alpns(vec![b"plain".to_vec()])
        .clear_ip_transports()
        .bind_addr("127.0.0.1:0")
        .unwrap()
        .bind()
        .await
        .unwrap()
}

/// Bytes a second over a stream of two bare endpoints, copied by a thread of the caller's at each end, as a meeting's
/// frames are.
fn plain(sending: &tokio::runtime::Runtime, receiving: &tokio::runtime::Runtime) -> f64 {
    let (from, to) = (sending.block_on(bare()), receiving.block_on(bare()));
    let place = TransportAddr::Ip(to.bound_sockets()[0]);
    let address = EndpointAddr::from_parts(to.id(), [place]);
    let took = std::thread::scope(|scope| {
        scope.spawn(|| {
            sending.block_on(async {
                let connection = from.connect(address, b"plain").await.unwrap();
                let mut send = connection.open_uni().await.unwrap();
                for _ in 0..TOTAL / PIECE {
                    send.write_all(&vec![7; PIECE]).await.unwrap();
                }
                send.finish().unwrap();
                let _ = send.stopped().await;
            });
        });
        receiving.block_on(async {
            let connection = to.accept().await.unwrap().await.unwrap();
            let mut receive = connection.accept_uni().await.unwrap();
            let began = Instant::now();
            for _ in 0..TOTAL / PIECE {
                let mut piece = vec![0; PIECE];
                receive.read_exact(&mut piece).await.unwrap();
                assert_eq!(piece.len(), PIECE);
            }
            began.elapsed()
        })
    });
    rate(took)
}

/// Bytes a second in frames over a meeting.
fn framed(one: &Device, other: &Device) -> f64 {
    one.wishes(other);
    let (here, there) = (one.here(), other.here());
    let took = std::thread::scope(|scope| {
        scope.spawn(|| {
            for _ in 0..TOTAL / PIECE {
                here.send(vec![7; PIECE]).unwrap();
            }
        });
        let began = Instant::now();
        for _ in 0..TOTAL / PIECE {
            assert_eq!(frame(&there).len(), PIECE);
        }
        began.elapsed()
    });
    rate(took)
}

fn rate(took: Duration) -> f64 {
    TOTAL as f64 / took.as_secs_f64() / 1e6
}

#[test]
fn frames_are_not_much_slower_than_a_plain_copy() {
    let (sending, receiving) = (runtime(), runtime());
    // The best of several, in turn, so that what else the machine does hurts both alike.
    let (mut best_plain, mut best_framed) = (0.0_f64, 0.0_f64);
    for round in 0..8 {
        let (copy, frames) = (plain(&sending, &receiving), {
            let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
            framed(&one, &other)
        });
        println!("round {round}: plain {copy:.0} MB/s, frames {frames:.0} MB/s");
        best_plain = best_plain.max(copy);
        best_framed = best_framed.max(frames);
    }
    let ratio = best_framed / best_plain;
    println!("frames at {ratio:.2} of a plain copy");
    assert!(ratio >= 0.6, "{best_framed:.0} of {best_plain:.0} MB/s");
}
