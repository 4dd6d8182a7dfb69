//! Meetings of this notebook with others, as far as they are turns of it: who this device is ([`keys`]), who may come ([`circle`]),
//! how a newcomer is let in ([`admit`], [`before`], [`paired`]), where others were found ([`found`]), and what a conversation
//! wants of a record ([`turns`], [`photos`]). A host carries them out, one turn at a time.
//!
//! It reaches no network, waits for nothing, and decides nothing of what changes mean.

mod admit;
mod before;
mod circle;
mod found;
pub(crate) mod keys;
mod paired;
mod photos;
mod turns;
mod who;

pub use admit::Introduction;
pub use circle::{Circle, Roads};
pub use photos::{Piece, Smalls, Step};
pub use turns::{Waiting, hashes, tag};
pub use who::Shared as Who;
