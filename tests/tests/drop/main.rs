//! The drop, tried over the whole house: three devices through copies of one folder that lag, come in pieces, twice and
//! out of order; servers from outside on loopback; a club of twenty; a search for anything readable in what lies there; and members that
//! mean harm.
//!
//! `WITNESSMARK_SCHEDULES=n` runs n schedules. Names and lengths of files come from age's own randomness, out of the system:
//! a seed alone replays the choices of a schedule, and not the order of its names, which may decide. Under `tests/luck` that
//! is drawn too, so that what failed there fails again.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod club;
mod copies;
mod group;
mod hostile;
mod party;
#[cfg(target_os = "linux")]
mod replay;
mod scan;
mod schedules;
mod servers;
