//! What came in while a keeper was away, to be asked and to be read: the changes and deeds of one coming. What they mean is not known here.

use record::{ChangeId, Id};

use crate::tables::came;
use crate::{Amount, CameChange, ComingRow, DeedRow, Store, StoreError, WasRow};

impl Store {
    /// What is kept of comings, the newest first: at most sixty.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn comings(&self, record: &Id) -> Result<Vec<ComingRow>, StoreError> {
        // A folder of before, which is only read here, has none.
        if self.newer().is_some() {
            return Ok(Vec::new());
        }
        came::all(&self.db, record)
    }

    /// How much a coming brought that another device than `own` wrote; with `unread`, how much of it was not read.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn came_amount(
        &self,
        record: &Id,
        number: u32,
        own: &Id,
        unread: bool,
    ) -> Result<Amount, StoreError> {
        came::amount(&self.db, record, number, own, unread)
    }

    /// The changes that a coming brought; with `unread`, those that were not read.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn came_changes(
        &self,
        record: &Id,
        number: u32,
        own: &Id,
        unread: bool,
    ) -> Result<Vec<ChangeId>, StoreError> {
        came::hashes(&self.db, record, number, own, unread)
    }

    /// What a coming brought: the changes with what they touched, in the order they came, and what was done by them.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn came(
        &self,
        record: &Id,
        number: u32,
        own: &Id,
    ) -> Result<(Vec<CameChange>, Vec<DeedRow>), StoreError> {
        came::brought(&self.db, record, number, own)
    }

    /// What was written otherwise by a coming, as it read before; only of what the notebook wanted kept.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn came_was(&self, record: &Id, number: u32) -> Result<Vec<WasRow>, StoreError> {
        came::was(&self.db, record, number)
    }

    /// Writes down that a coming was read, as far as it has come.
    ///
    /// # Errors
    /// Nothing was written then.
    pub fn came_read(&mut self, record: &Id, number: u32) -> Result<(), StoreError> {
        let tx = self.writing()?;
        came::read(&tx, record, number)?;
        tx.commit()?;
        Ok(())
    }
}
