//! What the store promises, tried on real folders on this disk: nothing here is a stand-in for a file.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic
)]

mod came;
mod counted;
mod kill;
mod layers;
mod lock;
mod made;
mod newer;
mod own;
#[cfg(unix)]
mod owner;
mod parts;
mod photos;
mod rebuild;
mod round_trip;
mod search;
mod snapshots;
mod sums;
mod troubles;
