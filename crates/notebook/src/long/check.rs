//! A check in steps. Where the store lends a reader, the whole check is of one moment and nobody waits for it; where it lends none,
//! each step is a turn, and the check begins again when something was written between two of them. It changes nothing.

use std::collections::VecDeque;

use store::{Checking, Depth, Level, RecordRow};

use super::beside::Beside;
use super::{Next, Progress, Work};
use crate::health::Compared;
use crate::home::asked;
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::{HealthLine, HealthReport};

/// A check that goes on.
pub(crate) struct CheckWork {
    stage: Stage,
    /// A notebook that reads of one moment, where one could be lent.
    reader: Option<Box<Notebook>>,
    /// What the store had written when this began, where it reads in turns.
    written: i64,
    found: Vec<HealthLine>,
}

enum Stage {
    Begun,
    Lending(Box<Beside>),
    Rows(Box<Checking>),
    Documents(VecDeque<RecordRow>, Option<Box<Compared>>),
    Done,
}

impl CheckWork {
    pub(crate) fn new() -> Self {
        Self {
            stage: Stage::Begun,
            reader: None,
            written: 0,
            found: Vec::new(),
        }
    }

    fn rows() -> Stage {
        Stage::Rows(Box::new(Checking::new(None, Depth::Whole)))
    }

    /// A step over so many rows, in a notebook that reads of one moment or in the one that is shared.
    fn step(&mut self, notebook: &mut Notebook, rows: u32) {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Done) {
            Stage::Rows(mut checking) => {
                if checking.step(&notebook.store, rows) {
                    Stage::Rows(checking)
                } else {
                    self.end_rows(notebook, *checking)
                }
            }
            Stage::Documents(mut left, comparing) => match comparing {
                Some(mut one) => {
                    let more = one.step(notebook, rows, &mut self.found);
                    Stage::Documents(left, more.then_some(one))
                }
                None => match left.pop_front() {
                    Some(row) => Stage::Documents(left, Some(Box::new(Compared::begin(row)))),
                    None => Stage::Done,
                },
            },
            other => other,
        };
    }

    fn end_rows(&mut self, notebook: &mut Notebook, checking: Checking) -> Stage {
        self.found
            .extend(checking.found().into_iter().map(|trouble| HealthLine {
                broken: trouble.level == Level::Broken,
                code: trouble.code.to_owned(),
                record: trouble.record,
                says: trouble.says,
            }));
        self.found.extend(of_key(notebook));
        let records = notebook.store.records().unwrap_or_else(|error| {
            self.found.push(HealthLine {
                broken: true,
                code: "records".to_owned(),
                record: None,
                says: format!("which cars the folder keeps cannot be read: {error}"),
            });
            Vec::new()
        });
        Stage::Documents(records.into(), None)
    }
}

/// What there is to say of which device the folder is.
fn of_key(notebook: &mut Notebook) -> Option<HealthLine> {
    let (broken, code, says) = match notebook.doubt_now() {
        Ok(None) => return None,
        Ok(Some(doubt)) if doubt.is_of_key() => (true, "device_key", asked(doubt).words),
        Ok(Some(doubt)) => (false, "same_or_copy", asked(doubt).words),
        Err(refusal) => {
            let says = format!("the key of this folder cannot be read: {}", refusal.words);
            (true, "device_key", says)
        }
    };
    Some(HealthLine {
        broken,
        code: code.to_owned(),
        record: None,
        says,
    })
}

impl Work for CheckWork {
    type Answer = HealthReport;

    fn next(&self) -> Next {
        match &self.stage {
            Stage::Begun => Next::Turn,
            Stage::Lending(_) => Next::Beside,
            Stage::Rows(_) | Stage::Documents(..) if self.reader.is_some() => Next::Beside,
            Stage::Rows(_) | Stage::Documents(..) => Next::Turn,
            Stage::Done => Next::Nothing,
        }
    }

    fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal> {
        if matches!(self.stage, Stage::Begun) {
            self.written = notebook.store.written()?;
            self.stage = Stage::Lending(Box::new(notebook.beside()));
            return Ok(());
        }
        let written = notebook.store.written()?;
        if written != self.written {
            self.written = written;
            self.found.clear();
            self.stage = Self::rows();
        }
        self.step(notebook, rows);
        Ok(())
    }

    fn beside(&mut self, rows: u32) -> Result<(), Refusal> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Done) {
            Stage::Lending(beside) => {
                // Where the database cannot be read a second time it is read in turns, and the check tells what is wrong with it.
                self.reader = beside.open().ok().flatten().map(Box::new);
                self.stage = Self::rows();
                return Ok(());
            }
            other => other,
        };
        if let Some(mut reader) = self.reader.take() {
            self.step(&mut reader, rows);
            self.reader = Some(reader);
        }
        Ok(())
    }

    fn progress(&self) -> Progress {
        match &self.stage {
            Stage::Begun | Stage::Lending(_) | Stage::Done => Progress {
                what: "the database",
                ..Progress::default()
            },
            Stage::Rows(checking) => {
                let (what, done, of) = checking.stands();
                Progress { what, done, of }
            }
            Stage::Documents(_, comparing) => comparing
                .as_ref()
                .map_or_else(Progress::default, |one| one.progress()),
        }
    }

    fn answer(self) -> Result<HealthReport, Refusal> {
        let mut found = self.found;
        found.sort_by_key(|line| !line.broken);
        Ok(HealthReport {
            sound: !found.iter().any(|line| line.broken),
            found,
        })
    }
}
