//! What another version of the program left is made as this one keeps it, in steps: car by car its derived rows are made anew. It never
//! keeps a folder from opening: what cannot be made anew stays as it is, and a check says what is wrong with it.

use std::collections::VecDeque;

use record::Id;

use super::rebuild::RebuildWork;
use super::{Next, Progress, Work};
use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Cars that are caught up with, one after the other.
pub(crate) struct CatchingUp {
    left: VecDeque<Id>,
    now: Option<RebuildWork>,
    /// Why the first that could not be made anew could not.
    failed: Option<Refusal>,
    done: bool,
}

impl CatchingUp {
    pub(crate) fn of(records: Vec<Id>) -> Self {
        Self {
            left: records.into(),
            now: None,
            failed: None,
            done: false,
        }
    }

    fn went(&mut self, step: Result<(), Refusal>) {
        if let Err(refusal) = step {
            self.now = None;
            self.failed.get_or_insert(refusal);
        }
    }
}

impl Work for CatchingUp {
    type Answer = ();

    fn next(&self) -> Next {
        match &self.now {
            _ if self.done => Next::Nothing,
            Some(work) if work.next() == Next::Beside => Next::Beside,
            _ => Next::Turn,
        }
    }

    fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal> {
        match &mut self.now {
            Some(work) if work.next() != Next::Nothing => {
                let step = work.turn(notebook, rows);
                self.went(step);
            }
            _ => {
                self.now = self.left.pop_front().map(|record| RebuildWork::of_rows(&record));
                if self.now.is_none() {
                    notebook.caught_up();
                    self.done = true;
                }
            }
        }
        Ok(())
    }

    fn beside(&mut self, rows: u32) -> Result<(), Refusal> {
        if let Some(work) = &mut self.now {
            let step = work.beside(rows);
            self.went(step);
        }
        Ok(())
    }

    fn progress(&self) -> Progress {
        self.now.as_ref().map(Work::progress).unwrap_or_default()
    }

    /// The car stays out of reach until it is done.
    fn can_be_stopped(&self) -> bool {
        false
    }

    fn answer(self) -> Result<(), Refusal> {
        self.failed.map_or(Ok(()), Err)
    }
}
