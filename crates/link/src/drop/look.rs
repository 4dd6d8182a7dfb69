//! One look at a drop: list, read, fetch, put, write, tidy up, as planned. It never writes before it has read what is
//! there, and never removes what it did not plan to.

use std::collections::{BTreeMap, BTreeSet};

use super::book::{Book, Noted, State};
use super::file::Copy;
use super::listing::Listing;
use super::plan::{Plan, Sight, planned};
use super::{
    Batch, DropError, DropLimits, Hash, HeldChange, Lies, MemberStanding, Names, Place, Seen, Shelf, Side,
    Told,
};
use crate::carry::{self, Head};
use crate::seal::{OpeningKey, SigningKey, Spool, is_seal};

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
    /// Seals of the standing members; this device's own is added where it is missing. What is no seal is passed over: its
    /// device can open nothing until it is paired again.
    pub readers: &'a [String],
    /// The first page of its batches; the record's id and the counts are put right. Nothing else of it must be set.
    pub head: &'a Head,
    /// How much is taken and put.
    pub limits: &'a DropLimits,
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
    let mut looking = Looking::new(side, mine, now);
    looking.list(place)?;
    let listing = looking.listing();
    book.begin(&listing, &looking.me, now, looking.cut);
    book.knows(&looking.readers);
    let mut told = Told {
        too_long: looking.too_long,
        ..Told::default()
    };
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

/// What the next look would do, for its sizes and whose news there are. Nothing is read but the listing, nothing is
/// written, and the book stays as it is. What new batches would bring, and would then be written, is not known yet.
///
/// # Errors
/// Where the place cannot be listed.
pub fn ahead(
    place: &mut dyn Place,
    book: &Book,
    side: &mut dyn Side,
    mine: &Mine<'_>,
    now: i64,
) -> Result<Plan, DropError> {
    let mut looking = Looking::new(side, mine, now);
    looking.list(place)?;
    let mut book = book.clone();
    book.begin(&looking.listing(), &looking.me, now, looking.cut);
    book.knows(&looking.readers);
    Ok(looking.plan(&book))
}

/// This device while it looks.
pub(super) struct Looking<'a> {
    pub(super) mine: &'a Mine<'a>,
    pub(super) me: Hash,
    pub(super) readers: Vec<String>,
    pub(super) seen: Vec<Seen>,
    /// Whether there are more files than are ever listed.
    pub(super) too_long: bool,
    /// Whether not even the folders of this record's devices could be listed wholly.
    pub(super) cut: bool,
    pub(super) devices: BTreeMap<Hash, MemberStanding>,
    pub(super) held: Vec<HeldChange>,
    pub(super) photos: Vec<(Hash, u64)>,
    pub(super) wanted: BTreeSet<Hash>,
    /// Batches of members that wait, as long as they are few enough to be held.
    pub(super) waiting: Vec<Waiting>,
    pub(super) now: i64,
}

/// A batch that was read, and may wait for another.
pub(super) struct Waiting {
    pub(super) name: Hash,
    pub(super) by: Hash,
    pub(super) size: u64,
    pub(super) batch: Batch,
    pub(super) photos: Vec<Lies>,
}

impl Waiting {
    /// What it costs to hold it.
    pub(super) fn bytes(&self) -> u64 {
        let each = self.batch.changes.iter();
        each.map(|bytes| bytes.len() as u64 + carry::Limits::PER_CHANGE)
            .sum()
    }
}

/// Whom this device writes for. One member's bad seal must not keep all others from writing.
fn with_own(mine: &Mine<'_>, seals: &[String]) -> Vec<String> {
    let own = mine.open.seal();
    let mut readers: Vec<String> = seals.iter().filter(|seal| is_seal(seal)).cloned().collect();
    if !readers.contains(&own) {
        readers.push(own);
    }
    readers
}

impl<'a> Looking<'a> {
    fn new(side: &mut dyn Side, mine: &'a Mine<'a>, now: i64) -> Self {
        let mut looking = Looking {
            mine,
            me: mine.sign.public(),
            readers: with_own(mine, mine.readers),
            seen: Vec::new(),
            too_long: false,
            cut: false,
            devices: BTreeMap::new(),
            held: Vec::new(),
            photos: side.photos(),
            wanted: BTreeSet::new(),
            waiting: Vec::new(),
            now,
        };
        looking.again(side);
        looking
    }

    /// What may be otherwise once something was taken.
    fn again(&mut self, side: &mut dyn Side) {
        self.devices = side.devices().into_iter().collect();
        self.devices.entry(self.me).or_insert(MemberStanding::Member);
        self.held = side.held();
        // What was taken may name photos.
        self.wanted = side.wanted();
    }

    /// Asks the place what lies there.
    fn list(&mut self, place: &mut dyn Place) -> Result<(), DropError> {
        let names = self.mine.names;
        let known: Vec<String> = self
            .devices
            .keys()
            .flat_map(|device| [Shelf::Batches, Shelf::Photos].map(|shelf| names.folder(device, shelf)))
            .collect();
        let listed = place.list_known(&names.record(), &known)?;
        self.seen = listed.files;
        self.too_long = listed.too_long;
        self.cut = listed.cut;
        Ok(())
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
        let mut plan = planned(book, &sight, &self.listing());
        if self.cut {
            // What lies elsewhere too was not seen there at this look.
            plan.removals.clear();
        }
        plan
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
        let mut failed = 0;
        // As long as something is taken, what waited for it is offered again.
        loop {
            let held = self.held.len() as u64;
            told.bytes_left = plan.left;
            for read in &plan.reads {
                if tried.insert((read.name, held)) {
                    let done = self.read(place, book, side, spools, told, read);
                    passed_over(done, told, &mut failed)?;
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
            let mut unfinished = 0;
            for file in &fetch.files {
                match self.fetch(place, book, side, spools, told, file) {
                    Ok(Copy::Whole) => {
                        unfinished = 0;
                        break;
                    }
                    Ok(Copy::Unfinished) => unfinished += 1,
                    Ok(Copy::Wrong) => {}
                    Err(error) => passed_over(Err(error), told, &mut failed)?,
                }
            }
            told.unfinished += unfinished;
        }
        told.photos_left = plan.photos_left.saturating_sub(told.photos_fetched);
        self.photos = side.photos();
        self.wanted = side.wanted();
        if let Some(seals) = side.readers() {
            self.readers = with_own(self.mine, &seals);
            book.knows(&self.readers);
        }
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
}

/// How many files of a place may fail to be read before it counts as gone.
const FAILURES: usize = 3;

/// A file that the place does not give must not stand in the way of the others; a place that gives none is left alone.
fn passed_over(done: Result<(), DropError>, told: &mut Told, failed: &mut usize) -> Result<(), DropError> {
    match done {
        Err(error @ DropError::Place(_)) if *failed + 1 < FAILURES => {
            *failed += 1;
            told.stopped = Some(error);
            Ok(())
        }
        other => other,
    }
}
