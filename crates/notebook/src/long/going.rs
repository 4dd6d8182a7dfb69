//! What long work goes on, by its number: under which name it was begun, what was told of it, whether somebody asked for its end. The work
//! itself is not in here.

use std::collections::BTreeMap;

use record::Id;

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
    /// Whether somebody may ask for its end.
    pub(crate) can_be_stopped: bool,
}

#[derive(Debug)]
struct Going {
    named: NamedWork,
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
            name: going.named.name.to_owned(),
            says: going.says.clone(),
            can_be_stopped: going.named.can_be_stopped,
            over: false,
        };
        let told = self.going.iter().filter(|(_, going)| !going.named.quiet);
        told.map(line).collect()
    }

    /// Asks for an end; whether anything of that number goes on.
    pub(crate) fn stop(&mut self, number: u32) -> bool {
        let going = self.going.get_mut(&number);
        going
            .filter(|going| going.named.can_be_stopped)
            .map(|going| going.stopped = true)
            .is_some()
    }

    /// Whether work of that name may begin: a file, or the same rows, are written by one.
    pub(super) fn may_begin(&self, named: NamedWork) -> Result<(), Refusal> {
        if !named.quiet && self.going.values().any(|going| going.named.name == named.name) {
            let words = "this is being done already: wait for its end, or stop it";
            return Err(Refusal::input("under_way", words));
        }
        Ok(())
    }

    /// Work begins; the number that it goes by.
    pub(super) fn begin(&mut self, named: NamedWork, record: &Id, says: String) -> u32 {
        self.last = self.last.wrapping_add(1);
        let going = Going {
            named,
            record: record.clone(),
            says,
            told: false,
            stopped: false,
        };
        self.going.insert(self.last, going);
        self.last
    }

    /// Whether nobody asked for its end.
    pub(super) fn goes_on(&self, number: u32) -> bool {
        let going = self.going.get(&number);
        going.is_some_and(|going| !going.stopped)
    }

    /// It is over: by this number nothing is stopped any more.
    pub(super) fn end(&mut self, number: u32) {
        self.going.remove(&number);
    }

    /// What is told of how far it is, where anybody is told.
    pub(super) fn tell(&mut self, number: u32, says: String, over: bool) -> Option<Patch> {
        let going = self.going.get_mut(&number)?;
        // What was over at once is no news.
        if going.named.quiet || (over && !going.told) {
            return None;
        }
        going.told = true;
        going.says.clone_from(&says);
        Some(Patch {
            record: going.record.clone(),
            touched: Vec::new(),
            marks: Vec::new(),
            points: false,
            underway: Some(Underway {
                number,
                name: going.named.name.to_owned(),
                says,
                can_be_stopped: going.named.can_be_stopped,
                over,
            }),
        })
    }
}
