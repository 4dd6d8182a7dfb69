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
mod handler;
mod limits;
mod meeting;
mod near;
mod queue;
mod start;
mod stream;
mod transport;

pub use crate::address::Address;
pub use handler::{Door, Handler, NetEvent, Settings};
pub use limits::{MEET, MOST_FRAME, MOST_REFUSAL, NetError, PAIR, Why};
pub use meeting::{Got, Hand, Meeting};

use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::mpsc;
use std::time::Duration;

use crate::identity::{Identity, Key};
use start::Running;

/// The endpoint, running. Dropping it says farewell to everybody and stops.
pub struct Net {
    running: Running,
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
        let running = start::start(identity, settings, handler)?;
        Ok(Self { running })
    }

    /// This device's key.
    #[must_use]
    pub fn key(&self) -> Key {
        self.running.core.key
    }

    /// Where this device may be found, as far as it knows.
    #[must_use]
    pub fn addresses(&self) -> Vec<Address> {
        self.running.core.addresses()
    }

    /// The sockets that it listens on, for [`Settings::before`] of the next time.
    #[must_use]
    pub fn sockets(&self) -> Vec<SocketAddr> {
        self.running.core.endpoint.bound_sockets()
    }

    /// With whom to meet as soon as they appear, and where they were last found. Replaces the former wishes;
    /// nobody gets in by being wished for, [`Handler::may`] is asked all the same.
    pub fn wish(&self, peers: Vec<(Key, Vec<Address>)>) {
        let _inside = self.running.runtime.enter();
        dial::wish(&self.running.core, peers);
    }

    /// Tries everybody again now: the keeper asks to meet, or the machine woke up.
    pub fn nudge(&self) {
        self.running.core.hurry();
        self.running.core.kick_all();
    }

    /// Ends every meeting with a peer who may not any more: after a device was revoked.
    pub fn recheck(&self) {
        self.running.core.recheck();
    }

    /// Who is here now.
    #[must_use]
    pub fn here(&self) -> Vec<Key> {
        self.running.core.here()
    }

    /// Lets pairing connections in, one at a time, or not any more.
    pub fn open_to_pair(&self, door: Door) {
        self.running.core.open_to_pair(door);
    }

    /// Devices on the same network that would pair by voice now, where no ticket names the host.
    #[must_use]
    pub fn would_pair(&self) -> Vec<Key> {
        self.running.core.would_pair()
    }

    /// Reaches a host to pair with. Blocks the calling thread no longer than `within`.
    ///
    /// # Errors
    /// [`NetError::Unreached`], [`NetError::Refused`] when the host lets nobody in, [`NetError::Stopped`].
    pub fn reach(&self, host: Key, addresses: Vec<Address>, within: Duration) -> Result<Meeting, NetError> {
        let (tell, told) = mpsc::channel();
        let core = Arc::clone(&self.running.core);
        self.running.runtime.spawn(async move {
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
        if let Some(stop) = self.running.stop.take() {
            let _ = stop.send(());
        }
        if let Some(thread) = self.running.thread.take() {
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
        write!(out, "Net({})", self.running.core.key)
    }
}
