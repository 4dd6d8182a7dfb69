//! Pairing: how two devices come to know each other's key, and their keepers know that it is the right one.
//!
//! Two roads to a shared secret. By **ticket**: the host shows a QR code or a text that holds its key, its addresses
//! and a secret of 128 bits. By **voice**: eight spoken digits (26.5 bits) are the password of a SPAKE2 exchange bound
//! to both keys, which gives a secret of 128 bits; a middle man gets one guess a try. Either lives for two minutes, lets
//! one guest in, and dies after three wrong tries. From there both roads are one: both sides show the same twelve digits
//! (39.8 bits, made by commit and reveal, so that a middle man gets one blind try), and both keepers say that they are
//! the same.
//!
//! [`Host`] and [`Guest`] are pure state machines: frames and moments in, effects out. [`Search`] says as purely whom a guest
//! tries to reach, and when it gives up. This module opens no socket,
//! reads no clock and makes no randomness: `random` and `now` (milliseconds of the device's clock) are arguments. It
//! decides nothing about the record: what is introduced is opaque bytes.

mod base32;
mod bond;
mod code;
mod guest;
mod host;
mod message;
#[cfg(test)]
mod middle;
mod qr;
mod search;
mod ticket;
mod transcript;
mod voice;

pub use code::{Code, Spoken};
pub use guest::Guest;
pub use host::Host;
pub use qr::Modules;
pub use search::{EACH, REACH, Search, Sought, Unreached};
pub use ticket::{Ticket, TicketError};

use thiserror::Error;

use crate::identity::Key;

/// How long a ticket or a spoken code lives: two minutes, in milliseconds.
pub const LIVES: u64 = 120_000;
/// How many wrong tries end a ticket or a spoken code.
pub const TRIES: u8 = 3;
/// The most bytes that one side may say of itself.
pub const MOST_INTRODUCTION: usize = 4_096;

/// What happens to a side of a pairing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PairEvent {
    /// A pairing connection stands, and the other end has proven to hold this key. `random` is fresh each time.
    Met {
        /// Whose connection it is.
        peer: Key,
        /// 32 fresh random bytes.
        random: [u8; 32],
    },
    /// A frame came over it.
    Got(Vec<u8>),
    /// The connection broke.
    Broke,
    /// The keeper says that both devices show the same digits.
    Same,
    /// The keeper says that they differ, or wants no more of it.
    Different,
    /// Time passes.
    Tick,
}

/// What is to be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Send this frame.
    Send(Vec<u8>),
    /// Show these digits, and ask the keeper whether the other device shows the same. Both sides have said who they
    /// are by now, and the digits are made from what they said.
    Show {
        /// The digits.
        code: Code,
        /// The other device's key.
        peer: Key,
        /// What it said of itself, as it said it.
        introduction: Vec<u8>,
    },
    /// Done: this key belongs to the other device, and this is what it said of itself.
    Paired {
        /// The other device's key.
        peer: Key,
        /// What it said of itself, as it said it.
        introduction: Vec<u8>,
    },
    /// Close this connection; the ticket or code still stands.
    Hang(PairTrouble),
    /// Close the connection if there is one; nothing more can come of this ticket or code.
    Ended(PairTrouble),
}

/// Why a pairing did not come about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum PairTrouble {
    /// Two minutes are over.
    #[error("the ticket is over: it lives two minutes")]
    Over,
    /// The other side does not hold the secret.
    #[error("the secret is wrong")]
    Wrong,
    /// Three wrong tries.
    #[error("three wrong tries: make a new ticket")]
    TooMany,
    /// It has let somebody in already.
    #[error("the ticket was used")]
    Used,
    /// A frame that does not belong here.
    #[error("the other side says what makes no sense here")]
    Nonsense,
    /// The revealed number is not the one that was committed to.
    #[error("the other side changed its mind after it had committed: somebody may be in between")]
    Changed,
    /// A keeper said that the digits differ.
    #[error("the digits differ: somebody may be in between")]
    Differs,
    /// The connection broke.
    #[error("the connection broke")]
    Broken,
    /// The other device is busy with another try.
    #[error("the other device is busy with another")]
    Busy,
}
