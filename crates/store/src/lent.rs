//! What a store lends to whoever works beside it, with no turn of the store's own: its files, and a reader of one moment. Nothing
//! here writes a row.

use std::io;

use record::PhotoHash;
use rusqlite::Transaction;

use crate::layer::Layer;
use crate::{Incoming, Outgoing, Store, StoreError};

/// A store's files, and the way to a reader of its rows. It keeps the folder's lock as long as it lives.
#[derive(Debug)]
pub struct Lent {
    layer: Box<dyn Layer>,
    newer: Option<u32>,
}

impl Store {
    /// What works beside this store works with.
    #[must_use]
    pub fn lend(&self) -> Lent {
        Lent {
            layer: self.folder.again(),
            newer: self.newer,
        }
    }

    /// How many rows were written since this store was opened. Whoever reads in several turns, where no reader can be lent, begins
    /// again when it is another number.
    ///
    /// # Errors
    /// What the database said.
    pub fn written(&self) -> Result<i64, StoreError> {
        Ok(self
            .db
            .query_row("SELECT total_changes()", [], |row| row.get(0))?)
    }

    /// One moment to read of; nothing where the whole store is of one already, as a reader that was lent is.
    pub(crate) fn moment(&self) -> Result<Option<Transaction<'_>>, StoreError> {
        if self.db.is_autocommit() {
            return Ok(Some(self.db.unchecked_transaction()?));
        }
        Ok(None)
    }
}

impl Lent {
    /// A store to read from: of this moment, whatever is written meanwhile, until it is dropped. While it is open the
    /// write-ahead log grows with every commit, so it is not for keeping. Nothing where the layer has one connection and no more.
    ///
    /// # Errors
    /// What the database or the machine said.
    pub fn reader(&self) -> Result<Option<Store>, StoreError> {
        let Some(db) = self.layer.connect_beside()? else {
            return Ok(None);
        };
        // The moment is that of the first row that is read.
        db.execute_batch("BEGIN")?;
        db.query_row("SELECT count(*) FROM folder", [], |row| row.get::<_, i64>(0))?;
        Ok(Some(Store {
            db,
            folder: self.layer.again(),
            newer: self.newer,
            tally: None,
        }))
    }

    /// Begins a carry file: at a place that was named, or under a name of its own among the carry files here.
    ///
    /// # Errors
    /// What the system said.
    pub fn outgoing(&self, place: Option<&str>, name: &str) -> io::Result<Box<dyn Outgoing>> {
        self.layer.outgoing(place, name)
    }

    /// What a carry file at a place is called until it is whole.
    #[must_use]
    pub fn part_of(&self, place: &str) -> String {
        self.layer.part_of(place)
    }

    /// Whether a place is inside a data folder, this one or another, where no carry file is written.
    #[must_use]
    pub fn is_own(&self, place: &str) -> bool {
        self.layer.is_own(place)
    }

    /// As [`Store::incoming`].
    ///
    /// # Errors
    /// What the system said.
    pub fn incoming(&self, place: &str) -> io::Result<Box<dyn Incoming>> {
        self.layer.incoming(place)
    }

    /// As [`Store::open_photo`].
    ///
    /// # Errors
    /// [`StoreError::NoPhoto`], or where it cannot be read.
    pub fn open_photo(&self, hash: &PhotoHash) -> Result<Box<dyn Incoming>, StoreError> {
        self.layer.open_photo(hash)
    }
}
