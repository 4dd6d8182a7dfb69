//! Opening a record's document from the disk: from the newest snapshot that serves and the log after it, with what an
//! earlier program left out of the log put into it. It never gives up a snapshot or a change, whatever is wrong with it.

use record::{BadRecord, Id, Record, Seat, Written};
use store::{Batch, Store};

use crate::notebook::Notebook;
use crate::opened::Opened;
use crate::pending::Pending;
use crate::refusal::Refusal;

/// Reads a document from the newest snapshot that gives one, and the log after it. With it comes what is wrong with the newer ones.
pub(crate) fn read_from(store: &Store, record: &Id, seat: Seat) -> Result<(Record, Vec<String>), Refusal> {
    let (mut below, mut passed_over, mut first) = (u32::MAX, Vec::new(), None);
    loop {
        let bad = match store.load_below(record, below) {
            Ok(loaded) => match Record::open(loaded.snapshot.as_deref(), &loaded.log, seat) {
                Ok(document) => return Ok((document, passed_over)),
                // A newer program's is whole, and an older state of it would be no better.
                Err(bad @ BadRecord::Newer { .. }) => return Err(bad.into()),
                Err(bad) if loaded.upto > 0 => {
                    below = loaded.upto;
                    passed_over.push(format!(
                        "the snapshot up to change {below} gives no document ({bad}). The one before it and the log \
                         are used in its place"
                    ));
                    first.get_or_insert_with(|| bad.into());
                    continue;
                }
                Err(bad) => bad.into(),
            },
            Err(bad) => bad.into(),
        };
        // What was wrong with the newest tells more than that the log alone does not reach back so far.
        return Err(first.unwrap_or(bad));
    }
}

impl Notebook {
    /// The document, loaded when first needed.
    pub(crate) fn document(&mut self, record: &Id) -> Result<&mut Opened, Refusal> {
        if !self.opened.contains_key(record) {
            let (document, _) = self.read_document(record)?;
            self.open_whole(Pending::begun(record, document, Written::default()))?;
        }
        let opened = self.opened.get_mut(record);
        opened.ok_or_else(|| Refusal::failed("document", "the document could not be kept open"))
    }

    /// Reads a document from the newest snapshot that gives one, and the log after it. With it comes what is wrong with
    /// the newer ones, for whoever asks.
    pub(crate) fn read_document(&mut self, record: &Id) -> Result<(Record, Vec<String>), Refusal> {
        let device = self.device()?.id;
        // A device whose id was damaged reads all the same; as a device that the record does not know nothing is written.
        let seat = self.seat(&device).unwrap_or_else(|_| self.nowhere());
        read_from(&self.store, record, seat)
    }

    /// Keeps a document open that was opened from the log. A laying that it has and the log lacks goes into the log first.
    pub(crate) fn open_whole(&mut self, mut pending: Pending) -> Result<(), Refusal> {
        let record = &pending.id.clone();
        let document = &mut pending.opened.record;
        document.know_refused(self.refused_before(record)?);
        // The fixed beginning is in every document and in no log.
        let all = u32::try_from(document.count()).unwrap_or(u32::MAX);
        if all > self.store.last(record)?.saturating_add(1) && self.may_write().is_ok() {
            let logged = self.store.hashes(record)?;
            pending.written = document.unlogged(|id| logged.contains(id));
        }
        if pending.written.changes.is_empty() {
            self.opened.insert(record.clone(), pending.opened);
            // Its own view serves from now on.
            self.shelves.remove(record);
            Ok(())
        } else {
            self.enter(pending, &Batch::default()).map(drop)
        }
    }
}
