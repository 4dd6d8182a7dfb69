//! Entries at hand: what pages asked for is read from the read tables, and kept up with every commit after that. It is a copy of the
//! read tables and never the truth. While a document is open its own view serves, and nothing is kept twice.

use record::{Entry, Id, Kind, Lack, Ref, View};
use store::Store;

use crate::Refusal;

/// Most entries that are kept at hand between two questions: some thirty megabytes.
const MOST: usize = 12_000;

/// The entries of one record, as far as they were asked for.
#[derive(Debug)]
pub(crate) struct Shelf {
    view: View,
}

impl Default for Shelf {
    fn default() -> Self {
        Self { view: View::part() }
    }
}

impl Shelf {
    /// The view with all of these kinds in it.
    pub(crate) fn with(&mut self, store: &Store, record: &Id, kinds: &[Kind]) -> Result<&View, Refusal> {
        for kind in kinds {
            if !self.view.has_all(*kind) {
                self.fetch(store, record, Lack::Kind(*kind))?;
            }
        }
        Ok(&self.view)
    }

    /// What `make` makes of the record. It is asked again until everything that it looked for was there, so it may only read.
    pub(crate) fn read<T>(
        &mut self,
        store: &Store,
        record: &Id,
        make: impl Fn(&View) -> T,
    ) -> Result<T, Refusal> {
        if self.view.count() > MOST {
            *self = Self::default();
        }
        // What was looked for past a reading is nobody's question.
        drop(self.view.lacking());
        loop {
            let made = make(&self.view);
            let lacking = self.view.lacking();
            if lacking.is_empty() {
                return Ok(made);
            }
            let (whole, some): (Vec<Lack>, Vec<Lack>) = lacking
                .into_iter()
                .partition(|lack| matches!(lack, Lack::Kind(_)));
            // What is of a kind that comes whole comes with it.
            for lack in whole {
                self.fetch(store, record, lack)?;
            }
            for lack in some {
                if !self.view.has_all(lack.kind()) {
                    self.fetch(store, record, lack)?;
                }
            }
        }
    }

    /// The same of what can be read: one that cannot is taken for one that is not here. It is for a shelf of its own, since what it has is
    /// not all there is.
    pub(crate) fn read_what_can_be<T>(
        mut self,
        store: &Store,
        record: &Id,
        make: impl Fn(&View) -> T,
    ) -> Result<T, Refusal> {
        loop {
            let made = make(&self.view);
            let lacking = self.view.lacking();
            if lacking.is_empty() {
                return Ok(made);
            }
            for lack in lacking {
                if self.fetch(store, record, lack.clone()).is_err() {
                    self.view.lend(lack, Vec::new());
                }
            }
        }
    }

    fn fetch(&mut self, store: &Store, record: &Id, lack: Lack) -> Result<(), Refusal> {
        let entries = match &lack {
            Lack::One(name) => store.find(record, name)?.into_iter().collect(),
            Lack::Kind(kind) => store.entries(record, *kind)?,
            Lack::Naming(name, kind) => store.naming(record, *kind, name)?,
            Lack::Called(kind, title) => store.called(record, *kind, title)?,
            Lack::Asking(kind) => store.asking(record, *kind)?,
            Lack::Loose(kind) => store.loose(record, *kind)?,
            Lack::Counted(kind) => {
                self.view.lend_counts(*kind, store.counted(record, *kind)?);
                return Ok(());
            }
        };
        self.view.lend(lack, entries);
        Ok(())
    }

    /// How many entries are at hand.
    pub(crate) fn count(&self) -> usize {
        self.view.count()
    }

    /// Puts entries that a commit wrote.
    pub(crate) fn put(&mut self, entries: &[Entry]) {
        for entry in entries {
            self.view.put(entry.clone());
        }
    }

    /// Takes away what a commit left with nothing to read.
    pub(crate) fn take_away(&mut self, blank: &[Ref]) {
        for name in blank {
            self.view.remove(name.kind, &name.id);
        }
    }
}
