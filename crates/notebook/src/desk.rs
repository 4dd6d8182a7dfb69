//! The desk: what a command works with, that is, the notebook and the record that was named. It finds the keeper
//! and device that act here, and hands pages the entries they want.

use record::{Edit, Id, Kind, View};
use store::RecordRow;

use crate::fetch::Photos;
use crate::page::Reader;
use crate::{Notebook, Refusal};

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

    /// Entries of these kinds.
    pub(crate) fn view(&mut self, kinds: &[Kind]) -> Result<&View, Refusal> {
        let record = self.row()?.id;
        let (shelf, store) = self.notebook.shelf(&record);
        shelf.with(store, &record, kinds)
    }

    /// Makes a page from entries of these kinds.
    pub(crate) fn page<T>(
        &mut self,
        kinds: &[Kind],
        make: impl FnOnce(&Reader<'_>) -> T,
    ) -> Result<T, Refusal> {
        let record = self.row()?.id;
        let photos = if kinds.contains(&Kind::Photo) {
            self.notebook.photos_stand(&record)?
        } else {
            Photos::default()
        };
        let (shelf, store) = self.notebook.shelf(&record);
        let view = shelf.with(store, &record, kinds)?;
        Ok(make(&Reader::of(view, &photos)))
    }

    /// The points to settle, as the read tables have them.
    pub(crate) fn points(&self) -> Result<Vec<record::rules::Point>, Refusal> {
        let record = self.row()?.id;
        let rows = self.notebook.store.points(&record)?;
        let read = |row: store::PointRow| {
            serde_json::from_str(&row.json).map_err(|_| {
                Refusal::failed(
                    "points",
                    "the points to settle cannot be read; rebuild makes them anew",
                )
            })
        };
        rows.into_iter().map(read).collect()
    }
}
