//! Where others were found in meetings, and the sockets of this device: remembered here alone, so that two that have
//! no other sign of each other meet again by the last address that was good. What is newest stands first and replaces
//! what is known of the same host; nothing piles up.

use std::collections::BTreeSet;
use std::net::SocketAddr;

use link::address::Address;
use link::identity::Key;

use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Most addresses that are remembered of one device.
const MOST: usize = 8;

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

/// Addresses as they are spelled, read; one that cannot be is none.
pub(super) fn read(words: &[String]) -> Vec<Address> {
    words.iter().filter_map(|word| word.parse().ok()).collect()
}

/// Addresses as they are spelled.
pub(super) fn spelled(all: &[Address]) -> Vec<String> {
    all.iter().map(ToString::to_string).collect()
}

impl Notebook {
    /// Remembers where a device was found, and forgets those that are none of `met` any more. Whether it was news.
    pub fn was_found(&mut self, peer: &Key, at: &[Address], met: &BTreeSet<Key>) -> Result<bool, Refusal> {
        let (mut before, mut kept) = (Vec::new(), Vec::new());
        for (spelled, addresses) in self.store.found()? {
            match spelled.parse::<Key>() {
                Ok(key) if key == *peer => before = read(&addresses),
                Ok(key) if !met.contains(&key) => kept.push((spelled, Vec::new())),
                _ => {}
            }
        }
        let now = merged(at, &before);
        let news = now != before;
        if news {
            kept.push((peer.to_string(), spelled(&now)));
        }
        if !kept.is_empty() {
            self.store.keep_found(&kept)?;
        }
        Ok(news)
    }

    /// The sockets that this device listened on last.
    pub fn sockets_before(&self) -> Result<Vec<SocketAddr>, Refusal> {
        Ok(self.store.sockets()?)
    }

    /// Remembers the sockets that this device listens on.
    pub fn keep_sockets(&mut self, now: &[SocketAddr]) -> Result<(), Refusal> {
        if self.sockets_before()? == now {
            return Ok(());
        }
        Ok(self.store.keep_sockets(now)?)
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
        assert_eq!(spelled(&all).join(" "), wanted);
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
