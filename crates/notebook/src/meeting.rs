//! Meetings by carry file, beginning a record, joining one, and what is known of the other devices.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{BufReader, Read, Seek};
use std::path::{Path, PathBuf};

use link::carry::{self, Head, Limits, Sink, Wanted, Writer};
use record::document::SCHEMA;
use record::entities::{Car, CarFields, Device, DeviceFields, Keeper, KeeperFields};
use record::words::{Pattern, Words};
use record::{ChangeId, Edit, Given, Id, Kind, Moment, Record, View, Written};
use store::{Batch, Outgoing, Peer, RecordRow, ThisDevice};

use crate::source::Fresh;
use crate::wire::{CarryOut, Meeting, RecordLine};
use crate::{Notebook, Refusal};

/// Most lines of news from a meeting.
const MOST_NEWS: usize = 50;

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
        self.begin_keeping(&record, document, &written, &this, &keeper_id, None)
    }

    /// Joins a record from a carry file that holds everything: as a further device of a keeper it has, or as a new
    /// keeper.
    ///
    /// # Errors
    /// When the file is at fault, holds only a part, or the record is kept here already: nothing is changed then.
    pub(crate) fn join_record(
        &mut self,
        file: &Path,
        keeper: &str,
        device: Option<&str>,
    ) -> Result<RecordLine, Refusal> {
        self.may_write()?;
        let mut file = self.open_carry(file)?;
        let mut parcel = Parcel::default();
        let contents = carry::read(&mut file, &Limits::default(), &mut parcel)?;
        let head = contents.head;
        if !head.whole {
            return Err(Refusal::input(
                "not_whole",
                format!(
                    "this carry file holds only what another device lacked; to join '{}', ask for one with everything",
                    head.car
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
                format!("'{}' is kept here already; carry the file in instead", head.car),
            ));
        }
        let this = self.this_device(device, keeper)?;
        let mut document = Record::begin(self.seat(&this.id)?)?;
        let mut written = document.receive(&parcel.changes)?;
        let plain = keeper.trim().to_lowercase();
        let known = document.view().standing(Kind::Keeper).find(|entry| {
            entry
                .line("name")
                .is_some_and(|name| name.to_lowercase() == plain)
        });
        let keeper_id = match known.map(|entry| entry.id.clone()) {
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
        append(&mut written, self.enter_device(&mut document, &this, &keeper_id)?);
        let line = self.begin_keeping(&record, document, &written, &this, &keeper_id, Some(&head))?;
        self.take_photos(&mut file)?;
        Ok(line)
    }

    /// This folder's device, made when there is none yet.
    fn this_device(&mut self, name: Option<&str>, keeper: &str) -> Result<ThisDevice, Refusal> {
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

    fn enter_device(
        &mut self,
        document: &mut Record,
        this: &ThisDevice,
        keeper: &Id,
    ) -> Result<Written, Refusal> {
        let fields = DeviceFields {
            name: this.name.as_str().into(),
            keeper: Given::Put(keeper.clone()),
        };
        self.edit_in(document, &Edit::add::<Device>(this.id.clone(), &fields)?)
    }

    fn begin_keeping(
        &mut self,
        record: &Id,
        document: Record,
        written: &Written,
        this: &ThisDevice,
        keeper: &Id,
        from: Option<&Head>,
    ) -> Result<RecordLine, Refusal> {
        let car = document
            .view()
            .get(Kind::Car, &Id::car())
            .and_then(|car| car.line("name"))
            .unwrap_or_default()
            .to_owned();
        let keeper_name = document
            .view()
            .get(Kind::Keeper, keeper)
            .and_then(|entry| entry.line("name"))
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
        let known =
            from.map(|head| known_setting(record, &document, &head.device, &heads_of(head), &this.id));
        let settings: Vec<(&str, Option<&str>)> = known
            .as_ref()
            .map(|(key, value)| (key.as_str(), Some(value.as_str())))
            .into_iter()
            .collect();
        self.keep_open(record, document);
        let batch = Batch {
            begin: Some(&row),
            device: Some(this),
            peers: &peers,
            settings: &settings,
            ..Batch::default()
        };
        self.keep(record, written, &batch)?;
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

    /// Writes a carry file: what a device is not known to have, or everything.
    ///
    /// # Errors
    /// When the file cannot be written; nothing of it is left under its name then.
    pub fn carry_out(
        &mut self,
        record: Option<&str>,
        to: Option<&Id>,
        file: Option<&Path>,
    ) -> Result<CarryOut, Refusal> {
        let row = self.which(record)?;
        let this = self.device()?;
        let now = self.now();
        let peer = to.map(|device| self.peer(&row.id, device)).transpose()?.flatten();
        let base: Vec<ChangeId> = peer.map(|peer| peer.heads).unwrap_or_default();
        let opened = self.document(&row.id)?;
        let base: Vec<ChangeId> = base
            .into_iter()
            .filter(|head| opened.record.ledger().has(head))
            .collect();
        let changes = opened.record.changes_since(&base);
        let heads = opened.record.heads();
        let ledger = opened.record.ledger();
        let known = |change: &ChangeId| base.iter().any(|head| ledger.knew(head, change));
        let wanted: BTreeSet<String> = opened
            .record
            .view()
            .all(Kind::Photo)
            .filter(|photo| !known(&photo.made.change))
            .filter_map(|photo| photo.line("hash").map(str::to_owned))
            .collect();
        let keeper_name = opened
            .record
            .view()
            .get(Kind::Keeper, row.keeper.as_ref().unwrap_or(&Id::car()))
            .and_then(|entry| entry.line("name"))
            .unwrap_or_default()
            .to_owned();
        let here: BTreeSet<String> = self.store.photos_here(&row.id)?.into_iter().collect();
        let photos: Vec<String> = wanted.intersection(&here).cloned().collect();
        let head = Head {
            record: row.id.to_string(),
            car: row.car.clone(),
            device: this.id.to_string(),
            keeper: row.keeper.as_ref().map(ToString::to_string).unwrap_or_default(),
            keeper_name,
            sent: now.to_string(),
            heads: heads.iter().map(ToString::to_string).collect(),
            whole: base.is_empty(),
            base: base.iter().map(ToString::to_string).collect(),
            changes: changes.len() as u64,
            photos: photos.len() as u64,
            schema: SCHEMA,
            ..Head::default()
        };
        let out = self.store.outgoing(file, &carry_name(&row.car, now));
        let out = out.map_err(|error| cannot("write the carry file", &error))?;
        let path = out.path().to_owned();
        let whole = head.whole;
        let bytes = self.write_carry(out, head, &changes, &photos)?;
        Ok(CarryOut {
            name: path
                .file_name()
                .map(|name| name.to_string_lossy().into_owned())
                .unwrap_or_default(),
            file: path.to_string_lossy().into_owned(),
            bytes,
            changes: small(changes.len()),
            photos: small(photos.len()),
            whole,
        })
    }

    fn open_carry(&self, path: &Path) -> Result<BufReader<File>, Refusal> {
        let words = |error| format!("'{}' cannot be opened: {error}", path.display());
        let opened = self
            .store
            .incoming(path)
            .map_err(|error| Refusal::input("carry_file", words(error)))?;
        Ok(BufReader::new(opened))
    }

    fn write_carry(
        &self,
        out: Outgoing,
        head: Head,
        changes: &[(ChangeId, Vec<u8>)],
        photos: &[String],
    ) -> Result<u64, Refusal> {
        let mut writer = Writer::new(out, head)?;
        for (id, bytes) in changes {
            writer.change(&bytes_of(id.as_str())?, bytes)?;
        }
        for hash in photos {
            let length = self.store.photo(hash)?.map_or(0, |row| row.length);
            writer.photo(
                &bytes_of(hash)?,
                length,
                &mut BufReader::new(self.store.open_photo(hash)?),
            )?;
        }
        let (out, _) = writer.finish()?;
        out.keep().map_err(|error| cannot("write the carry file", &error))
    }

    /// Takes a carry file in.
    ///
    /// # Errors
    /// When the file is at fault, is another car's, or builds on what this device does not have: nothing is
    /// changed then.
    pub fn carry_in(&mut self, record: Option<&str>, file: &Path) -> Result<Meeting, Refusal> {
        self.may_write()?;
        let mut file = self.open_carry(file)?;
        let mut parcel = Parcel::default();
        let contents = carry::read(&mut file, &Limits::default(), &mut parcel)?;
        let head = contents.head;
        let row = self.record_of(record, &head)?;
        let this = self.device()?;
        let before: BTreeSet<String> = self.store.photos_here(&row.id)?.into_iter().collect();
        let now = self.now();
        let opened = self.document(&row.id)?;
        let received = opened.record.receive(&parcel.changes);
        let written = match received {
            Ok(written) => written,
            Err(bad) => {
                self.forget(&row.id);
                return Err(bad.into());
            }
        };
        let mut peer = peer_of(&head, now);
        if let Some(peer) = &mut peer
            && let Some(was) = self.peer(&row.id, &peer.device)?
        {
            // A file older than the last one from there must not make us forget what it has by now.
            peer.heads.extend(was.heads);
            peer.heads.sort();
            peer.heads.dedup();
        }
        let heads = peer.as_ref().map_or(&[][..], |peer| peer.heads.as_slice());
        let (key, value) = known_setting(
            &row.id,
            &self.document(&row.id)?.record,
            &head.device,
            heads,
            &this.id,
        );
        let peers: Vec<Peer> = peer.into_iter().collect();
        let batch = Batch {
            peers: &peers,
            settings: &[(&key, Some(&value))],
            ..Batch::default()
        };
        self.keep(&row.id, &written, &batch)?;
        let refused = self.take_photos(&mut file).map_err(|mut refusal| {
            refusal.words = format!(
                "the entries were taken in, but not all photos: {}; carry the file in again",
                refusal.words
            );
            refusal
        })?;
        let after: BTreeSet<String> = self.store.photos_here(&row.id)?.into_iter().collect();
        let points = self.store.points(&row.id)?.len();
        let mut news: Vec<String> = written
            .changes
            .iter()
            .rev()
            .map(|change| change.message.clone())
            .collect();
        news.truncate(MOST_NEWS);
        news.extend(refused);
        Ok(Meeting {
            from: if head.keeper_name.is_empty() {
                head.device
            } else {
                head.keeper_name
            },
            changes: small(written.changes.len()),
            photos: small(after.difference(&before).count()),
            points: small(points),
            news,
        })
    }

    /// Sets down the bytes of a carry file that a face was handed, so that it can be taken in as a file.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn set_down(&mut self, bytes: &[u8]) -> Result<PathBuf, Refusal> {
        let name = format!("in-{}.{}", self.fresh_id(), carry::EXTENSION);
        self.store
            .set_down(&name, bytes)
            .map_err(|error| cannot("set the carry file down", &error))
    }

    /// Clears away a file that was set down.
    pub fn clear_away(&self, file: &Path) {
        // One that stays is only clutter.
        let _ = self.store.clear_away(file);
    }

    /// The bytes of a carry file that this folder wrote, by its name alone.
    ///
    /// # Errors
    /// When there is none of that name.
    pub fn carried_out(&self, name: &str) -> Result<Vec<u8>, Refusal> {
        let none = |_| Refusal::input("carry_file", "there is no carry file of that name here");
        self.store.carried(name).map_err(none)
    }

    /// The record a carry file belongs to, which must be the one that was named, if one was.
    fn record_of(&self, named: Option<&str>, head: &Head) -> Result<RecordRow, Refusal> {
        let other = || {
            Refusal::input(
                "other_record",
                format!(
                    "this carry file is of '{}', which is not the car it was to be taken into; nothing was changed",
                    head.car
                ),
            )
        };
        let rows = self.store.records()?;
        let row = rows
            .into_iter()
            .find(|row| row.id.as_str() == head.record)
            .ok_or_else(|| {
                Refusal::input(
                    "other_record",
                    format!(
                        "this carry file is of '{}', which is not kept here; join it, or choose another file",
                        head.car
                    ),
                )
            })?;
        match named {
            Some(_) if self.which(named)?.id != row.id => Err(other()),
            _ => Ok(row),
        }
    }

    /// Keeps the photos of a carry file that are not here yet. What is no photo is left out and said.
    fn take_photos(&mut self, file: &mut (impl Read + Seek)) -> Result<Vec<String>, Refusal> {
        let mut sink = PhotoSink {
            notebook: self,
            hash: String::new(),
            bytes: Vec::new(),
            refused: Vec::new(),
        };
        carry::read(file, &Limits::default(), &mut sink)?;
        Ok(sink.refused)
    }

    fn peer(&self, record: &Id, device: &Id) -> Result<Option<Peer>, Refusal> {
        Ok(self
            .store
            .peers(record)?
            .into_iter()
            .find(|peer| &peer.device == device))
    }

    /// How many changes a device is known to have, in all and of this device's own.
    pub(crate) fn known(&self, record: &Id, device: &Id) -> Result<Option<(u32, u32)>, Refusal> {
        let Some(text) = self.store.setting(&known_key(record, device.as_str()))? else {
            return Ok(None);
        };
        Ok(text
            .split_once(' ')
            .and_then(|(all, own)| Some((all.parse().ok()?, own.parse().ok()?))))
    }
}

fn append(written: &mut Written, more: Written) {
    written.changes.extend(more.changes);
    for (name, fields) in more.touched {
        written.touched.entry(name).or_default().extend(fields);
    }
}

/// The first line pattern that no keeper has.
fn free_pattern(view: &View) -> Option<Pattern> {
    let taken: BTreeSet<&str> = view
        .standing(Kind::Keeper)
        .filter_map(|entry| entry.line("pattern"))
        .collect();
    Pattern::ALL
        .iter()
        .find(|word| !taken.contains(*word))
        .map(|word| Pattern::from_word(word))
}

fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn cannot(what: &str, error: &std::io::Error) -> Refusal {
    Refusal::failed("carry_io", format!("could not {what}: {error}"))
}

/// `Tern 2031-03-01 18.20.05.carry`: a name that every file system takes.
fn carry_name(car: &str, now: Moment) -> String {
    let plain: String = car
        .chars()
        .map(|c| if c.is_alphanumeric() || c == '-' { c } else { ' ' })
        .collect();
    let stamp = now
        .to_string()
        .replace('T', " ")
        .replace(':', ".")
        .replace('Z', "");
    format!("{} {stamp}.{}", plain.trim(), carry::EXTENSION)
}

fn bytes_of(hex: &str) -> Result<carry::Hash, Refusal> {
    let bad = || Refusal::failed("hash", "a hash cannot be read");
    let mut out = [0_u8; 32];
    for (at, slot) in out.iter_mut().enumerate() {
        let from = at.saturating_mul(2);
        let pair = hex.get(from..from.saturating_add(2)).ok_or_else(bad)?;
        *slot = u8::from_str_radix(pair, 16).map_err(|_| bad())?;
    }
    Ok(out)
}

fn hex(hash: &carry::Hash) -> String {
    hash.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn heads_of(head: &Head) -> Vec<ChangeId> {
    head.heads
        .iter()
        .filter_map(|hex| ChangeId::from_hex(hex))
        .collect()
}

fn peer_of(head: &Head, now: Moment) -> Option<Peer> {
    Some(Peer {
        device: head.device.parse().ok()?,
        name: head.keeper_name.clone(),
        heads: heads_of(head),
        state: Vec::new(),
        met: Some(now),
        photos: BTreeSet::new(),
    })
}

fn known_key(record: &Id, device: &str) -> String {
    format!("known {record} {device}")
}

/// What the sender of a file is known to have, kept as a setting so that no screen need open the document for it.
fn known_setting(
    record: &Id,
    document: &Record,
    device: &str,
    heads: &[ChangeId],
    this: &Id,
) -> (String, String) {
    let known = document.ledger().known_by(heads, this);
    (
        known_key(record, device),
        format!("{} {}", known.all, known.of_device),
    )
}

/// The changes of a carry file, collected; its photos are left for a second reading.
#[derive(Default)]
struct Parcel {
    changes: Vec<Vec<u8>>,
}

impl Sink for Parcel {
    type Refusal = Refusal;

    fn head(&mut self, head: &Head) -> Result<(), Refusal> {
        if head.schema > SCHEMA {
            return Err(Refusal::input(
                "newer_record",
                format!(
                    "this carry file is of version {} and this program knows version {SCHEMA}; nothing was changed",
                    head.schema
                ),
            ));
        }
        Ok(())
    }

    fn change(&mut self, _: carry::Hash, bytes: Vec<u8>) -> Result<(), Refusal> {
        self.changes.push(bytes);
        Ok(())
    }

    fn photo(&mut self, _: carry::Hash, _: u64) -> Result<Wanted, Refusal> {
        Ok(Wanted::No)
    }

    fn photo_piece(&mut self, _: &[u8]) -> Result<(), Refusal> {
        Ok(())
    }

    fn photo_end(&mut self) -> Result<(), Refusal> {
        Ok(())
    }
}

/// The photos of a carry file, kept one by one.
struct PhotoSink<'a> {
    notebook: &'a mut Notebook,
    hash: String,
    bytes: Vec<u8>,
    refused: Vec<String>,
}

impl Sink for PhotoSink<'_> {
    type Refusal = Refusal;

    fn head(&mut self, _: &Head) -> Result<(), Refusal> {
        Ok(())
    }

    fn change(&mut self, _: carry::Hash, _: Vec<u8>) -> Result<(), Refusal> {
        Ok(())
    }

    fn photo(&mut self, hash: carry::Hash, _: u64) -> Result<Wanted, Refusal> {
        self.hash = hex(&hash);
        self.bytes.clear();
        let here = self.notebook.store.photo(&self.hash)?.is_some();
        Ok(if here { Wanted::No } else { Wanted::Yes })
    }

    fn photo_piece(&mut self, piece: &[u8]) -> Result<(), Refusal> {
        self.bytes.extend_from_slice(piece);
        Ok(())
    }

    fn photo_end(&mut self) -> Result<(), Refusal> {
        let bytes = std::mem::take(&mut self.bytes);
        match self.notebook.original(&bytes, Some(&self.hash)) {
            Ok((new, _)) => Ok(self.notebook.store.enter_photos(&[new])?),
            Err(refusal) if refusal.code == "no_photo" => {
                let short: String = self.hash.chars().take(12).collect();
                self.refused.push(format!("left out {short}…, which is no photo"));
                Ok(())
            }
            Err(refusal) => Err(refusal),
        }
    }
}
