//! Strangers and hostile members against a net, over bare iroh endpoints: not one byte for a stranger, a burst of a
//! thousand, lying lengths, floods and silence; and what it all costs in memory, which the kernel says (VmHWM,
//! proc(5)) for the whole process, attackers included. Linux only.
#![cfg(target_os = "linux")]
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

use device::{Device, LONG, frame, identity, key};
use iroh::endpoint::{Connection, ConnectionError, RecvStream, SendStream, presets};
use iroh::{Endpoint, EndpointAddr, PublicKey, SecretKey, TransportAddr};
use link::net::{Got, MEET, MOST_FRAME, NetEvent, Why};
use tokio::task::JoinSet;

/// The issue's own figure.
const MOST_KB: u64 = 256_000_000 / 1024;

fn runtime() -> tokio::runtime::Runtime {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .unwrap()
}

fn peak_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .unwrap();
    line.trim().trim_end_matches(" kB").parse().unwrap()
}

async fn bare(seed: [u8; 32]) -> Endpoint {
    Endpoint::builder(presets::Minimal)
        .secret_key(SecretKey::from_bytes(&seed))
        .clear_ip_transports()
        .bind_addr("127.0.0.1:0")
        .unwrap()
        .bind()
        .await
        .unwrap()
}

fn place(device: &Device) -> EndpointAddr {
    let id = PublicKey::from_bytes(device.net.key().as_bytes()).unwrap();
    EndpointAddr::from_parts(id, [TransportAddr::Ip(device.socket())])
}

/// Tries everything that a stranger may, and counts the bytes that come of it.
async fn pester(connection: &Connection) -> usize {
    let mut bytes = 0;
    if let Ok((mut send, mut receive)) = connection.open_bi().await {
        let _ = send.write_all(&[1, 4, 0, 0, 0, b'h', b'e', b'y', b'!']).await;
        let mut some = [0; 64];
        while let Ok(Some(more)) = receive.read(&mut some).await {
            bytes += more;
        }
    }
    if let Ok(mut receive) = connection.accept_uni().await {
        bytes += receive.read_to_end(1_000).await.map_or(0, |more| more.len());
    }
    bytes
}

/// As a member does: the stream, both greetings.
async fn greeted(endpoint: &Endpoint, to: EndpointAddr) -> (Connection, SendStream, RecvStream) {
    let connection = endpoint.connect(to, MEET).await.unwrap();
    let (mut send, mut receive) = connection.open_bi().await.unwrap();
    send.write_all(&[1]).await.unwrap();
    let mut version = [0];
    receive.read_exact(&mut version).await.unwrap();
    assert_eq!(version, [1]);
    (connection, send, receive)
}

/// The seed of a test identity is its number, repeated.
fn member() -> [u8; 32] {
    let seed = [2; 32];
    assert_eq!(
        SecretKey::from_bytes(&seed).public().as_bytes(),
        key(2).as_bytes()
    );
    seed
}

fn hostile_to_the_end() {
    let peak = peak_kb();
    println!("peak of the whole process: {peak} kB");
    assert!(peak <= MOST_KB, "{peak} kB");
}

#[test]
fn a_stranger_gets_not_one_byte() {
    let device = Device::new(1, &[2]);
    runtime().block_on(async {
        let stranger = bare([9; 32]).await;
        let connection = stranger.connect(place(&device), MEET).await.unwrap();
        assert_eq!(pester(&connection).await, 0);
        let Some(ConnectionError::ApplicationClosed(close)) = connection.close_reason() else {
            panic!("{:?}", connection.close_reason());
        };
        assert_eq!(&close.reason[..], b"not a member");
        assert_eq!(connection.stats().frame_rx.stream, 0);
        // Nor with another protocol, nor with the one for pairing while no ticket is open.
        for protocol in [&b"other"[..], link::net::PAIR] {
            assert!(stranger.connect(place(&device), protocol).await.is_err());
        }
    });
    while let Some(event) = device.next(Duration::from_millis(200)) {
        assert!(matches!(event, NetEvent::Addresses(_)), "{event:?}");
    }
}

#[test]
fn a_burst_of_a_thousand_strangers_starves_no_member() {
    const STRANGERS: u64 = 1_000;
    let device = Device::new(1, &[3]);
    let friend = Device::new(3, &[1]);
    let to = place(&device);
    let (bytes, frames, refused, took) = runtime().block_on(async {
        // Ten machines, so to say; all from one address, as behind one router.
        let mut strangers = Vec::new();
        for number in 0..10 {
            strangers.push(bare([100 + number; 32]).await);
        }
        let mut all = JoinSet::new();
        for number in 0..STRANGERS {
            let (endpoint, to) = (strangers[(number % 10) as usize].clone(), to.clone());
            all.spawn(async move {
                match endpoint.connect(to, MEET).await {
                    Ok(connection) => {
                        let bytes = pester(&connection).await;
                        (bytes, connection.stats().frame_rx.stream, 0)
                    }
                    Err(_) => (0, 0, 1_u64),
                }
            });
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
        let began = Instant::now();
        friend.wishes(&device);
        let met = tokio::task::block_in_place(|| {
            let (here, there) = (friend.here(), device.here());
            here.send(b"through".to_vec()).unwrap();
            assert_eq!(frame(&there), b"through");
            began.elapsed()
        });
        let mut sum = (0, 0, 0);
        while let Some(one) = all.join_next().await {
            let one = one.unwrap();
            sum = (sum.0 + one.0, sum.1 + one.1, sum.2 + one.2);
        }
        (sum.0, sum.1, sum.2, met)
    });
    println!(
        "{STRANGERS} strangers: {bytes} bytes, {refused} refused before their handshake; the member was through in {took:?}"
    );
    assert_eq!((bytes, frames), (0, 0));
    assert!(took < Duration::from_secs(10), "{took:?}");
    hostile_to_the_end();
}

#[test]
fn a_lying_length_ends_the_meeting_and_no_more() {
    let device = Device::new(1, &[2]);
    runtime().block_on(async {
        for declared in [u32::MAX, MOST_FRAME as u32 + 1, 1 << 31] {
            let endpoint = bare(member()).await;
            let (connection, mut send, _receive) = greeted(&endpoint, place(&device)).await;
            send.write_all(&declared.to_le_bytes()).await.unwrap();
            // It may have been shown out already.
            let _ = send.write_all(&[0; 100]).await;
            let closed = connection.closed().await;
            assert!(
                matches!(closed, ConnectionError::ApplicationClosed(_)),
                "{closed}"
            );
            let (_, why) = tokio::task::block_in_place(|| device.gone());
            assert_eq!(why, Why::TooLong(declared));
        }
    });
    hostile_to_the_end();
}

#[test]
fn a_length_that_is_declared_and_not_sent_costs_nothing() {
    let device = Device::new(1, &[2]);
    runtime().block_on(async {
        let endpoint = bare(member()).await;
        let (_connection, mut send, _receive) = greeted(&endpoint, place(&device)).await;
        send.write_all(&(MOST_FRAME as u32).to_le_bytes()).await.unwrap();
        send.write_all(&[0; 10]).await.unwrap();
        let meeting = tokio::task::block_in_place(|| device.here());
        let got = tokio::task::block_in_place(|| meeting.receive(Duration::from_millis(300)));
        assert_eq!(got, Got::Nothing);
        send.finish().unwrap();
        let got = tokio::task::block_in_place(|| meeting.receive(LONG));
        assert_eq!(got, Got::Gone);
        // A frame that was cut off is none.
        let (_, why) = tokio::task::block_in_place(|| device.gone());
        assert_eq!(why, Why::Lost);
    });
}

#[test]
fn a_flood_that_nobody_reads_is_held_back() {
    let device = Device::new(1, &[2]);
    let sent = runtime().block_on(async {
        let endpoint = bare(member()).await;
        let (_connection, mut send, _receive) = greeted(&endpoint, place(&device)).await;
        let _meeting = tokio::task::block_in_place(|| device.here());
        let mut frame = (MOST_FRAME as u32).to_le_bytes().to_vec();
        frame.resize(4 + MOST_FRAME, 7);
        let mut sent = 0;
        let flood = async {
            for _ in 0..1_000 {
                send.write_all(&frame).await.unwrap();
                sent += frame.len();
            }
        };
        let held = tokio::time::timeout(Duration::from_secs(2), flood).await;
        assert!(held.is_err(), "a thousand frames of 1 MiB went through unread");
        sent
    });
    println!("{sent} bytes left the flooder before it was held back");
    assert!(sent < 32 * MOST_FRAME);
    hostile_to_the_end();
}

#[test]
fn whoever_says_nothing_is_put_out_and_disturbs_nobody() {
    let device = Device::new(1, &[2, 3]);
    runtime().block_on(async {
        let endpoint = bare(member()).await;
        let connection = endpoint.connect(place(&device), MEET).await.unwrap();
        let began = Instant::now();
        connection.closed().await;
        assert!(began.elapsed() < Duration::from_secs(8), "{:?}", began.elapsed());
        // A wrong greeting is put out as well.
        let connection = endpoint.connect(place(&device), MEET).await.unwrap();
        let (mut send, mut receive) = connection.open_bi().await.unwrap();
        send.write_all(&[99]).await.unwrap();
        assert!(receive.read_to_end(10).await.is_err());
    });
    let friend = Device::new(3, &[1]);
    friend.wishes(&device);
    assert_eq!(friend.here().peer(), identity(1).key());
    assert_eq!(device.here().peer(), identity(3).key());
}
