//! Long work as a value that is stepped: a check, the derived rows made anew, a carry file on its way out. Whoever has one asks for
//! one step after the other, each with a number of rows that it may go over, and does what it likes between two of them: answers
//! pages, writes, tells how far it is, or drops it, which stops it. It holds no clock: how much a step may do is said by whoever
//! steps it. Nothing it reads is of two moments, and nothing of a file is left where it is stopped.

mod beside;
pub(crate) mod carry;
pub(crate) mod check;
mod lookout;
mod moment;
mod out;
mod packed;
pub(crate) mod rebuild;
pub(crate) mod size;
mod writing;

pub(crate) use lookout::Lookout;

use std::collections::BTreeMap;

use record::Id;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::command::{CarryOutFile, CarrySizeOf, Check, Command, Rebuild, json};
use crate::wire::{Patch, Underway};
use crate::{Notebook, Refusal};

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

/// Long work that was begun by a command.
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

/// The long work that goes on, by its number.
#[derive(Debug, Default)]
pub(crate) struct Works {
    last: u32,
    going: BTreeMap<u32, Going>,
}

#[derive(Debug)]
struct Going {
    name: &'static str,
    record: Id,
    says: String,
    /// Whether anybody was told of it.
    told: bool,
    stopped: bool,
}

impl Works {
    /// What goes on, in the order in which it began.
    pub(crate) fn lines(&self) -> Vec<Underway> {
        let line = |(number, going): (&u32, &Going)| Underway {
            number: *number,
            name: going.name.to_owned(),
            says: going.says.clone(),
            over: false,
        };
        let told = self
            .going
            .iter()
            .filter(|(_, going)| going.name != CarrySizeOf::NAME);
        told.map(line).collect()
    }

    /// Asks for an end; whether anything of that number goes on.
    pub(crate) fn stop(&mut self, number: u32) -> bool {
        let going = self.going.get_mut(&number);
        going.map(|going| going.stopped = true).is_some()
    }
}

/// What is said of work that was stopped.
#[must_use]
pub fn stopped() -> Refusal {
    Refusal::input(
        "stopped",
        "it was stopped before its end; no file is left, and nothing is lost by it",
    )
}

impl Notebook {
    /// Begins the long work that a command is; nothing where it is none, or where its arguments do not fit, which the registry
    /// refuses in words.
    pub fn long(&mut self, record: Option<&str>, name: &str, args: &Value) -> Option<Result<Long, Refusal>> {
        let args = if args.is_null() {
            &Value::Object(serde_json::Map::new())
        } else {
            args
        };
        match name {
            CarryOutFile::NAME => self.begin::<CarryOutFile, _>(record, args, CarryOutFile::long),
            CarrySizeOf::NAME => self.begin::<CarrySizeOf, _>(record, args, CarrySizeOf::long),
            Check::NAME => self.begin::<Check, _>(record, args, Check::long),
            Rebuild::NAME => self.begin::<Rebuild, _>(record, args, Rebuild::long),
            _ => None,
        }
    }

    fn begin<C: Command + DeserializeOwned, W: Work>(
        &mut self,
        named: Option<&str>,
        args: &Value,
        work: impl FnOnce(C, &Id) -> W,
    ) -> Option<Result<Long, Refusal>> {
        let command: C = serde_json::from_value(args.clone()).ok()?;
        Some(self.begun(named, C::NAME, |record| Box::new(work(command, record))))
    }

    fn begun(
        &mut self,
        named: Option<&str>,
        name: &'static str,
        work: impl FnOnce(&Id) -> Box<dyn Stepped>,
    ) -> Result<Long, Refusal> {
        let record = match self.which(named) {
            Ok(row) => row.id,
            // A check is of the folder, whichever cars it keeps.
            Err(_) if name == Check::NAME => Id::car(),
            Err(refusal) => return Err(refusal),
        };
        // Of a size two may be asked for at once; a file, or the same rows, are written by one.
        let twice = |going: &Going| going.name == name && name != CarrySizeOf::NAME;
        if self.works.going.values().any(twice) {
            let words = "this is being done already: wait for its end, or stop it";
            return Err(Refusal::input("under_way", words));
        }
        let work = work(&record);
        self.works.last = self.works.last.wrapping_add(1);
        let number = self.works.last;
        let going = Going {
            name,
            record,
            says: work.progress().says(),
            told: false,
            stopped: false,
        };
        self.works.going.insert(number, going);
        Ok(Long { number, work })
    }

    /// Tells the watchers how far long work is.
    pub fn tell_how_far(&mut self, long: &Long) {
        self.tell_of(long.number, long.progress().says(), false);
    }

    /// Whether nobody asked for the end of long work.
    #[must_use]
    pub fn long_goes_on(&self, long: &Long) -> bool {
        let going = self.works.going.get(&long.number);
        going.is_some_and(|going| !going.stopped)
    }

    /// Long work is over, however it ended: by this number nothing is stopped any more.
    pub fn long_is_over(&mut self, number: u32) {
        self.tell_of(number, String::new(), true);
        self.works.going.remove(&number);
    }

    fn tell_of(&mut self, number: u32, says: String, over: bool) {
        let Some(going) = self.works.going.get_mut(&number) else {
            return;
        };
        // A size is asked for by a form while it is filled in, which says so itself; and what was over at once is no news.
        if going.name == CarrySizeOf::NAME || (over && !going.told) {
            return;
        }
        going.told = true;
        going.says.clone_from(&says);
        let patch = Patch {
            record: going.record.clone(),
            touched: Vec::new(),
            points: false,
            underway: Some(Underway {
                number,
                name: going.name.to_owned(),
                says,
                over,
            }),
        };
        self.tell(&patch);
    }
}
