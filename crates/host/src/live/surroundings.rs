//! The network that a face lends to meetings. It opens nothing.

use std::net::SocketAddr;

/// What a face lends meetings: its network.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Surroundings {
    /// Announce this device on the network it is in, and look for others there.
    pub mdns: bool,
    /// Where to listen; nothing means every interface and a free port.
    pub at: Vec<SocketAddr>,
}

impl Surroundings {
    /// As a keeper's machine has them: every interface, and others on the same network are looked for.
    #[must_use]
    pub fn usual() -> Self {
        Self {
            mdns: true,
            at: Vec::new(),
        }
    }
}
