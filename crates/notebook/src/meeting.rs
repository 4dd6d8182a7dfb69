//! Meetings by carry file: what goes out, what comes in. A file is taken in whole or not at all; what it holds is
//! judged by the record and never here.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{BufReader, Read, Seek};
use std::path::{Path, PathBuf};

use link::carry::{self, Head, Limits, Writer};
use record::document::SCHEMA;
use record::{ChangeId, Id, Kind, Moment};
use store::{Batch, Outgoing, Peer, RecordRow};

use crate::parcel::{Parcel, PhotoSink, bytes_of};
use crate::peers::{known_setting, peer_of};
use crate::wire::{CarryOut, Meeting};
use crate::{Notebook, Refusal};

/// Most lines of news from a meeting.
const MOST_NEWS: usize = 50;

impl Notebook {
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

    pub(crate) fn open_carry(&self, path: &Path) -> Result<BufReader<File>, Refusal> {
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
        let refused = self.take_photos(&mut file)?;
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
    pub(crate) fn take_photos(&mut self, file: &mut (impl Read + Seek)) -> Result<Vec<String>, Refusal> {
        let mut sink = PhotoSink::new(self);
        carry::read(file, &Limits::default(), &mut sink).map_err(|stopped| {
            let refusal = Refusal::from(stopped);
            let words = format!(
                "the entries were taken in, but not all photos: {}; carry the file in again",
                refusal.words
            );
            Refusal { words, ..refusal }
        })?;
        Ok(sink.refused)
    }
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
