//! Tests of the drop's rules, through the crate's public face, over memory and with changes made up for it. The whole
//! house is tried in the workspace's `tests`. They never touch a network, and no file.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic
)]

mod fake;
mod photos;
mod rules;
mod size;
