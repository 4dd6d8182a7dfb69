//! Pairing over real connections: only while a ticket is open, one at a time, by ticket and by voice.

use std::time::Duration;

use link::identity::Key;
use link::net::{Door, Got, Meeting, NetError, Why};
use link::pair::{Code, Effect, Guest, Host, LIVES, PairEvent, Spoken, Ticket};

use crate::device::{Device, LONG, key};

/// What one side of a pairing came to.
#[derive(Default)]
struct Came {
    shown: Option<Code>,
    paired: Option<(Key, Vec<u8>)>,
}

/// Carries a side's frames until it is paired or the connection ends; its keeper agrees to whatever is shown.
fn drive(meeting: &Meeting, mut side: impl FnMut(PairEvent) -> Vec<Effect>) -> Came {
    let mut came = Came::default();
    let mut next = vec![PairEvent::Met {
        peer: meeting.peer(),
        random: [meeting.peer().as_bytes()[0]; 32],
    }];
    loop {
        while let Some(event) = next.pop() {
            for effect in side(event) {
                match effect {
                    Effect::Send(frame) => {
                        let _ = meeting.send(frame);
                    }
                    Effect::Show { code, .. } => {
                        came.shown = Some(code);
                        next.push(PairEvent::Same);
                    }
                    Effect::Paired { peer, introduction } => {
                        came.paired = Some((peer, introduction));
                        return came;
                    }
                    Effect::Hang(_) | Effect::Ended(_) => return came,
                }
            }
        }
        match meeting.receive(LONG) {
            Got::Frame(frame) => next.push(PairEvent::Got(frame)),
            Got::Nothing => panic!("nothing came"),
            Got::Gone => next.push(PairEvent::Broke),
        }
    }
}

#[test]
fn nobody_gets_in_to_pair_while_no_ticket_is_open() {
    let (host, guest) = (Device::new(1, &[]), Device::new(2, &[]));
    let within = Duration::from_secs(2);
    assert!(guest.net.reach(key(1), host.place(), within).is_err());
    host.net.open_to_pair(Door::ByTicket);
    guest.net.reach(key(1), host.place(), LONG).unwrap();
    host.net.open_to_pair(Door::Shut);
    assert!(guest.net.reach(key(1), host.place(), within).is_err());
    assert!(
        guest
            .net
            .reach(key(7), vec!["127.0.0.1:9".parse().unwrap()], within)
            .is_err()
    );
}

#[test]
fn one_at_a_time() {
    let host = Device::new(1, &[]);
    host.net.open_to_pair(Door::ByTicket);
    let (first, second) = (Device::new(2, &[]), Device::new(3, &[]));
    let standing = first.net.reach(key(1), host.place(), LONG).unwrap();
    let at_host = host.here();
    assert_eq!(
        second.net.reach(key(1), host.place(), LONG).err(),
        Some(NetError::Refused(Why::Busy))
    );
    drop((standing, at_host));
    host.gone();
    second.net.reach(key(1), host.place(), LONG).unwrap();
}

#[test]
fn by_ticket_and_then_they_meet() {
    let (host, guest) = (Device::new(1, &[]), Device::new(2, &[]));
    host.net.open_to_pair(Door::ByTicket);
    let ticket = Ticket {
        record: [4; 16],
        host: host.net.key(),
        addresses: host.place(),
        secret: [9; 16],
        until: LIVES,
    };
    let read = Ticket::from_text(&ticket.to_string()).unwrap();
    let (at_host, at_guest) = std::thread::scope(|scope| {
        let hosting = scope.spawn(|| {
            let mut side = Host::by_ticket(&ticket, b"host".to_vec(), 0);
            let came = drive(&host.here(), |event| side.on(1, event));
            host.net.open_to_pair(Door::Shut);
            came
        });
        let meeting = guest.net.reach(read.host, read.addresses.clone(), LONG).unwrap();
        let mut side = Guest::by_ticket(key(2), read, b"guest".to_vec(), 0);
        let came = drive(&meeting, |event| side.on(1, event));
        (hosting.join().unwrap(), came)
    });
    assert!(at_host.shown.is_some());
    assert_eq!(at_host.shown, at_guest.shown);
    assert_eq!(at_host.paired, Some((key(2), b"guest".to_vec())));
    assert_eq!(at_guest.paired, Some((key(1), b"host".to_vec())));
    host.members.lock().unwrap().insert(key(2));
    guest.members.lock().unwrap().insert(key(1));
    guest.wishes(&host);
    assert_eq!(host.here().peer(), key(2));
}

#[test]
fn by_voice() {
    let (host, guest) = (Device::new(1, &[]), Device::new(2, &[]));
    host.net.open_to_pair(Door::ByVoice);
    let spoken = Spoken::generate([77; 16]);
    let heard = Spoken::typed(&spoken.to_string()).unwrap();
    let (at_host, at_guest) = std::thread::scope(|scope| {
        let hosting = scope.spawn(|| {
            let mut side = Host::by_voice(key(1), spoken, b"host".to_vec(), 0);
            drive(&host.here(), |event| side.on(1, event))
        });
        let meeting = guest.net.reach(key(1), host.place(), LONG).unwrap();
        let mut side = Guest::by_voice(key(2), heard, b"guest".to_vec(), 0);
        let came = drive(&meeting, |event| side.on(1, event));
        (hosting.join().unwrap(), came)
    });
    assert!(at_host.shown.is_some());
    assert_eq!(at_host.shown, at_guest.shown);
    assert_eq!(at_host.paired, Some((key(2), b"guest".to_vec())));
    assert_eq!(at_guest.paired, Some((key(1), b"host".to_vec())));
}
