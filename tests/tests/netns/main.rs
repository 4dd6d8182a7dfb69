//! Meetings on real sockets between hosts of their own: network namespaces joined by virtual cables (`ip netns`, veth),
//! which this test makes and takes away. No internet: two hosts pair (by ticket and by voice), find each other by mDNS,
//! exchange, lose the cable amid it, change address, and meet again within three seconds; a third behind a router that
//! hides its addresses meets through a relay that the test starts. Linux only; where namespaces may not be made, it says
//! so and fails.
#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod ends;
mod keepers;
mod space;

use std::time::Duration;

const LONG: Duration = Duration::from_secs(30);
/// So long after something was new others are asked for seldom by mDNS, no more often (`link/src/net/near.rs`).
const SETTLED: Duration = Duration::from_secs(25);
/// The issue's own figures: for a meeting after a change of address, and for an edit on the same network.
const AGAIN: Duration = Duration::from_secs(3);
const APPEARS: Duration = Duration::from_secs(1);
