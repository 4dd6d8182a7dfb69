//! What another version of the program left is made as this one keeps it, in steps: car by car its derived rows are made anew. It never
//! keeps a folder from opening: what cannot be made anew stays as it is, and a check says what is wrong with it.

use std::collections::{BTreeMap, VecDeque};

use record::Id;

use super::rebuild::RebuildWork;
use super::{Next, Progress, Work};
use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Cars that are caught up with, one after the other.
pub(crate) struct CatchingUp {
    left: VecDeque<Id>,
    now: Option<(Id, RebuildWork)>,
    /// Why those that could not be made anew could not.
    failed: BTreeMap<Id, Refusal>,
    done: bool,
}

impl CatchingUp {
    pub(crate) fn of(records: Vec<Id>) -> Self {
        Self {
            left: records.into(),
            now: None,
            failed: BTreeMap::new(),
            done: false,
        }
    }

    fn went(&mut self, step: Result<(), Refusal>) {
        if let Err(refusal) = step
            && let Some((record, _)) = self.now.take()
        {
            self.failed.insert(record, refusal);
        }
    }
}

impl Work for CatchingUp {
    type Answer = ();

    fn next(&self) -> Next {
        match &self.now {
            _ if self.done => Next::Nothing,
            Some((_, work)) if work.next() == Next::Beside => Next::Beside,
            _ => Next::Turn,
        }
    }

    fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal> {
        match &mut self.now {
            Some((_, work)) if work.next() != Next::Nothing => {
                let step = work.turn(notebook, rows);
                self.went(step);
            }
            _ => {
                let next = self.left.pop_front();
                self.now = next.map(|record| (record.clone(), RebuildWork::of_rows(&record)));
                if self.now.is_none() {
                    let why = |(record, refusal): (&Id, &Refusal)| (record.clone(), refusal.words.clone());
                    notebook.caught_up(self.failed.iter().map(why).collect());
                    self.done = true;
                }
            }
        }
        Ok(())
    }

    fn beside(&mut self, rows: u32) -> Result<(), Refusal> {
        if let Some((_, work)) = &mut self.now {
            let step = work.beside(rows);
            self.went(step);
        }
        Ok(())
    }

    fn progress(&self) -> Progress {
        let now = self.now.as_ref();
        now.map(|(_, work)| work.progress()).unwrap_or_default()
    }

    /// The car stays out of reach until it is done.
    fn can_be_stopped(&self) -> bool {
        false
    }

    fn answer(self) -> Result<(), Refusal> {
        self.failed.into_values().next().map_or(Ok(()), Err)
    }
}
