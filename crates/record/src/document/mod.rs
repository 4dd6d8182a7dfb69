//! The Automerge document of one car, and the only place that knows Automerge.
//!
//! An edit goes in as a [`Draft`] and comes out as one change; remote changes come in as bytes, are checked before
//! Automerge sees them, and take the same way to the view. Nothing in here decides whether an edit is right (that
//! is `edit`), reads a clock, or touches a disk.

mod against;
mod alone;
mod anew;
mod bad;
mod claims;
mod clock;
mod gate;
mod genesis;
mod guard;
mod hydrate;
mod later;
mod ledger;
mod letters;
mod lines;
pub(crate) mod month;
mod named;
mod ops;
mod reach;
mod receive;
mod record;
mod seat;
mod sift;
pub(crate) mod whose;
mod write;
mod writer;
mod written;

pub use crate::spelled::{sheet_id, sheet_parts};
pub use against::{Against, Refused};
pub use alone::{Alone, alone};
pub use bad::{BadRecord, MOST_LETTERS_OUT, SCHEMA};
pub use clock::{BadClock, Clock, MOST_ACTOR_BYTES, MOST_ACTORS};
pub use guard::{Chunk, open_chunks};
pub(crate) use ledger::Around;
pub use ledger::{Known, Ledger, Under};
pub(crate) use record::begun;
pub use record::{Digest, Record, beginning};
pub use seat::Seat;
pub use sift::{Sifted, Twice};
pub(crate) use write::{Draft, Rewrite, Stroke};
pub use written::{Logged, Touched, Written};
