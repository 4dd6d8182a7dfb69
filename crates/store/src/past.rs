//! What entries read earlier, out of the rows of what each change wrote: no document is opened for it.

use std::collections::BTreeSet;

use record::past::Strands;
use record::{ChangeId, Deed, Id, Logged};

use crate::tables::{change_log, deeds, touched};
use crate::{DeedRow, Store, StoreError};

impl Store {
    /// Lends what was asked for and was lacking; whether there was anything.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn lend_past(&self, record: &Id, past: &mut Strands) -> Result<bool, StoreError> {
        let lacking = past.lacking();
        if lacking.is_nothing() {
            return Ok(false);
        }
        for name in &lacking.strands {
            past.lend(touched::strand(&self.db, record, name)?);
        }
        for change in &lacking.wrote_in {
            past.lend_wrote_in(*change, touched::names_of(&self.db, record, change)?);
        }
        for question in &lacking.known {
            let (change, other) = question;
            past.lend_known(*question, change_log::knew(&self.db, record, change, other)?);
        }
        if !lacking.changes.is_empty() {
            // What it could tell of before, it is to tell of again.
            let ends = past.stretch().map(|(first, last)| [*first, *last]);
            let wanted = lacking.changes.iter().chain(ends.iter().flatten());
            let log = change_log::between(&self.db, record, wanted)?;
            past.lend_log(log.iter().map(|(change, deps)| (*change, deps.as_slice())));
        }
        Ok(true)
    }

    /// How many of these changes the derived rows tell otherwise of: what was touched, what was written there, what was done. `changes` are the
    /// document's; those that are in no log have no rows.
    ///
    /// # Errors
    /// Where the folder, or a row, cannot be read.
    pub fn told_otherwise(&self, record: &Id, changes: &[Logged]) -> Result<usize, StoreError> {
        let mut otherwise = 0_usize;
        for change in changes {
            let Some(row) = change_log::of_change(&self.db, record, &change.id)? else {
                continue;
            };
            let as_done = |row: &DeedRow| (&change.device, change.at) == (&row.stamp.device, row.stamp.at);
            let deeds = deeds::by(&self.db, record, row.seq)?;
            let stamped = deeds.iter().all(as_done);
            let done: BTreeSet<Deed> = deeds.into_iter().map(|row| row.deed).collect();
            let same = stamped
                && done == change.deeds.iter().cloned().collect()
                && touched::is_told(&touched::of_change(&self.db, record, row.seq)?, change);
            otherwise = otherwise.saturating_add(usize::from(!same));
        }
        Ok(otherwise)
    }

    /// The changes of the log that no other builds on, in order, and how many there are in all.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn heads(&self, record: &Id) -> Result<(Vec<ChangeId>, u32), StoreError> {
        change_log::heads(&self.db, record)
    }
}
