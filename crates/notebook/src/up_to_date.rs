//! A notebook over a store, with what an earlier version of the program left there made as this one keeps it: derived rows, points by today's
//! rules, a log without gaps. It is done at once, or in steps beside whoever asks. It never gives up a folder that it cannot mend: it opens all the same.

use std::collections::{BTreeMap, BTreeSet};

use record::{Entry, Id, Kind};
use store::{Batch, RecordRow, Store};

use crate::behind::Behind;
use crate::long::catching_up::CatchingUp;
use crate::long::{Long, NamedWork};
use crate::notebook::Notebook;
use crate::opened::point_rows;
use crate::refusal::Refusal;
use crate::source::Source;
use crate::wire::{OldTables, Patch};

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
        source: Box<dyn Source>,
        told: &mut dyn FnMut(Deriving<'_>),
    ) -> Result<Self, Refusal> {
        let mut notebook = Self::opened_over(store, source)?;
        notebook.bring_up_to_date(told);
        Ok(notebook)
    }

    /// The notebook over a store, at once, for a program that stays. Of a car whose read tables another version made nothing is read
    /// before [`catch_up`](Self::catch_up) was stepped to its end.
    ///
    /// # Errors
    /// As [`over`](Self::over).
    pub fn over_as_it_is(store: Store, source: Box<dyn Source>) -> Result<Self, Refusal> {
        let mut notebook = Self::opened_over(store, source)?;
        notebook.behind = Behind::Later(BTreeSet::new());
        notebook.look_behind()?;
        Ok(notebook)
    }

    fn opened_over(store: Store, mut source: Box<dyn Source>) -> Result<Self, Refusal> {
        let run = source.random().first_chunk::<8>().copied().unwrap_or_default();
        let mut notebook = Self::of(store, source, run);
        notebook.look_home()?;
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

    /// Begins to make what another version left as this one keeps it; nothing where there is nothing to do.
    pub fn catch_up(&mut self) -> Option<Long> {
        let behind = self.behind.records();
        let first = behind.first()?.clone();
        let named = NamedWork {
            name: "catch_up",
            quiet: false,
            can_be_stopped: false,
        };
        // It goes on already: whoever steps it ends it.
        self.begun(named, &first, |_| CatchingUp::of(behind)).ok()
    }

    /// Which cars are behind, where that is caught up with later; at once where it is not.
    pub(crate) fn catch_up_or_look(&mut self) -> Result<(), Refusal> {
        match self.behind {
            Behind::Never => self.bring_up_to_date(&mut |_| {}),
            Behind::Later(_) => self.look_behind()?,
        }
        Ok(())
    }

    /// Refuses what is asked of a car that is behind.
    pub(crate) fn is_caught_up(&self, row: &RecordRow) -> Result<(), Refusal> {
        if !self.behind.has(&row.id) {
            return Ok(());
        }
        let words = format!(
            "'{}' is being made ready for this version of the program, and nothing is lost by it. Its pages come by themselves; what \
             you typed stays, to be kept once they are there",
            record::shown(&row.car)
        );
        Err(Refusal::input("catching_up", words))
    }

    /// Refuses what begins once nothing is behind any more.
    pub(crate) fn is_ready(&self) -> Result<(), Refusal> {
        if self.behind.records().is_empty() {
            return Ok(());
        }
        let words = "other devices are met, and drops looked at, once what is here was made ready for this version of the program: in a moment";
        Err(Refusal::input("catching_up", words))
    }

    /// Of which cars the pages read what another version made, and nobody is making anew.
    pub(crate) fn old_tables(&self) -> Result<Vec<OldTables>, Refusal> {
        // A newer program's folder says so itself.
        if self.newer().is_some() {
            return Ok(Vec::new());
        }
        let mut old = Vec::new();
        for row in self.store.records()? {
            if !self.store.is_stale(&row.id)? || self.behind.has(&row.id) {
                continue;
            }
            let what = format!(
                "The pages of '{}' may show what is no longer so, and lack what is: they read what another version of the program made",
                record::shown(&row.car)
            );
            let says = match (self.why_old.get(&row.id), self.may_write()) {
                (Some(why), _) => format!("{what}. It could not be made anew: {why}"),
                (None, Err(_)) => format!("{what}. It is made anew once you have said which device this is"),
                (None, Ok(())) => what,
            };
            old.push(OldTables { record: row.id, says });
        }
        Ok(old)
    }

    /// All that was behind is caught up with, or cannot be, and then it is said why. Whoever asked before asks again.
    pub(crate) fn caught_up(&mut self, failed: BTreeMap<Id, String>) {
        self.why_old = failed;
        // What could not be made anew in steps is not tried again in one turn, which would hold every page for it.
        let _ = self.mend_gaps();
        let _ = self.read_by_todays_rules();
        for record in self.behind.end() {
            self.tell(&Patch {
                record,
                touched: Vec::new(),
                marks: Vec::new(),
                points: true,
                underway: None,
            });
        }
    }

    fn look_behind(&mut self) -> Result<(), Refusal> {
        if self.may_write().is_err() {
            return Ok(());
        }
        let every = self.store.rules()? != TODAYS || !self.store.has_whole_logs()?;
        let mut behind = BTreeSet::new();
        for row in self.store.records()? {
            if every || self.store.is_stale(&row.id)? {
                behind.insert(row.id);
            }
        }
        self.behind = Behind::Later(behind);
        Ok(())
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
