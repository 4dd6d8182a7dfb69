//! The long work that goes on in a notebook: begun under a name, told of to the watchers, and stopped by its number. It
//! steps nothing itself.

use std::collections::BTreeMap;

use record::Id;

use super::{Long, Stepped, Work};
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::{Patch, Underway};

/// The long work that goes on, by its number.
#[derive(Debug, Default)]
pub(crate) struct Works {
    last: u32,
    going: BTreeMap<u32, Going>,
}

/// What long work is called, and whether it is work that is shown.
#[derive(Clone, Copy, Debug)]
pub(crate) struct NamedWork {
    pub(crate) name: &'static str,
    /// Whether nobody is told of it. It writes nothing then, and two of it may go on at once.
    pub(crate) quiet: bool,
}

#[derive(Debug)]
struct Going {
    name: &'static str,
    quiet: bool,
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
        let told = self.going.iter().filter(|(_, going)| !going.quiet);
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
    /// Begins long work about a record.
    pub(crate) fn begun<W: Work>(
        &mut self,
        named: NamedWork,
        record: &Id,
        work: impl FnOnce(&Id) -> W,
    ) -> Result<Long, Refusal> {
        let NamedWork { name, quiet } = named;
        // A file, or the same rows, are written by one.
        if !quiet && self.works.going.values().any(|going| going.name == name) {
            let words = "this is being done already: wait for its end, or stop it";
            return Err(Refusal::input("under_way", words));
        }
        let work: Box<dyn Stepped> = Box::new(work(record));
        self.works.last = self.works.last.wrapping_add(1);
        let number = self.works.last;
        let going = Going {
            name,
            quiet,
            record: record.clone(),
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
        // What was over at once is no news.
        if going.quiet || (over && !going.told) {
            return;
        }
        going.told = true;
        going.says.clone_from(&says);
        let patch = Patch {
            record: going.record.clone(),
            touched: Vec::new(),
            marks: Vec::new(),
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
