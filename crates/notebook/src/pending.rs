//! A document that is ahead of the log: it has changes that are not on the disk yet. It is out of the notebook for as
//! long, and comes back with them only when the log has them. Dropped before, by a refusal, by an early return or by a
//! panic, it is given up, and the next question opens the document from the log. What it holds is never put onto the disk
//! here: the notebook's `enter` does that.

use record::edit::EditError;
use record::rules::FoundPoints;
use record::{Edit, Id, Ids, Moment, Record, Written};

use crate::opened::Opened;

/// A document with changes that are not in the log yet.
#[must_use = "changes that are not kept are rolled back when this is dropped"]
pub(crate) struct Pending {
    pub(crate) id: Id,
    pub(crate) opened: Opened,
    pub(crate) written: Written,
}

impl Pending {
    /// A record that begins here, with the changes it was begun with.
    pub(crate) fn begun(id: &Id, record: Record, written: Written) -> Self {
        let points = FoundPoints::of(record.view(), record.ledger());
        Self {
            id: id.clone(),
            opened: Opened {
                record,
                points,
                points_kept: false,
                signed: false,
            },
            written,
        }
    }

    /// The record with the changes in it.
    pub(crate) fn record(&self) -> &Record {
        &self.opened.record
    }

    /// Does an edit. Refused as not right for the record, it changed nothing.
    pub(crate) fn edit(&mut self, edit: &Edit, now: Moment, ids: &mut dyn Ids) -> Result<(), EditError> {
        let more = self.opened.record.edit(edit, now, ids)?;
        append(&mut self.written, more);
        Ok(())
    }
}

/// Adds what a further edit wrote.
pub(crate) fn append(written: &mut Written, more: Written) {
    written.changes.extend(more.changes);
    written.refused.extend(more.refused);
    for (name, fields) in more.touched {
        written.touched.entry(name).or_default().extend(fields);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

    use std::panic::{AssertUnwindSafe, catch_unwind};

    use super::*;
    use crate::notebook::Notebook;
    use crate::source::Source;

    struct Counted(u64);

    impl Source for Counted {
        fn now(&mut self) -> Moment {
            Moment::from_seconds(1_930_000_000)
        }

        fn random(&mut self) -> [u8; 16] {
            self.0 += 1;
            u128::from(self.0)
                .wrapping_mul(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c834)
                .to_le_bytes()
        }
    }

    struct Fixed;

    impl Ids for Fixed {
        fn fresh(&mut self) -> uuid::Uuid {
            uuid::Uuid::from_u128(1)
        }
    }

    #[test]
    fn what_is_pending_rolls_back_when_it_is_dropped_by_a_panic_too() {
        let mut notebook = Notebook::in_memory(Box::new(Counted(0))).unwrap();
        let line = notebook.start_record("Tern", "Rosalind", None).unwrap();
        let before = notebook.document(&line.id).unwrap().record.digest();
        let edit = Edit::Note {
            day: "2031-04-02".parse().unwrap(),
            keeper: line.keeper.clone(),
            text: "Drained the gearbox.".to_owned(),
        };
        let now = Moment::from_seconds(1_930_000_000);
        let mut pending = notebook.pending(&line.id).unwrap();
        pending.edit(&edit, now, &mut Fixed).unwrap();
        assert_eq!(pending.written.changes.len(), 2, "a month and a note");
        drop(pending);
        assert_eq!(notebook.document(&line.id).unwrap().record.digest(), before);
        let fell = catch_unwind(AssertUnwindSafe(|| {
            let mut pending = notebook.pending(&line.id).unwrap();
            pending.edit(&edit, now, &mut Fixed).unwrap();
            panic!("in the middle of it");
        }));
        assert!(fell.is_err());
        assert_eq!(notebook.document(&line.id).unwrap().record.digest(), before);
        // And what comes after stands on the log alone.
        notebook.write(&line.id, &edit).unwrap();
        let after = notebook.document(&line.id).unwrap().record.digest();
        notebook.forget(&line.id);
        assert_eq!(notebook.document(&line.id).unwrap().record.digest(), after);
    }
}
