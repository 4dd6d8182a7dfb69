//! What a meeting keeps to and why it ends: the bounds, the protocols' names, and what went wrong. It names nothing of the net.

use thiserror::Error;

use crate::address::NotAnAddress;

/// The longest frame: 1 MiB.
pub const MOST_FRAME: usize = 1024 * 1024;
/// The most bytes of words with which a revoked device is refused.
pub const MOST_REFUSAL: usize = 400;
/// The protocol of meetings, as the handshake names it (ALPN).
pub const MEET: &[u8] = b"witnessmark/1";
/// The protocol of pairing.
pub const PAIR: &[u8] = b"witnessmark/1/pair";

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
