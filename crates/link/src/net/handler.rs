//! What a keeper has chosen of meetings, who is told of them, and what happened.

use std::net::SocketAddr;

use super::limits::Why;
use super::meeting::Meeting;
use crate::address::Address;
use crate::identity::Key;

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
    /// The sockets of the last time ([`Net::sockets`](super::Net::sockets)): where any port would do, theirs are taken again if they are
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
    /// It is cut at [`MOST_REFUSAL`](super::MOST_REFUSAL) bytes.
    fn refusal(&self, key: &Key) -> Option<String> {
        let _ = key;
        None
    }
    /// Something happened.
    fn on(&self, event: NetEvent);
}

/// What happened.
#[derive(Debug)]
#[non_exhaustive]
pub enum NetEvent {
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
