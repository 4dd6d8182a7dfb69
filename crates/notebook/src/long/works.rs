//! The long work that goes on in a notebook: begun by the command that it is, told of to the watchers, and stopped by its number. It
//! steps nothing itself.

use std::collections::BTreeMap;

use record::Id;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::{Long, Stepped, Work};
use crate::command::{CarryOutFile, CarrySizeOf, Check, Command, Rebuild};
use crate::wire::{Patch, Underway};
use crate::{Notebook, Refusal};

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
