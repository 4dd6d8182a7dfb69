//! Meetings by carry file: what comes in (one goes out as long work, `long`). A file is taken in whole or not at all; what it
//! holds is judged by the record and never here.

use std::collections::BTreeSet;

use link::carry::{self, Head, Limits};
use link::identity::Key;
use record::members::{Member, members};
use record::{BadRecord, Id, Kind, PhotoHash, Record, Refused};
use store::{Batch, KnownOf, Peer, RecordRow, SetDown};

use crate::carrying::{Carried, take_photos};
use crate::notebook::Notebook;
use crate::parcel::Parcel;
use crate::peers::{had_now, known_of, peer_of};
use crate::refusal::Refusal;
use crate::sealing::same_record;
use crate::unsigned::Stood;
use crate::vouching::{Said, credited};
use crate::wire::{AsideBy, Meeting};

/// What a file's first page says of the sender's photos: how many it lacks.
pub(crate) const PHOTOS_MISSING: &str = "photos_missing";

impl Notebook {
    /// Remembers that a device was sent entries without their photos, from what it was known to have on.
    pub(crate) fn photos_were_left_out(&mut self, record: &Id, to: &Id) -> Result<(), Refusal> {
        if self.store.left_out(record, to)?.is_none() {
            let heads = self.peer(record, to)?.map(|peer| peer.heads).unwrap_or_default();
            self.store.keep_left_out(record, to, &heads)?;
        }
        Ok(())
    }

    /// Takes a carry file in.
    ///
    /// # Errors
    /// When the file is at fault, is another car's, or builds on what this device does not have, and when a device
    /// signed it that the record does not know and no keeper has welcomed: nothing is changed then.
    pub(crate) fn carry_in(
        &mut self,
        record: Option<&str>,
        file: &str,
        passphrase: Option<&str>,
        welcome: bool,
    ) -> Result<Meeting, Refusal> {
        let mut carried = self.carry_words_in(record, file, passphrase, welcome)?;
        let left_out = match &mut carried.file {
            Some(file) => take_photos(&mut *self, file)?,
            None => Vec::new(),
        };
        self.carried(carried, left_out)
    }

    /// Takes the words of a carry file in; its photos are left in it.
    #[expect(clippy::too_many_lines, reason = "to be split when a file comes in by steps")]
    pub(crate) fn carry_words_in(
        &mut self,
        record: Option<&str>,
        file: &str,
        passphrase: Option<&str>,
        welcome: bool,
    ) -> Result<Carried, Refusal> {
        self.may_write()?;
        let mut came = self.open_carry(file, passphrase)?;
        let mut parcel = Parcel::default();
        let contents = carry::read(&mut came.file, &Limits::default(), &mut parcel)?;
        let mut head = contents.head;
        same_record(&came, &head)?;
        let row = self.record_of(record, &head)?;
        let this = self.device()?;
        let signer = came.signed.as_ref().map(|(key, _)| *key);
        let sender = self.sender_of(&row.id, signer, &head)?;
        if let Some(Sender {
            device,
            revoked: true,
            name,
        }) = &sender
        {
            let meeting = self.carried_aside(&row.id, device, name, &parcel.changes)?;
            return Ok(Carried {
                before: self.store.photos_here(&row.id)?.into_iter().collect(),
                record: row.id,
                file: None,
                meeting,
            });
        }
        if let Some(sender) = &sender {
            // Who signed it is known better than what it says of itself.
            head.device = sender.device.to_string();
        }
        let before: BTreeSet<PhotoHash> = self.store.photos_here(&row.id)?.into_iter().collect();
        let now = self.now();
        // Of a file that no known device signed, nobody can tell who wrote it.
        let by_member = signer.is_some() && sender.is_some();
        let said = if welcome { Said::Welcome } else { Said::Nothing };
        let stood = Stood::of(&self.document(&row.id)?.record);
        let (mut pending, received) = self.receive(&row.id, &parcel.changes, &parcel.marks, said)?;
        if pending.written.changes.is_empty() && !pending.written.refused.is_empty() {
            let refused = std::mem::take(&mut pending.written.refused);
            // Of what no device of the record wrote nothing is kept: whoever has the file was told.
            if !by_member_of(pending.record(), &refused) {
                return Err(BadRecord::Against(refused).into());
            }
            pending.written.refused = refused;
        }
        let from = signer.map(|signer| standing_by(pending.record(), signer));
        if let Some(question) = self.question(&stood, &pending, &received, by_member)?
            && !welcome
        {
            return Err(question);
        }
        if !by_member && from == Some(None) {
            return Err(stranger());
        }
        if let Some(Some(device)) = &from {
            head.device = device.to_string();
        }
        // What the other has is believed of a head that it signed, or where a keeper says that the file is theirs.
        let believed = welcome || from.is_some() || self.heads_are_signed(&row.id, &received, &head)?;
        if believed {
            head.keeper_name = credited(pending.record().view(), &head.device);
        }
        let mut peer = peer_of(&head, now).filter(|_| believed);
        if let Some(peer) = &mut peer {
            peer.photos = std::mem::take(&mut parcel.photos);
        }
        if let Some(peer) = &mut peer
            && let Some(was) = self.peer(&row.id, &peer.device)?
        {
            // A file older than the last one from there must not make us forget what it has by now.
            let said = std::mem::take(&mut peer.heads);
            peer.heads = had_now(pending.record(), &was.heads, said);
        }
        let peers: Vec<Peer> = peer.into_iter().collect();
        let known = |peer: &Peer| {
            let known = known_of(pending.record(), &peer.heads, &this.id);
            (peer.device.clone(), known)
        };
        let known: Vec<(Id, KnownOf)> = peers.iter().map(known).collect();
        let from_device: Option<Id> = head.device.parse().ok().filter(|_| believed);
        let lacks_none = head.extra.get(PHOTOS_MISSING) == Some(&0.into());
        let brought = self.came_by(&row.id, AsideBy::Carry, from_device.as_ref(), false)?;
        let batch = Batch {
            peers: &peers,
            known: &known,
            lacks_no_photos: from_device.as_ref().filter(|_| lacks_none),
            came: Some(brought),
            ..Batch::default()
        };
        let written = self.enter_received(pending, &received, &batch)?;
        let _ = self.remember_file(&row.id, file);
        // A snapshot that could not be made is made after the next change.
        let _ = self.compact_if_due(&row.id);
        let points = self.asked(&row.id)?;
        let coming = match written.changes.is_empty() {
            true => None,
            false => self.store.comings(&row.id)?.first().map(|coming| coming.number),
        };
        let mut news = self.set_aside_refused(&row.id, AsideBy::Carry, &written.refused)?;
        if let Some(two) = received.sifted.twice.first() {
            news.push(self.twice_words(&row.id, two)?);
        }
        let meeting = Meeting {
            from: match (believed, head.keeper_name.is_empty()) {
                (true, true) => head.device,
                (true, false) => head.keeper_name,
                (false, true) => "a file that nobody signed".to_owned(),
                (false, false) => format!(
                    "a file that nobody signed and that calls itself {}'s",
                    record::shown(&head.keeper_name)
                ),
            },
            changes: small(written.changes.len()),
            photos: 0,
            points,
            news,
            coming,
            aside: 0,
            aside_not_kept: false,
        };
        Ok(Carried {
            record: row.id,
            file: Some(came.file),
            before,
            meeting,
        })
    }

    /// Which device wrote a file: by the key that signed it, or where none did, by what it says.
    fn sender_of(
        &mut self,
        record: &Id,
        signer: Option<Key>,
        head: &Head,
    ) -> Result<Option<Sender>, Refusal> {
        let members = self.members(record)?;
        let text = signer.map(|key| key.to_string());
        let its = |one: &&Member| match &text {
            Some(text) => one.key.as_ref() == Some(text),
            None => one.device.as_str() == head.device,
        };
        // A key that was revoked does not stand again under another name.
        let found = members.iter().filter(its);
        let found = found.min_by_key(|one| one.stands());
        Ok(found.map(|one| Sender {
            device: one.device.clone(),
            name: one.name.clone(),
            revoked: !one.stands(),
        }))
    }

    /// A file of a revoked device: shown, and not merged.
    fn carried_aside(
        &mut self,
        record: &Id,
        device: &Id,
        name: &str,
        changes: &[Vec<u8>],
    ) -> Result<Meeting, Refusal> {
        let aside = self.set_aside(record, device, AsideBy::Carry, changes)?;
        let said = match (aside.changes, aside.kept) {
            (0, _) => format!("'{name}' was revoked; all that is in this file is here already"),
            (count, true) => format!(
                "'{name}' was revoked: {count} changes of this file were set aside and are in no part of the record"
            ),
            (count, false) => format!(
                "'{name}' was revoked: {count} changes of this file are in no part of the record, and were not set aside either, since as much is set aside as this device keeps"
            ),
        };
        Ok(Meeting {
            from: {
                let (shelf, store) = self.shelf(record);
                let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
                credited(view, device.as_str())
            },
            changes: 0,
            photos: 0,
            points: self.asked(record)?,
            news: vec![said],
            coming: None,
            aside: aside.changes,
            aside_not_kept: !aside.kept,
        })
    }

    /// Room for a carry file that a face is handed, so that it can be taken in as a file. It is gone when this is.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn set_down(&mut self) -> Result<Box<dyn SetDown>, Refusal> {
        let id = self.fresh_id();
        self.store
            .set_down(id.as_str())
            .map_err(|error| cannot("set the carry file down", &error))
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
                    record::shown(&head.car)
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
                        record::shown(&head.car)
                    ),
                )
            })?;
        match named {
            Some(_) if self.which(named)?.id != row.id => Err(other()),
            _ => Ok(row),
        }
    }
}

pub(crate) fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

pub(crate) fn cannot(what: &str, error: &std::io::Error) -> Refusal {
    Refusal::failed("carry_io", format!("could not {what}: {error}"))
}

/// Who wrote a carry file, as the record names them.
struct Sender {
    device: Id,
    name: String,
    revoked: bool,
}

/// The device that a document names by this key, where it stands.
pub(crate) fn standing_by(record: &Record, key: Key) -> Option<Id> {
    let text = key.to_string();
    let members = members(record.view());
    let mut its = members.iter().filter(|one| one.key.as_ref() == Some(&text));
    let first = its.next()?;
    (first.stands() && its.all(Member::stands)).then(|| first.device.clone())
}

/// The refusal of a file that nobody of the record wrote.
pub(crate) fn stranger() -> Refusal {
    Refusal::input(
        "stranger",
        "this carry file was written by a device that this record does not know; nothing was changed",
    )
}

/// Whether a device that the record names wrote any of these.
fn by_member_of(record: &Record, refused: &[Refused]) -> bool {
    let named = |device: &Id| record.view().get(Kind::Device, device).is_some();
    refused.iter().any(|one| one.device.as_ref().is_some_and(named))
}
