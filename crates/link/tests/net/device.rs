//! A device of these tests: a net, who its members are, and what it was told. Several tests' binaries use it.

use std::collections::{BTreeMap, BTreeSet};
use std::net::SocketAddr;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use link::identity::{Identity, Key};
use link::net::{Address, Got, Handler, Meeting, Net, NetEvent, Settings, Why};

/// Long enough for a loaded machine; a test that waits so long has failed.
pub(crate) const LONG: Duration = Duration::from_secs(20);

pub(crate) fn identity(number: u8) -> Identity {
    Identity::generate(&[number; 64])
}

pub(crate) fn key(number: u8) -> Key {
    identity(number).key()
}

pub(crate) struct Told {
    members: Arc<Mutex<BTreeSet<Key>>>,
    revoked: Arc<Mutex<BTreeMap<Key, String>>>,
    tell: Mutex<Sender<NetEvent>>,
}

impl Handler for Told {
    fn may(&self, key: &Key) -> bool {
        self.members.lock().unwrap().contains(key)
    }

    fn refusal(&self, key: &Key) -> Option<String> {
        self.revoked.lock().unwrap().get(key).cloned()
    }

    fn on(&self, event: NetEvent) {
        let _ = self.tell.lock().unwrap().send(event);
    }
}

pub(crate) struct Device {
    pub(crate) net: Net,
    /// Behind a lock, so that a scoped thread may wait as well.
    pub(crate) events: Mutex<Receiver<NetEvent>>,
    pub(crate) members: Arc<Mutex<BTreeSet<Key>>>,
    pub(crate) revoked: Arc<Mutex<BTreeMap<Key, String>>>,
}

impl Device {
    pub(crate) fn new(number: u8, members: &[u8]) -> Self {
        Self::at(number, members, "127.0.0.1:0".parse().unwrap())
    }

    pub(crate) fn at(number: u8, members: &[u8], at: SocketAddr) -> Self {
        let settings = Settings {
            at: vec![at],
            ..Settings::default()
        };
        Self::with(number, members, settings)
    }

    pub(crate) fn with(number: u8, members: &[u8], settings: Settings) -> Self {
        let members = Arc::new(Mutex::new(members.iter().map(|number| key(*number)).collect()));
        let (tell, events) = channel();
        let revoked = Arc::default();
        let told = Told {
            members: Arc::clone(&members),
            revoked: Arc::clone(&revoked),
            tell: Mutex::new(tell),
        };
        let net = Net::start(&identity(number), settings, Arc::new(told)).unwrap();
        Self {
            net,
            events: Mutex::new(events),
            members,
            revoked,
        }
    }

    /// Where it listens on loopback.
    pub(crate) fn place(&self) -> Vec<Address> {
        let places = self.net.addresses();
        assert!(!places.is_empty());
        places
    }

    pub(crate) fn socket(&self) -> SocketAddr {
        match self.place()[0] {
            Address::Direct(address) => address,
            Address::Relay(_) => panic!("a relay"),
        }
    }

    pub(crate) fn wishes(&self, other: &Self) {
        self.net.wish(vec![(other.net.key(), other.place())]);
    }

    pub(crate) fn next(&self, within: Duration) -> Option<NetEvent> {
        self.events.lock().unwrap().recv_timeout(within).ok()
    }

    /// The next meeting that stands, whatever is told before it.
    pub(crate) fn here(&self) -> Meeting {
        let until = Instant::now() + LONG;
        loop {
            let rest = until.saturating_duration_since(Instant::now());
            match self.next(rest).expect("nobody came") {
                NetEvent::Here(meeting) | NetEvent::Pairing(meeting) => return meeting,
                _ => {}
            }
        }
    }

    /// The end of a meeting, and why.
    pub(crate) fn gone(&self) -> (u64, Why) {
        let until = Instant::now() + LONG;
        loop {
            let rest = until.saturating_duration_since(Instant::now());
            if let NetEvent::Gone { meeting, why, .. } = self.next(rest).expect("nobody left") {
                return (meeting, why);
            }
        }
    }
}

pub(crate) fn frame(meeting: &Meeting) -> Vec<u8> {
    match meeting.receive(LONG) {
        Got::Frame(frame) => frame,
        other => panic!("{other:?} instead of a frame"),
    }
}
