//! What comes in at a look: batches are read, opened and offered, photos are fetched. It never stops at a file that is at
//! fault, and never hands on anything of one.

use std::collections::BTreeSet;
use std::io::{Read as _, SeekFrom};

use super::batch;
use super::book::{Book, Noted, Own, State, short};
use super::file::{self, Copy};
use super::look::{Looking, Spools, Waiting};
use super::plan::{Read, file_limit};
use super::{Batch, DropError, DropFault, Hash, Lies, MemberStanding, Place, Side, Told, Took};
use crate::seal::{self, Opener, SealError, SealKind, Spool};

impl Looking<'_> {
    /// Brings the first sound copy of a file into the spool of sealed files.
    fn bring<S: Spool>(
        place: &mut dyn Place,
        spools: &mut Spools<S>,
        told: &mut Told,
        read: &Read,
        limit: u64,
    ) -> Result<Copy, DropError> {
        let mut found = Copy::Wrong;
        for path in read.paths.iter().take(8) {
            match file::read(place, path, &read.name, limit, &mut spools.sealed)? {
                Copy::Whole => {
                    told.bytes_read = told.bytes_read.saturating_add(read.size);
                    return Ok(Copy::Whole);
                }
                Copy::Unfinished => found = Copy::Unfinished,
                Copy::Wrong => {}
            }
        }
        Ok(found)
    }

    pub(super) fn read<S: Spool>(
        &mut self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        spools: &mut Spools<S>,
        told: &mut Told,
        read: &Read,
    ) -> Result<(), DropError> {
        let before = book.batches.get(&read.name).map(|noted| noted.state.clone());
        let limits = &self.mine.limits.carry;
        let content = limits
            .changes
            .saturating_add(limits.head)
            .saturating_add(limits.photo_count.saturating_mul(72));
        let fault = |what| DropFault {
            device: Some(read.device),
            what,
        };
        let state = match Self::bring(place, spools, told, read, file_limit(content)) {
            Ok(Copy::Whole) => match self.opened(book, side, spools, told, read, content) {
                Ok(state) => state,
                Err(error @ DropError::Room(_)) => return Err(error),
                Err(DropError::Stranger) => self.waits(),
                Err(DropError::Seal(SealError::NotForMe)) => {
                    told.not_for_me += 1;
                    State::Closed
                }
                Err(what) => {
                    told.faults.push(fault(what));
                    State::Closed
                }
            },
            Ok(Copy::Unfinished) => {
                told.unfinished += 1;
                State::Unfinished {
                    mark: read.mark.clone(),
                }
            }
            Ok(Copy::Wrong) => match before {
                // Not told before it was found so twice: a copy may be laid out before it is filled.
                Some(State::Wrong { mark, told: false }) if mark == read.mark => {
                    told.faults.push(fault(DropError::Wrong));
                    State::Wrong { mark, told: true }
                }
                Some(State::Wrong { told: true, .. }) => State::Wrong {
                    mark: read.mark.clone(),
                    told: true,
                },
                _ => State::Wrong {
                    mark: read.mark.clone(),
                    told: false,
                },
            },
            Err(what @ DropError::TooLarge { .. }) => {
                told.faults.push(fault(what));
                State::Closed
            }
            Err(error) => return Err(error),
        };
        let seen = book.looks;
        book.batches.insert(read.name, Noted { seen, state });
        Ok(())
    }

    fn waits(&self) -> State {
        State::Waits {
            held: self.held.len() as u64,
            devices: self.devices.len() as u64,
        }
    }

    /// Opens the file in the spool and offers what is in it.
    fn opened<S: Spool>(
        &mut self,
        book: &mut Book,
        side: &mut dyn Side,
        spools: &mut Spools<S>,
        told: &mut Told,
        read: &Read,
        content: u64,
    ) -> Result<State, DropError> {
        let limits = &self.mine.limits.carry;
        let opened = self.unsealed(spools, SealKind::Batch, content)?;
        let by = opened.sender;
        let standing = self.devices.get(&by).ok_or(DropError::Stranger)?;
        let aside = *standing == MemberStanding::Revoked;
        let inside = batch::read(&mut spools.open, limits)?;
        self.waiting.retain(|waiting| waiting.name != read.name);
        let batch = Batch {
            from: vec![(by, inside.head)],
            aside,
            hashes: inside.hashes,
            changes: inside.changes,
            marks: inside.marks,
        };
        // One that only says where photos lie has nothing to take.
        let took = if batch.changes.is_empty() && !aside {
            Took::All
        } else {
            side.take(&batch)
        };
        let read = Waiting {
            name: read.name,
            by,
            size: read.size,
            batch,
            photos: inside.photos,
        };
        Ok(match took {
            Took::Waits => {
                let bytes = read.bytes() + self.waiting.iter().map(Waiting::bytes).sum::<u64>();
                if !aside && bytes <= limits.changes {
                    self.waiting.push(read);
                }
                self.waits()
            }
            Took::Refused(why) => return Err(DropError::Refused(why)),
            Took::All if aside => {
                told.aside.push(by);
                State::Aside
            }
            Took::All => self.taken(book, side, told, &read),
        })
    }

    /// What is noted of a batch that was taken.
    fn taken(&self, book: &mut Book, side: &mut dyn Side, told: &mut Told, read: &Waiting) -> State {
        let changes: Vec<_> = read.batch.hashes.iter().map(short).collect();
        // What it brought may name members that it knew itself.
        let heads = read.batch.from.iter();
        let mut knew = heads.map(|(_, head)| side.knew_all(head, &read.batch.hashes));
        if !knew.all(|knew| knew) {
            book.reaches_some(read.name);
        }
        if read.by == self.me {
            return State::Own(Own {
                changes,
                photos: read.photos.clone(),
                // Who could open it is not known any more: it is written anew.
                readers: u32::MAX,
                size: read.size,
                at: self.now,
                replaced: Vec::new(),
                confirmed: 0,
            });
        }
        told.batches += 1;
        told.changes += changes.len();
        State::Taken {
            by: read.by,
            changes,
            photos: read.photos.clone(),
            look: book.looks,
        }
    }

    /// Offers all that waits as one: written anew, batches of several devices can each build on another, so that none of
    /// them can be taken alone. Where that is not taken, each device's are left out once: one batch that waits for ever
    /// must not keep all others waiting.
    pub(super) fn together(&mut self, book: &mut Book, side: &mut dyn Side, told: &mut Told) {
        let parts = std::mem::take(&mut self.waiting);
        if parts.len() < 2 {
            return;
        }
        let writers: BTreeSet<Hash> = parts.iter().map(|part| part.by).collect();
        let tries = std::iter::once(None).chain(writers.iter().map(Some));
        for left_out in tries {
            let offered: Vec<&Waiting> = parts.iter().filter(|part| left_out != Some(&part.by)).collect();
            let mut all = Batch {
                from: Vec::new(),
                aside: false,
                hashes: Vec::new(),
                changes: Vec::new(),
                marks: Vec::new(),
            };
            for part in &offered {
                all.from.extend(part.batch.from.iter().cloned());
                all.hashes.extend(&part.batch.hashes);
                all.changes.extend(part.batch.changes.iter().cloned());
                all.marks.extend(part.batch.marks.iter().cloned());
            }
            // A refusal does not say whose fault it is: they go on waiting, and each is refused by itself once it no
            // longer does.
            if offered.is_empty() || side.take(&all) != Took::All {
                continue;
            }
            for part in offered {
                let state = self.taken(book, side, told, part);
                if let Some(noted) = book.batches.get_mut(&part.name) {
                    noted.state = state;
                }
            }
            return;
        }
    }

    fn unsealed<S: Spool>(
        &self,
        spools: &mut Spools<S>,
        kind: SealKind,
        limit: u64,
    ) -> Result<seal::Opened, DropError> {
        spools.sealed.seek(SeekFrom::Start(0))?;
        let opener = Opener::Device(self.mine.open);
        let record = Some(self.mine.record);
        let opened = seal::open(&mut spools.sealed, &opener, kind, record, limit, &mut spools.open);
        opened.map_err(|error| match error {
            SealError::Io(error) => DropError::Room(error),
            // The name of the file is right, so these are its writer's doing.
            SealError::CutShort => SealError::Malformed.into(),
            other => other.into(),
        })
    }

    /// Fetches a photo out of one of the files that are said to hold it; it is kept where that was whole.
    pub(super) fn fetch<S: Spool>(
        &self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        spools: &mut Spools<S>,
        told: &mut Told,
        (lies, file): &(Lies, Read),
    ) -> Result<Copy, DropError> {
        let limit = self.mine.limits.carry.photo;
        let got = match Self::bring(place, spools, told, file, file_limit(limit)) {
            Ok(Copy::Whole) => self.unsealed(spools, SealKind::Photo, limit).and_then(|opened| {
                if opened.digest == lies.hash && opened.length == lies.length {
                    Ok(())
                } else {
                    Err(DropError::WrongPhoto)
                }
            }),
            Ok(Copy::Unfinished) => return Ok(Copy::Unfinished),
            Ok(Copy::Wrong) => Err(DropError::Wrong),
            Err(error) => Err(error),
        };
        match got {
            Ok(()) => {
                side.keep(&lies.hash, lies.length, &mut (&mut spools.open).take(lies.length))?;
                told.photos_fetched += 1;
                Ok(Copy::Whole)
            }
            Err(error @ (DropError::Room(_) | DropError::Place(_))) => Err(error),
            Err(what) => {
                book.wrong_photos.insert(lies.name, file.mark.clone());
                if matches!(what, DropError::Seal(SealError::NotForMe)) {
                    told.not_for_me += 1;
                } else {
                    told.faults.push(DropFault {
                        device: Some(file.device),
                        what,
                    });
                }
                Ok(Copy::Wrong)
            }
        }
    }
}
