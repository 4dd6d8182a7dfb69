//! What to read, write and take away, out of a listing and what is known. Nothing is done here, and the same things give
//! the same plan.

use std::collections::{BTreeMap, BTreeSet};

use super::book::{Book, Own, Short, State, readers, short};
use super::file::AROUND;
use super::listing::{Listing, Lying, mark, members};
use super::names::{Names, Shelf};
use super::{Hash, Held, Lies, Limits, Seen, Standing};

/// What one device sees of a drop.
#[derive(Debug)]
pub struct Sight<'a> {
    /// Public key of this device.
    pub me: &'a Hash,
    /// Names of the record.
    pub names: &'a Names,
    /// What the place listed.
    pub listing: &'a [Seen],
    /// Every device that the record knows a key of.
    pub devices: &'a BTreeMap<Hash, Standing>,
    /// Every change held, each after those it builds on.
    pub held: &'a [Held],
    /// Photos that may be put, with their lengths.
    pub photos: &'a [(Hash, u64)],
    /// Photos that are wanted.
    pub wanted: &'a BTreeSet<Hash>,
    /// Seals of the members.
    pub readers: &'a [String],
    /// The moment, in seconds.
    pub now: i64,
    /// How much is taken and put.
    pub limits: &'a Limits,
}

/// A file to read: its name, and the paths where it may lie, the best first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Read {
    pub(super) name: Hash,
    pub(super) paths: Vec<String>,
    pub(super) mark: String,
    pub(super) device: Hash,
    pub(super) size: u64,
}

/// A photo to fetch, and the files that are said to hold it, the likeliest first: any of them will do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fetch {
    pub(super) files: Vec<(Lies, Read)>,
}

impl Fetch {
    /// Bytes of the photo, as said of the first file.
    fn length(&self) -> u64 {
        self.files.first().map_or(0, |(lies, _)| lies.length)
    }
}

/// A photo to put.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Putting {
    pub(super) hash: Hash,
    pub(super) length: u64,
    /// The file whose place it takes.
    pub(super) replaces: Option<Hash>,
}

/// A batch to write.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Write {
    pub(super) changes: Vec<Held>,
    pub(super) photos: Vec<Lies>,
}

/// What a device does next. Ask it for sizes before it is carried out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Plan {
    pub(super) reads: Vec<Read>,
    pub(super) fetches: Vec<Fetch>,
    pub(super) puts: Vec<Putting>,
    pub(super) writes: Vec<Write>,
    /// Own batches that the writes hold all of.
    pub(super) replaces: Vec<Hash>,
    /// Own photos that no standing batch of this device announces yet.
    pub(super) announce: Vec<Lies>,
    /// Own files to take away: paths.
    pub(super) removals: Vec<String>,
    pub(super) left: u64,
    pub(super) photos_left: usize,
    pub(super) unknown: usize,
    pub(super) foreign: usize,
    pub(super) there: u64,
}

impl Plan {
    /// Whether there is nothing to do.
    pub fn is_idle(&self) -> bool {
        self.reads.is_empty()
            && self.fetches.is_empty()
            && self.puts.is_empty()
            && self.writes.is_empty()
            && self.removals.is_empty()
    }

    /// Batches that are there and were not read, and their bytes as listed.
    pub fn to_read(&self) -> (usize, u64) {
        (self.reads.len(), self.reads.iter().map(|read| read.size).sum())
    }

    /// Photos that would be fetched, and their bytes.
    pub fn to_fetch(&self) -> (usize, u64) {
        let bytes = self.fetches.iter().map(Fetch::length).sum();
        (self.fetches.len(), bytes)
    }

    /// Photos that would be put, and their bytes.
    pub fn to_put(&self) -> (usize, u64) {
        (self.puts.len(), self.puts.iter().map(|put| put.length).sum())
    }

    /// Changes that would be written, and their bytes, at the most: they are packed.
    pub fn to_write(&self) -> (usize, u64) {
        let changes = || self.writes.iter().flat_map(|write| &write.changes);
        (changes().count(), changes().map(|held| held.length + 36).sum())
    }

    /// The devices whose batches there are new, by their keys.
    pub fn news_from(&self) -> BTreeSet<Hash> {
        self.reads.iter().map(|read| read.device).collect()
    }

    /// Bytes of this record's files in the place, as listed.
    pub fn bytes_there(&self) -> u64 {
        self.there
    }
}

/// Plans what one device does with a drop.
pub fn plan(book: &Book, sight: &Sight<'_>) -> Plan {
    planned(
        book,
        sight,
        &Listing::of(sight.names, sight.devices, sight.listing),
    )
}

pub(super) fn planned(book: &Book, sight: &Sight<'_>, listing: &Listing) -> Plan {
    let mut plan = Plan {
        unknown: listing.unknown,
        foreign: listing.foreign,
        there: listing.bytes,
        ..Plan::default()
    };
    let members = members(sight.devices);
    reads(book, sight, listing, &mut plan);
    fetches(book, sight, listing, &members, &mut plan);
    puts(book, sight, listing, &members, &mut plan);
    writes(book, sight, &members, &mut plan);
    removals(book, sight, listing, &mut plan);
    plan
}

fn read_of(name: &Hash, copies: &[Lying]) -> Option<Read> {
    let best = copies.first()?;
    Some(Read {
        name: *name,
        paths: copies.iter().map(|copy| copy.path.clone()).collect(),
        mark: mark(copies),
        device: best.device,
        size: best.size,
    })
}

fn reads(book: &Book, sight: &Sight<'_>, listing: &Listing, plan: &mut Plan) {
    let mut reads: Vec<Read> = listing
        .batches
        .iter()
        .filter_map(|(name, copies)| {
            let read = read_of(name, copies)?;
            let again = match book.batches.get(name).map(|noted| &noted.state) {
                None => true,
                Some(State::Own(_) | State::Taken { .. } | State::Aside | State::Closed) => false,
                Some(State::Waits { held, devices }) => {
                    (*held, *devices) != (sight.held.len() as u64, sight.devices.len() as u64)
                }
                // Places whose marks are too coarse to show that a copy went on: asked again now and then.
                Some(State::Unfinished { mark }) => *mark != read.mark || book.looks.is_multiple_of(8),
                Some(State::Wrong { mark, told }) => *mark != read.mark || !told,
            };
            again.then_some(read)
        })
        .collect();
    // Members before those that were revoked; the largest first, since the others build on it.
    let revoked = |read: &Read| sight.devices.get(&read.device) != Some(&Standing::Member);
    reads.sort_by(|a, b| {
        revoked(a)
            .cmp(&revoked(b))
            .then(b.size.cmp(&a.size))
            .then(a.name.cmp(&b.name))
    });
    let mut room = sight.limits.read;
    for read in reads {
        // One always goes, or a large one would never come.
        if (read.size <= room && plan.reads.len() < sight.limits.files) || plan.reads.is_empty() {
            room = room.saturating_sub(read.size);
            plan.reads.push(read);
        } else {
            plan.left = plan.left.saturating_add(read.size);
        }
    }
}

/// In how many files a photo is looked for at one look.
const TRIED: usize = 8;

/// Where members say that photos lie, in the order of the files' names.
fn announced<'a>(
    book: &'a Book,
    members: &BTreeSet<Hash>,
    with_own: bool,
) -> BTreeMap<Hash, Vec<(&'a Lies, u64)>> {
    let mut announced: BTreeMap<Hash, Vec<(&Lies, u64)>> = BTreeMap::new();
    for noted in book.batches.values() {
        let (photos, look) = match &noted.state {
            State::Taken { by, photos, look, .. } if members.contains(by) => (photos, *look),
            // A device that has lost its photos may find its own.
            State::Own(own) if with_own => (&own.photos, 0),
            _ => continue,
        };
        for lies in photos {
            announced.entry(lies.hash).or_default().push((lies, look));
        }
    }
    for files in announced.values_mut() {
        files.sort_by_key(|(lies, _)| lies.name);
    }
    announced
}

/// Whether any copy of a photo's file is long enough to hold it: what is shorter than the photo is a part, or what was
/// left of a file that went.
fn may_be_whole(listing: &Listing, lies: &Lies) -> bool {
    let copies = listing.photos.get(&lies.name);
    copies.is_some_and(|copies| copies.iter().any(|copy| copy.size >= lies.length))
}

fn fetches(book: &Book, sight: &Sight<'_>, listing: &Listing, members: &BTreeSet<Hash>, plan: &mut Plan) {
    if sight.wanted.is_empty() {
        return;
    }
    let announced = announced(book, members, true);
    let mut room = sight.limits.read;
    for hash in sight.wanted {
        let Some(files) = announced.get(hash) else {
            continue;
        };
        plan.photos_left += 1;
        let sound = |(lies, _): &(&Lies, u64)| {
            let file = read_of(&lies.name, listing.photos.get(&lies.name)?)?;
            let sound = book.wrong_photos.get(&lies.name) != Some(&file.mark)
                && lies.length <= sight.limits.carry.photo;
            sound.then_some((**lies, file))
        };
        let mut files: Vec<(Lies, Read)> = files.iter().filter_map(sound).collect();
        // One of which only a part was left behind must not stand before one that is whole. The others take turns, so that
        // none is passed over for ever.
        let turn = usize::try_from(book.looks).unwrap_or_default();
        let turn = turn.checked_rem(files.len()).unwrap_or_default();
        files.rotate_left(turn);
        files.sort_by_key(|(lies, _)| !may_be_whole(listing, lies));
        files.truncate(TRIED);
        let fetch = Fetch { files };
        let length = fetch.length();
        if !fetch.files.is_empty()
            && ((length <= room && plan.fetches.len() < sight.limits.files) || plan.fetches.is_empty())
        {
            room = room.saturating_sub(length);
            plan.fetches.push(fetch);
        }
    }
}

fn puts(book: &Book, sight: &Sight<'_>, listing: &Listing, members: &BTreeSet<Hash>, plan: &mut Plan) {
    let seals = readers(sight.readers);
    let lag = sight.limits.lag;
    let announced = announced(book, members, false);
    let mut own: BTreeMap<Hash, (Hash, u32)> = BTreeMap::new();
    for (name, put) in &book.put {
        if put.replaced.is_none() && put.seen + lag >= book.looks {
            own.insert(put.hash, (*name, put.readers));
        }
    }
    let mut room = sight.limits.put;
    for (hash, length) in sight.photos {
        let replaces = match own.get(hash) {
            Some((_, number)) if book.opens_for(*number, &seals) => continue,
            Some((name, _)) => Some(*name),
            None => {
                let there = announced.get(hash).is_some_and(|files| {
                    files
                        .iter()
                        .any(|(lies, look)| may_be_whole(listing, lies) || look + lag >= book.looks)
                });
                if there {
                    continue;
                }
                None
            }
        };
        if *length <= room || plan.puts.is_empty() {
            room = room.saturating_sub(*length);
            plan.puts.push(Putting {
                hash: *hash,
                length: *length,
                replaces,
            });
        }
    }
}

fn writes(book: &Book, sight: &Sight<'_>, members: &BTreeSet<Hash>, plan: &mut Plan) {
    let lately = |seen: u64| seen + sight.limits.lag >= book.looks;
    let mut covered: BTreeSet<Short> = BTreeSet::new();
    let mut own: Vec<(&Hash, &Own)> = Vec::new();
    for (name, noted) in &book.batches {
        match &noted.state {
            State::Own(one) if lately(noted.seen) => {
                covered.extend(&one.changes);
                if one.replaced.is_empty() {
                    own.push((name, one));
                }
            }
            State::Taken { by, changes, .. } if lately(noted.seen) && members.contains(by) => {
                covered.extend(changes);
            }
            _ => {}
        }
    }
    let seals = readers(sight.readers);
    let told: BTreeSet<Hash> = own
        .iter()
        .flat_map(|(_, one)| one.photos.iter().map(|lies| lies.name))
        .collect();
    let standing = |(name, put): (&Hash, &super::book::Put)| {
        (put.replaced.is_none() && lately(put.seen)).then_some(Lies {
            hash: put.hash,
            name: *name,
            length: put.length,
        })
    };
    let photos: Vec<Lies> = book.put.iter().filter_map(standing).collect();
    plan.announce = photos
        .iter()
        .filter(|lies| !told.contains(&lies.name))
        .copied()
        .collect();
    let fresh: Vec<Held> = sight
        .held
        .iter()
        .filter(|held| !covered.contains(&short(&held.hash)))
        .copied()
        .collect();
    let stale = own.iter().any(|(_, one)| !book.opens_for(one.readers, &seals));
    let news = !fresh.is_empty() || !plan.announce.is_empty();
    if stale || (own.len() >= sight.limits.batches && news) {
        let mut all: BTreeSet<Short> = fresh.iter().map(|held| short(&held.hash)).collect();
        all.extend(own.iter().flat_map(|(_, one)| &one.changes));
        let all = sight
            .held
            .iter()
            .filter(|held| all.contains(&short(&held.hash)))
            .copied();
        // What they announce and was not put since stays announced.
        let known: BTreeSet<Hash> = photos.iter().map(|lies| lies.hash).collect();
        let mut photos = photos;
        let older = own.iter().flat_map(|(_, one)| &one.photos);
        photos.extend(older.filter(|lies| !known.contains(&lies.hash)));
        photos.sort_by_key(|lies| (lies.hash, lies.name));
        photos.dedup();
        plan.writes = parted(all, photos, sight.limits);
        plan.replaces = own.iter().map(|(name, _)| **name).collect();
    } else if news {
        plan.writes = parted(fresh.into_iter(), plan.announce.clone(), sight.limits);
    }
}

/// Changes in batches of no more than the limit; the photos in the first.
fn parted(changes: impl Iterator<Item = Held>, photos: Vec<Lies>, limits: &Limits) -> Vec<Write> {
    let mut writes = Vec::new();
    let mut under_way = Write {
        changes: Vec::new(),
        photos,
    };
    let mut bytes = 0_u64;
    for held in changes {
        let more = held.length.saturating_add(super::carry::Limits::PER_CHANGE);
        if bytes.saturating_add(more) > limits.batch && !under_way.changes.is_empty() {
            writes.push(std::mem::take(&mut under_way));
            bytes = 0;
        }
        bytes = bytes.saturating_add(more);
        under_way.changes.push(held);
    }
    writes.push(under_way);
    writes
}

fn removals(book: &Book, sight: &Sight<'_>, listing: &Listing, plan: &mut Plan) {
    let aged = |at: i64| sight.now.saturating_sub(at) >= sight.limits.grace;
    let there = |name: &Hash| match book.batches.get(name).map(|noted| (noted, &noted.state)) {
        // Listed whole at this look, at one before, and long since.
        Some((noted, State::Own(own))) => {
            noted.seen == book.looks && own.confirmed >= 2 && own.replaced.is_empty() && aged(own.at)
        }
        _ => false,
    };
    for (name, noted) in &book.batches {
        if let State::Own(own) = &noted.state
            && noted.seen == book.looks
            && !own.replaced.is_empty()
            && own.replaced.iter().all(|by| held(book, by, &there, 0))
        {
            plan.removals
                .push(sight.names.path(sight.me, Shelf::Batches, name));
        }
    }
    let standing: BTreeSet<Hash> = book
        .put
        .values()
        .filter(|put| put.replaced.is_none() && put.seen == book.looks)
        .map(|put| put.hash)
        .collect();
    for (name, put) in &book.put {
        if put.replaced.is_some_and(aged) && standing.contains(&put.hash) && put.seen == book.looks {
            plan.removals
                .push(sight.names.path(sight.me, Shelf::Photos, name));
        }
    }
    // Photos of which a batch of this device speaks, and of which it has put no other file.
    let kept: BTreeSet<Hash> = book
        .batches
        .values()
        .filter_map(|noted| match &noted.state {
            State::Own(own) => Some(&own.photos),
            _ => None,
        })
        .flatten()
        .filter(|lies| !standing.contains(&lies.hash))
        .map(|lies| lies.name)
        .collect();
    for (name, first) in &book.stray {
        let mine = listing
            .photos
            .get(name)
            .is_some_and(|copies| copies.iter().any(|copy| copy.clean && copy.device == *sight.me));
        if mine && aged(*first) && !kept.contains(name) {
            plan.removals
                .push(sight.names.path(sight.me, Shelf::Photos, name));
        }
    }
}

/// Whether all that was in a batch is there: in itself, or in those that took its place.
fn held(book: &Book, name: &Hash, there: &impl Fn(&Hash) -> bool, depth: u8) -> bool {
    if there(name) {
        return true;
    }
    match book.batches.get(name).map(|noted| &noted.state) {
        Some(State::Own(own)) if depth < u8::MAX => {
            !own.replaced.is_empty() && own.replaced.iter().all(|by| held(book, by, there, depth + 1))
        }
        _ => false,
    }
}

/// At most how long a file that holds so much is.
pub(super) fn file_limit(content: u64) -> u64 {
    content.saturating_add(content / 1_024).saturating_add(AROUND)
}
