//! The one writer of a data folder. Everything that changes a record comes through `write` or `take_in`, and is on
//! the disk when they answer.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use data_encoding::HEXLOWER;
use record::edit::EditError;
use record::entities::Car;
use record::rules::{FoundPoints, Point};
use record::{BadRecord, Edit, Id, Moment, Record, Ref, Seat, View, Written};
use store::{Batch, Choices, PointRow, RecordRow, Signature, Store, ThisDevice};

use crate::attending::{LooksAtDrops, Meets, NoPlaces, Places};
use crate::long::Works;
use crate::marks;
use crate::opening::Deriving;
use crate::page::Reader;
use crate::pending::Pending;
use crate::refusal::Refusal;
use crate::shelf::{MOST, Shelf};
use crate::source::{Fresh, Source};
use crate::stands::Photos;
use crate::wire::{FolderDoubt, Patch};

type Watcher = Box<dyn Fn(&Patch) -> bool + Send>;

/// A document in memory, with its points kept up.
pub(crate) struct Opened {
    pub(crate) record: Record,
    pub(crate) points: FoundPoints,
    /// Whether the read tables have these points, as far as this program put them there.
    pub(crate) points_kept: bool,
    /// Whether what this device wrote unsigned was looked for since the record was opened.
    pub(crate) signed: bool,
}

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
    to_settle: BTreeMap<Id, Arc<[Point]>>,
    watchers: Vec<Watcher>,
    /// The long work that goes on.
    pub(crate) works: Works,
    /// Before which change no snapshot is tried again, where one could not be made.
    pub(crate) put_off: BTreeMap<Id, u32>,
    /// This device's secrets, once something was signed.
    pub(crate) signing: Option<link::identity::Identity>,
    /// Whether the face says that the connection is paid by what it carries.
    pub(crate) metered: bool,
    /// Who looks after meetings, while somebody does.
    pub(crate) live: Option<Arc<dyn Meets>>,
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
    /// The notebook over a store. Where another version of the program made the read tables, they are made anew, and `told`
    /// hears how far that is.
    ///
    /// # Errors
    /// When what the store keeps is damaged.
    pub fn over(
        store: Store,
        mut source: Box<dyn Source>,
        told: &mut dyn FnMut(Deriving<'_>),
    ) -> Result<Self, Refusal> {
        let run = source.random().first_chunk::<8>().copied().unwrap_or_default();
        let mut notebook = Self::of(store, source, run);
        notebook.look_home()?;
        notebook.bring_up_to_date(told);
        Ok(notebook)
    }

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

    /// The notebook over memory: all of it is gone with the value.
    ///
    /// # Errors
    /// When the database refuses.
    pub fn in_memory(mut source: Box<dyn Source>) -> Result<Self, Refusal> {
        let store = Store::over(Box::new(store::Memory::default()), source.now())?;
        Self::over(store, source, &mut |_| {})
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

    /// Which record is meant: by id, or by the beginning of its id, or by the car's name; else the one chosen last,
    /// or the only one.
    pub(crate) fn which(&self, named: Option<&str>) -> Result<RecordRow, Refusal> {
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

    /// A page that is made from the document itself, which is opened for it.
    pub(crate) fn page_of_document<T>(
        &mut self,
        record: &Id,
        make: impl Fn(&Reader<'_>, &Record) -> T,
    ) -> Result<T, Refusal> {
        self.with_photos(record, |notebook, photos| {
            let document = &notebook.document(record)?.record;
            Ok(make(&Reader::of(document.view(), photos), document))
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

    /// Does an edit: one change, one transaction, one patch.
    pub(crate) fn write(&mut self, record: &Id, edit: &Edit) -> Result<(), Refusal> {
        self.may_write()?;
        let now = self.now();
        let row = self.store.record(record)?;
        let mut pending = self.pending(record)?;
        if let Err(stranger) = self.knows_itself(&row, pending.record().view()) {
            self.opened.insert(record.clone(), pending.opened);
            return Err(stranger);
        }
        let mut ids = Fresh {
            source: self.source.as_mut(),
            now,
        };
        match pending.edit(edit, now, &mut ids) {
            Ok(()) => self.keep(pending, &Batch::default()).map(drop),
            Err(refused) => {
                // Nothing was changed by it, and opening a long record anew takes its time.
                let unchanged = [
                    matches!(refused, EditError::Refused(_)),
                    matches!(
                        refused,
                        EditError::Broken(BadRecord::TooMuchAtOnce | BadRecord::UsedUp)
                    ),
                ];
                if unchanged.contains(&true) {
                    self.opened.insert(record.clone(), pending.opened);
                }
                Err(refused.into())
            }
        }
    }

    /// Whether anything may be written in this folder now.
    ///
    /// # Errors
    /// Why not: a newer program's, or its keeper has yet to say which device it is.
    pub fn may_write(&self) -> Result<(), Refusal> {
        match self.store.newer() {
            Some(found) => Err(store::StoreError::Newer { found, known: 0 }.into()).map_err(|mut refusal: Refusal| {
                refusal.words = format!(
                    "this folder is of version {found}, newer than this program; it can be read here and was left as it is"
                );
                refusal
            }),
            None => self.is_itself(),
        }
    }

    /// Puts what an edit or a meeting made onto the disk, with whatever else belongs to it, and tells the watchers.
    /// When the disk refuses, the document in memory is given up: it holds what was not kept.
    pub(crate) fn keep(&mut self, pending: Pending, with: &Batch<'_>) -> Result<Written, Refusal> {
        let record = pending.id.clone();
        let written = self.enter(pending, with)?;
        // What was asked is on the disk. A snapshot that could not be made is made some changes later, and a check tells of
        // whatever stands in its way.
        let _ = self.compact_if_due(&record);
        Ok(written)
    }

    /// As [`keep`](Self::keep), where a long log can wait until there is time for it.
    pub(crate) fn enter(&mut self, pending: Pending, with: &Batch<'_>) -> Result<Written, Refusal> {
        let Pending {
            id: record,
            mut opened,
            written,
        } = pending;
        let own = self.own_signature(&record, with.device.map(|this| &this.id), &written)?;
        let own_key: Option<(Id, String)> = own.as_ref().map(|own| (own.device.clone(), own.key.clone()));
        let signatures: Vec<Signature> = with.signatures.iter().cloned().chain(own).collect();
        let keys: Vec<(Id, String)> = with.keys.iter().cloned().chain(own_key).collect();
        let entries = opened.record.entries_of(&written.touched);
        let blank = opened.record.blank_of(&written.touched);
        let (view, ledger) = (opened.record.view(), opened.record.ledger());
        let differ = opened.points.refresh(view, ledger, &written.touched) || !opened.points_kept;
        let rows = match differ {
            true => Some(point_rows(&opened.points.list(view, ledger))?),
            false => None,
        };
        let name = opened
            .record
            .view()
            .one::<Car>(&Id::car())
            .and_then(|car| car.name())
            .map(str::to_owned);
        let mut row = None;
        if with.begin.is_none()
            && let Some(name) = name
        {
            let was = self.store.record(&record)?;
            row = (was.car != name).then_some(RecordRow { car: name, ..was });
        }
        let was = match with.came {
            Some(_) => self.was(&record, &entries)?,
            None => Vec::new(),
        };
        let batch = Batch {
            was: &was,
            row: row.as_ref().or(with.row),
            changes: &written.changes,
            entries: &entries,
            blank: &blank,
            points: rows.as_deref(),
            signatures: &signatures,
            keys: &keys,
            ..*with
        };
        if let Err(error) = self.store.commit(&record, &batch) {
            self.shelves.remove(&record);
            return Err(error.into());
        }
        opened.points_kept = true;
        let touched: Vec<Ref> = entries
            .iter()
            .map(record::Entry::name)
            .chain(blank.iter().cloned())
            .collect();
        let marks = marks::changed(opened.record.view(), &touched, differ);
        if differ {
            self.to_settle.remove(&record);
        }
        self.opened.insert(record.clone(), opened);
        if let Some(shelf) = self.shelves.get_mut(&record) {
            shelf.put(&entries);
            shelf.take_away(&blank);
        }
        self.tell(&Patch {
            record,
            touched,
            marks,
            points: differ,
            underway: None,
        });
        self.look_for_twin(&written)?;
        Ok(written)
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

/// Points as rows of the read tables.
pub(crate) fn point_rows(points: &[record::rules::Point]) -> Result<Vec<PointRow>, Refusal> {
    let row = |point: &record::rules::Point| {
        let json =
            serde_json::to_string(point).map_err(|error| Refusal::failed("json", error.to_string()))?;
        Ok(PointRow {
            id: point.id.clone(),
            json,
        })
    };
    points.iter().map(row).collect()
}
