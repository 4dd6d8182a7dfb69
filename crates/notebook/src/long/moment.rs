//! A record as it is at one moment: a copy of its document where that is open, else opened from the disk, beside the notebook where
//! a reader can be lent, so that neither pages nor writing wait for it. Whatever is written meanwhile is of a later moment and not in it.

use std::collections::BTreeSet;

use record::{ChangeId, Id, Moment, PhotoHash, Record, Seat};
use store::{Lent, Peer, RecordRow, Signature, Store, ThisDevice};

use super::Next;
use crate::notebook::Notebook;
use crate::opening::read_from;
use crate::refusal::Refusal;

/// Of what a moment is taken.
#[derive(Clone)]
pub(super) struct Of {
    pub(super) record: Id,
    /// The device that a file is for.
    pub(super) to: Option<Id>,
    pub(super) this: ThisDevice,
    pub(super) seat: Seat,
    pub(super) now: Moment,
}

/// What a carry file is made of.
pub(super) struct RecordThen {
    pub(super) row: RecordRow,
    pub(super) this: ThisDevice,
    pub(super) now: Moment,
    pub(super) document: Record,
    /// What is known of the device that it is for.
    pub(super) peer: Option<Peer>,
    /// From which changes on that one was sent no photos.
    pub(super) left_out: Option<Vec<ChangeId>>,
    /// The photos that are here, and how many are not.
    pub(super) here: BTreeSet<PhotoHash>,
    pub(super) missing: usize,
    pub(super) signatures: Vec<Signature>,
}

impl RecordThen {
    /// Where nobody has it open, the document is opened in one piece: Automerge reads it in one call.
    pub(super) fn read(store: &Store, of: &Of, open: Option<Record>) -> Result<Self, Refusal> {
        let row = store.record(&of.record)?;
        let document = match open {
            Some(document) => document,
            None => read_from(store, &of.record, of.seat)?.0,
        };
        let (peer, left_out) = match &of.to {
            Some(to) => (
                store.peers(&row.id)?.into_iter().find(|peer| &peer.device == to),
                store.left_out(&row.id, to)?,
            ),
            None => (None, None),
        };
        Ok(Self {
            document,
            peer,
            left_out,
            here: store.photos_here(&row.id)?.into_iter().collect(),
            missing: store.photos_wanted(&row.id)?.len(),
            signatures: store.signatures(&row.id)?,
            row,
            this: of.this.clone(),
            now: of.now,
        })
    }

    /// The newest changes of this device that it did not sign yet.
    pub(super) fn unsigned(&self) -> Vec<ChangeId> {
        let signed: BTreeSet<&ChangeId> = self.signatures.iter().map(|one| &one.change).collect();
        let newest = self.document.newest_of(&self.this.id).into_iter();
        newest.filter(|change| !signed.contains(change)).collect()
    }
}

/// Reading a moment, for either kind of work.
pub(super) struct Taking {
    pub(super) of: Of,
    pub(super) files: Lent,
    /// The document, where the notebook has it open. What else is read for the moment is of this one or a later one: a signature or
    /// a photo more than the document tells of is asked for by nothing in it.
    open: Option<Record>,
    /// Whether no reader can be lent, so that it is read in a turn.
    in_a_turn: bool,
}

impl Taking {
    pub(super) fn begin(notebook: &mut Notebook, record: &Id, to: Option<&Id>) -> Result<Self, Refusal> {
        let this = notebook.device()?;
        Ok(Self {
            of: Of {
                record: record.clone(),
                to: to.cloned(),
                seat: notebook.seat(&this.id)?,
                this,
                now: notebook.now(),
            },
            files: notebook.store.lend(),
            open: notebook.opened.get(record).map(|opened| opened.record.copied()),
            in_a_turn: false,
        })
    }

    pub(super) fn next(&self) -> Next {
        if self.in_a_turn { Next::Turn } else { Next::Beside }
    }

    /// The moment, read in a turn.
    pub(super) fn turn(mut self, notebook: &Notebook) -> Result<(RecordThen, Lent), Refusal> {
        let moment = RecordThen::read(&notebook.store, &self.of, self.open.take())?;
        Ok((moment, self.files))
    }

    /// The moment; nothing where it is to be read in a turn.
    pub(super) fn beside(&mut self) -> Result<Option<RecordThen>, Refusal> {
        match self.files.reader()? {
            Some(reader) => RecordThen::read(&reader, &self.of, self.open.take()).map(Some),
            None => {
                self.in_a_turn = true;
                Ok(None)
            }
        }
    }
}
