//! A notebook over a store, with what an earlier version of the program left there made as this one keeps it: derived rows, points by today's
//! rules, a log without gaps. It never gives up a folder that it cannot mend: it opens all the same.

use record::{Entry, Kind};
use store::{Batch, Store};

use crate::notebook::Notebook;
use crate::opened::point_rows;
use crate::refusal::Refusal;
use crate::source::Source;

/// By which rules points are found today: it is raised with a rule.
const TODAYS: u32 = 10;

/// How far the read tables of a car have been made anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Deriving<'a> {
    /// What the car is called.
    pub car: &'a str,
    /// How many of its entries are done.
    pub done: u64,
    /// Of how many.
    pub of: u64,
}

impl Notebook {
    /// The notebook over a store. Where another version of the program made the read tables, they are made anew, and `told`
    /// hears how far that is.
    ///
    /// # Errors
    /// When what the store keeps is damaged.
    pub fn over(
        store: Store,
        mut source: Box<dyn Source>,
        told: &mut dyn FnMut(Deriving<'_>),
    ) -> Result<Self, Refusal> {
        let run = source.random().first_chunk::<8>().copied().unwrap_or_default();
        let mut notebook = Self::of(store, source, run);
        notebook.look_home()?;
        notebook.bring_up_to_date(told);
        Ok(notebook)
    }

    /// The notebook over memory: all of it is gone with the value.
    ///
    /// # Errors
    /// When the database refuses.
    pub fn in_memory(mut source: Box<dyn Source>) -> Result<Self, Refusal> {
        let store = Store::over(Box::new(store::Memory::default()), source.now())?;
        Self::over(store, source, &mut |_| {})
    }

    /// What an earlier version left is made as this one keeps it. A folder that cannot be mended, or read, opens all the same: whoever
    /// asks is told what is wrong with it. While it is asked which device a folder is, nothing is done; it is done with the answer.
    pub(crate) fn bring_up_to_date(&mut self, told: &mut dyn FnMut(Deriving<'_>)) {
        let _ = self.derive_stale(told);
        let _ = self.mend_gaps();
        let _ = self.read_by_todays_rules();
    }

    /// Mends, once for a folder, what a program before this one could leave: a log with changes that stand on what is not
    /// in it. Where that cannot be done the folder opens all the same, and says what is wrong when it is asked.
    fn mend_gaps(&mut self) -> Result<(), Refusal> {
        if self.may_write().is_err() || self.store.has_whole_logs()? {
            return Ok(());
        }
        let mut whole = true;
        for row in self.store.records()? {
            if self.store.has_gaps(&row.id)? {
                whole &= self.document(&row.id).is_ok();
            }
        }
        if whole {
            self.store.logs_are_whole()?;
        }
        Ok(())
    }

    /// Makes the read tables anew of every record of which another version of the program made them, and tells how far it is.
    /// One that cannot be opened keeps the others from nothing; a check says what is wrong with it.
    fn derive_stale(&mut self, told: &mut dyn FnMut(Deriving<'_>)) -> Result<(), Refusal> {
        if self.may_write().is_err() {
            return Ok(());
        }
        let mut done = Ok(());
        for row in self.store.records()? {
            match self.store.is_stale(&row.id) {
                Ok(false) => continue,
                Ok(true) => {}
                Err(error) => {
                    done = Err(error.into());
                    continue;
                }
            }
            let mut tell = |done, of| {
                told(Deriving {
                    car: &row.car,
                    done,
                    of,
                });
            };
            done = self.derive(&row.id, &mut tell).and(done);
        }
        done
    }

    /// Finds the points anew, once for a folder, where a program before this one found them by other rules.
    fn read_by_todays_rules(&mut self) -> Result<(), Refusal> {
        if self.may_write().is_err() || self.store.rules()? == TODAYS {
            return Ok(());
        }
        for row in self.store.records()? {
            let opened = self.document(&row.id)?;
            let points = point_rows(&opened.points.list(opened.record.view(), opened.record.ledger()))?;
            // Whose a device is was read otherwise before.
            let devices: Vec<Entry> = opened.record.view().all(Kind::Device).cloned().collect();
            let batch = Batch {
                points: Some(&points),
                entries: &devices,
                ..Batch::default()
            };
            self.store.commit(&row.id, &batch)?;
            self.read_anew(&row.id);
        }
        Ok(self.store.found_by_rules(TODAYS)?)
    }
}
