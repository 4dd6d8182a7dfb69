//! Who may come: the standing devices of the records that are kept here, by their keys, and where they were last
//! found. A device that was just paired counts until the record itself says more of it.

use std::collections::BTreeMap;

use link::address::Address;
use link::identity::Key;
use record::{Id, Kind};
use store::Choices;

use super::who::Shared;
use super::{found, paired};
use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Everybody who may come.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Circle {
    /// By key, what is shared with each; the record begun first stands first.
    pub peers: BTreeMap<Key, Vec<Shared>>,
    /// Where they were found: in meetings, newest first, then when they were paired.
    pub addresses: BTreeMap<Key, Vec<Address>>,
    /// By key, what a revoked device is told when it asks: it may learn it from here first.
    pub revoked: BTreeMap<Key, String>,
}

/// What a revoked device's keeper is told.
fn revoked_words(why: &str) -> String {
    format!("this device was revoked and is met no more: {why}")
}

/// The roads that the keeper chose.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Roads {
    /// A relay of one's own.
    pub relay: Option<String>,
    /// Whether the internet's relays may be used.
    pub internet_relays: bool,
}

impl Notebook {
    /// Whether this device meets others at all.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn meetings_are_on(&self) -> Result<bool, Refusal> {
        Ok(self.store.choices()?.meets)
    }

    /// Whoever pairs wants to meet.
    ///
    /// # Errors
    /// Where it cannot be kept.
    pub fn turn_meetings_on(&mut self) -> Result<(), Refusal> {
        let choices = Choices {
            meets: true,
            ..self.store.choices()?
        };
        Ok(self.store.choose(&choices)?)
    }

    /// By which roads.
    ///
    /// # Errors
    /// Where they cannot be read.
    pub fn roads(&self) -> Result<Roads, Refusal> {
        let choices = self.store.choices()?;
        Ok(Roads {
            relay: choices.relay,
            internet_relays: choices.internet_relays,
        })
    }

    /// Everybody who may come now.
    ///
    /// # Errors
    /// Where a record cannot be read.
    pub fn circle(&mut self) -> Result<Circle, Refusal> {
        let mut circle = Circle::default();
        let Some(this) = self.store.device()? else {
            return Ok(circle);
        };
        let now = self.now();
        let found = self.store.found()?.into_iter();
        circle.addresses = found
            .filter_map(|(key, at)| Some((key.parse().ok()?, found::read(&at))))
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
            for (device, paired) in self.paired(&row.id)? {
                let known = circle.addresses.entry(paired.key).or_default();
                *known = found::merged(known, &paired.addresses);
                // The record decides as soon as it says anything of that device's key, or that it is gone.
                let (shelf, store) = self.shelf(&row.id);
                let view = shelf.with(store, &row.id, &[Kind::Device])?;
                if !paired::decided(view, &device, &paired.key) && device != this.id && paired.is_met(now) {
                    here.insert(paired.key, device);
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
