//! Beginning the record of a car on this device, and joining one from a carry file that holds everything.
//! It never touches a record that is kept here already.

use std::collections::BTreeSet;

use link::carry::{self, Head, Limits};
use record::entities::{Car, CarFields, Device, DeviceFields, Keeper, KeeperFields};
use record::words::{Pattern, Words};
use record::{Edit, Given, Id, Kind, Record, View, Written};
use store::{Batch, KnownOf, Peer, RecordRow, ThisDevice};

use crate::carrying::take_photos;
use crate::meeting::{standing_by, stranger};
use crate::notebook::Notebook;
use crate::parcel::Parcel;
use crate::peers::{known_of, peer_of};
use crate::pending::{Pending, append};
use crate::refusal::Refusal;
use crate::sealing::{CarryFile, same_record};
use crate::source::Fresh;
use crate::vouching::{self, Received, Said, Trust};
use crate::wire::{AsideBy, RecordLine};

impl Notebook {
    /// Begins the record of a car, with its first keeper on this device.
    ///
    /// # Errors
    /// When a name is missing or does not fit.
    pub(crate) fn start_record(
        &mut self,
        car: &str,
        keeper: &str,
        device: Option<&str>,
    ) -> Result<RecordLine, Refusal> {
        self.may_write()?;
        let this = self.this_device(device, keeper)?;
        let (record, keeper_id) = (self.fresh_id(), self.fresh_id());
        let mut document = Record::begin(self.seat(&this.id)?)?;
        let car_fields = CarFields {
            name: car.into(),
            ..CarFields::default()
        };
        let keeper_fields = KeeperFields {
            name: keeper.into(),
            pattern: Given::Put(Pattern::Plain),
        };
        let begin = Edit::Together {
            message: format!("Began the record of '{car}'"),
            edits: vec![
                Edit::add::<Car>(Id::car(), &car_fields)?,
                Edit::add::<Keeper>(keeper_id.clone(), &keeper_fields)?,
            ],
        };
        let mut written = self.edit_in(&mut document, &begin)?;
        append(&mut written, self.enter_device(&mut document, &this, &keeper_id)?);
        let pending = Pending::begun(&record, document, written);
        self.begin_keeping(&record, pending, &this, &keeper_id, None, &Batch::default())
    }

    /// Joins a record from a carry file that holds everything: as a further device of a keeper it has, or as a new
    /// keeper.
    ///
    /// # Errors
    /// When the file is at fault, holds only a part, or the record is kept here already: nothing is changed then.
    pub(crate) fn join_record(
        &mut self,
        file: &str,
        keeper: &str,
        device: Option<&str>,
        passphrase: Option<&str>,
    ) -> Result<RecordLine, Refusal> {
        let (line, mut file) = self.join_words(file, keeper, device, passphrase)?;
        take_photos(&mut *self, &mut file)?;
        Ok(line)
    }

    /// As [`join_record`](Self::join_record); the photos are left in the file.
    #[expect(clippy::too_many_lines, reason = "to be split when a file comes in by steps")]
    pub(crate) fn join_words(
        &mut self,
        file: &str,
        keeper: &str,
        device: Option<&str>,
        passphrase: Option<&str>,
    ) -> Result<(RecordLine, CarryFile), Refusal> {
        self.may_write()?;
        let mut came = self.open_carry(file, passphrase)?;
        let mut parcel = Parcel::default();
        let contents = carry::read(&mut came.file, &Limits::default(), &mut parcel)?;
        let mut head = contents.head;
        same_record(&came, &head)?;
        if !head.whole {
            return Err(Refusal::input(
                "not_whole",
                format!(
                    "this carry file holds only what another device lacked; to join '{}', ask for one with everything",
                    record::shown(&head.car)
                ),
            ));
        }
        let record: Id = head
            .record
            .parse()
            .map_err(|_| Refusal::input("carry_file", "the carry file names no record"))?;
        if self.store.records()?.iter().any(|row| row.id == record) {
            return Err(Refusal::input(
                "record_there",
                format!(
                    "'{}' is kept here already; carry the file in instead",
                    record::shown(&head.car)
                ),
            ));
        }
        let this = self.this_device(device, keeper)?;
        let mut document = Record::begin(self.seat(&this.id)?)?;
        let trust = Trust::nothing();
        let kept = |_: &record::ChangeId| false;
        let Received {
            mut written,
            sifted,
            signatures,
            keys,
            ..
        } = vouching::receive(
            &mut document,
            &record,
            trust,
            &parcel.changes,
            &parcel.marks,
            Said::Nothing,
            &kept,
        )?;
        if written.changes.is_empty() && !written.refused.is_empty() {
            return Err(record::BadRecord::Against(written.refused).into());
        }
        if !sifted.waits.is_empty() || !sifted.twice.is_empty() {
            return Err(Refusal::input(
                "unsigned",
                "this carry file holds changes in the name of a device that signs what it writes and did not sign these; ask for another file with everything",
            ));
        }
        // What the sender has is believed where it signed the file, or its first page; who it is the record says.
        let believed = match &came.signed {
            Some((signer, _)) => {
                let device = standing_by(&document, *signer).ok_or_else(stranger)?;
                head.device = device.to_string();
                true
            }
            None => {
                let mut its = keys.iter().filter(|(device, _)| device.as_str() == head.device);
                its.any(|(_, key)| {
                    key.parse()
                        .is_ok_and(|key| link::vouch::heads_are_signed(&key, &head))
                })
            }
        };
        head.keeper_name = vouching::credited(document.view(), &head.device);
        let from = believed.then_some(&head);
        let plain = keeper.trim().to_lowercase();
        let known = document
            .view()
            .each_standing::<Keeper>()
            .find(|keeper| keeper.name().is_some_and(|name| name.to_lowercase() == plain));
        let keeper_id = match known.map(|keeper| keeper.id().clone()) {
            Some(id) => id,
            None => {
                let id = self.fresh_id();
                let pattern = free_pattern(document.view()).map_or(Given::Leave, Given::Put);
                let fields = KeeperFields {
                    name: keeper.into(),
                    pattern,
                };
                append(
                    &mut written,
                    self.edit_in(&mut document, &Edit::add::<Keeper>(id.clone(), &fields)?)?,
                );
                id
            }
        };
        // A folder that lost the record and kept its name: the record has it already.
        if document.view().get(Kind::Device, &this.id).is_none() {
            append(&mut written, self.enter_device(&mut document, &this, &keeper_id)?);
        }
        let refused = std::mem::take(&mut written.refused);
        let proven = Batch {
            signatures: &signatures,
            keys: &keys,
            ..Batch::default()
        };
        let pending = Pending::begun(&record, document, written);
        let line = self.begin_keeping(&record, pending, &this, &keeper_id, from, &proven)?;
        self.set_aside_refused(&record, AsideBy::Carry, &refused)?;
        let _ = self.remember_file(&record, file);
        Ok((line, came.file))
    }

    /// This folder's device, made when there is none yet.
    pub fn this_device(&mut self, name: Option<&str>, keeper: &str) -> Result<ThisDevice, Refusal> {
        if let Some(device) = self.store.device()? {
            return Ok(device);
        }
        let name = name.map_or_else(|| format!("{}'s device", keeper.trim()), str::to_owned);
        Ok(ThisDevice {
            id: self.fresh_id(),
            name,
        })
    }

    fn edit_in(&mut self, document: &mut Record, edit: &Edit) -> Result<Written, Refusal> {
        let now = self.now();
        let mut ids = Fresh {
            source: self.source.as_mut(),
            now,
        };
        Ok(document.edit(edit, now, &mut ids)?)
    }

    pub(crate) fn enter_device(
        &mut self,
        document: &mut Record,
        this: &ThisDevice,
        keeper: &Id,
    ) -> Result<Written, Refusal> {
        let identity = self.identity()?;
        let (key, seal) = identity
            .as_ref()
            .map(crate::live::keys::said_of)
            .unwrap_or_default();
        let fields = DeviceFields {
            name: this.name.as_str().into(),
            keeper: Given::Put(keeper.clone()),
            key: key.map_or(Given::Leave, Given::Put),
            seal: seal.map_or(Given::Leave, Given::Put),
            ..Default::default()
        };
        self.edit_in(document, &Edit::add::<Device>(this.id.clone(), &fields)?)
    }

    fn begin_keeping(
        &mut self,
        record: &Id,
        pending: Pending,
        this: &ThisDevice,
        keeper: &Id,
        from: Option<&Head>,
        proven: &Batch<'_>,
    ) -> Result<RecordLine, Refusal> {
        let document = pending.record();
        let car = document
            .view()
            .one::<Car>(&Id::car())
            .and_then(|car| car.name())
            .unwrap_or_default()
            .to_owned();
        let keeper_name = document
            .view()
            .one::<Keeper>(keeper)
            .and_then(|keeper| keeper.name())
            .unwrap_or_default()
            .to_owned();
        let since = self.now();
        let row = RecordRow {
            id: record.clone(),
            car: car.clone(),
            keeper: Some(keeper.clone()),
            since,
        };
        let peers: Vec<Peer> = from.and_then(|head| peer_of(head, since)).into_iter().collect();
        let known = |peer: &Peer| (peer.device.clone(), known_of(document, &peer.heads, &this.id));
        let known: Vec<(Id, KnownOf)> = peers.iter().map(known).collect();
        let batch = Batch {
            begin: Some(&row),
            device: Some(this),
            peers: &peers,
            known: &known,
            ..*proven
        };
        let _ = self.keep(pending, &batch)?;
        self.choose(record)?;
        Ok(RecordLine {
            id: record.clone(),
            car,
            keeper: keeper.clone(),
            keeper_name,
            device: this.id.clone(),
            current: true,
        })
    }
}

/// The first line pattern that no keeper has.
pub(crate) fn free_pattern(view: &View) -> Option<Pattern> {
    let taken: BTreeSet<Pattern> = view
        .each_standing::<Keeper>()
        .filter_map(|keeper| keeper.pattern())
        .collect();
    let mut all = Pattern::ALL.iter().map(|word| Pattern::from_word(word));
    all.find(|pattern| !taken.contains(pattern))
}
