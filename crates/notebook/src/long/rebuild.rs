//! The derived rows of a record made anew in steps: its document is read from the disk beside the notebook, and each turn makes some
//! rows, in one transaction. What is written between two turns stays: it makes its own rows as ever. Stopped half-way, what was not
//! come to reads as before. The log and the snapshots are never written here.

use record::{Entry, Id, Logged, Ref, Seat, Written};
use store::{Lent, Rebuilding, Store};

use super::{Next, Progress, Work};
use crate::ahead::ReadAhead;
use crate::notebook::Notebook;
use crate::opened::point_rows;
use crate::opening::read_from;
use crate::pending::Pending;
use crate::refusal::Refusal;
use crate::wire::RebuildReport;

/// A rebuild that goes on.
pub(crate) struct RebuildWork {
    record: Id,
    /// Whether the folder's own rows are held against the record too.
    own_rows: bool,
    own: bool,
    stage: Stage,
    report: Option<RebuildReport>,
}

enum Stage {
    Begun,
    Opening(Lent, Seat),
    /// No reader can be lent: the document is read in a turn.
    OpeningInTurn(Seat),
    Read(Box<Read>),
    Changes(Box<Making>),
    Entries(Box<Making>),
    Leftovers(Box<Making>),
    End(Box<Making>),
    Done,
}

/// The document as it is on the disk, and what its changes touched.
struct Read {
    ahead: ReadAhead,
    making: Making,
}

struct Making {
    rows: Vec<Logged>,
    names: Vec<Ref>,
    done: usize,
    at: Rebuilding,
}

impl RebuildWork {
    /// Of a record's derived rows, and of what the folder says of itself by the record.
    pub(crate) fn of(record: &Id) -> Self {
        Self {
            own_rows: true,
            ..Self::of_rows(record)
        }
    }

    /// Of its derived rows alone.
    pub(crate) fn of_rows(record: &Id) -> Self {
        Self {
            record: record.clone(),
            own_rows: false,
            own: false,
            stage: Stage::Begun,
            report: None,
        }
    }

    /// How many entries are done and of how many, once it is known.
    pub(crate) fn entries(&self) -> Option<(u64, u64)> {
        match &self.stage {
            Stage::Changes(making) => Some((0, making.names.len() as u64)),
            Stage::Entries(making) => Some((making.done as u64, making.names.len() as u64)),
            Stage::Leftovers(making) | Stage::End(making) => {
                Some((making.names.len() as u64, making.names.len() as u64))
            }
            _ => None,
        }
    }

    fn read(&self, store: &Store, seat: Seat) -> Result<Stage, Refusal> {
        let last = store.last(&self.record)?;
        let (mut document, _) = read_from(store, &self.record, seat)?;
        let rows = document.log_rows();
        let making = Making {
            // What is entered from now on makes its own rows.
            names: document.view().everything().map(Entry::name).collect(),
            at: store.rebuilding(&self.record, &rows, last)?,
            rows,
            done: 0,
        };
        let pending = Pending::begun(&self.record, document, Written::default());
        Ok(Stage::Read(Box::new(Read {
            ahead: ReadAhead::of(pending, last),
            making,
        })))
    }

    /// Hands the document that was read to the notebook, and begins to make the rows.
    fn begin(&mut self, notebook: &mut Notebook, read: Read) -> Result<Stage, Refusal> {
        let record = &self.record;
        // From the disk, whatever was in memory.
        notebook.forget(record);
        if self.own_rows {
            let row = notebook.store.record(record)?;
            self.own = notebook.put_right(&row, read.ahead.view())?;
        }
        // Where this folder took itself for another device it is opened once more, as the right one; where something was written
        // meanwhile, it is opened with that.
        if !self.own {
            notebook.opened_ahead(read.ahead)?;
        }
        Ok(Stage::Changes(Box::new(read.making)))
    }

    fn end(&mut self, notebook: &mut Notebook, mut making: Making) -> Result<(), Refusal> {
        let opened = notebook.document(&self.record)?;
        let points = opened.points.list(opened.record.view(), opened.record.ledger());
        notebook
            .store
            .rebuild_end(&mut making.at, &point_rows(&points)?)?;
        notebook.read_anew(&self.record);
        self.report = Some(RebuildReport {
            entries: making.at.rebuilt().entries,
            points: crate::page::count(&points),
            changed: self.own || making.at.changed(),
        });
        Ok(())
    }
}

/// The next stretch of so many things.
fn next_of<T>(all: &[T], done: usize, rows: u32) -> &[T] {
    let left = all.get(done..).unwrap_or_default();
    let most = usize::try_from(rows).unwrap_or(usize::MAX).min(left.len());
    left.get(..most).unwrap_or_default()
}

impl Making {
    /// The rows of so many changes; whether there are more.
    fn changes(&mut self, notebook: &mut Notebook, rows: u32) -> Result<bool, Refusal> {
        let some = next_of(&self.rows, self.done, rows);
        notebook.store.rebuild_changes(&mut self.at, some)?;
        self.done = self.done.saturating_add(some.len());
        Ok(self.done < self.rows.len())
    }

    /// The rows of so many entries, as they read now.
    fn entries(&mut self, notebook: &mut Notebook, record: &Id, rows: u32) -> Result<bool, Refusal> {
        let some = next_of(&self.names, self.done, rows);
        notebook.document(record)?;
        if let Some(opened) = notebook.opened.get(record) {
            let view = opened.record.view();
            // One that has nothing to read any more has no row since.
            let entries: Vec<&Entry> = some.iter().filter_map(|name| view.find(name)).collect();
            notebook.store.rebuild_entries(&mut self.at, &entries)?;
        }
        self.done = self.done.saturating_add(some.len());
        Ok(self.done < self.names.len())
    }

    /// Takes rows away that are no entry's; whether there are more to look at.
    fn leftovers(&mut self, notebook: &mut Notebook, record: &Id, rows: u32) -> Result<bool, Refusal> {
        notebook.document(record)?;
        let Some(opened) = notebook.opened.get(record) else {
            return Ok(false);
        };
        let view = opened.record.view();
        let is_entry = |name: &Ref| view.find(name).is_some();
        Ok(notebook.store.rebuild_leftovers(&mut self.at, is_entry, rows)?)
    }
}

impl Work for RebuildWork {
    type Answer = RebuildReport;

    fn next(&self) -> Next {
        match &self.stage {
            Stage::Opening(..) => Next::Beside,
            Stage::Done => Next::Nothing,
            _ => Next::Turn,
        }
    }

    fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Done) {
            Stage::Begun => {
                notebook.may_write()?;
                notebook.store.record(&self.record)?;
                let device = notebook.device()?.id;
                let seat = notebook.seat(&device).unwrap_or_else(|_| notebook.nowhere());
                Stage::Opening(notebook.store.lend(), seat)
            }
            Stage::OpeningInTurn(seat) => self.read(&notebook.store, seat)?,
            Stage::Read(read) => self.begin(notebook, *read)?,
            Stage::Changes(mut making) => {
                if making.changes(notebook, rows)? {
                    Stage::Changes(making)
                } else {
                    making.done = 0;
                    making.rows = Vec::new();
                    Stage::Entries(making)
                }
            }
            Stage::Entries(mut making) => match making.entries(notebook, &self.record, rows)? {
                true => Stage::Entries(making),
                false => Stage::Leftovers(making),
            },
            Stage::Leftovers(mut making) => match making.leftovers(notebook, &self.record, rows)? {
                true => Stage::Leftovers(making),
                false => Stage::End(making),
            },
            Stage::End(making) => {
                self.end(notebook, *making)?;
                Stage::Done
            }
            other => other,
        };
        Ok(())
    }

    fn beside(&mut self, _rows: u32) -> Result<(), Refusal> {
        if let Stage::Opening(files, seat) = &self.stage {
            let seat = *seat;
            self.stage = match files.reader() {
                Ok(Some(reader)) => self.read(&reader, seat)?,
                _ => Stage::OpeningInTurn(seat),
            };
        }
        Ok(())
    }

    fn progress(&self) -> Progress {
        let (what, done, of) = match &self.stage {
            Stage::Changes(making) => ("what was done", making.done, making.rows.len()),
            Stage::Entries(making) => ("entries", making.done, making.names.len()),
            Stage::Leftovers(_) | Stage::End(_) | Stage::Done => ("what is left over", 0, 0),
            _ => ("reading the record", 0, 0),
        };
        Progress {
            what,
            done: done as u64,
            of: of as u64,
        }
    }

    fn answer(self) -> Result<RebuildReport, Refusal> {
        let unfinished = || Refusal::failed("rebuild", "the read tables were not made to their end");
        self.report.ok_or_else(unfinished)
    }
}
