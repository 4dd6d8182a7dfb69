//! What a revoked device wrote later, and brought itself, and what the gate refused, whoever brought it: kept as it came
//! under the name of whoever wrote it, shown in words, never merged. What a revoked device wrote becomes part of the record
//! only when a standing device has it in theirs; then it comes as theirs, by whatever road.
//!
//! What came is not believed: each change passes the gate by itself before a word of it is read, what is kept has a
//! bound, and no document is touched.

use std::collections::{BTreeMap, BTreeSet};

use record::entities::Device;
use record::members::{device_name, keeper_name};
use record::{ChangeId, Id, Kind, Refused, alone, called};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use store::{AsideRow, NotKept};

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::{AsideBy, AsideLine, AsidePage, Patch};

/// Most lines that are shown of one parcel.
const MOST_WORDS: usize = 50;
/// Most changes of one parcel that are noted by name; of what is over, the number only.
const MOST_NAMED: usize = 20_000;
/// Most letters of an actor that something is set aside under.
const MOST_ACTOR: usize = 48;
/// Most parcels that are kept of a record.
const MOST_PARCELS: u32 = 500;
/// Most bytes of changes that are kept of a record; of parcels beyond that, only what they say is.
const MOST_BYTES: u64 = 64 << 20;

/// What is noted of a parcel as it comes.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Told {
    changes: u32,
    /// The hashes that could be computed.
    ids: Vec<String>,
    words: Vec<String>,
    /// Whether the gate refused them.
    #[serde(default)]
    gate: bool,
}

/// Reads what was noted. What cannot be read must not be shown as nothing set aside.
fn noted<T: DeserializeOwned>(text: &str) -> Result<T, Refusal> {
    serde_json::from_str(text).map_err(|_| {
        Refusal::failed(
            "aside",
            "what was noted of entries set aside cannot be read; check tells what is wrong with it",
        )
    })
}

/// What became of what a revoked device brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SetAside {
    /// Changes that are not in the record.
    pub changes: u32,
    /// Whether they are kept: nothing is, beyond the bound.
    pub kept: bool,
}

impl Notebook {
    /// Sets aside what is not in the record of what a revoked device brought. What is beyond the bound is counted.
    ///
    /// # Errors
    /// When the folder refuses.
    pub fn set_aside(
        &mut self,
        record: &Id,
        device: &Id,
        by: AsideBy,
        changes: &[Vec<u8>],
    ) -> Result<SetAside, Refusal> {
        self.put_aside(record, device, by, changes, &BTreeMap::new())
    }

    /// Sets aside what the gate refused, under the device that wrote it and not under whoever handed it on; a sentence for
    /// each writer.
    ///
    /// # Errors
    /// When the folder refuses.
    pub(crate) fn set_aside_refused(
        &mut self,
        record: &Id,
        by: AsideBy,
        refused: &[Refused],
    ) -> Result<Vec<String>, Refusal> {
        let mut writers: BTreeMap<Id, Vec<&Refused>> = BTreeMap::new();
        for one in refused {
            // What was written by no device of ours goes by its actor.
            let actor: String = one.actor.chars().take(MOST_ACTOR).collect();
            let writer = one.device.clone().or_else(|| actor.parse().ok());
            writers
                .entry(writer.unwrap_or_else(Id::car))
                .or_default()
                .push(one);
        }
        let mut said = Vec::new();
        for (device, refused) in writers {
            let known = self.refused_before(record)?;
            let new: Vec<&&Refused> = refused.iter().filter(|one| !known.contains(&one.id)).collect();
            let Some(first) = new.first() else { continue };
            let changes: Vec<Vec<u8>> = new.iter().map(|one| one.bytes.clone()).collect();
            let why = new.iter().map(|one| (one.id, one.why.to_string())).collect();
            let done = self.put_aside(record, &device, by, &changes, &why)?;
            let (shelf, store) = self.shelf(record);
            let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
            let name = view
                .one::<Device>(&device)
                .map(|device| called(device.name()))
                .unwrap_or_else(|| "a device that the record does not name".to_owned());
            let kept = if done.kept { "set aside" } else { "not kept either" };
            said.push(format!(
                "{} of '{name}' not taken in, and {kept}: {first}",
                count(new.len())
            ));
        }
        Ok(said)
    }

    /// The changes that the gate refused before.
    pub(crate) fn refused_before(&self, record: &Id) -> Result<BTreeSet<ChangeId>, Refusal> {
        let rows = self.store.aside(record)?;
        // The document must open beside a row that cannot be read, whose sum a check tells of. What that row named is refused
        // by the gate once more, should it come again.
        let told = rows
            .iter()
            .filter_map(|row| serde_json::from_str::<Told>(&row.told).ok());
        let ids = told.filter(|told| told.gate).flat_map(|told| told.ids);
        Ok(ids.filter_map(|id| ChangeId::from_hex(&id)).collect())
    }

    fn put_aside(
        &mut self,
        record: &Id,
        device: &Id,
        by: AsideBy,
        changes: &[Vec<u8>],
        why: &BTreeMap<ChangeId, String>,
    ) -> Result<SetAside, Refusal> {
        self.may_write()?;
        let mut told = Told {
            gate: !why.is_empty(),
            ..Told::default()
        };
        let mut parcel = blake3::Hasher::new();
        let mut bytes = Vec::new();
        let document = &self.document(record)?.record;
        let mut known = BTreeSet::new();
        for change in changes {
            let read = alone(change);
            if let Ok(read) = &read
                && (document.ledger().has(&read.id) || !known.insert(read.id))
            {
                continue;
            }
            let length = (change.len() as u64).to_le_bytes();
            parcel.update(&length);
            parcel.update(change);
            bytes.extend_from_slice(&length);
            bytes.extend_from_slice(change);
            told.changes = told.changes.saturating_add(1);
            let words = match read {
                Ok(read) => {
                    if told.ids.len() < MOST_NAMED {
                        told.ids.push(read.id.to_string());
                    }
                    let words = match read.message.as_str() {
                        "" => format!("{}: says nothing of itself", read.at),
                        message => format!("{}: {message}", read.at),
                    };
                    match why.get(&read.id) {
                        Some(why) => format!("{words} (not taken in: {why})"),
                        None => words,
                    }
                }
                Err(bad) => format!("cannot be read: {bad}"),
            };
            if told.words.len() < MOST_WORDS {
                told.words.push(words);
            }
        }
        let mut done = SetAside {
            changes: told.changes,
            kept: true,
        };
        if told.changes == 0 {
            return Ok(done);
        }
        let parcel = parcel.finalize().to_hex().to_string();
        let (parcels, held) = self.store.aside_size(record)?;
        if parcels >= MOST_PARCELS {
            done.kept = self.store.aside(record)?.iter().any(|row| row.parcel == parcel);
            if !done.kept {
                self.count_not_kept(record)?;
            }
            return Ok(done);
        }
        if held.saturating_add(bytes.len() as u64) > MOST_BYTES {
            bytes.clear();
        }
        let row = AsideRow {
            parcel,
            device: device.clone(),
            road: word(by).to_owned(),
            came: self.now(),
            told: serde_json::to_string(&told).map_err(|error| Refusal::failed("json", error.to_string()))?,
            bytes,
        };
        if self.store.set_aside(record, &row)? {
            self.tell_aside(record);
        }
        Ok(done)
    }

    fn tell_aside(&mut self, record: &Id) {
        self.tell(&Patch {
            record: record.clone(),
            touched: Vec::new(),
            marks: Vec::new(),
            points: false,
            underway: None,
        });
    }

    fn count_not_kept(&mut self, record: &Id) -> Result<(), Refusal> {
        let before = self.store.not_kept(record)?;
        let more = NotKept {
            parcels: before.parcels.saturating_add(1),
            last: Some(self.now()),
        };
        self.store.keep_not_kept(record, more)?;
        self.tell_aside(record);
        Ok(())
    }

    /// What stands aside, and how much came that could not be kept.
    pub(crate) fn aside(&mut self, record: &Id) -> Result<AsidePage, Refusal> {
        let not_kept = self.store.not_kept(record)?;
        Ok(AsidePage {
            lines: self.aside_lines(record)?,
            most: MOST_PARCELS,
            not_kept: not_kept.parcels,
            not_kept_last: not_kept.last,
        })
    }

    /// Parcels of which the record has not come to hold everything by another road.
    fn aside_lines(&mut self, record: &Id) -> Result<Vec<AsideLine>, Refusal> {
        let rows = self.store.aside(record)?;
        if rows.is_empty() {
            return Ok(Vec::new());
        }
        let mut left: Vec<(AsideRow, Told, u32)> = Vec::new();
        for row in rows {
            let told: Told = noted(&row.told)?;
            let mut merged = 0_u32;
            for id in told.ids.iter().filter_map(|id| ChangeId::from_hex(id)) {
                merged = merged.saturating_add(self.store.has_change(record, &id)?.into());
            }
            let changes = told.changes.saturating_sub(merged);
            if changes > 0 {
                left.push((row, told, changes));
            }
        }
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        let line = |(row, told, changes): (AsideRow, Told, u32)| {
            let keeper = view.keeper_of(&row.device);
            AsideLine {
                id: row.parcel,
                device_name: device_name(view, &row.device),
                keeper_name: keeper.map_or_else(String::new, |keeper| keeper_name(view, &keeper)),
                device: row.device,
                came: row.came,
                by: match row.road.as_str() {
                    "drop" => AsideBy::Drop,
                    "meeting" => AsideBy::Meeting,
                    _ => AsideBy::Carry,
                },
                changes,
                words: told.words,
            }
        };
        Ok(left.into_iter().map(line).collect())
    }
}

fn count(changes: usize) -> String {
    match changes {
        1 => "a change".to_owned(),
        many => format!("{many} changes"),
    }
}

fn word(by: AsideBy) -> &'static str {
    match by {
        AsideBy::Drop => "drop",
        AsideBy::Carry => "carry",
        AsideBy::Meeting => "meeting",
    }
}
