//! What a coming brought, as it is handed in to be told. Nothing is told here.

use record::Entry;
use store::{CameChange, DeedRow, WasRow};

/// What a coming brought, as it lies in the store.
pub(crate) struct Brought<'a> {
    pub(crate) changes: &'a [CameChange],
    pub(crate) done: &'a [DeedRow],
    /// What fields read before.
    pub(crate) was: &'a [WasRow],
    /// The day sheets that were touched.
    pub(crate) sheets: &'a [Entry],
}
