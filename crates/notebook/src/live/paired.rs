//! Devices that were paired here: what is remembered of each on this device alone, until the record itself says more.
//! One that the record goes on not naming is met once, so that both have what the other has, and no more after that; it
//! is shown, and can be cut. Nothing here opens a connection.

use link::address::Address;
use link::identity::Key;
use record::entities::Device;
use record::{Id, Kind, Moment, View};
use store::PairedRow;

use super::found::{self, spelled};
use super::who::Shared as Who;
use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Most addresses that are remembered of one device.
const MOST: usize = 8;
/// For how long a device that the record does not name is met at most, in seconds: a week, in which a large record
/// comes over a poor line.
const LASTS: i64 = 7 * 24 * 60 * 60;
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
    /// Whose it is, in the words of its keeper; nothing where an older program did not say.
    pub(crate) whose: Option<String>,
}

impl Paired {
    /// Whether it is met, as long as the record does not name it.
    pub(super) fn is_met(&self, now: Moment) -> bool {
        let old = |since: Moment| now.seconds().saturating_sub(since.seconds()) > LASTS;
        !self.met && !self.since.is_some_and(old)
    }

    /// As it is kept.
    pub(super) fn row(&self, device: &Id) -> PairedRow {
        PairedRow {
            device: device.clone(),
            key: self.key.to_string(),
            addresses: spelled(self.addresses.get(..MOST).unwrap_or(&self.addresses)),
            since: self.since,
            met: self.met,
            whose: self.whose.clone(),
        }
    }

    /// One whose key cannot be read is none.
    fn read(row: PairedRow) -> Option<(Id, Self)> {
        let paired = Self {
            key: row.key.parse().ok()?,
            addresses: found::read(&row.addresses),
            since: row.since,
            met: row.met,
            whose: row.whose,
        };
        Some((row.device, paired))
    }
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
    /// Every device that was paired for a record.
    pub(super) fn paired(&self, record: &Id) -> Result<Vec<(Id, Paired)>, Refusal> {
        Ok(self
            .store
            .paired(record)?
            .into_iter()
            .filter_map(Paired::read)
            .collect())
    }

    /// The devices that were paired here and that the record does not name.
    pub(crate) fn unnamed(&mut self, record: &Id) -> Result<Vec<Unnamed>, Refusal> {
        let now = self.now();
        let this = self.device()?.id;
        let mut unnamed = Vec::new();
        for (device, paired) in self.paired(record)? {
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
            unnamed.push(Unnamed {
                met: paired.is_met(now),
                whose: paired
                    .whose
                    .unwrap_or_else(|| "a device that was paired here".to_owned()),
                key: paired.key,
                device,
            });
        }
        Ok(unnamed)
    }

    /// Both have what the other has. One that the record still does not name is met no more.
    pub fn was_met(&mut self, who: &Who) -> Result<(), Refusal> {
        self.came_whole(&who.record)?;
        let mut all = self.paired(&who.record)?.into_iter();
        let paired = all.find(|(device, _)| *device == who.device);
        let Some((_, mut paired)) = paired.filter(|(_, paired)| !paired.met) else {
            return Ok(());
        };
        let (shelf, store) = self.shelf(&who.record);
        let view = shelf.with(store, &who.record, &[Kind::Device])?;
        let named = decided(view, &who.device, &paired.key);
        // So that a key which the device gives up later is not met again for having been paired once.
        paired.met = true;
        self.store.keep_paired(&who.record, &paired.row(&who.device))?;
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
        self.store.forget_paired(record, device)?;
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
    fn what_is_remembered_comes_back_with_so_many_addresses_and_no_more() {
        let at = |port: usize| -> Address { format!("192.0.2.7:{port}").parse().unwrap() };
        let paired = Paired {
            key: key(),
            addresses: (1..=MOST + 1).map(at).collect(),
            since: Some(Moment::from_seconds(1_900_000_000)),
            met: true,
            whose: Some("Ana's Pocket".to_owned()),
        };
        let device: Id = "device-2".parse().unwrap();
        let row = paired.row(&device);
        let (back, read) = Paired::read(row.clone()).unwrap();
        assert_eq!(
            (back, &read.addresses),
            (device, &paired.addresses[..MOST].to_vec())
        );
        assert_eq!(
            Paired {
                addresses: paired.addresses.clone(),
                ..read
            },
            paired
        );
        let nobody = PairedRow {
            key: "nobody".to_owned(),
            ..row
        };
        assert_eq!(Paired::read(nobody), None);
    }

    #[test]
    fn one_that_nobody_names_is_met_once_and_for_a_week_at_most() {
        let began = Moment::from_seconds(1_900_000_000);
        let paired = Paired {
            key: key(),
            addresses: Vec::new(),
            since: Some(began),
            met: false,
            whose: None,
        };
        let later = |seconds| Moment::from_seconds(began.seconds() + seconds);
        assert!(paired.is_met(began) && paired.is_met(later(LASTS)));
        assert!(!paired.is_met(later(LASTS + 1)));
        assert!(!Paired { met: true, ..paired }.is_met(began));
    }
}
