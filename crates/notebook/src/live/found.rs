//! Where others were found in meetings, and the sockets of this device: remembered here alone, so that two that have
//! no other sign of each other meet again by the last address that was good. What is newest stands first and replaces
//! what is known of the same host; nothing piles up.

use std::collections::BTreeSet;
use std::net::SocketAddr;

use link::address::Address;
use link::identity::Key;

use crate::{Notebook, Refusal};

/// Most addresses that are remembered of one device.
const MOST: usize = 8;
/// The setting of a device by its key, and what all such begin with.
const FOUND: &str = "found ";
/// The setting with the sockets that this device listened on last.
const SOCKETS: &str = "live sockets";

/// Where a device may be, newest first: of one IP address the newest port alone, since a device listens on one.
pub(super) fn merged(newest: &[Address], older: &[Address]) -> Vec<Address> {
    let mut all: Vec<Address> = Vec::new();
    for address in newest.iter().chain(older) {
        let known = all.iter().any(|kept| match (kept, address) {
            (Address::Direct(kept), Address::Direct(address)) => kept.ip() == address.ip(),
            _ => kept == address,
        });
        if !known && all.len() < MOST {
            all.push(address.clone());
        }
    }
    all
}

/// The device and the addresses that a setting remembers; none for a setting about something else.
pub(super) fn read(name: &str, value: &str) -> Option<(Key, Vec<Address>)> {
    let key = name.strip_prefix(FOUND)?.parse().ok()?;
    Some((
        key,
        value.split(' ').filter_map(|word| word.parse().ok()).collect(),
    ))
}

fn joined<T: ToString>(all: &[T]) -> String {
    let words: Vec<String> = all.iter().map(ToString::to_string).collect();
    words.join(" ")
}

impl Notebook {
    /// Remembers where a device was found, and forgets those that are none of `met` any more. Whether it was news.
    pub fn was_found(&mut self, peer: &Key, at: &[Address], met: &BTreeSet<Key>) -> Result<bool, Refusal> {
        let settings = self.store.settings()?;
        let remembered = settings.iter().filter_map(|(name, value)| read(name, value));
        let mut before = Vec::new();
        for (key, addresses) in remembered {
            if key == *peer {
                before = addresses;
            } else if !met.contains(&key) {
                self.store.set(&format!("{FOUND}{key}"), None)?;
            }
        }
        let now = merged(at, &before);
        if now == before {
            return Ok(false);
        }
        self.store.set(&format!("{FOUND}{peer}"), Some(&joined(&now)))?;
        Ok(true)
    }

    /// The sockets that this device listened on last.
    pub fn sockets_before(&self) -> Result<Vec<SocketAddr>, Refusal> {
        let text = self.store.setting(SOCKETS)?.unwrap_or_default();
        Ok(text.split(' ').filter_map(|word| word.parse().ok()).collect())
    }

    /// Remembers the sockets that this device listens on.
    pub fn keep_sockets(&mut self, now: &[SocketAddr]) -> Result<(), Refusal> {
        if self.sockets_before()? == now {
            return Ok(());
        }
        Ok(self.store.set(SOCKETS, Some(&joined(now)))?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(newest: &str, older: &str, wanted: &str) {
        let read = |text: &str| -> Vec<Address> {
            let words = text.split_whitespace();
            words.map(|word| word.parse().unwrap()).collect()
        };
        let all = merged(&read(newest), &read(older));
        assert_eq!(joined(&all), wanted);
    }

    #[test]
    fn the_newest_stands_first_and_replaces_its_host() {
        check("192.0.2.1:5", "", "192.0.2.1:5");
        check("192.0.2.1:6", "192.0.2.1:5", "192.0.2.1:6");
        check(
            "192.0.2.1:6",
            "198.51.100.1:7 192.0.2.1:5",
            "192.0.2.1:6 198.51.100.1:7",
        );
        check(
            "[2001:db8::1]:6 192.0.2.1:6",
            "https://relay.example/ [2001:db8::1]:5",
            "[2001:db8::1]:6 192.0.2.1:6 https://relay.example/",
        );
        check("", "192.0.2.1:5", "192.0.2.1:5");
    }

    #[test]
    fn so_many_are_remembered_and_no_more() {
        let older: Vec<String> = (1..=20).map(|host| format!("192.0.2.{host}:1")).collect();
        check(
            "198.51.100.1:9",
            &older.join(" "),
            &format!("198.51.100.1:9 {}", older[..MOST - 1].join(" ")),
        );
    }
}
