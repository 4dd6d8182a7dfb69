//! Where a device may be found: an IP address with a port, or a relay. As text: `192.0.2.7:4433`, `https://…`.
//!
//! It reaches nobody: dialling is the network's ([`crate::net`], where there is one).

use std::fmt;
use std::net::{IpAddr, SocketAddr};
use std::str::FromStr;

use thiserror::Error;
use url::Url;

/// One place where a device may be found.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Address {
    /// An IP address and a UDP port.
    Direct(SocketAddr),
    /// A relay that the device holds a connection to.
    Relay(String),
}

/// The longest address of a relay.
const MOST_RELAY: usize = 200;

impl Address {
    /// As bytes for a ticket: one byte for the kind, then the address.
    pub(crate) fn packed(&self) -> Vec<u8> {
        match self {
            Self::Direct(address) => {
                let (kind, ip) = match address.ip() {
                    IpAddr::V4(ip) => (4, ip.octets().to_vec()),
                    IpAddr::V6(ip) => (6, ip.octets().to_vec()),
                };
                let mut bytes = vec![kind];
                bytes.extend(ip);
                bytes.extend(address.port().to_be_bytes());
                bytes
            }
            Self::Relay(url) => [b"r", url.as_bytes()].concat(),
        }
    }

    /// From bytes of a ticket; none for a kind that this program does not know.
    pub(crate) fn unpacked(bytes: &[u8]) -> Option<Self> {
        let (kind, rest) = bytes.split_first()?;
        if *kind == b'r' {
            return std::str::from_utf8(rest).ok()?.parse().ok();
        }
        let (ip, port) = rest.split_at_checked(rest.len().checked_sub(2)?)?;
        let port = u16::from_be_bytes(port.try_into().ok()?);
        let ip = match kind {
            4 => IpAddr::from(<[u8; 4]>::try_from(ip).ok()?),
            6 => IpAddr::from(<[u8; 16]>::try_from(ip).ok()?),
            _ => return None,
        };
        Some(Self::Direct(SocketAddr::new(ip, port)))
    }
}

impl fmt::Display for Address {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Direct(address) => write!(out, "{address}"),
            Self::Relay(url) => out.write_str(url),
        }
    }
}

/// A text that is neither an IP address with a port nor the address of a relay.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("`{0}` is neither an IP address with a port nor the https address of a relay")]
pub struct NotAnAddress(pub String);

impl FromStr for Address {
    type Err = NotAnAddress;

    fn from_str(text: &str) -> Result<Self, NotAnAddress> {
        let text = text.trim();
        if let Ok(address) = text.parse() {
            return Ok(Self::Direct(address));
        }
        let web = text.starts_with("https://") || text.starts_with("http://");
        match text.parse::<Url>() {
            Ok(url) if web && text.len() <= MOST_RELAY => Ok(Self::Relay(url.to_string())),
            _ => Err(NotAnAddress(text.chars().take(MOST_RELAY).collect())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_bytes_come_back() {
        for text in ["192.0.2.7:4433", "[2001:db8::7]:1", "https://relay.example/"] {
            let address: Address = text.parse().unwrap();
            assert_eq!(address.to_string(), text);
            assert_eq!(Address::unpacked(&address.packed()), Some(address));
        }
        for text in ["", "garage", "192.0.2.7", "ftp://relay.example/", "https://"] {
            assert!(text.parse::<Address>().is_err(), "{text}");
        }
        assert_eq!(Address::unpacked(&[9, 1, 2, 3]), None);
        assert_eq!(Address::unpacked(&[4, 1]), None);
    }
}
