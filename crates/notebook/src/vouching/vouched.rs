//! Who vouches for the changes of one entry, as its history tells. It opens no document and believes no new key.

use std::collections::BTreeMap;

use record::past::{Knew as _, Strands};
use record::{ChangeId, Id};
use store::{HistoryRow, Store};

use crate::refusal::Refusal;

/// Who vouches for the changes of an entry, as far as it is known before anybody asks who knew of what.
pub(crate) struct Vouched {
    this: Id,
    /// Changes up to this place in the log lay here before changes were signed.
    before: u32,
    /// The changes that a device signed, each with its place in the log.
    signed: BTreeMap<Id, Vec<(u32, ChangeId)>>,
}

impl Vouched {
    /// Of these changes of an entry.
    pub(crate) fn of(store: &Store, record: &Id, this: Id, rows: &[HistoryRow]) -> Result<Self, Refusal> {
        let mut signed = BTreeMap::new();
        for device in rows
            .iter()
            .filter_map(|row| row.device.as_ref())
            .filter(|device| **device != this)
        {
            if !signed.contains_key(device) {
                signed.insert(device.clone(), store.signed_by(record, device)?);
            }
        }
        Ok(Self {
            this,
            before: store.unsigned_before(record)?,
            signed,
        })
    }

    /// That nobody vouches that the device wrote a change in whose name it is, in words. What this device wrote, and what lay in a folder
    /// before changes were signed, is not told of.
    pub(crate) fn claimed(&self, past: &Strands, row: &HistoryRow) -> Option<String> {
        let device = row.device.as_ref().filter(|device| **device != self.this)?;
        let signed = self.signed.get(device).map_or(&[][..], Vec::as_slice);
        let later = signed.iter().filter(|(seq, _)| *seq >= row.seq);
        // A signature vouches for what its writer wrote before as well. Mostly the next one does: the log is asked for no further than to that
        // one first, and then for all.
        for (at, (_, change)) in later.enumerate() {
            if past.knew(change, &row.change) {
                return None;
            }
            if at == 0 && !past.lacking().changes.is_empty() {
                break;
            }
        }
        (row.seq > self.before).then(|| {
            "claimed: it came in this device's name, and no signature of this device vouches for it"
                .to_owned()
        })
    }
}
