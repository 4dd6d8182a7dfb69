//! Devices that were paired here: what is remembered of each on this device alone, until the record itself says more.
//! One that the record goes on not naming is met once, so that both have what the other has, and no more after that; it
//! is shown, and can be cut. Nothing here opens a connection.

use link::address::Address;
use link::identity::Key;
use record::entities::Device;
use record::{Id, Kind, Moment, View};

use super::circle::Shared as Who;
use crate::{Notebook, Refusal};

/// Most addresses that are remembered of one device.
const MOST: usize = 8;
/// For how long a device that the record does not name is met at most, in seconds: a week, in which a large record
/// comes over a poor line.
const LASTS: i64 = 7 * 24 * 60 * 60;
/// What marks one that was met.
const MET: &str = "met";
/// What stands before the moment of the pairing.
const SINCE: char = '@';

/// A device that was paired, as it is remembered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Paired {
    /// The key that it proved to hold.
    pub(crate) key: Key,
    /// Where it was.
    pub(crate) addresses: Vec<Address>,
    /// When; nothing where an older program wrote it.
    pub(crate) since: Option<Moment>,
    /// Whether both had all that the other had, once.
    pub(crate) met: bool,
}

impl Paired {
    /// Whether it is met, as long as the record does not name it.
    pub(super) fn is_met(&self, now: Moment) -> bool {
        let old = |since: Moment| now.seconds().saturating_sub(since.seconds()) > LASTS;
        !self.met && !self.since.is_some_and(old)
    }

    /// As the setting has it: the key, then words. A program that does not know one of them passes over it.
    pub(super) fn to_text(&self) -> String {
        let mut words = vec![self.key.to_string()];
        words.extend(self.addresses.iter().take(MOST).map(ToString::to_string));
        words.extend(self.since.map(|since| format!("{SINCE}{}", since.seconds())));
        words.extend(self.met.then(|| MET.to_owned()));
        words.join(" ")
    }

    fn read(text: &str) -> Option<Self> {
        let mut words = text.split(' ');
        let mut paired = Self {
            key: words.next()?.parse().ok()?,
            addresses: Vec::new(),
            since: None,
            met: false,
        };
        for word in words {
            if let Some(seconds) = word.strip_prefix(SINCE) {
                paired.since = seconds.parse().ok().map(Moment::from_seconds);
            } else if word == MET {
                paired.met = true;
            } else {
                paired.addresses.extend(word.parse::<Address>().ok());
            }
        }
        Some(paired)
    }
}

/// The setting that remembers a device that was paired.
pub(super) fn setting(record: &Id, device: &Id) -> String {
    format!("paired {record} {device}")
}

/// The setting that says whose device it is, in the words of its keeper.
pub(super) fn whose_setting(record: &Id, device: &Id) -> String {
    format!("paired as {record} {device}")
}

/// Every device that was paired for a record.
pub(super) fn all(settings: &[(String, String)], record: &Id) -> Vec<(Id, Paired)> {
    let begins = format!("paired {record} ");
    let one = |(name, value): &(String, String)| {
        Some((name.strip_prefix(&begins)?.parse().ok()?, Paired::read(value)?))
    };
    settings.iter().filter_map(one).collect()
}

/// Whether the record knows that device by the key that it was paired with, or says that it is gone. One that was paired anew
/// with another key says so itself when it is met.
pub(super) fn decided(view: &View, device: &Id, key: &Key) -> bool {
    view.one::<Device>(device).is_some_and(|device| {
        !device.stands() || device.key() == Some(&key.to_string()) || device.revoked().is_some()
    })
}

/// A device that was paired here and that the record does not name.
pub(crate) struct Unnamed {
    pub(crate) device: Id,
    /// Whose, in the words of its keeper.
    pub(crate) whose: String,
    pub(crate) key: Key,
    /// Whether it is still met.
    pub(crate) met: bool,
}

impl Notebook {
    /// The devices that were paired here and that the record does not name.
    pub(crate) fn unnamed(&mut self, record: &Id) -> Result<Vec<Unnamed>, Refusal> {
        let now = self.now();
        let this = self.device()?.id;
        let settings = self.store.settings()?;
        let mut unnamed = Vec::new();
        for (device, paired) in all(&settings, record) {
            let (shelf, store) = self.shelf(record);
            let view = shelf.with(store, record, &[Kind::Device])?;
            // Known by another key since, which it says itself: the one of the pairing is over.
            let gave_up = !paired.is_met(now)
                && view
                    .one::<Device>(&device)
                    .is_some_and(|entered| entered.key().is_some());
            if device == this || gave_up || decided(view, &device, &paired.key) {
                continue;
            }
            let whose = whose_setting(record, &device);
            let whose = settings
                .iter()
                .find(|(name, _)| *name == whose)
                .map(|(_, said)| said.clone());
            unnamed.push(Unnamed {
                whose: whose.unwrap_or_else(|| "a device that was paired here".to_owned()),
                key: paired.key,
                met: paired.is_met(now),
                device,
            });
        }
        Ok(unnamed)
    }

    /// Both have what the other has. One that the record still does not name is met no more.
    pub fn was_met(&mut self, who: &Who) -> Result<(), Refusal> {
        self.came_whole(&who.record)?;
        let settings = self.store.settings()?;
        let paired = all(&settings, &who.record)
            .into_iter()
            .find(|(device, _)| *device == who.device);
        let Some((_, mut paired)) = paired.filter(|(_, paired)| !paired.met) else {
            return Ok(());
        };
        let (shelf, store) = self.shelf(&who.record);
        let view = shelf.with(store, &who.record, &[Kind::Device])?;
        let named = decided(view, &who.device, &paired.key);
        // So that a key which the device gives up later is not met again for having been paired once.
        paired.met = true;
        let name = setting(&who.record, &who.device);
        self.store.set(&name, Some(&paired.to_text()))?;
        if named {
            return Ok(());
        }
        if let Some(live) = &self.live {
            live.roads_changed();
        }
        self.show(&who.record);
        Ok(())
    }

    /// Cuts a device off that was paired here and that the record does not name.
    pub(crate) fn cut(&mut self, record: &Id, device: &Id) -> Result<(), Refusal> {
        self.may_write()?;
        if !self.unnamed(record)?.iter().any(|one| one.device == *device) {
            let words =
                "the record names this device: it is met no more where it is said to be lost, sold or stolen";
            return Err(Refusal::input("named", words));
        }
        self.store.set(&setting(record, device), None)?;
        self.store.set(&whose_setting(record, device), None)?;
        if let Some(live) = &self.live {
            live.roads_changed();
        }
        self.show(record);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key() -> Key {
        link::identity::Identity::generate(&[7; 64]).key()
    }

    #[test]
    fn what_is_remembered_comes_back_and_what_older_programs_wrote_is_read() {
        let paired = Paired {
            key: key(),
            addresses: vec!["192.0.2.7:4433".parse().unwrap()],
            since: Some(Moment::from_seconds(1_900_000_000)),
            met: true,
        };
        assert_eq!(Paired::read(&paired.to_text()), Some(paired));
        let older = Paired::read(&format!("{} 192.0.2.7:4433", key())).unwrap();
        assert_eq!((older.since, older.met, older.addresses.len()), (None, false, 1));
        assert_eq!(Paired::read("nobody 192.0.2.7:4433"), None);
        // An older program takes every word for an address that can be read as one: these cannot.
        assert!("met".parse::<Address>().is_err() && "@1900000000".parse::<Address>().is_err());
    }

    #[test]
    fn one_that_nobody_names_is_met_once_and_for_a_week_at_most() {
        let began = Moment::from_seconds(1_900_000_000);
        let paired = Paired {
            key: key(),
            addresses: Vec::new(),
            since: Some(began),
            met: false,
        };
        let later = |seconds| Moment::from_seconds(began.seconds() + seconds);
        assert!(paired.is_met(began) && paired.is_met(later(LASTS)));
        assert!(!paired.is_met(later(LASTS + 1)));
        assert!(!Paired { met: true, ..paired }.is_met(began));
    }
}
