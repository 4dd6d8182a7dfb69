//! What a face asks of the notebook: a command or a query, answered in turns, long work in steps.

use notebook::wire::Answered;
use notebook::{Notebook, Progress, Refusal};
use serde_json::Value;

use crate::handle::Handle;
use crate::long;

impl Handle {
    /// As [`Notebook::call`]; the photos of a carry file are looked at outside of it, and long work is done in steps, between which
    /// others are served.
    ///
    /// # Errors
    /// A [`Refusal`] that says what was not done and why.
    pub fn call(&self, record: Option<&str>, name: &str, args: Value) -> Result<Value, Refusal> {
        self.call_telling(record, name, args, &mut |_| true)
    }

    /// As [`call`](Self::call), with what the answer was made of.
    ///
    /// # Errors
    /// As [`call`](Self::call).
    pub fn answer(&self, record: Option<&str>, name: &str, args: Value) -> Result<Answered, Refusal> {
        self.answer_telling(record, name, args, &mut |_| true)
    }

    /// As [`call`](Self::call), and says now and then how far long work is, until it answers that it is to be stopped.
    ///
    /// # Errors
    /// As [`call`](Self::call), and `stopped`.
    pub fn call_telling(
        &self,
        record: Option<&str>,
        name: &str,
        args: Value,
        told: &mut dyn FnMut(&Progress) -> bool,
    ) -> Result<Value, Refusal> {
        self.answer_telling(record, name, args, told)
            .map(|answer| answer.reply)
    }

    fn answer_telling(
        &self,
        record: Option<&str>,
        name: &str,
        args: Value,
        told: &mut dyn FnMut(&Progress) -> bool,
    ) -> Result<Answered, Refusal> {
        let answer = match self.with(|notebook| notebook.long(record, name, &args)) {
            Some(long) => long::to_its_end(self, long?, told).map(Answered::once),
            None => Notebook::answer_in_turns(self, record, name, args),
        };
        if answer.is_ok() {
            self.answered();
        }
        answer
    }
}
