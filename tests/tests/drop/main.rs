//! The drop, tried over the whole house: three devices through copies of one folder that lag, come in pieces, twice and
//! out of order; servers from outside on loopback; a search for anything readable in what lies there; and members that
//! mean harm.
//!
//! `WITNESSMARK_SCHEDULES=n` runs n schedules. Names of files come from age's own randomness, so a seed replays the
//! choices of a schedule and not the order of its names.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod copies;
mod hostile;
mod party;
mod scan;
mod schedules;
mod servers;
