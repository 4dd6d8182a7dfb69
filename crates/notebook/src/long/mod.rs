//! Long work as a value that is stepped: a check, the derived rows made anew, a carry file on its way out. Whoever has one asks for
//! one step after the other, each with a number of rows that it may go over, and does what it likes between two of them: answers
//! pages, writes, tells how far it is, or drops it, which stops it. It holds no clock: how much a step may do is said by whoever
//! steps it. Nothing it reads is of two moments, and nothing of a file is left where it is stopped.

mod beside;
pub(crate) mod carry;
pub(crate) mod catching_up;
pub(crate) mod check;
mod going;
mod lookout;
mod moment;
mod out;
mod packed;
pub(crate) mod rebuild;
pub(crate) mod size;
mod works;
mod writing;

pub(crate) use going::{NamedWork, Works};
pub(crate) use lookout::Lookout;
use serde::Serialize;
use serde_json::Value;
pub use works::stopped;

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::reply::json;

/// What long work wants next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// A turn with the notebook.
    Turn,
    /// A step that needs no notebook, and may wait for a slow disk.
    Beside,
    /// Nothing: it is done.
    Nothing,
}

/// How far long work is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// What it goes over now.
    pub what: &'static str,
    /// How many of it are done.
    pub done: u64,
    /// Of how many; nought where nobody counts them.
    pub of: u64,
}

impl Progress {
    /// The same as a sentence says it.
    #[must_use]
    pub fn says(&self) -> String {
        match self.of {
            0 => self.what.to_owned(),
            of => format!("{}: {} of {of}", self.what, self.done.min(of)),
        }
    }
}

/// One kind of long work.
pub(crate) trait Work: Send + 'static {
    /// What it comes to.
    type Answer: Serialize;
    /// What it wants next.
    fn next(&self) -> Next;
    /// A step with the notebook, over so many rows.
    fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal>;
    /// A step without it.
    fn beside(&mut self, rows: u32) -> Result<(), Refusal>;
    /// How far it is.
    fn progress(&self) -> Progress;
    /// Whether it can be stopped before its next step with nothing left of it.
    fn can_be_stopped(&self) -> bool {
        true
    }
    /// What came of it, once it wants nothing more.
    fn answer(self) -> Result<Self::Answer, Refusal>;
}

/// All of it at once, for whoever waits for it anyhow.
pub(crate) fn at_once<W: Work>(notebook: &mut Notebook, mut work: W) -> Result<W::Answer, Refusal> {
    loop {
        match work.next() {
            Next::Turn => work.turn(notebook, u32::MAX)?,
            Next::Beside => work.beside(u32::MAX)?,
            Next::Nothing => return work.answer(),
        }
    }
}

/// The same, with an answer as it crosses.
trait Stepped: Send {
    fn next(&self) -> Next;
    fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal>;
    fn beside(&mut self, rows: u32) -> Result<(), Refusal>;
    fn progress(&self) -> Progress;
    fn can_be_stopped(&self) -> bool;
    fn answer(self: Box<Self>) -> Result<Value, Refusal>;
}

impl<W: Work> Stepped for W {
    fn next(&self) -> Next {
        Work::next(self)
    }

    fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal> {
        Work::turn(self, notebook, rows)
    }

    fn beside(&mut self, rows: u32) -> Result<(), Refusal> {
        Work::beside(self, rows)
    }

    fn progress(&self) -> Progress {
        Work::progress(self)
    }

    fn can_be_stopped(&self) -> bool {
        Work::can_be_stopped(self)
    }

    fn answer(self: Box<Self>) -> Result<Value, Refusal> {
        json(&Work::answer(*self)?)
    }
}

/// Long work that was begun.
pub struct Long {
    number: u32,
    work: Box<dyn Stepped>,
}

impl std::fmt::Debug for Long {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Long")
            .field("number", &self.number)
            .finish_non_exhaustive()
    }
}

impl Long {
    /// What it wants next.
    #[must_use]
    pub fn next(&self) -> Next {
        self.work.next()
    }

    /// A step with the notebook. A row, an entry, a change or four thousand bytes count as one.
    ///
    /// # Errors
    /// Why it cannot go on: it is over then.
    pub fn turn(&mut self, notebook: &mut Notebook, rows: u32) -> Result<(), Refusal> {
        self.work.turn(notebook, rows.max(1))
    }

    /// A step without it.
    ///
    /// # Errors
    /// As [`turn`](Self::turn).
    pub fn beside(&mut self, rows: u32) -> Result<(), Refusal> {
        self.work.beside(rows.max(1))
    }

    /// How far it is.
    #[must_use]
    pub fn progress(&self) -> Progress {
        self.work.progress()
    }

    /// Whether it can be stopped before its next step.
    #[must_use]
    pub fn can_be_stopped(&self) -> bool {
        self.next() != Next::Nothing && self.work.can_be_stopped()
    }

    /// The number by which it is stopped.
    #[must_use]
    pub fn number(&self) -> u32 {
        self.number
    }

    /// What came of it.
    ///
    /// # Errors
    /// Where it is not done.
    pub fn answer(self) -> Result<Value, Refusal> {
        self.work.answer()
    }
}
