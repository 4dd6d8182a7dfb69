//! Who may come: the standing devices of the records that are kept here, by their keys, and where they were last
//! found. A device that was just paired counts until the record itself says more of it.

use std::collections::BTreeMap;

use link::identity::Key;
use link::net::Address;
use record::{Id, Kind};

use super::found;
use crate::{Notebook, Refusal};

/// The setting that turns meetings off (`off`); anything else leaves them on.
pub(crate) const ON: &str = "live";
/// The setting that names a relay of one's own.
pub(crate) const RELAY: &str = "live relay";
/// The setting that lets the internet's relays be used (`on`).
pub(crate) const RELAYS: &str = "live internet relays";

/// A record that is shared with a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Shared {
    /// Which record.
    pub(crate) record: Id,
    /// The device, as the record names it.
    pub(crate) device: Id,
}

/// Everybody who may come.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Circle {
    /// By key, what is shared with each; the record begun first stands first.
    pub(crate) peers: BTreeMap<Key, Vec<Shared>>,
    /// Where they were found: in meetings, newest first, then when they were paired.
    pub(crate) addresses: BTreeMap<Key, Vec<Address>>,
    /// By key, what a revoked device is told when it asks: it may learn it from here first.
    pub(crate) revoked: BTreeMap<Key, String>,
}

/// What a revoked device's keeper is told.
pub(crate) fn revoked_words(why: &str) -> String {
    format!("this device was revoked and is met no more: {why}")
}

/// The setting that remembers a device that was paired.
pub(crate) fn paired_key(record: &Id, device: &Id) -> String {
    format!("paired {record} {device}")
}

/// What that setting says: the key, then addresses.
pub(crate) fn paired_value(key: &Key, addresses: &[Address]) -> String {
    let mut text = key.to_string();
    for address in addresses.iter().take(8) {
        text.push(' ');
        text.push_str(&address.to_string());
    }
    text
}

impl Notebook {
    /// Everybody who may come now.
    pub(crate) fn circle(&mut self) -> Result<Circle, Refusal> {
        let mut circle = Circle::default();
        let Some(this) = self.store.device()? else {
            return Ok(circle);
        };
        let settings = self.store.settings()?;
        circle.addresses = settings
            .iter()
            .filter_map(|(name, value)| found::read(name, value))
            .collect();
        for row in self.store.records()? {
            let all = self.members(&row.id)?;
            // Whoever was revoked here knows it, and asks nobody any more.
            if all.iter().any(|one| one.device == this.id && !one.stands()) {
                continue;
            }
            for one in &all {
                let key = one.key.as_deref().and_then(|key| key.parse().ok());
                if let Some((key, (why, _))) = key.zip(one.revoked.as_ref()) {
                    circle.revoked.insert(key, revoked_words(why));
                }
            }
            let mut here: BTreeMap<Key, Id> = BTreeMap::new();
            for one in all.iter().filter(|one| one.device != this.id && one.stands()) {
                if let Some(key) = one.key.as_deref().and_then(|key| key.parse().ok()) {
                    here.insert(key, one.device.clone());
                }
            }
            let begins = format!("paired {} ", row.id);
            for (name, value) in &settings {
                let Some(device) = name.strip_prefix(&begins).and_then(|id| id.parse::<Id>().ok()) else {
                    continue;
                };
                let mut words = value.split(' ');
                let Some(key) = words.next().and_then(|key| key.parse::<Key>().ok()) else {
                    continue;
                };
                let paired: Vec<Address> = words.filter_map(|word| word.parse().ok()).collect();
                let known = circle.addresses.entry(key).or_default();
                *known = found::merged(known, &paired);
                // The record decides as soon as it says anything of that device's key, or that it is gone.
                let (shelf, store) = self.shelf(&row.id);
                let view = shelf.with(store, &row.id, &[Kind::Device])?;
                let decided = view.get(Kind::Device, &device).is_some_and(|entry| {
                    !entry.stands() || entry.line("key").is_some() || entry.line("revoked").is_some()
                });
                if !decided && device != this.id {
                    here.insert(key, device);
                }
            }
            for (key, device) in here {
                circle.peers.entry(key).or_default().push(Shared {
                    record: row.id.clone(),
                    device,
                });
            }
        }
        // Where another record is shared with it, it comes about that one.
        let peers = &circle.peers;
        circle.revoked.retain(|key, _| !peers.contains_key(key));
        Ok(circle)
    }
}
