//! A check of the whole folder, like that of a file system: it reads everything, says in words what is wrong, and
//! never changes anything.

mod depth;
mod files;
mod rows;
mod trouble;

use std::collections::VecDeque;

use record::Id;

use crate::tables::{self, records};
use crate::{Store, StoreError};

pub use depth::Depth;
use depth::Left;
pub use trouble::{Level, Trouble};

impl Store {
    /// Checks the folder, and of its records one or all. An empty list, or notes alone, means that everything is
    /// as it was written. What is broken comes first.
    ///
    /// # Errors
    /// [`StoreError::NoRecord`]; whatever else stops the check is itself among the troubles.
    pub fn check(&self, record: Option<&Id>, depth: Depth) -> Result<Vec<Trouble>, StoreError> {
        if let Some(record) = record {
            records::one(&self.db, record)?;
        }
        // One moment of the folder, whatever is written meanwhile.
        let _moment = self.moment()?;
        let mut checking = Checking::new(record, depth);
        while checking.step(self, u32::MAX) {}
        Ok(checking.found())
    }
}

/// A check that is done in steps. It reads of one moment where its store does ([`Lent::reader`](crate::Lent::reader)); else whoever
/// steps it begins again when something was written between two steps.
#[derive(Debug)]
pub struct Checking {
    wanted: Option<Id>,
    depth: Depth,
    stage: Stage,
    /// The records that are still to be checked.
    records: VecDeque<Id>,
    found: Vec<Trouble>,
    done: u64,
    of: u64,
}

#[derive(Debug)]
enum Stage {
    Database,
    Small,
    Record(Box<rows::Rows>),
    Photos(Box<files::Photos>),
    Done,
}

impl Checking {
    /// A check of the folder, and of its records one or all.
    #[must_use]
    pub fn new(record: Option<&Id>, depth: Depth) -> Self {
        Self {
            wanted: record.cloned(),
            depth,
            stage: Stage::Database,
            records: VecDeque::new(),
            found: Vec::new(),
            done: 0,
            of: 0,
        }
    }

    /// Does so much of it, and answers whether there is more. What stops it is itself among the troubles. The database's own check
    /// and the list of files are one step each, however large they are.
    pub fn step(&mut self, store: &Store, units: u32) -> bool {
        if let Err(error) = self.look(store, units.max(1)) {
            let says = format!("the check could not go on: {error}");
            self.found.push(Trouble::broken("unreadable", None, says));
            self.stage = Stage::Done;
        }
        !matches!(self.stage, Stage::Done)
    }

    /// What it is at, how many of it are done, and of how many.
    #[must_use]
    pub fn stands(&self) -> (&'static str, u64, u64) {
        let what = match self.stage {
            Stage::Database | Stage::Small => "the database",
            Stage::Record(_) => "rows of the record",
            Stage::Photos(_) | Stage::Done => "photos",
        };
        (what, self.done, self.of)
    }

    /// What was found so far, what is broken first.
    #[must_use]
    pub fn found(mut self) -> Vec<Trouble> {
        self.found.sort();
        self.found
    }

    fn look(&mut self, store: &Store, units: Left) -> Result<(), StoreError> {
        let found = &mut self.found;
        let mut left = units;
        match &mut self.stage {
            Stage::Database => {
                rows::database(&store.db, found)?;
                self.stage = Stage::Small;
            }
            Stage::Small => {
                rows::small(&store.db, self.wanted.as_ref(), found)?;
                about_folder(store, found);
                for row in records::all(&store.db)? {
                    if self.wanted.as_ref().is_none_or(|wanted| wanted == &row.id) {
                        self.of = self.of.saturating_add(rows::count(&store.db, &row.id)?);
                        self.records.push_back(row.id);
                    }
                }
                self.next_record(store)?;
            }
            Stage::Record(record) => {
                let more = record.step(&store.db, &mut left, found)?;
                self.done = self.done.saturating_add(u64::from(units.saturating_sub(left)));
                if !more {
                    self.next_record(store)?;
                }
            }
            Stage::Photos(photos) => {
                let more = photos.step(store, self.depth, &mut left, found)?;
                (self.done, self.of) = photos.stands();
                if !more {
                    self.stage = Stage::Done;
                }
            }
            Stage::Done => {}
        }
        Ok(())
    }

    fn next_record(&mut self, store: &Store) -> Result<(), StoreError> {
        self.stage = match self.records.pop_front() {
            Some(record) => Stage::Record(Box::new(rows::Rows::of(record))),
            None => {
                let photos = files::Photos::listed(store, &mut self.found)?;
                (self.done, self.of) = photos.stands();
                Stage::Photos(Box::new(photos))
            }
        };
        Ok(())
    }
}

/// What there is to say of the folder itself.
fn about_folder(store: &Store, found: &mut Vec<Trouble>) {
    if let Some(version) = store.newer {
        let known = tables::newest();
        let says = format!(
            "the folder is of version {version} and this program knows version {known}: it was read as far as \
             it is known and left as it is. Check it with the newer program"
        );
        found.push(Trouble::note("newer_folder", None, says));
    }
    if !store.folder.is_closed() {
        let says = "others who use this machine may look into the folder: it is its owner's alone only where it \
                    holds nothing else, on a file system that knows owners";
        found.push(Trouble::note("folder_open", None, says));
    }
}
