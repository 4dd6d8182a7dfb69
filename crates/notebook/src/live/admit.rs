//! Letting a newcomer in, and coming in as one: what each side says of itself when they pair, and what follows from it
//! in the record. Who pairs is confirmed before either is done; what the other says is read under bounds all the same.

use link::identity::{Identity, Key};
use link::net::Address;
use record::entities::{Device, DeviceFields, Keeper, KeeperFields};
use record::{Edit, Given, Id, Kind, Record, Written};
use serde::{Deserialize, Serialize};
use store::{Batch, RecordRow, ThisDevice};

use super::circle::{paired_key, paired_value};
use crate::begin::free_pattern;
use crate::pending::Pending;
use crate::{Notebook, Refusal};

/// Most letters of a name that another device says.
const MOST_NAME: usize = 120;

/// What a side says of itself.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Introduction {
    /// The record that is shared; empty from a newcomer.
    #[serde(default)]
    pub(super) record: String,
    /// Its car.
    #[serde(default)]
    pub(super) car: String,
    /// The device's id in every record.
    pub(super) device: String,
    /// What it is called.
    pub(super) name: String,
    /// Whose it is.
    pub(super) keeper: String,
    /// What files for it are sealed to.
    #[serde(default)]
    pub(super) seal: Option<String>,
    /// Where it may be found.
    #[serde(default)]
    pub(super) addresses: Vec<String>,
}

impl Introduction {
    pub(super) fn to_bytes(&self) -> Vec<u8> {
        // Words and lists of words: there is nothing in it that JSON could not say.
        serde_json::to_vec(self).unwrap_or_default()
    }

    pub(super) fn read(bytes: &[u8]) -> Result<Self, Refusal> {
        let said: Self = serde_json::from_slice(bytes)
            .map_err(|_| Refusal::input("introduction", "the other device does not say who it is"))?;
        let short = |text: &str| -> String { text.trim().chars().take(MOST_NAME).collect() };
        let said = Self {
            car: short(&said.car),
            name: short(&said.name),
            keeper: short(&said.keeper),
            ..said
        };
        if said.name.is_empty() || said.keeper.is_empty() {
            return Err(Refusal::input(
                "introduction",
                "the other device does not say who it is",
            ));
        }
        Ok(said)
    }

    fn device(&self) -> Result<Id, Refusal> {
        let none = |_| Refusal::input("introduction", "the other device has no id that can be read");
        self.device.parse().map_err(none)
    }

    fn found(&self) -> Vec<Address> {
        self.addresses
            .iter()
            .filter_map(|text| text.parse().ok())
            .collect()
    }
}

impl Notebook {
    /// What this device says of itself.
    pub(super) fn introduction(
        &mut self,
        identity: &Identity,
        this: &ThisDevice,
        keeper: &str,
        row: Option<&RecordRow>,
        addresses: &[Address],
    ) -> Introduction {
        Introduction {
            record: row.map(|row| row.id.to_string()).unwrap_or_default(),
            car: row.map(|row| row.car.clone()).unwrap_or_default(),
            device: this.id.to_string(),
            name: this.name.clone(),
            keeper: keeper.to_owned(),
            seal: identity.recipient(),
            addresses: addresses.iter().take(8).map(ToString::to_string).collect(),
        }
    }

    /// Enters a device that was paired in the record, with its keeper where they are new; or its new key, where it is
    /// a device that the record has.
    pub(super) fn admit(&mut self, record: &Id, key: &Key, said: &Introduction) -> Result<(), Refusal> {
        let device = said.device()?;
        let plain = said.keeper.to_lowercase();
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        let keeper = view
            .standing(Kind::Keeper)
            .find(|entry| {
                entry
                    .line("name")
                    .is_some_and(|name| name.to_lowercase() == plain)
            })
            .map(|entry| entry.id.clone());
        let pattern = free_pattern(view);
        let there = view.get(Kind::Device, &device).cloned();
        let (known, seal) = (Given::Put(key.to_string()), said.seal.clone());
        let seal = seal.map_or(Given::Leave, Given::Put);
        if let Some(entry) = there {
            if !entry.stands() || entry.line("revoked").is_some() {
                return Err(Refusal::input(
                    "revoked",
                    format!("'{}' was revoked; it joins anew from an empty folder", said.name),
                ));
            }
            if entry.line("keeper") != keeper.as_ref().map(Id::as_str) {
                return Err(Refusal::input(
                    "other_keeper",
                    format!(
                        "the record has this device as another keeper's than {}",
                        said.keeper
                    ),
                ));
            }
            let fields = DeviceFields {
                key: known,
                seal,
                ..Default::default()
            };
            self.write(record, &Edit::change::<Device>(device.clone(), &fields)?)?;
        } else {
            let keeper = match keeper {
                Some(keeper) => keeper,
                None => {
                    let id = self.fresh_id();
                    let fields = KeeperFields {
                        name: said.keeper.as_str().into(),
                        pattern: pattern.map_or(Given::Leave, Given::Put),
                    };
                    self.write(record, &Edit::add::<Keeper>(id.clone(), &fields)?)?;
                    id
                }
            };
            let fields = DeviceFields {
                name: said.name.as_str().into(),
                keeper: Given::Put(keeper),
                key: known,
                seal,
                ..Default::default()
            };
            self.write(record, &Edit::add::<Device>(device.clone(), &fields)?)?;
        }
        let value = paired_value(key, &said.found());
        Ok(self.store.set(&paired_key(record, &device), Some(&value))?)
    }

    /// Begins to keep the record that a paired device shares; all of it follows at the first meeting.
    pub(super) fn come_in(
        &mut self,
        identity: &Identity,
        this: &ThisDevice,
        key: &Key,
        said: &Introduction,
    ) -> Result<(), Refusal> {
        self.may_write()?;
        let record: Id = said
            .record
            .parse()
            .map_err(|_| Refusal::input("introduction", "the other device names no record"))?;
        let host = said.device()?;
        let value = paired_value(key, &said.found());
        let name = paired_key(&record, &host);
        if self.store.records()?.iter().any(|row| row.id == record) {
            self.store.set(&name, Some(&value))?;
            return self.enter_key(identity);
        }
        let document = Record::begin(self.seat(&this.id)?)?;
        let row = RecordRow {
            id: record.clone(),
            car: said.car.clone(),
            keeper: None,
            since: self.now(),
        };
        let batch = Batch {
            begin: Some(&row),
            device: Some(this),
            settings: &[(&name, Some(&value))],
            ..Batch::default()
        };
        let _ = self.keep(Pending::begun(&record, document, Written::default()), &batch)?;
        self.choose(&record)
    }
}
