//! Members meet, break, and meet again.

use std::time::{Duration, Instant};

use link::net::{Got, MOST_FRAME, MOST_REFUSAL, Meeting, NetError, NetEvent, Why};

use crate::device::{Device, LONG, frame, identity, key};

fn both(one: &Device, other: &Device) -> (Meeting, Meeting) {
    one.wishes(other);
    (one.here(), other.here())
}

#[test]
fn frames_go_both_ways_in_order_and_whole() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    let (here, there) = both(&one, &other);
    assert_eq!((here.peer(), there.peer()), (key(2), key(1)));
    assert!(here.dialled() && !there.dialled());
    let lengths = [0, 1, 4, 65_535, 65_536, 65_537, 300_000, MOST_FRAME];
    let made = |length: usize, with: u8| -> Vec<u8> {
        (0..length).map(|place| (place % 251) as u8 ^ with).collect()
    };
    std::thread::scope(|scope| {
        for (mine, with, other) in [(&here, 0, 255), (&there, 255, 0)] {
            scope.spawn(move || {
                for length in lengths {
                    mine.send(made(length, with)).unwrap();
                }
            });
            scope.spawn(move || {
                for length in lengths {
                    assert_eq!(frame(mine), made(length, other), "{length} bytes");
                }
            });
        }
    });
    assert_eq!(
        here.send(vec![0; MOST_FRAME + 1]),
        Err(NetError::TooLong(MOST_FRAME + 1))
    );
    assert_eq!(here.receive(Duration::from_millis(10)), Got::Nothing);
}

#[test]
fn a_farewell_arrives_after_everything_that_was_sent() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    let (here, there) = both(&one, &other);
    for number in 0..20_u8 {
        here.send(vec![number; 50_000]).unwrap();
    }
    let id = here.id();
    one.net.wish(Vec::new());
    drop(here);
    for number in 0..20_u8 {
        assert_eq!(frame(&there)[0], number);
    }
    assert_eq!(there.receive(Duration::from_secs(5)), Got::Gone);
    assert_eq!(other.gone(), (there.id(), Why::Theirs));
    assert_eq!(one.gone(), (id, Why::Ours));
    assert_eq!(there.send(vec![1]), Err(NetError::Gone));
    assert!(one.net.here().is_empty() && other.net.here().is_empty());
}

#[test]
fn a_peer_that_stops_and_returns_is_met_again_within_three_seconds() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    let place = other.socket();
    let (here, there) = both(&one, &other);
    here.send(b"before".to_vec()).unwrap();
    assert_eq!(frame(&there), b"before");
    drop(there);
    other.net.stop();
    assert_eq!(one.gone().0, here.id());
    std::thread::sleep(Duration::from_millis(1_500));
    let other = Device::at(2, &[1], place);
    let began = Instant::now();
    let (mut here, mut there) = (one.here(), other.here());
    let took = began.elapsed();
    println!("met again after {took:?}");
    assert!(took < Duration::from_secs(3), "{took:?}");
    // Both may have dialled: one of the two meetings is given up then.
    settle(&one, &mut here);
    settle(&other, &mut there);
    here.send(b"after".to_vec()).unwrap();
    assert_eq!(frame(&there), b"after");
}

/// The meeting that remains: whatever was double has been settled when nothing has changed for a second.
fn settle(device: &Device, meeting: &mut Meeting) {
    while let Some(event) = device.next(Duration::from_secs(1)) {
        if let link::net::NetEvent::Here(newer) = event {
            *meeting = newer;
        }
    }
}

#[test]
fn both_dial_at_once_and_one_meeting_remains() {
    for round in 0..5 {
        let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
        one.wishes(&other);
        other.wishes(&one);
        let (mut here, mut there) = (one.here(), other.here());
        settle(&one, &mut here);
        settle(&other, &mut there);
        assert_eq!(here.dialled(), !there.dialled(), "round {round}");
        here.send(vec![1]).unwrap();
        there.send(vec![2]).unwrap();
        assert_eq!((frame(&there), frame(&here)), (vec![1], vec![2]));
        assert_eq!((one.net.here(), other.net.here()), (vec![key(2)], vec![key(1)]));
    }
}

#[test]
fn a_revoked_device_is_shown_out_and_not_let_in_again() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    let (_here, _there) = both(&other, &one);
    one.members.lock().unwrap().clear();
    one.net.recheck();
    assert_eq!(one.gone().1, Why::NotAMember);
    assert_eq!(other.gone().1, Why::NotAMember);
    other.net.nudge();
    assert!(one.next(Duration::from_secs(2)).is_none());
    assert!(one.net.here().is_empty());
}

#[test]
fn a_revoked_device_is_told_why_at_once_and_at_each_contact() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    let (_here, _there) = both(&other, &one);
    let why = format!("lost on the train\u{7}{}", "é".repeat(MOST_REFUSAL));
    one.revoked.lock().unwrap().insert(key(2), why);
    one.members.lock().unwrap().clear();
    one.net.recheck();
    // What is shown is one line of bounded length, whatever was sent.
    let told = |said: Option<String>| {
        let said = said.unwrap();
        assert!(said.starts_with("lost on the trainéé"), "{said}");
        assert!(said.len() <= MOST_REFUSAL && said.chars().all(|letter| !letter.is_control()));
    };
    let (mut shown_out, mut refused) = (false, false);
    while !(shown_out && refused) {
        match other.next(LONG).expect("nobody was told") {
            NetEvent::Gone { why, said, .. } => {
                assert_eq!(why, Why::Revoked);
                told(said);
                shown_out = true;
            }
            NetEvent::Refused { peer, why, said } => {
                assert_eq!((peer, why), (key(1), Why::Revoked));
                told(said);
                refused = true;
            }
            _ => {}
        }
    }
    assert!(one.net.here().is_empty());
}

#[test]
fn a_knock_wakes_the_waiting_thread() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    let (here, _there) = both(&one, &other);
    let hand = here.hand();
    let knocker = std::thread::spawn(move || {
        std::thread::sleep(Duration::from_millis(100));
        hand.knock();
    });
    let began = Instant::now();
    assert_eq!(here.receive(Duration::from_secs(30)), Got::Nothing);
    assert!(began.elapsed() < Duration::from_secs(10));
    knocker.join().unwrap();
}

#[test]
fn an_absent_peer_holds_nothing_up() {
    let one = Device::new(1, &[2, 3]);
    let other = Device::new(3, &[1]);
    let nobody = vec!["127.0.0.1:9".parse().unwrap(), "192.0.2.1:4433".parse().unwrap()];
    one.net.wish(vec![(key(2), nobody), (key(3), other.place())]);
    let began = Instant::now();
    assert_eq!(one.here().peer(), key(3));
    assert!(began.elapsed() < Duration::from_secs(3));
    let began = Instant::now();
    one.net.stop();
    assert!(began.elapsed() < Duration::from_secs(3), "{:?}", began.elapsed());
}

#[test]
fn it_starts_at_once_with_everything_on() {
    struct Nobody;
    impl link::net::Handler for Nobody {
        fn may(&self, _: &link::identity::Key) -> bool {
            false
        }
        fn on(&self, _: link::net::NetEvent) {}
    }
    let settings = link::net::Settings {
        mdns: true,
        // Documentation's address (RFC 5737): nobody is there, and nothing waits for it.
        relay: Some("https://192.0.2.1:443/".to_owned()),
        ..link::net::Settings::default()
    };
    let began = Instant::now();
    let net = link::net::Net::start(&identity(1), settings, std::sync::Arc::new(Nobody)).unwrap();
    assert!(began.elapsed() < Duration::from_secs(2), "{:?}", began.elapsed());
    net.stop();
    let wrong = link::net::Settings {
        relay: Some("garage".to_owned()),
        ..link::net::Settings::default()
    };
    let refused = link::net::Net::start(&identity(1), wrong, std::sync::Arc::new(Nobody));
    assert!(matches!(refused, Err(NetError::NotAnAddress(_))));
}

#[test]
fn meetings_that_end_at_once_are_not_begun_again_and_again() {
    let (one, other) = (Device::new(1, &[2]), Device::new(2, &[1]));
    one.wishes(&other);
    other.wishes(&one);
    let began = Instant::now();
    let within = Duration::from_secs(5);
    let mut met = 0;
    while let Some(event) = one.next(within.saturating_sub(began.elapsed())) {
        // Dropped, and so ended.
        met += u32::from(matches!(event, NetEvent::Here(_)));
    }
    println!("{met} meetings in {within:?}");
    // Without a rest there were thousands.
    assert!((2..=12).contains(&met), "{met}");
}
