//! Tests of the carry file, through the crate's public face. They never touch a network, and no file outside a
//! temporary folder.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic
)]

mod any;
mod damage;
mod forge;
mod frozen;
mod memory;
mod round;
mod sealed;
mod traps;
