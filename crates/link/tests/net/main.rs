//! Live meetings on loopback: two members exchange frames, break and meet again, dial each other at once, are revoked,
//! pair. Strangers and hostile members are in `net_hostile.rs`, how fast frames go is in `net_speed.rs`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod device;
mod found;
mod meet;
mod pairing;
