//! One look at a drop: list, read, fetch, put, write, tidy up, as planned. It never stops at a file that is at fault, and
//! never hands on anything of one.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Read as _, SeekFrom};

use super::book::{Book, Noted, Own, Put, State, short};
use super::file::{self, AROUND, Copy};
use super::listing::Listing;
use super::plan::{Fetch, Plan, Putting, Read, Sight, Write, file_limit, planned};
use super::{
    Batch, DropError, Fault, Hash, Held, Lies, Limits, Names, Place, Seen, Shelf, Side, Standing, Told, Took,
    batch,
};
use crate::carry::{self, Head};
use crate::seal::{self, Kind, Opener, OpeningKey, SealError, SigningKey, Spool};

/// This device, and the record that it meets over.
pub struct Mine<'a> {
    /// The record's id.
    pub record: &'a str,
    /// The names of its drop.
    pub names: &'a Names,
    /// What this device signs with.
    pub sign: &'a SigningKey,
    /// What it opens with.
    pub open: &'a OpeningKey,
    /// Seals of the standing members; this device's own is added where it is missing.
    pub readers: &'a [String],
    /// The first page of its batches; the record's id and the counts are put right. Nothing else of it must be set.
    pub head: &'a Head,
    /// How much is taken and put.
    pub limits: &'a Limits,
}

/// Room on this device for one file as it lies and one as it is opened. Both are emptied before and after.
pub struct Spools<S> {
    /// For the file as it lies.
    pub sealed: S,
    /// For what is in it.
    pub open: S,
}

/// Looks at the drop once, does what is to do and tells what happened. `now` is in seconds. Keep the book afterwards,
/// whatever comes back.
///
/// # Errors
/// Where the place cannot be listed, a spool fails or this device's own key is none. What is wrong with single files is
/// told; where a call to the place fails later, the rest is left for the next look, and told as [`Told::stopped`].
pub fn look<S: Spool>(
    place: &mut dyn Place,
    book: &mut Book,
    side: &mut dyn Side,
    mine: &Mine<'_>,
    spools: &mut Spools<S>,
    now: i64,
) -> Result<Told, DropError> {
    let seen = place.list(&mine.names.record())?;
    let mut looking = Looking::new(side, mine, seen, now);
    let listing = looking.listing();
    book.begin(&listing, &looking.me, now);
    let mut told = Told::default();
    let done = looking.all(place, book, side, spools, &mut told);
    spools.sealed.empty()?;
    spools.open.empty()?;
    let waits = |noted: &&Noted| matches!(noted.state, State::Waits { .. }) && noted.seen == book.looks;
    told.waiting = book.batches.values().filter(waits).count() + looking.listing().unknown;
    match done {
        Ok(()) => {}
        Err(error @ (DropError::Place(_) | DropError::Gone)) => told.stopped = Some(error),
        Err(error) => return Err(error),
    }
    Ok(told)
}

struct Looking<'a> {
    mine: &'a Mine<'a>,
    me: Hash,
    readers: Vec<String>,
    seen: Vec<Seen>,
    devices: BTreeMap<Hash, Standing>,
    held: Vec<Held>,
    photos: Vec<(Hash, u64)>,
    wanted: BTreeSet<Hash>,
    /// Batches of members that wait, as long as they are few enough to be held.
    waiting: Vec<Waiting>,
    now: i64,
}

/// A batch that was read, and may wait for another.
struct Waiting {
    name: Hash,
    by: Hash,
    size: u64,
    batch: Batch,
    photos: Vec<Lies>,
}

impl Waiting {
    /// What it costs to hold it.
    fn bytes(&self) -> u64 {
        let each = self.batch.changes.iter();
        each.map(|bytes| bytes.len() as u64 + carry::Limits::PER_CHANGE)
            .sum()
    }
}

impl<'a> Looking<'a> {
    fn new(side: &mut dyn Side, mine: &'a Mine<'a>, seen: Vec<Seen>, now: i64) -> Self {
        let me = mine.sign.public();
        let own = mine.open.seal();
        let mut readers = mine.readers.to_vec();
        if !readers.contains(&own) {
            readers.push(own);
        }
        let mut looking = Looking {
            mine,
            me,
            readers,
            seen,
            devices: BTreeMap::new(),
            held: Vec::new(),
            photos: side.photos(),
            wanted: side.wanted(),
            waiting: Vec::new(),
            now,
        };
        looking.again(side);
        looking
    }

    /// What may be otherwise once something was taken.
    fn again(&mut self, side: &mut dyn Side) {
        self.devices = side.devices().into_iter().collect();
        self.devices.entry(self.me).or_insert(Standing::Member);
        self.held = side.held();
    }

    fn listing(&self) -> Listing {
        Listing::of(self.mine.names, &self.devices, &self.seen)
    }

    fn plan(&self, book: &Book) -> Plan {
        let sight = Sight {
            me: &self.me,
            names: self.mine.names,
            listing: &self.seen,
            devices: &self.devices,
            held: &self.held,
            photos: &self.photos,
            wanted: &self.wanted,
            readers: &self.readers,
            now: self.now,
            limits: self.mine.limits,
        };
        planned(book, &sight, &self.listing())
    }

    fn all<S: Spool>(
        &mut self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        spools: &mut Spools<S>,
        told: &mut Told,
    ) -> Result<(), DropError> {
        let first = self.plan(book);
        (told.foreign, told.bytes_there) = (first.foreign, first.there);
        let mut plan = first;
        let mut tried: BTreeSet<(Hash, u64)> = BTreeSet::new();
        // As long as something is taken, what waited for it is offered again.
        loop {
            let held = self.held.len() as u64;
            told.bytes_left = plan.left;
            for read in &plan.reads {
                if tried.insert((read.name, held)) {
                    self.read(place, book, side, spools, told, read)?;
                }
            }
            self.again(side);
            if self.held.len() as u64 == held {
                self.together(book, side, told);
                self.again(side);
            }
            plan = self.plan(book);
            if self.held.len() as u64 == held {
                break;
            }
        }
        self.waiting.clear();
        for fetch in &plan.fetches {
            self.fetch(place, book, side, spools, told, fetch)?;
        }
        told.photos_left = plan.photos_left.saturating_sub(told.photos_fetched);
        self.photos = side.photos();
        self.wanted = side.wanted();
        for putting in &self.plan(book).puts {
            self.put(place, book, side, told, putting)?;
        }
        let plan = self.plan(book);
        let mut written = Vec::new();
        for write in &plan.writes {
            written.push(self.write(place, book, side, told, write)?);
        }
        for name in &plan.replaces {
            if let Some(Noted {
                state: State::Own(own),
                ..
            }) = book.batches.get_mut(name)
            {
                own.replaced.clone_from(&written);
            }
        }
        for path in &plan.removals {
            place.remove(path)?;
            told.removed += 1;
        }
        Ok(())
    }

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

    fn read<S: Spool>(
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
        let fault = |what| Fault {
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
        let opened = self.unsealed(spools, Kind::Batch, content)?;
        let by = opened.sender;
        let standing = self.devices.get(&by).ok_or(DropError::Stranger)?;
        let aside = *standing == Standing::Revoked;
        let inside = batch::read(&mut spools.open, limits)?;
        self.waiting.retain(|waiting| waiting.name != read.name);
        let batch = Batch {
            from: vec![(by, inside.head)],
            aside,
            hashes: inside.hashes,
            changes: inside.changes,
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
            Took::All => self.taken(told, &read.batch.hashes, &read, book.looks),
        })
    }

    /// What is noted of a batch that was taken.
    fn taken(&self, told: &mut Told, hashes: &[Hash], read: &Waiting, look: u64) -> State {
        let changes: Vec<_> = hashes.iter().map(short).collect();
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
            look,
        }
    }

    /// Offers all that waits as one: written anew, batches of several devices can each build on another, so that none of
    /// them can be taken alone.
    fn together(&mut self, book: &mut Book, side: &mut dyn Side, told: &mut Told) {
        if self.waiting.len() < 2 {
            return;
        }
        let mut all = Batch {
            from: Vec::new(),
            aside: false,
            hashes: Vec::new(),
            changes: Vec::new(),
        };
        let mut parts = std::mem::take(&mut self.waiting);
        let mut ends = Vec::new();
        for part in &mut parts {
            all.from.append(&mut part.batch.from);
            all.hashes.append(&mut part.batch.hashes);
            all.changes.append(&mut part.batch.changes);
            ends.push(all.hashes.len());
        }
        // A refusal does not say whose fault it is: they go on waiting, and each is refused by itself once it no longer
        // does.
        if side.take(&all) != Took::All {
            return;
        }
        let mut begin = 0;
        for (part, end) in parts.iter().zip(ends) {
            let hashes = all.hashes.get(begin..end).unwrap_or_default();
            begin = end;
            let state = self.taken(told, hashes, part, book.looks);
            if let Some(noted) = book.batches.get_mut(&part.name) {
                noted.state = state;
            }
        }
    }

    fn unsealed<S: Spool>(
        &self,
        spools: &mut Spools<S>,
        kind: Kind,
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

    fn fetch<S: Spool>(
        &self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        spools: &mut Spools<S>,
        told: &mut Told,
        fetch: &Fetch,
    ) -> Result<(), DropError> {
        let (lies, limit) = (&fetch.lies, self.mine.limits.carry.photo);
        let got = match Self::bring(place, spools, told, &fetch.file, file_limit(limit)) {
            Ok(Copy::Whole) => self.unsealed(spools, Kind::Photo, limit).and_then(|opened| {
                if opened.digest == lies.hash && opened.length == lies.length {
                    Ok(())
                } else {
                    Err(DropError::WrongPhoto)
                }
            }),
            Ok(Copy::Unfinished) => {
                told.unfinished += 1;
                return Ok(());
            }
            Ok(Copy::Wrong) => Err(DropError::Wrong),
            Err(error) => Err(error),
        };
        match got {
            Ok(()) => {
                side.keep(&lies.hash, lies.length, &mut (&mut spools.open).take(lies.length))?;
                told.photos_fetched += 1;
                Ok(())
            }
            Err(error @ (DropError::Room(_) | DropError::Place(_))) => Err(error),
            Err(what) => {
                book.wrong_photos.insert(lies.name, fetch.file.mark.clone());
                if matches!(what, DropError::Seal(SealError::NotForMe)) {
                    told.not_for_me += 1;
                } else {
                    told.faults.push(Fault {
                        device: Some(fetch.file.device),
                        what,
                    });
                }
                Ok(())
            }
        }
    }

    fn put(
        &self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        told: &mut Told,
        putting: &Putting,
    ) -> Result<(), DropError> {
        let Putting {
            hash,
            length,
            replaces,
        } = putting;
        let mut from = side.photo(hash)?.take(length.saturating_add(1));
        let mut hasher = blake3::Hasher::new();
        let (name, bytes) = file::made(
            self.mine.sign,
            self.mine.record,
            Kind::Photo,
            &self.readers,
            *length,
            |sealing| {
                let mut both = Both {
                    hasher: &mut hasher,
                    out: sealing,
                };
                io::copy(&mut from, &mut both)?;
                Ok(())
            },
        )?;
        if hasher.finalize().as_bytes() != hash || hasher.count() != *length {
            told.faults.push(Fault {
                device: Some(self.me),
                what: DropError::WrongPhoto,
            });
            return Ok(());
        }
        let size = bytes.len() as u64;
        place.write(&self.mine.names.path(&self.me, Shelf::Photos, &name), bytes)?;
        let readers = book.readers(&self.readers);
        if let Some(old) = replaces.and_then(|old| book.put.get_mut(&old)) {
            old.replaced = Some(self.now);
        }
        book.put.insert(
            name,
            Put {
                hash: *hash,
                length: *length,
                readers,
                size,
                seen: book.looks,
                replaced: None,
            },
        );
        told.written += 1;
        told.photos_put += 1;
        told.bytes_written = told.bytes_written.saturating_add(size);
        Ok(())
    }

    fn write(
        &self,
        place: &mut dyn Place,
        book: &mut Book,
        side: &mut dyn Side,
        told: &mut Told,
        write: &Write,
    ) -> Result<Hash, DropError> {
        let mut changes = Vec::with_capacity(write.changes.len());
        for held in &write.changes {
            changes.push((held.hash, side.change(&held.hash)?));
        }
        let each = write.changes.iter().map(|held| held.length + 36);
        let content = each.sum::<u64>() + write.photos.len() as u64 * 72 + 8 * 1_024;
        let head = Head {
            record: self.mine.record.to_owned(),
            ..self.mine.head.clone()
        };
        let (name, bytes) = file::made(
            self.mine.sign,
            self.mine.record,
            Kind::Batch,
            &self.readers,
            content,
            |sealing| {
                let limits = &self.mine.limits.carry;
                batch::write(sealing, &head, limits, &write.photos, &changes).map(drop)
            },
        )?;
        let size = bytes.len() as u64;
        place.write(&self.mine.names.path(&self.me, Shelf::Batches, &name), bytes)?;
        let own = Own {
            changes: changes.iter().map(|(hash, _)| short(hash)).collect(),
            photos: write.photos.clone(),
            readers: book.readers(&self.readers),
            size,
            at: self.now,
            replaced: Vec::new(),
            confirmed: 0,
        };
        let seen = book.looks;
        let state = State::Own(own);
        book.batches.insert(name, Noted { seen, state });
        told.written += 1;
        told.bytes_written = told.bytes_written.saturating_add(size);
        Ok(name)
    }
}

/// Hashes what is written on.
struct Both<'a, W> {
    hasher: &'a mut blake3::Hasher,
    out: W,
}

impl<W: io::Write> io::Write for Both<'_, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.out.write(bytes)?;
        self.hasher.update(bytes.get(..taken).unwrap_or_default());
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

const _: () = assert!(AROUND > 64 * 1024);
