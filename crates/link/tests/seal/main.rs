//! Tests of sealing, through the crate's public face. They never touch a network, and no file.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic
)]

mod forge;
mod refused;
mod round;
