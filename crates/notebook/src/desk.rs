//! The desk: what a command works with, that is, the notebook and the record that was named. It finds the keeper
//! and device that act here, hands pages the entries they want, and knows what they looked at: whoever takes the whole notebook may
//! have looked at anything.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::sync::Arc;

use record::past::Strands;
use record::{Edit, Id, Kind, Lack, Ref, View};
use store::{DeedRow, RecordRow, Store};

use crate::marks::LookedAt;
use crate::notebook::Notebook;
use crate::page::Reader;
use crate::refusal::Refusal;

/// What a command works with.
pub(crate) struct Desk<'a> {
    notebook: &'a mut Notebook,
    named: Option<&'a str>,
    looked_at: LookedAt,
}

impl<'a> Desk<'a> {
    pub(crate) fn new(notebook: &'a mut Notebook, named: Option<&'a str>) -> Self {
        Self {
            notebook,
            named,
            looked_at: LookedAt::default(),
        }
    }

    /// The notebook, of which anything may be looked at.
    pub(crate) fn notebook(&mut self) -> &mut Notebook {
        self.looked_at.more();
        self.notebook
    }

    /// The store, of which nothing is looked at but entries of these kinds and what was done to them.
    pub(crate) fn store_of(&mut self, kinds: &[Kind]) -> &Store {
        self.looked_at
            .add(kinds.iter().copied().map(Lack::Kind).collect());
        &self.notebook.store
    }

    /// What was done to one thing.
    pub(crate) fn deeds_of(&mut self, name: &Ref) -> Result<Vec<DeedRow>, Refusal> {
        let record = self.row()?.id;
        self.looked_at.add([Lack::One(name.clone())].into());
        Ok(self.notebook.store.deeds_of(&record, name)?)
    }

    /// What was looked at so far.
    pub(crate) fn looked_at(&self) -> &LookedAt {
        &self.looked_at
    }

    /// The record as it was named, if it was.
    pub(crate) fn named(&self) -> Option<&'a str> {
        self.named
    }

    /// The record that was named, or the one chosen.
    pub(crate) fn row(&self) -> Result<RecordRow, Refusal> {
        self.notebook.which(self.named)
    }

    /// This device's keeper in the record.
    pub(crate) fn me(&self) -> Result<Id, Refusal> {
        let none = || Refusal::failed("no_keeper", "it is not known whose device this is");
        self.row()?.keeper.ok_or_else(none)
    }

    /// This device; a folder is one as long as it is open.
    pub(crate) fn this_device(&self) -> Result<Id, Refusal> {
        Ok(self.notebook.device()?.id)
    }

    /// Does an edit on the record.
    pub(crate) fn write(&mut self, edit: &Edit) -> Result<(), Refusal> {
        let record = self.row()?.id;
        self.notebook.write(&record, edit)
    }

    /// What `make` makes of the record's entries. It may be asked several times, until all that it looked for was there.
    pub(crate) fn read<T>(&mut self, make: impl Fn(&View) -> T) -> Result<T, Refusal> {
        let record = self.row()?.id;
        let noted = RefCell::default();
        let made = self.notebook.read(&record, |view| noting(&noted, view, &make))?;
        self.looked_at.add(noted.into_inner());
        Ok(made)
    }

    /// Makes a page from the record's entries, and from how the photos stand that it shows.
    pub(crate) fn page<T>(&mut self, make: impl Fn(&Reader<'_>) -> T) -> Result<T, Refusal> {
        let record = self.row()?.id;
        let noted = RefCell::default();
        let made = self
            .notebook
            .page(&record, |read| noting(&noted, read.view, |_| make(read)))?;
        self.looked_at.add(noted.into_inner());
        Ok(made)
    }

    /// Makes a page from the record's entries and from what they read earlier.
    pub(crate) fn page_of_past<T>(
        &mut self,
        make: impl Fn(&Reader<'_>, &Strands) -> T,
    ) -> Result<T, Refusal> {
        let record = self.row()?.id;
        let mut past = Strands::default();
        loop {
            let made = self.page(|read| make(read, &past))?;
            let lacking = past.lacking();
            // Whatever is written in an entry is its history.
            let strands = lacking.strands.into_iter().map(Lack::One);
            self.looked_at.add(strands.collect());
            if !self.notebook.store.lend_past(&record, &mut past)? {
                return Ok(made);
            }
        }
    }

    /// The store, of which something is looked at that no entry's change can change, but a meeting: signatures, for one.
    pub(crate) fn store_of_meetings(&mut self) -> &Store {
        self.looked_at.elsewhere();
        &self.notebook.store
    }

    /// The points to settle, as the read tables have them.
    pub(crate) fn points(&mut self) -> Result<Arc<[record::rules::Point]>, Refusal> {
        let record = self.row()?.id;
        self.looked_at.points();
        self.notebook.points(&record)
    }
}

/// Makes something, and puts what it looked at in place of what it looked at when it was made before.
fn noting<T>(noted: &RefCell<BTreeSet<Lack>>, view: &View, make: impl FnOnce(&View) -> T) -> T {
    let (made, looked_at) = view.noting(make);
    noted.replace(looked_at);
    made
}
