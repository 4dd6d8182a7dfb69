//! Writing: an edit, or what a meeting made, goes into the document, onto the disk and out to the watchers, in one transaction. It never
//! judges what is right for a record.

use record::edit::EditError;
use record::entities::Car;
use record::{BadRecord, Edit, Entry, Id, Ref, Written};
use store::{Batch, RecordRow, Signature, StoreError};

use crate::marks;
use crate::notebook::Notebook;
use crate::opened::point_rows;
use crate::pending::Pending;
use crate::refusal::Refusal;
use crate::source::Fresh;
use crate::wire::Patch;

impl Notebook {
    /// Takes a document out of the notebook to be changed.
    pub(crate) fn pending(&mut self, record: &Id) -> Result<Pending, Refusal> {
        self.document(record)?;
        let opened = self.take_opened(record)?;
        Ok(Pending {
            id: record.clone(),
            opened,
            written: Written::default(),
        })
    }

    /// Does an edit: one change, one transaction, one patch.
    pub(crate) fn write(&mut self, record: &Id, edit: &Edit) -> Result<(), Refusal> {
        self.may_write()?;
        let now = self.now();
        let row = self.store.record(record)?;
        let mut pending = self.pending(record)?;
        if let Err(stranger) = self.knows_itself(&row, pending.record().view()) {
            self.opened.insert(record.clone(), pending.opened);
            return Err(stranger);
        }
        let mut ids = Fresh {
            source: self.source.as_mut(),
            now,
        };
        match pending.edit(edit, now, &mut ids) {
            Ok(()) => self.keep(pending, &Batch::default()).map(drop),
            Err(refused) => {
                // Nothing was changed by it, and opening a long record anew takes its time.
                let unchanged = [
                    matches!(refused, EditError::Refused(_)),
                    matches!(
                        refused,
                        EditError::Broken(BadRecord::TooMuchAtOnce | BadRecord::UsedUp)
                    ),
                ];
                if unchanged.contains(&true) {
                    self.opened.insert(record.clone(), pending.opened);
                }
                Err(refused.into())
            }
        }
    }

    /// Whether anything may be written in this folder now.
    ///
    /// # Errors
    /// Why not: a newer program's, or its keeper has yet to say which device it is.
    pub fn may_write(&self) -> Result<(), Refusal> {
        match self.store.newer() {
            Some(found) => Err(StoreError::Newer { found, known: 0 }.into()).map_err(|mut refusal: Refusal| {
                refusal.words = format!(
                    "this folder is of version {found}, newer than this program; it can be read here and was left as it is"
                );
                refusal
            }),
            None => self.is_itself(),
        }
    }

    /// Puts what an edit or a meeting made onto the disk, with whatever else belongs to it, and tells the watchers.
    /// When the disk refuses, the document in memory is given up: it holds what was not kept.
    pub(crate) fn keep(&mut self, pending: Pending, with: &Batch<'_>) -> Result<Written, Refusal> {
        let record = pending.id.clone();
        let written = self.enter(pending, with)?;
        // What was asked is on the disk. A snapshot that could not be made is made some changes later, and a check tells of
        // whatever stands in its way.
        let _ = self.compact_if_due(&record);
        Ok(written)
    }

    /// As [`keep`](Self::keep), where a long log can wait until there is time for it.
    pub(crate) fn enter(&mut self, pending: Pending, with: &Batch<'_>) -> Result<Written, Refusal> {
        let Pending {
            id: record,
            mut opened,
            written,
        } = pending;
        let own = self.own_signature(&record, with.device.map(|this| &this.id), &written)?;
        let own_key: Option<(Id, String)> = own.as_ref().map(|own| (own.device.clone(), own.key.clone()));
        let signatures: Vec<Signature> = with.signatures.iter().cloned().chain(own).collect();
        let keys: Vec<(Id, String)> = with.keys.iter().cloned().chain(own_key).collect();
        let entries = opened.record.entries_of(&written.touched);
        let blank = opened.record.blank_of(&written.touched);
        let (view, ledger) = (opened.record.view(), opened.record.ledger());
        let differ = opened.points.refresh(view, ledger, &written.touched) || !opened.points_kept;
        let rows = match differ {
            true => Some(point_rows(&opened.points.list(view, ledger))?),
            false => None,
        };
        let name = opened
            .record
            .view()
            .one::<Car>(&Id::car())
            .and_then(|car| car.name())
            .map(str::to_owned);
        let mut row = None;
        if with.begin.is_none()
            && let Some(name) = name
        {
            let was = self.store.record(&record)?;
            row = (was.car != name).then_some(RecordRow { car: name, ..was });
        }
        let was = match with.came {
            Some(_) => self.was(&record, &entries)?,
            None => Vec::new(),
        };
        let batch = Batch {
            was: &was,
            row: row.as_ref().or(with.row),
            changes: &written.changes,
            entries: &entries,
            blank: &blank,
            points: rows.as_deref(),
            signatures: &signatures,
            keys: &keys,
            ..*with
        };
        if let Err(error) = self.store.commit(&record, &batch) {
            self.shelves.remove(&record);
            return Err(error.into());
        }
        opened.points_kept = true;
        let touched: Vec<Ref> = entries
            .iter()
            .map(Entry::name)
            .chain(blank.iter().cloned())
            .collect();
        let marks = marks::changed(opened.record.view(), &touched, differ);
        if differ {
            self.to_settle.remove(&record);
        }
        self.opened.insert(record.clone(), opened);
        if let Some(shelf) = self.shelves.get_mut(&record) {
            shelf.put(&entries);
            shelf.take_away(&blank);
        }
        self.tell(&Patch {
            record,
            touched,
            marks,
            points: differ,
            underway: None,
        });
        self.look_for_twin(&written)?;
        Ok(written)
    }
}
