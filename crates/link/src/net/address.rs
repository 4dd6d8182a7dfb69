//! Addresses as iroh has them.

use iroh::{EndpointAddr, PublicKey, RelayUrl, TransportAddr};

use crate::address::Address;
use crate::identity::Key;

impl Address {
    /// Iroh's form.
    pub(super) fn outward(&self) -> Option<TransportAddr> {
        match self {
            Self::Direct(address) => Some(TransportAddr::Ip(*address)),
            Self::Relay(url) => url.parse::<RelayUrl>().ok().map(TransportAddr::Relay),
        }
    }

    /// From iroh's form; none for a kind that this program does not use.
    pub(super) fn inward(address: &TransportAddr) -> Option<Self> {
        match address {
            TransportAddr::Ip(address) => Some(Self::Direct(*address)),
            TransportAddr::Relay(url) => Some(Self::Relay(url.to_string())),
            _ => None,
        }
    }
}

/// A key with addresses, as iroh dials it.
pub(super) fn dialled(key: Key, addresses: &[Address]) -> Option<EndpointAddr> {
    let id = PublicKey::from_bytes(key.as_bytes()).ok()?;
    Some(EndpointAddr::from_parts(
        id,
        addresses.iter().filter_map(Address::outward),
    ))
}
