//! Where a member was found is told, and the port of the last time is taken again where it is free.

use std::net::SocketAddr;

use link::net::{Address, NetEvent, Settings};

use crate::device::{Device, LONG, key};

/// Where it was told that the peer is.
fn found(device: &Device) -> (link::identity::Key, Vec<Address>) {
    loop {
        if let NetEvent::Found { peer, at } = device.next(LONG).expect("nobody was found") {
            return (peer, at);
        }
    }
}

fn on_loopback(before: &[SocketAddr]) -> Settings {
    Settings {
        at: vec!["127.0.0.1:0".parse().unwrap()],
        before: before.to_vec(),
        ..Settings::default()
    }
}

#[test]
fn each_is_told_where_the_other_listens_whoever_dialled() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    one.wishes(&other);
    assert_eq!(found(&one), (key(2), other.place()));
    assert_eq!(found(&other), (key(1), one.place()));
}

#[test]
fn the_port_of_the_last_time_is_taken_again_or_any_where_it_is_not_free() {
    let first = Device::with(1, &[], on_loopback(&[]));
    let before = first.net.sockets();
    assert!(before[0].port() != 0);
    // It is not free now.
    let second = Device::with(2, &[], on_loopback(&before));
    assert_ne!(second.net.sockets(), before);
    drop(first);
    let again = Device::with(1, &[], on_loopback(&before));
    assert_eq!(again.net.sockets(), before);
    // On every interface too, by IPv4 and, where there is any, by IPv6.
    let usual = Device::with(4, &[], Settings::default());
    let before = usual.net.sockets();
    drop(usual);
    let settings = Settings {
        before: before.clone(),
        ..Settings::default()
    };
    assert_eq!(Device::with(4, &[], settings).net.sockets(), before);
    // What was elsewhere says nothing of here.
    let elsewhere = [SocketAddr::from(([192, 0, 2, 1], before[0].port()))];
    let third = Device::with(3, &[], on_loopback(&elsewhere));
    assert!(third.net.sockets()[0].ip().is_loopback());
}
