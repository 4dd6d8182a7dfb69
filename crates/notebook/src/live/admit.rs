//! Letting a newcomer in, and coming in as one: what each side says of itself when they pair, and what follows from it
//! in the record. Who pairs is confirmed before either is done; what the other says is read under bounds all the same.

use link::address::Address;
use link::identity::{Identity, Key};
use link::pair::MOST_INTRODUCTION;
use record::entities::{Device, DeviceFields, Keeper, KeeperFields};
use record::{Edit, Entity as _, Given, Id, Kind, Link, Record, View, Written};
use serde::{Deserialize, Serialize};
use store::{Batch, RecordRow, ThisDevice};

use super::paired::Paired;
use crate::begin::free_pattern;
use crate::notebook::Notebook;
use crate::pending::Pending;
use crate::refusal::Refusal;

/// Most letters of a name that another device says.
const MOST_NAME: usize = 120;
/// Most records that a newcomer says it keeps.
const MOST_MARKS: usize = 16;
/// Most keepers that are named before the yes.
const MOST_KEEPERS: usize = 8;

/// What a side says of itself.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Introduction {
    /// The record that is shared; empty from a newcomer.
    #[serde(default)]
    pub record: String,
    /// Its car.
    #[serde(default)]
    pub car: String,
    /// Who keeps it; empty from a newcomer, and from an older program.
    #[serde(default)]
    pub keepers: Vec<String>,
    /// The device's id in every record.
    pub device: String,
    /// What it is called.
    pub name: String,
    /// Whose it is.
    pub keeper: String,
    /// What files for it are sealed to.
    #[serde(default)]
    pub seal: Option<String>,
    /// Where it may be found.
    #[serde(default)]
    pub addresses: Vec<String>,
    /// Marks of the records that a newcomer keeps already: nobody who does not keep one can tell which it is.
    #[serde(default)]
    pub keeps: Vec<String>,
}

/// The mark of a record that a device keeps.
fn mark_of(record: &Id, device: &str) -> String {
    let mut hasher = blake3::Hasher::new_derive_key("witnessmark 2031 a record that a newcomer keeps");
    hasher
        .update(record.as_str().as_bytes())
        .update(b"\0")
        .update(device.as_bytes());
    hasher.finalize().to_hex().chars().take(32).collect()
}

impl Introduction {
    /// As it is sent: never more than may be. Names that no longer fit are left out from the end.
    ///
    /// # Errors
    /// Where it cannot be written out: a device that says nothing of itself is not to be let in by it.
    pub fn to_bytes(&self) -> Result<Vec<u8>, Refusal> {
        let mut said = self.clone();
        loop {
            let bytes =
                serde_json::to_vec(&said).map_err(|error| Refusal::failed("json", error.to_string()))?;
            if bytes.len() <= MOST_INTRODUCTION {
                return Ok(bytes);
            }
            if said.keepers.pop().is_none() && said.keeps.pop().is_none() {
                return Ok(bytes);
            }
        }
    }

    /// What the other says of itself, each name cut to what may be.
    ///
    /// # Errors
    /// Where it does not say who it is.
    pub fn read(bytes: &[u8]) -> Result<Self, Refusal> {
        let said: Self = serde_json::from_slice(bytes)
            .map_err(|_| Refusal::input("introduction", "the other device does not say who it is"))?;
        let keepers = said.keepers.iter().take(MOST_KEEPERS);
        let said = Self {
            car: short(&said.car),
            keepers: keepers
                .map(|name| short(name))
                .filter(|name| !name.is_empty())
                .collect(),
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

    /// Its id.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn device(&self) -> Result<Id, Refusal> {
        let none = |_| Refusal::input("introduction", "the other device has no id that can be read");
        self.device.parse().map_err(none)
    }

    pub(super) fn record(&self) -> Result<Id, Refusal> {
        let none = |_| Refusal::input("introduction", "the other device names no record");
        self.record.parse().map_err(none)
    }

    /// Whether it keeps a record already, as after joining by a file. Then its own entry comes with the first meeting.
    pub(super) fn keeps(&self, record: &Id) -> bool {
        self.keeps.contains(&mark_of(record, &self.device))
    }

    fn found(&self) -> Vec<Address> {
        self.addresses
            .iter()
            .filter_map(|text| text.parse().ok())
            .collect()
    }
}

/// A name as it is shown before anybody has said yes to it: short, on one line, as all names are shown.
fn short(text: &str) -> String {
    let line: String = text.chars().filter(|letter| !letter.is_control()).collect();
    record::shown(&line).chars().take(MOST_NAME).collect()
}

/// Where a device that is paired would stand in the record.
pub(super) struct Place {
    pub(super) device: Id,
    /// Whether the record has it already.
    pub(super) there: bool,
    /// Whether the record knows it by a key.
    pub(super) keyed: bool,
    /// Its keeper, where the record has them.
    pub(super) keeper: Option<Id>,
}

/// Looks where a device would stand.
///
/// # Errors
/// Where it cannot be let in: it was revoked, is another keeper's, or says that it is `this` device.
pub(super) fn place(view: &View, this: &Id, said: &Introduction) -> Result<Place, Refusal> {
    let device = said.device()?;
    if device == *this {
        return Err(same_device());
    }
    let plain = said.keeper.to_lowercase();
    let keeper = view
        .each_standing::<Keeper>()
        .find(|keeper| keeper.name().is_some_and(|name| name.to_lowercase() == plain))
        .map(|keeper| keeper.id().clone());
    let there = view.one::<Device>(&device);
    if let Some(entered) = there {
        if !entered.stands() || entered.revoked().is_some() {
            return Err(Refusal::input(
                "revoked",
                format!("'{}' was revoked; it joins anew from an empty folder", said.name),
            ));
        }
        if entered.keeper() != keeper.as_ref().map(Link::from) {
            return Err(Refusal::input(
                "other_keeper",
                format!(
                    "the record has this device as another keeper's than {}",
                    said.keeper
                ),
            ));
        }
    }
    Ok(Place {
        there: there.is_some(),
        keyed: there.is_some_and(|entered| entered.key().is_some()),
        device,
        keeper,
    })
}

/// One folder that was copied cannot be both ends of a pairing.
pub(super) fn same_device() -> Refusal {
    Refusal::input(
        "same_device",
        "the other device says that it is this one: its folder is a copy of this folder, or this one of it",
    )
}

impl Notebook {
    /// The name of the keeper whose device this is in a record, where it is known.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn keeper_of_row(&self, row: &RecordRow) -> Result<Option<String>, Refusal> {
        let keeper = row.keeper.clone().unwrap_or_else(Id::car);
        let entry = self.store.entry(&row.id, Kind::Keeper, &keeper)?;
        Ok(entry.and_then(|entry| Some(Keeper::of(&entry)?.name()?.to_owned())))
    }

    /// The same, in the record that was begun first.
    ///
    /// # Errors
    /// As [`keeper_of_row`](Self::keeper_of_row).
    pub fn own_name(&self) -> Result<Option<String>, Refusal> {
        match self.store.records()?.first() {
            Some(row) => self.keeper_of_row(row),
            None => Ok(None),
        }
    }

    /// This device's secrets, without which nobody can meet it.
    ///
    /// # Errors
    /// Where it has none, or they cannot be read.
    pub fn needed_identity(&mut self) -> Result<Identity, Refusal> {
        let none = || {
            Refusal::failed(
                "no_identity",
                "this device has no secret that others could know it by",
            )
        };
        self.identity()?.ok_or_else(none)
    }

    /// What this device says of itself.
    pub fn introduction(
        &mut self,
        identity: &Identity,
        this: &ThisDevice,
        keeper: &str,
        row: Option<&RecordRow>,
        addresses: &[Address],
    ) -> Introduction {
        Introduction {
            record: row.map(|row| row.id.to_string()).unwrap_or_default(),
            car: row.map(|row| short(&row.car)).unwrap_or_default(),
            keepers: row.map(|row| self.keepers_named(&row.id)).unwrap_or_default(),
            device: this.id.to_string(),
            name: short(&this.name),
            keeper: short(keeper),
            seal: identity.recipient(),
            addresses: addresses.iter().take(8).map(ToString::to_string).collect(),
            keeps: match row {
                Some(_) => Vec::new(),
                None => self.marks_of_kept(this),
            },
        }
    }

    /// Marks of the records that are kept here. Where they cannot be read none is said: it is told elsewhere.
    fn marks_of_kept(&self, this: &ThisDevice) -> Vec<String> {
        let rows = self.store.records().unwrap_or_default().into_iter();
        rows.map(|row| mark_of(&row.id, this.id.as_str()))
            .take(MOST_MARKS)
            .collect()
    }

    /// The names of a record's keepers, as many as are said before the yes. None where they cannot be read: it is told
    /// elsewhere.
    fn keepers_named(&mut self, record: &Id) -> Vec<String> {
        let (shelf, store) = self.shelf(record);
        let Ok(view) = shelf.with(store, record, &[Kind::Keeper]) else {
            return Vec::new();
        };
        let names = view.each_standing::<Keeper>().filter_map(|keeper| keeper.name());
        names.map(short).take(MOST_KEEPERS).collect()
    }

    /// Enters a device that was paired in the record, with its keeper where they are new; or its new key, where it is
    /// a device that the record has.
    pub fn admit(&mut self, record: &Id, key: &Key, said: &Introduction) -> Result<(), Refusal> {
        let this = self.device()?.id;
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        let place = place(view, &this, said)?;
        let pattern = free_pattern(view);
        let (known, seal) = (Given::Put(key.to_string()), said.seal.clone());
        let seal = seal.map_or(Given::Leave, Given::Put);
        if place.there && place.keyed {
            // Its keys are its own to say, and it says them when it is met: what is paired here is remembered here until then.
        } else if place.there {
            let fields = DeviceFields {
                key: known,
                seal,
                ..Default::default()
            };
            self.write(record, &Edit::change::<Device>(place.device.clone(), &fields)?)?;
        } else if said.keeps(record) {
            // It joined by a file and entered itself: a second entry would stand beside its own, under one name.
        } else {
            let keeper = match place.keeper {
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
            self.write(record, &Edit::add::<Device>(place.device.clone(), &fields)?)?;
        }
        // Both have compared the digits: from now on this is a key of the device, whatever was known of it before.
        let batch = Batch {
            keys: &[(place.device.clone(), key.to_string())],
            ..Batch::default()
        };
        self.store.commit(record, &batch)?;
        self.remember_paired(record, &place.device, key, said)
    }

    /// Remembers on this device alone whom it paired with, until the record says more of it.
    fn remember_paired(
        &mut self,
        record: &Id,
        device: &Id,
        key: &Key,
        said: &Introduction,
    ) -> Result<(), Refusal> {
        let paired = self.paired_now(key, said).row(device);
        Ok(self.store.keep_paired(record, &paired)?)
    }

    fn paired_now(&mut self, key: &Key, said: &Introduction) -> Paired {
        Paired {
            key: *key,
            addresses: said.found(),
            since: Some(self.now()),
            met: false,
            whose: Some(crate::page::whose(&said.keeper, &said.name)),
        }
    }

    /// Begins to keep the record that a paired device shares; all of it follows at the first meeting.
    pub fn come_in(
        &mut self,
        identity: &Identity,
        this: &ThisDevice,
        key: &Key,
        said: &Introduction,
    ) -> Result<(), Refusal> {
        self.may_write()?;
        self.may_come_in(this, key, said)?;
        let record = said.record()?;
        let host = said.device()?;
        if self.store.records()?.iter().any(|row| row.id == record) {
            self.remember_paired(&record, &host, key, said)?;
            return self.enter_key(identity);
        }
        let document = Record::begin(self.seat(&this.id)?)?;
        let row = RecordRow {
            id: record.clone(),
            car: said.car.clone(),
            keeper: None,
            since: self.now(),
        };
        let paired = self.paired_now(key, said).row(&host);
        let batch = Batch {
            begin: Some(&row),
            device: Some(this),
            paired: Some(&paired),
            ..Batch::default()
        };
        let _ = self.keep(Pending::begun(&record, document, Written::default()), &batch)?;
        self.choose(&record)
    }

    /// Whether something can come of following this host.
    ///
    /// # Errors
    /// Where it says that it is this device, or the record that is kept here says otherwise of it.
    pub(super) fn may_come_in(
        &mut self,
        this: &ThisDevice,
        key: &Key,
        said: &Introduction,
    ) -> Result<(), Refusal> {
        let (record, host) = (said.record()?, said.device()?);
        if host == this.id {
            return Err(same_device());
        }
        if !self.store.records()?.iter().any(|row| row.id == record) {
            return Ok(());
        }
        let member = self.members(&record)?.into_iter().find(|one| one.device == host);
        let Some(member) = member else {
            return Ok(());
        };
        if let Some((why, _)) = &member.revoked {
            return Err(Refusal::input(
                "revoked",
                format!(
                    "your record says of '{}' that it is met no more: {why}; it joins anew from an empty folder",
                    member.name
                ),
            ));
        }
        if member.key.as_ref().is_some_and(|known| *known != key.to_string()) {
            return Err(Refusal::input(
                "other_key",
                format!(
                    "your record knows '{}' by another key than this device has; show a ticket here, and let that device follow it",
                    member.name
                ),
            ));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some() -> Introduction {
        Introduction {
            record: "0197b0c0-0000-7000-8000-000000000001".to_owned(),
            car: "Tern".to_owned(),
            keepers: vec!["Rosalind".to_owned(), "Wilf".to_owned()],
            device: "0197b0c0-0000-7000-8000-000000000002".to_owned(),
            name: "bench".to_owned(),
            keeper: "Rosalind".to_owned(),
            ..Introduction::default()
        }
    }

    #[test]
    fn an_older_program_is_understood_and_understands() {
        // As the program before said it, without the keepers.
        let older = br#"{"record":"r","car":"Tern","device":"d","name":"bench","keeper":"Rosalind","seal":null,"addresses":[]}"#;
        let said = Introduction::read(older).unwrap();
        assert_eq!((said.car.as_str(), said.keepers.len()), ("Tern", 0));
        assert_eq!(Introduction::read(&some().to_bytes().unwrap()).unwrap(), some());
    }

    #[test]
    fn it_never_says_more_than_may_be_and_hides_nothing() {
        let long = Introduction {
            keepers: vec!["\u{10FFFD}".repeat(MOST_NAME); MOST_KEEPERS],
            addresses: vec!["x".repeat(300); 8],
            ..some()
        };
        let bytes = long.to_bytes().unwrap();
        assert!(bytes.len() <= MOST_INTRODUCTION, "{}", bytes.len());
        assert_eq!(Introduction::read(&bytes).unwrap().car, "Tern");
        let turned = Introduction {
            car: "\u{202E}nreT\u{202C}\u{200B}\n".to_owned(),
            ..some()
        };
        assert_eq!(
            Introduction::read(&turned.to_bytes().unwrap()).unwrap().car,
            "nreT"
        );
    }
}
