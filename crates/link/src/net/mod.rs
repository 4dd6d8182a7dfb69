//! Live meetings over iroh: one endpoint in its own thread, members only, frames in both directions.
//!
//! A [`Net`] waits for peers and dials those it is told to wish for: on the same network they find each other by
//! mDNS with no internet; elsewhere by a known address or through a relay. Relays are off until a keeper names one or
//! turns the internet's on. A peer that [`Handler::may`] refuses gets not one byte of a stream, and pairing
//! connections are taken only while a ticket is open.
//!
//! What it never does: it knows nothing of what a frame means, keeps nothing, never waits to be online, and lets no
//! failed handshake end its accepting. Its timers are iroh's and tokio's; nothing here reads the wall clock.

mod accept;
mod address;
mod core;
mod dial;
mod meeting;
mod near;
mod queue;
mod start;
mod stream;
mod transport;

pub use crate::address::Address;
pub use meeting::{Got, Hand, Meeting};

use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::mpsc;
use std::time::Duration;

use thiserror::Error;

use crate::address::NotAnAddress;
use crate::identity::{Identity, Key};
use core::Core;

/// The longest frame: 1 MiB.
pub const MOST_FRAME: usize = 1024 * 1024;
/// The most bytes of words with which a revoked device is refused.
pub const MOST_REFUSAL: usize = 400;
/// The protocol of meetings, as the handshake names it (ALPN).
pub const MEET: &[u8] = b"witnessmark/1";
/// The protocol of pairing.
pub const PAIR: &[u8] = b"witnessmark/1/pair";

/// What a keeper has chosen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// Announce this device on the network it is in, and look for others there.
    pub mdns: bool,
    /// A relay of one's own, by its address.
    pub relay: Option<String>,
    /// Use the relays and the look-up service that iroh's makers run on the internet. They see the devices' keys,
    /// IP addresses, and when and how much they exchange; never what.
    pub internet_relays: bool,
    /// Where to listen; nothing means every interface and a free port.
    pub at: Vec<SocketAddr>,
    /// The sockets of the last time ([`Net::sockets`]): where any port would do, theirs are taken again if they are
    /// free, so that what others remember of this device stays good.
    pub before: Vec<SocketAddr>,
}

/// Whether strangers are let in to pair.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Door {
    /// Nobody is.
    #[default]
    Shut,
    /// Whoever holds a ticket finds the way by it; nobody else is told.
    ByTicket,
    /// Whoever was told the digits: others on the same network see that this device would pair.
    ByVoice,
}

/// Who is told, and who decides. Called from the net's own threads: each call must return at once.
pub trait Handler: Send + Sync + 'static {
    /// Whether the holder of this key is a standing member of a record here.
    fn may(&self, key: &Key) -> bool;
    /// What the holder of this key is told when it is refused: nothing to a stranger; to a device that was revoked, why.
    /// It is cut at [`MOST_REFUSAL`] bytes.
    fn refusal(&self, key: &Key) -> Option<String> {
        let _ = key;
        None
    }
    /// Something happened.
    fn on(&self, event: Event);
}

/// What happened.
#[derive(Debug)]
#[non_exhaustive]
pub enum Event {
    /// A member is here. The meeting ends when it is dropped.
    Here(Meeting),
    /// A meeting is over, for whatever reason.
    Gone {
        /// With whom.
        peer: Key,
        /// The meeting's number.
        meeting: u64,
        /// Why.
        why: Why,
        /// In the other side's words, where it refused this device and said why.
        said: Option<String>,
    },
    /// A member that was dialled lets this device in no more.
    Refused {
        /// Who.
        peer: Key,
        /// Why.
        why: Why,
        /// In the other side's words, where it said any.
        said: Option<String>,
    },
    /// Where a member that is here was reached or came from: told when its meeting stands, and whenever it has changed.
    /// Direct addresses alone, the one in use first.
    Found {
        /// Who.
        peer: Key,
        /// Where.
        at: Vec<Address>,
    },
    /// A stranger has reached the open ticket: give it to [`crate::pair::Host`].
    Pairing(Meeting),
    /// Where this device may be found: told at the start, and whenever it has changed.
    Addresses(Vec<Address>),
}

/// Why a meeting is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Why {
    /// This side ended it.
    #[error("this device ended the meeting")]
    Ours,
    /// The other side ended it.
    #[error("the other device ended the meeting")]
    Theirs,
    /// Nothing was heard any more.
    #[error("the connection was lost")]
    Lost,
    /// Another connection with the same peer took its place.
    #[error("another connection with the same device took its place")]
    Replaced,
    /// The other side is no member any more, or does not take this side for one.
    #[error("the other device is no member here, or this one is none there")]
    NotAMember,
    /// The other side knows that this device was revoked.
    #[error("the other device refuses this one, which was revoked")]
    Revoked,
    /// The other side declared a frame that is longer than one may be.
    #[error("the other device declared a frame of {0} bytes, more than a frame may have")]
    TooLong(u32),
    /// The other side has too much to do, or lets nobody in to pair.
    #[error("the other device is busy, or lets nobody in to pair")]
    Busy,
}

/// Why a call failed.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum NetError {
    /// Neither an IP address with a port nor a relay's address.
    #[error(transparent)]
    NotAnAddress(#[from] NotAnAddress),
    /// The endpoint could not be bound.
    #[error("the device cannot listen on the network: {0}")]
    Bind(String),
    /// The frame is longer than one may be.
    #[error("a frame of {0} bytes is longer than a frame may be")]
    TooLong(usize),
    /// The meeting is over.
    #[error("the meeting is over")]
    Gone,
    /// Nobody answered within the time.
    #[error("the other device could not be reached")]
    Unreached,
    /// The other device answered, and refused.
    #[error("{0}")]
    Refused(Why),
    /// The net was stopped.
    #[error("meetings are off")]
    Stopped,
}

/// The endpoint, running. Dropping it says farewell to everybody and stops.
pub struct Net {
    core: Arc<Core>,
    runtime: tokio::runtime::Handle,
    stop: Option<tokio::sync::oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Net {
    /// Starts to listen. Returns in milliseconds, with or without a network.
    ///
    /// # Errors
    /// [`NetError::NotAnAddress`] for a relay that is none; [`NetError::Bind`] where nothing can be listened on.
    pub fn start(
        identity: &Identity,
        settings: Settings,
        handler: Arc<dyn Handler>,
    ) -> Result<Self, NetError> {
        start::start(identity, settings, handler)
    }

    /// This device's key.
    #[must_use]
    pub fn key(&self) -> Key {
        self.core.key
    }

    /// Where this device may be found, as far as it knows.
    #[must_use]
    pub fn addresses(&self) -> Vec<Address> {
        self.core.addresses()
    }

    /// The sockets that it listens on, for [`Settings::before`] of the next time.
    #[must_use]
    pub fn sockets(&self) -> Vec<SocketAddr> {
        self.core.endpoint.bound_sockets()
    }

    /// With whom to meet as soon as they appear, and where they were last found. Replaces the former wishes;
    /// nobody gets in by being wished for, [`Handler::may`] is asked all the same.
    pub fn wish(&self, peers: Vec<(Key, Vec<Address>)>) {
        let _inside = self.runtime.enter();
        dial::wish(&self.core, peers);
    }

    /// Tries everybody again now: the keeper asks to meet, or the machine woke up.
    pub fn nudge(&self) {
        self.core.hurry();
        self.core.kick_all();
    }

    /// Ends every meeting with a peer who may not any more: after a device was revoked.
    pub fn recheck(&self) {
        self.core.recheck();
    }

    /// Who is here now.
    #[must_use]
    pub fn here(&self) -> Vec<Key> {
        self.core.here()
    }

    /// Lets pairing connections in, one at a time, or not any more.
    pub fn open_to_pair(&self, door: Door) {
        self.core.open_to_pair(door);
    }

    /// Devices on the same network that would pair by voice now, where no ticket names the host.
    #[must_use]
    pub fn would_pair(&self) -> Vec<Key> {
        self.core.would_pair()
    }

    /// Reaches a host to pair with. Blocks the calling thread no longer than `within`.
    ///
    /// # Errors
    /// [`NetError::Unreached`], [`NetError::Refused`] when the host lets nobody in, [`NetError::Stopped`].
    pub fn reach(&self, host: Key, addresses: Vec<Address>, within: Duration) -> Result<Meeting, NetError> {
        let (tell, told) = mpsc::channel();
        let core = Arc::clone(&self.core);
        self.runtime.spawn(async move {
            let found = tokio::time::timeout(within, dial::reach(&core, host, addresses)).await;
            // The caller may have given up waiting: then the meeting is dropped here, and ends.
            let _ = tell.send(found.unwrap_or(Err(NetError::Unreached)));
        });
        told.recv_timeout(within.saturating_add(Duration::from_secs(1)))
            .unwrap_or(Err(NetError::Unreached))
    }

    /// Stops: says farewell, and waits until all is closed (at most three seconds).
    pub fn stop(mut self) {
        self.halt();
    }

    fn halt(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl Drop for Net {
    fn drop(&mut self) {
        self.halt();
    }
}

impl std::fmt::Debug for Net {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Net({})", self.core.key)
    }
}
