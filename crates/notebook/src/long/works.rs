//! Long work of a notebook: begun under a name, told of to the watchers, and stopped by its number. It steps nothing
//! itself.

use record::Id;

use super::going::NamedWork;
use super::{Long, Stepped, Work};
use crate::notebook::Notebook;
use crate::refusal::Refusal;

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
        self.works.may_begin(named)?;
        let work: Box<dyn Stepped> = Box::new(work(record));
        let number = self.works.begin(named, record, work.progress().says());
        Ok(Long { number, work })
    }

    /// Tells the watchers how far long work is.
    pub fn tell_how_far(&mut self, long: &Long) {
        self.tell_of(long.number, long.progress().says(), false);
    }

    /// Whether nobody asked for the end of long work.
    #[must_use]
    pub fn long_goes_on(&self, long: &Long) -> bool {
        self.works.goes_on(long.number)
    }

    /// Long work is over, however it ended: by this number nothing is stopped any more.
    pub fn long_is_over(&mut self, number: u32) {
        self.tell_of(number, String::new(), true);
        self.works.end(number);
    }

    fn tell_of(&mut self, number: u32, says: String, over: bool) {
        if let Some(patch) = self.works.tell(number, says, over) {
            self.tell(&patch);
        }
    }
}
