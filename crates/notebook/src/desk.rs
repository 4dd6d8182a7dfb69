//! The desk: what a command works with, that is, the notebook and the record that was named. It finds the keeper
//! and device that act here, and hands pages the entries they want.

use std::sync::Arc;

use record::{Edit, Id, View};
use store::RecordRow;

use crate::notebook::Notebook;
use crate::page::Reader;
use crate::refusal::Refusal;

/// What a command works with.
pub(crate) struct Desk<'a> {
    pub(crate) notebook: &'a mut Notebook,
    named: Option<&'a str>,
}

impl<'a> Desk<'a> {
    pub(crate) fn new(notebook: &'a mut Notebook, named: Option<&'a str>) -> Self {
        Self { notebook, named }
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

    /// Does an edit on the record.
    pub(crate) fn write(&mut self, edit: &Edit) -> Result<(), Refusal> {
        let record = self.row()?.id;
        self.notebook.write(&record, edit)
    }

    /// What `make` makes of the record's entries. It may be asked several times, until all that it looked for was there.
    pub(crate) fn read<T>(&mut self, make: impl Fn(&View) -> T) -> Result<T, Refusal> {
        let record = self.row()?.id;
        self.notebook.read(&record, make)
    }

    /// Makes a page from the record's entries, and from how the photos stand that it shows.
    pub(crate) fn page<T>(&mut self, make: impl Fn(&Reader<'_>) -> T) -> Result<T, Refusal> {
        let record = self.row()?.id;
        self.notebook.page(&record, make)
    }

    /// The points to settle, as the read tables have them.
    pub(crate) fn points(&mut self) -> Result<Arc<[record::rules::Point]>, Refusal> {
        let record = self.row()?.id;
        self.notebook.points(&record)
    }
}
