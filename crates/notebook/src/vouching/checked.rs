//! Every signature held against its change and its key, so many at a time, and what nobody signed of devices that sign. It reads, and
//! believes nothing anew.

use std::collections::{BTreeMap, BTreeSet};
use std::vec::IntoIter;

use record::{ChangeId, Id, Record};
use store::{Signature, Store};

use super::{device_in, mark_of};
use crate::refusal::Refusal;
use crate::wire::HealthLine;

/// The signatures of a record that are being checked.
pub(crate) struct Signatures {
    record: Id,
    believed: BTreeSet<(Id, String)>,
    left: IntoIter<Signature>,
    of: usize,
    /// Changes with a sound signature, by their device.
    sound: BTreeMap<Id, Vec<ChangeId>>,
}

impl Signatures {
    pub(crate) fn read(store: &Store, record: &Id) -> Result<Self, Refusal> {
        let all = store.signatures(record)?;
        Ok(Self {
            record: record.clone(),
            believed: store.believed_keys(record)?.into_iter().collect(),
            of: all.len(),
            left: all.into_iter(),
            sound: BTreeMap::new(),
        })
    }

    /// How many are done, and of how many.
    pub(crate) fn stands(&self) -> (u64, u64) {
        (self.of.saturating_sub(self.left.len()) as u64, self.of as u64)
    }

    /// Checks so many; whether there are more.
    pub(crate) fn step(
        &mut self,
        store: &Store,
        document: &Record,
        most: u32,
        found: &mut Vec<HealthLine>,
    ) -> Result<bool, Refusal> {
        let most = usize::try_from(most).unwrap_or(usize::MAX);
        for one in self.left.by_ref().take(most) {
            let sound = mark_of(&one).is_some_and(|mark| mark.holds(self.record.as_str()))
                && document.ledger().author(&one.change) == Some(&one.device)
                && self.believed.contains(&(one.device.clone(), one.key.clone()));
            if sound {
                self.sound.entry(one.device).or_default().push(one.change);
            } else {
                let what = format!(
                    "the signature over change {} is not what was written: it vouches for nothing; meet the other device, which has its own",
                    one.change
                );
                found.push(line(&self.record, true, "signature", what));
            }
        }
        if self.left.len() > 0 {
            return Ok(true);
        }
        self.claimed(store, document, found)?;
        self.twice(store, document, found)?;
        Ok(false)
    }

    /// Tells what nobody signed of devices that sign.
    fn claimed(&self, store: &Store, document: &Record, found: &mut Vec<HealthLine>) -> Result<(), Refusal> {
        let before = store.unsigned_before(&self.record)?;
        let own = store.device()?.map(|this| this.id);
        for (device, signed) in &self.sound {
            let vouched = document.vouched_by(device, signed);
            let mut unsigned = 0_usize;
            for (change, by) in document.each_named() {
                if by == device && !vouched.contains(change) {
                    let row = store.logged(&self.record, change)?;
                    unsigned = unsigned.saturating_add(usize::from(row.is_some_and(|row| row.seq > before)));
                }
            }
            if unsigned > 0 {
                let name = device_in(document.view(), device);
                let what = if own.as_ref() == Some(device) {
                    format!(
                        "{unsigned} changes that this device, {name}, wrote since it signs were not signed, as where its key was gone: the others take them in only where a keeper says that they are welcome"
                    )
                } else {
                    format!(
                        "{unsigned} changes in the name of {name} are here that nobody signed, though it signs what it writes: they came in a file that was welcome, or were kept before its signatures were known"
                    )
                };
                found.push(line(&self.record, false, "claimed", what));
            }
        }
        Ok(())
    }

    /// Tells what was written twice under one number.
    fn twice(&self, store: &Store, document: &Record, found: &mut Vec<HealthLine>) -> Result<(), Refusal> {
        for two in store.written_twice(&self.record)? {
            let name = match two.device.parse() {
                Ok(device) => device_in(document.view(), &device),
                Err(_) => "a program of no device".to_owned(),
            };
            let what = format!(
                "{name} wrote two different changes under one number ({} of the run {}): {} is in the record, {} is not and stands aside",
                two.number, two.actor, two.held, two.other
            );
            found.push(line(&self.record, false, "written_twice", what));
        }
        Ok(())
    }
}

fn line(record: &Id, broken: bool, code: &str, says: String) -> HealthLine {
    HealthLine {
        broken,
        code: code.to_owned(),
        record: Some(record.clone()),
        says,
    }
}
