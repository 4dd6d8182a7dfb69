//! Live meetings on loopback: two members exchange frames, break and meet again, dial each other at once, are revoked,
//! pair; and how fast frames go beside a plain copy. Strangers and hostile members are in `net_hostile.rs`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod device;
mod meet;
mod pairing;
mod speed;
