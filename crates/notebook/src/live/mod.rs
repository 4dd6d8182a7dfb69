//! Meetings of this notebook with others over a network: who this device is ([`keys`]), who may come ([`circle`]), how
//! a newcomer is let in ([`pairing`], [`admit`]), where others were found ([`found`]), and one thread for each meeting ([`meet`]) that does what its
//! conversations want in short turns, one conversation for each record that is shared ([`about`]).
//!
//! It holds the notebook for one turn at a time, and never while it waits for the network. It decides nothing of what changes
//! mean, and keeps no notebook open that its faces have let go. The only time it reads by itself is how long something took.

#[cfg(feature = "live")]
mod about;
#[cfg(feature = "live")]
mod admit;
#[cfg(feature = "live")]
mod before;
#[cfg(feature = "live")]
mod circle;
#[cfg(feature = "live")]
mod found;
#[cfg(feature = "live")]
mod host;
mod keys;
#[cfg(feature = "live")]
mod meet;
#[cfg(feature = "live")]
mod paired;
#[cfg(feature = "live")]
mod pairing;
#[cfg(feature = "live")]
mod photos;
#[cfg(feature = "live")]
mod seek;
#[cfg(feature = "live")]
mod shared;
#[cfg(feature = "live")]
mod turns;

#[cfg(feature = "live")]
pub(crate) use circle::Shared as With;
#[cfg(feature = "live")]
pub(crate) use circle::{ON, RELAY, RELAYS};
#[cfg(feature = "live")]
pub use host::Surroundings;
pub(crate) use keys::said_of;
#[cfg(feature = "live")]
pub(crate) use shared::{Attended, locked, turn};
#[cfg(feature = "live")]
pub(crate) use turns::Waiting;
