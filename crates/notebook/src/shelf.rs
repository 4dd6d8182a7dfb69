//! Entries at hand: each kind is read from the read tables when a page first wants it, and kept up with every
//! commit after that. It is a copy of the read tables and never the truth.

use std::collections::BTreeSet;

use record::{Entry, Id, Kind, Ref, View};
use store::Store;

use crate::Refusal;

/// The entries of one record, as far as pages have wanted them.
#[derive(Debug, Default)]
pub(crate) struct Shelf {
    view: View,
    here: BTreeSet<Kind>,
}

impl Shelf {
    /// The view with these kinds in it.
    pub(crate) fn with(&mut self, store: &Store, record: &Id, kinds: &[Kind]) -> Result<&View, Refusal> {
        for kind in kinds {
            if self.here.contains(kind) {
                continue;
            }
            for entry in store.entries(record, *kind)? {
                self.view.put(entry);
            }
            self.here.insert(*kind);
        }
        Ok(&self.view)
    }

    /// Puts entries that a commit wrote.
    pub(crate) fn put(&mut self, entries: &[Entry]) {
        for entry in entries.iter().filter(|entry| self.here.contains(&entry.kind)) {
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
