//! The store's side of signatures: what is kept of who signed what. It verifies nothing and decides nothing.

use record::{ChangeId, Id};

use crate::tables::signatures;
use crate::{Signature, Store, StoreError, TwiceRow};

impl Store {
    /// Every signature over a change of a record, in the order in which they came.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn signatures(&self, record: &Id) -> Result<Vec<Signature>, StoreError> {
        signatures::all(&self.db, record)
    }

    /// The changes of a device that it signed, each with its place in the log, in the order of those.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn signed_by(&self, record: &Id, device: &Id) -> Result<Vec<(u32, ChangeId)>, StoreError> {
        signatures::signed_by(&self.db, record, device)
    }

    /// The signature over one change; none where none is kept.
    ///
    /// # Errors
    /// Where the folder or the row cannot be read.
    pub fn signature(&self, record: &Id, change: &ChangeId) -> Result<Option<Signature>, StoreError> {
        signatures::over(&self.db, record, change)
    }

    /// The devices of which a signature is kept.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn signers(&self, record: &Id) -> Result<Vec<Id>, StoreError> {
        signatures::signers(&self.db, record)
    }

    /// The keys that are believed, by device, the oldest first.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn believed_keys(&self, record: &Id) -> Result<Vec<(Id, String)>, StoreError> {
        signatures::keys(&self.db, record)
    }

    /// Up to which row of the log changes were held, unsigned, on the day when changes began to be signed here.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn unsigned_before(&self, record: &Id) -> Result<u32, StoreError> {
        signatures::unsigned_before(&self.db, record)
    }

    /// The proofs of changes that were written twice under one number.
    ///
    /// # Errors
    /// Where the folder or a row cannot be read.
    pub fn written_twice(&self, record: &Id) -> Result<Vec<TwiceRow>, StoreError> {
        signatures::twice(&self.db, record)
    }
}
