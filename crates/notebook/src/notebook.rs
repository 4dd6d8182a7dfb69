//! The one writer of a data folder: what it has at hand, and what it reads. Everything that changes a record comes through `write` or
//! `take_in`, and is on the disk when they answer; no record is changed in this file.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use data_encoding::HEXLOWER;
use record::rules::Point;
use record::{Id, Moment, Record, Seat, View};
use store::{Choices, PointRow, RecordRow, Store, ThisDevice};

use crate::background::{LooksAtDrops, Meets, NoPlaces, Places};
use crate::behind::Behind;
use crate::long::Works;
use crate::opened::Opened;
use crate::page::Reader;
use crate::refusal::Refusal;
use crate::shelf::{MOST, Shelf};
use crate::source::{Fresh, Source};
use crate::stands::Photos;
use crate::wire::{FolderDoubt, Patch};

type Watcher = Box<dyn Fn(&Patch) -> bool + Send>;

/// The program without a face, over one data folder.
pub struct Notebook {
    pub(crate) store: Store,
    pub(crate) source: Box<dyn Source>,
    /// Eight random bytes of this run of the program.
    run: [u8; 8],
    /// Why the keeper has yet to say which device this is.
    pub(crate) doubt: Option<FolderDoubt>,
    pub(crate) opened: BTreeMap<Id, Opened>,
    pub(crate) shelves: BTreeMap<Id, Shelf>,
    /// The points to settle as the read tables have them, once they were read.
    pub(crate) to_settle: BTreeMap<Id, Arc<[Point]>>,
    watchers: Vec<Watcher>,
    /// What another version left that is not made anew yet.
    pub(crate) behind: Behind,
    /// Why it could not be.
    pub(crate) why_old: BTreeMap<Id, String>,
    /// The long work that goes on.
    pub(crate) works: Works,
    /// Before which change no snapshot is tried again, where one could not be made.
    pub(crate) put_off: BTreeMap<Id, u32>,
    /// This device's secrets, once something was signed.
    pub(crate) signing: Option<link::identity::Identity>,
    /// Whether the face says that the connection is paid by what it carries.
    pub(crate) metered: bool,
    /// Who looks after meetings, while somebody does.
    pub(crate) live: Option<Arc<dyn Meets<Notebook>>>,
    /// Who looks at drops, while somebody does.
    pub(crate) drops: Option<Arc<dyn LooksAtDrops>>,
    /// The places that the machine lends.
    pub(crate) places: Box<dyn Places>,
}

impl fmt::Debug for Notebook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Notebook")
            .field("store", &self.store)
            .finish_non_exhaustive()
    }
}

impl Notebook {
    /// The notebook over a store, as it is: nothing is looked at and nothing mended.
    pub(crate) fn of(store: Store, source: Box<dyn Source>, run: [u8; 8]) -> Self {
        Self {
            store,
            source,
            run,
            doubt: None,
            opened: BTreeMap::new(),
            shelves: BTreeMap::new(),
            to_settle: BTreeMap::new(),
            watchers: Vec::new(),
            behind: Behind::Never,
            why_old: BTreeMap::new(),
            works: Works::default(),
            signing: None,
            metered: false,
            put_off: BTreeMap::new(),
            live: None,
            drops: None,
            places: Box::new(NoPlaces),
        }
    }

    /// The random bytes of this run of the program.
    pub(crate) fn run(&self) -> [u8; 8] {
        self.run
    }

    /// Calls `watcher` with every patch from now on, until it answers `false`.
    pub fn watch(&mut self, watcher: impl Fn(&Patch) -> bool + Send + 'static) {
        self.watchers.push(Box::new(watcher));
    }

    /// The version of a newer program's folder, which is only read here.
    #[must_use]
    pub fn newer(&self) -> Option<u32> {
        self.store.newer()
    }

    /// Now, by the clock it was given.
    pub fn now(&mut self) -> Moment {
        self.source.now()
    }

    /// Since when a device is here to meet about a record; nothing where it is not.
    pub(crate) fn here_since(&self, record: &Id, device: &Id) -> Option<Moment> {
        self.live.as_ref()?.since(record, device)
    }

    /// Sixteen bytes that nobody can guess.
    pub fn random(&mut self) -> [u8; 16] {
        self.source.random()
    }

    /// What is kept, to read from.
    #[must_use]
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// The document of a record, to read from.
    ///
    /// # Errors
    /// Where it cannot be opened.
    pub fn document_of(&mut self, record: &Id) -> Result<&Record, Refusal> {
        Ok(&self.document(record)?.record)
    }

    pub(crate) fn fresh_id(&mut self) -> Id {
        let now = self.now();
        use record::Ids as _;
        Id::from_uuid(
            Fresh {
                source: self.source.as_mut(),
                now,
            }
            .fresh(),
        )
    }

    /// The device of this folder; made when the first record is begun or joined.
    pub fn device(&self) -> Result<ThisDevice, Refusal> {
        let none = || {
            Refusal::input(
                "no_record",
                "this folder keeps no car yet: start one, or join one from a carry file",
            )
        };
        self.store.device()?.ok_or_else(none)
    }

    pub(crate) fn seat(&self, device: &Id) -> Result<Seat, Refusal> {
        let device = device
            .uuid()
            .ok_or_else(|| Refusal::failed("device", "this device's id cannot be read"))?;
        Ok(Seat {
            device,
            run: self.run,
        })
    }

    /// A seat of no device, to read from.
    pub(crate) fn nowhere(&self) -> Seat {
        Seat {
            device: uuid::Uuid::nil(),
            run: self.run,
        }
    }

    /// The record that is meant, where it can be read.
    pub(crate) fn which(&self, named: Option<&str>) -> Result<RecordRow, Refusal> {
        let row = self.meant(named)?;
        self.is_caught_up(&row)?;
        Ok(row)
    }

    /// Which record is meant: by id, or by the beginning of its id, or by the car's name; else the one chosen last,
    /// or the only one.
    pub(crate) fn meant(&self, named: Option<&str>) -> Result<RecordRow, Refusal> {
        let records = self.store.records()?;
        if let Some(named) = named {
            let by_id = records.iter().find(|row| row.id.as_str() == named);
            let plain = named.to_lowercase();
            // By the name as it is kept or as it is shown: nobody can type what cannot be seen.
            let called = |row: &&RecordRow| {
                row.car.to_lowercase() == plain || record::shown(&row.car).to_lowercase() == plain
            };
            let mut by_name = records.iter().filter(called);
            let found = by_id.or_else(|| by_name.next());
            if by_id.is_none() && by_name.next().is_some() {
                return Err(Refusal::input(
                    "which_record",
                    format!("two cars here are called '{named}'; name one by its id"),
                ));
            }
            let known: Vec<&str> = records.iter().map(|row| row.car.as_str()).collect();
            let none = || {
                Refusal::input(
                    "no_record",
                    format!("no car '{named}' is kept here; there is: {}", known.join(", ")),
                )
            };
            return found.cloned().ok_or_else(none);
        }
        let chosen = self.store.choices()?.current;
        let mut records = records.into_iter();
        let Some(first) = records.next() else {
            self.device()?;
            return Err(Refusal::input("no_record", "this folder keeps no car yet"));
        };
        let all: Vec<RecordRow> = std::iter::once(first.clone()).chain(records).collect();
        Ok(all
            .into_iter()
            .find(|row| Some(&row.id) == chosen.as_ref())
            .unwrap_or(first))
    }

    pub(crate) fn choose(&mut self, record: &Id) -> Result<(), Refusal> {
        let choices = Choices {
            current: Some(record.clone()),
            ..self.store.choices()?
        };
        Ok(self.store.choose(&choices)?)
    }

    pub(crate) fn take_opened(&mut self, record: &Id) -> Result<Opened, Refusal> {
        let opened = self.opened.remove(record);
        opened.ok_or_else(|| Refusal::failed("document", "the document is not open"))
    }

    /// The entries at hand, and the store to read more of them from.
    pub(crate) fn shelf(&mut self, record: &Id) -> (&mut Shelf, &Store) {
        (self.shelves.entry(record.clone()).or_default(), &self.store)
    }

    /// What `make` makes of a record's entries: of the document's own view where that is open, else of what the read tables have of
    /// it. It may be asked several times, until all that it looked for was there.
    pub(crate) fn read<T>(&mut self, record: &Id, make: impl Fn(&View) -> T) -> Result<T, Refusal> {
        if let Some(opened) = self.opened.get(record) {
            return Ok(make(opened.record.view()));
        }
        let all: usize = self.shelves.values().map(Shelf::weight).sum();
        if all > MOST {
            // Of the cars that are not asked about nothing is kept at hand for the one that is.
            self.shelves.retain(|of, _| of == record);
        }
        let (shelf, store) = self.shelf(record);
        shelf.read(store, record, make)
    }

    /// A page of a record, with how the photos stand that it shows.
    pub(crate) fn page<T>(&mut self, record: &Id, make: impl Fn(&Reader<'_>) -> T) -> Result<T, Refusal> {
        self.with_photos(record, |notebook, photos| {
            notebook.read(record, |view| make(&Reader::of(view, photos)))
        })
    }

    /// What is made with how photos stand, until all that were looked for are known.
    pub(crate) fn with_photos<T>(
        &mut self,
        record: &Id,
        make: impl Fn(&mut Self, &Photos) -> Result<T, Refusal>,
    ) -> Result<T, Refusal> {
        let mut photos = self.photos_standing()?;
        loop {
            let made = make(self, &photos)?;
            let lacking = photos.lacking();
            if lacking.is_empty() {
                return Ok(made);
            }
            for hash in lacking {
                let stands = self.photo_stands(record, &hash)?;
                photos.put(hash, stands);
            }
        }
    }

    pub(crate) fn tell(&mut self, patch: &Patch) {
        self.watchers.retain(|watcher| watcher(patch));
    }

    /// Whether an actor is that of this run of the program.
    pub(crate) fn is_this_run(&self, actor: &str) -> bool {
        actor.ends_with(&HEXLOWER.encode(&self.run))
    }

    /// Gives up every document in memory: this folder is another device now.
    pub(crate) fn forget_all(&mut self) {
        self.opened.clear();
        self.forget_read();
    }

    /// Gives up the documents in memory; they are opened again when needed.
    pub(crate) fn forget(&mut self, record: &Id) {
        self.opened.remove(record);
        self.read_anew(record);
    }

    /// How many entries were read from the read tables and are at hand: what the pages since cost.
    #[must_use]
    pub fn at_hand(&self) -> usize {
        self.shelves.values().map(Shelf::count).sum()
    }

    /// Gives up everything that was read from the read tables: it is read again when it is wanted.
    pub fn forget_read(&mut self) {
        self.shelves.clear();
        self.to_settle.clear();
    }

    /// Gives up what was read of a record from its read tables, which are others now.
    pub(crate) fn read_anew(&mut self, record: &Id) {
        self.shelves.remove(record);
        self.to_settle.remove(record);
    }
}

impl Notebook {
    /// The points to settle, as the read tables have them.
    pub(crate) fn points(&mut self, record: &Id) -> Result<Arc<[Point]>, Refusal> {
        if let Some(points) = self.to_settle.get(record) {
            return Ok(Arc::clone(points));
        }
        let read = |row: PointRow| {
            serde_json::from_str(&row.json).map_err(|_| {
                Refusal::failed(
                    "points",
                    "the points to settle cannot be read; rebuild makes them anew",
                )
            })
        };
        let rows = self.store.points(record)?.into_iter();
        let points: Arc<[Point]> = rows.map(read).collect::<Result<Vec<Point>, _>>()?.into();
        self.to_settle.insert(record.clone(), Arc::clone(&points));
        Ok(points)
    }

    /// How many questions are to be settled: one that made several points counts once, and a point that cannot be read for
    /// itself.
    pub(crate) fn asked(&mut self, record: &Id) -> Result<u32, Refusal> {
        if let Ok(points) = self.points(record) {
            return Ok(crate::page::count(&points));
        }
        let rows = self.store.points(record)?;
        let points: Vec<Point> = rows
            .iter()
            .filter_map(|row| serde_json::from_str(&row.json).ok())
            .collect();
        let unread = u32::try_from(rows.len().saturating_sub(points.len())).unwrap_or(u32::MAX);
        Ok(crate::page::count(&points).saturating_add(unread))
    }
}
