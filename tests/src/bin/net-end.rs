//! One end of a link, for the stories in network namespaces: a device with a net, or a relay. It takes its orders as
//! lines on standard input and says what happens as lines on standard output. Only tests start it; it keeps nothing.
//!
//! `net-end relay ADDRESS` serves a relay by plain HTTP. `net-end device NUMBER [mdns] [relay=URL]` is a device whose
//! keys are made of its number; its orders are `await ADDRESS`, `host`, `guest TICKET`, `wish KEY`, `send COUNT` and `end`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a part of a test: it stops at the first thing that is not as it must be"
)]

use std::collections::BTreeSet;
use std::io::BufRead;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock};
use std::time::{Duration, Instant};

use link::identity::{Identity, Key};
use link::net::{Door, Got, Handler, Meeting, Net, NetEvent, Settings};
use link::pair::{Effect, Guest, Host, LIVES, PairEvent as Pairing, Ticket};

/// Bytes of a piece, beside its number.
const PIECE: usize = 64 * 1024;
const LONG: Duration = Duration::from_secs(30);

fn say(line: impl std::fmt::Display) {
    println!("{line}");
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.first().map(String::as_str) {
        Some("relay") => relay(&words[1]),
        Some("device") => device(words[1].parse().unwrap(), &words[2..]),
        _ => panic!("relay ADDRESS, or device NUMBER [mdns] [relay=URL]"),
    }
}

fn relay(at: &str) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let mut config = iroh_relay::server::ServerConfig::default();
        let at: std::net::SocketAddr = at.parse().unwrap();
        config.relay = Some(iroh_relay::server::RelayConfig::new(at));
        let _server = iroh_relay::server::Server::spawn(config).await.unwrap();
        say("ready");
        std::future::pending::<()>().await;
    });
}

/// What the threads of a device share.
struct Device {
    net: OnceLock<Net>,
    key: Key,
    members: Mutex<BTreeSet<Key>>,
    /// The open ticket's host, if one is open.
    host: Mutex<Option<Host>>,
    began: Instant,
    /// Pieces that this end is to send, and that it has got.
    to_send: AtomicU64,
    have: AtomicU64,
    again: AtomicU64,
}

/// The handler, by its own name: a foreign trait for a foreign `Arc` is not to be had.
struct Told(Arc<Device>);

impl Handler for Told {
    fn may(&self, key: &Key) -> bool {
        self.0.members.lock().unwrap().contains(key)
    }

    fn on(&self, event: NetEvent) {
        let device = Arc::clone(&self.0);
        match event {
            NetEvent::Here(meeting) => {
                say(format_args!("here {} {}", meeting.id(), meeting.peer()));
                std::thread::spawn(move || device.talk(&meeting));
            }
            NetEvent::Gone { meeting, why, .. } => say(format_args!("gone {meeting} {why}")),
            NetEvent::Pairing(meeting) => {
                std::thread::spawn(move || device.be_host(&meeting));
            }
            NetEvent::Addresses(all) => say(format_args!("addresses {all:?}")),
            _ => {}
        }
    }
}

impl Device {
    fn now(&self) -> u64 {
        u64::try_from(self.began.elapsed().as_millis()).unwrap()
    }

    /// Numbered pieces go on from what the other end says it has.
    fn talk(self: Arc<Self>, meeting: &Meeting) {
        let _ = meeting.send(number(b'h', self.have.load(Ordering::SeqCst)));
        loop {
            match meeting.receive(LONG) {
                Got::Frame(frame) => {
                    let at = u64::from_le_bytes(frame[1..9].try_into().unwrap());
                    match frame[0] {
                        b'h' => {
                            let (device, hand) = (Arc::clone(&self), meeting.hand());
                            std::thread::spawn(move || {
                                for piece in at..device.to_send.load(Ordering::SeqCst) {
                                    let mut frame = number(b'p', piece);
                                    frame.resize(9 + PIECE, piece as u8);
                                    if hand.send(frame).is_err() {
                                        return;
                                    }
                                }
                            });
                        }
                        _ => self.got(at, &frame[9..]),
                    }
                }
                Got::Nothing => {}
                Got::Gone => return,
            }
        }
    }

    fn got(&self, at: u64, piece: &[u8]) {
        assert!(piece.len() == PIECE && piece.iter().all(|byte| *byte == at as u8));
        let have = self.have.load(Ordering::SeqCst);
        if at < have {
            self.again.fetch_add(1, Ordering::SeqCst);
            return;
        }
        assert_eq!(at, have, "a piece was left out");
        self.have.store(at + 1, Ordering::SeqCst);
        if (at + 1).is_multiple_of(50) {
            say(format_args!(
                "have {} again {}",
                at + 1,
                self.again.load(Ordering::SeqCst)
            ));
        }
    }

    fn be_host(&self, meeting: &Meeting) {
        let mut host = self.host.lock().unwrap().take().unwrap();
        self.pair(meeting, |now, event| host.on(now, event));
    }

    fn pair(&self, meeting: &Meeting, mut side: impl FnMut(u64, Pairing) -> Vec<Effect>) {
        let mut random = [0; 32];
        random[..8].copy_from_slice(&self.began.elapsed().as_nanos().to_le_bytes()[..8]);
        let mut events = vec![Pairing::Met {
            peer: meeting.peer(),
            random,
        }];
        loop {
            while let Some(event) = events.pop() {
                for effect in side(self.now(), event) {
                    match effect {
                        Effect::Send(frame) => meeting.send(frame).unwrap(),
                        Effect::Show { code, .. } => {
                            say(format_args!("code {code}"));
                            events.push(Pairing::Same);
                        }
                        Effect::Paired { peer, introduction } => {
                            self.members.lock().unwrap().insert(peer);
                            self.net.get().unwrap().open_to_pair(Door::Shut);
                            say(format_args!(
                                "paired {peer} {}",
                                String::from_utf8_lossy(&introduction)
                            ));
                            return;
                        }
                        Effect::Hang(why) | Effect::Ended(why) => {
                            say(format_args!("ended {why}"));
                            return;
                        }
                    }
                }
            }
            match meeting.receive(LONG) {
                Got::Frame(frame) => events.push(Pairing::Got(frame)),
                Got::Nothing => events.push(Pairing::Tick),
                Got::Gone => events.push(Pairing::Broke),
            }
        }
    }
}

fn number(kind: u8, number: u64) -> Vec<u8> {
    let mut frame = vec![kind];
    frame.extend(number.to_le_bytes());
    frame
}

fn device(number: u8, words: &[String]) {
    let identity = Identity::generate(&[number; 64]);
    let device = Arc::new(Device {
        net: OnceLock::new(),
        key: identity.key(),
        members: Mutex::default(),
        host: Mutex::default(),
        began: Instant::now(),
        to_send: AtomicU64::new(0),
        have: AtomicU64::new(0),
        again: AtomicU64::new(0),
    });
    let relay = words.iter().find_map(|word| word.strip_prefix("relay="));
    let settings = Settings {
        mdns: words.iter().any(|word| word == "mdns"),
        relay: relay.map(str::to_owned),
        ..Settings::default()
    };
    let began = Instant::now();
    let net = Net::start(&identity, settings, Arc::new(Told(Arc::clone(&device)))).unwrap();
    device.net.set(net).unwrap();
    let net = device.net.get().unwrap();
    say(format_args!(
        "started {} {}",
        began.elapsed().as_millis(),
        device.key
    ));
    for line in std::io::stdin().lock().lines() {
        let line = line.unwrap();
        let (order, rest) = line.split_once(' ').unwrap_or((&line, ""));
        match order {
            "host" => {
                let ticket = Ticket {
                    record: [number; 16],
                    host: device.key,
                    addresses: net.addresses(),
                    secret: [number; 16],
                    until: device.now() + LIVES,
                };
                let said = format!("device-{number}").into_bytes();
                *device.host.lock().unwrap() = Some(Host::by_ticket(&ticket, said, device.now()));
                net.open_to_pair(Door::ByTicket);
                say(format_args!("ticket {ticket}"));
            }
            "guest" => {
                let ticket = Ticket::from_text(rest).unwrap();
                match net.reach(ticket.host, ticket.addresses.clone(), LONG) {
                    Ok(meeting) => {
                        let said = format!("device-{number}").into_bytes();
                        let mut guest = Guest::by_ticket(device.key, ticket, said, device.now());
                        device.pair(&meeting, |now, event| guest.on(now, event));
                    }
                    Err(error) => say(format_args!("ended {error}")),
                }
            }
            "await" => {
                while !net
                    .addresses()
                    .iter()
                    .any(|address| address.to_string().contains(rest))
                {
                    std::thread::sleep(Duration::from_millis(20));
                }
                say(format_args!("found {rest}"));
            }
            "wish" => net.wish(vec![(rest.parse().unwrap(), Vec::new())]),
            "send" => device.to_send.store(rest.parse().unwrap(), Ordering::SeqCst),
            _ => return,
        }
    }
}
