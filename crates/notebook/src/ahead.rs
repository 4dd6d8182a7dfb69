//! A document that is opened before anybody wants it, beside the notebook that goes on answering: what it is opened from is taken in one
//! turn, it is opened outside of any, and handed back in another. What was written meanwhile is never lost by it: then it is given up.

use record::{Id, Record, Seat, Written};

use crate::notebook::Notebook;
use crate::pending::Pending;
use crate::refusal::Refusal;

/// What a document is opened from.
#[derive(Debug)]
pub struct Ahead {
    record: Id,
    /// The newest change of the log that it was taken from.
    last: u32,
    snapshot: Option<Vec<u8>>,
    log: Vec<Vec<u8>>,
    seat: Seat,
}

/// A document that was opened beside the notebook, with its points.
pub struct ReadAhead {
    pending: Pending,
    last: u32,
}

impl ReadAhead {
    /// A document that was opened from a log with so many changes.
    pub(crate) fn of(pending: Pending, last: u32) -> Self {
        Self { pending, last }
    }

    /// What its entries read.
    pub(crate) fn view(&self) -> &record::View {
        self.pending.record().view()
    }
}

impl std::fmt::Debug for ReadAhead {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ReadAhead")
            .field("last", &self.last)
            .finish_non_exhaustive()
    }
}

impl Ahead {
    /// Opens it; nothing where it cannot be opened from the newest snapshot: whoever wants the document then is told why.
    #[must_use]
    pub fn read(self) -> Option<ReadAhead> {
        let document = Record::open(self.snapshot.as_deref(), &self.log, self.seat).ok()?;
        Some(ReadAhead {
            pending: Pending::begun(&self.record, document, Written::default()),
            last: self.last,
        })
    }
}

impl Notebook {
    /// What the document of the record that is shown is opened from; nothing where it is open, or there is none.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn ahead(&mut self) -> Result<Option<Ahead>, Refusal> {
        if self.store.device()?.is_none() || self.store.records()?.is_empty() {
            return Ok(None);
        }
        let record = self.which(None)?.id;
        if self.opened.contains_key(&record) {
            return Ok(None);
        }
        let device = self.device()?.id;
        let seat = self.seat(&device).unwrap_or_else(|_| self.nowhere());
        let loaded = self.store.load_below(&record, u32::MAX)?;
        Ok(Some(Ahead {
            last: loaded.last,
            record,
            snapshot: loaded.snapshot,
            log: loaded.log,
            seat,
        }))
    }

    /// Keeps a document open that was opened beside; says whether it did. Where one was opened or something was written meanwhile,
    /// that stays as it is.
    ///
    /// # Errors
    /// Where what the log lacks of it cannot be put there.
    pub fn opened_ahead(&mut self, read: ReadAhead) -> Result<bool, Refusal> {
        let record = &read.pending.id;
        if self.opened.contains_key(record) || self.store.last(record)? != read.last {
            return Ok(false);
        }
        self.open_whole(read.pending)?;
        Ok(true)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use record::Moment;
    use serde_json::json;

    use crate::notebook::Notebook;
    use crate::source::Source;

    struct Counted(u64);

    impl Source for Counted {
        fn now(&mut self) -> Moment {
            self.0 += 1;
            Moment::from_seconds(1_930_000_000 + i64::try_from(self.0).unwrap())
        }

        fn random(&mut self) -> [u8; 16] {
            self.0 += 1;
            u128::from(self.0)
                .wrapping_mul(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c834)
                .to_le_bytes()
        }
    }

    fn note(notebook: &mut Notebook, text: &str) {
        let args = json!({ "day": "2031-04-02", "text": text });
        notebook.call(None, "note", args).unwrap();
    }

    #[test]
    fn a_document_that_was_opened_beside_is_kept_unless_something_was_written_meanwhile() {
        let mut notebook = Notebook::in_memory(Box::new(Counted(0))).unwrap();
        assert!(notebook.ahead().unwrap().is_none(), "there is no car yet");
        let line = notebook.start_record("Tern", "Rosalind", None).unwrap();
        note(&mut notebook, "Drained the gearbox.");
        let digest = notebook.digest(&line.id).unwrap();
        notebook.forget(&line.id);

        let read = notebook.ahead().unwrap().unwrap().read().unwrap();
        assert!(notebook.opened_ahead(read).unwrap());
        assert!(notebook.ahead().unwrap().is_none(), "it is open");
        assert_eq!(notebook.digest(&line.id).unwrap(), digest);

        notebook.forget(&line.id);
        let late = notebook.ahead().unwrap().unwrap().read().unwrap();
        note(&mut notebook, "And filled it.");
        let now = notebook.digest(&line.id).unwrap();
        assert!(!notebook.opened_ahead(late).unwrap());
        notebook.forget(&line.id);
        assert_eq!(notebook.digest(&line.id).unwrap(), now);
    }
}
