//! Who wrote what: this device signs each newest change of its own, what comes from outside is held against the signatures
//! that came with it before it is taken in, and what goes out takes along those that it needs. The record sorts; the key
//! that is believed for a device is the one that was known here before the change came.
//!
//! Nothing is asked and nothing is worded for a file here (that is `meeting` and `unsigned`), and no key is ever put in
//! another's place without a keeper's word.

mod checked;
mod vouched;

use std::collections::{BTreeMap, BTreeSet, HashSet};

use data_encoding::{HEXLOWER, HEXLOWER_PERMISSIVE};
use link::identity::Identity;
use link::vouch::Mark;
use record::members::{device_name, keeper_name, members};
use record::{BadRecord, ChangeId, Id, Kind, Record, Sifted, Twice, View, Written};
use store::{Batch, Signature, Store, TwiceRow};

use crate::notebook::Notebook;
use crate::page::whose;
use crate::pending::{Pending, append};
use crate::refusal::Refusal;

pub(crate) use checked::Signatures;
pub(crate) use vouched::Vouched;

/// One signature goes along for so many changes of a device, beside its newest: whoever takes them in parts need not
/// hold more of them until the next. A signature is as long as a change or two are packed.
const EVERY: usize = 64;
/// So few changes take along every signature that is kept over them.
const FEW: usize = 64;
/// Most changes that wait in a meeting for the signatures that vouch for them, in bytes: as much as any file holds.
pub(crate) const MOST_WAITING: usize = 48 << 20;

/// Of the signatures that are kept those that go along with what is sent.
pub(crate) fn worth_of(
    document: &Record,
    kept: &[Signature],
    sent: &HashSet<ChangeId>,
    signed: &HashSet<ChangeId>,
) -> Vec<Mark> {
    let worth = document.worth_handing(sent, signed, EVERY);
    let kept = kept.iter().filter(|one| worth.contains(&one.change));
    kept.filter_map(mark_of).collect()
}

/// What this device knows of who signs, before something comes.
pub(crate) struct Trust {
    keys: BTreeMap<Id, BTreeSet<String>>,
    signers: BTreeSet<Id>,
    /// Keys that were read from the members' list only now.
    new: Vec<(Id, String)>,
}

/// Changes from outside as they were taken into a document.
pub(crate) struct Received {
    /// Moved on to what is pending.
    pub(crate) written: Written,
    pub(crate) sifted: Sifted,
    /// Signatures that hold, over changes that are in the record now.
    pub(crate) signatures: Vec<Signature>,
    /// Keys that are believed from now on.
    pub(crate) keys: Vec<(Id, String)>,
    /// Devices that signed with another key than the one that is known here.
    pub(crate) other_keys: BTreeSet<Id>,
    /// Signatures over the changes that were written twice, in hex.
    proofs: BTreeMap<ChangeId, String>,
}

/// Whether a keeper has said of what comes that it is theirs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Said {
    /// Nobody was asked.
    Nothing,
    /// It is welcome, whoever signed it or did not.
    Welcome,
}

impl Trust {
    /// What the store has, and the keys of members of which none is known yet.
    pub(crate) fn of(store: &Store, record: &Id, view: &View) -> Result<Self, Refusal> {
        let mut trust = Self::nothing();
        for (device, key) in store.believed_keys(record)? {
            trust.keys.entry(device).or_default().insert(key);
        }
        trust.signers = store.signers(record)?.into_iter().collect();
        trust.learn(view);
        Ok(trust)
    }

    /// Of a record that is only just being joined.
    pub(crate) fn nothing() -> Self {
        Self {
            keys: BTreeMap::new(),
            signers: BTreeSet::new(),
            new: Vec::new(),
        }
    }

    /// The key by which the list names a device of which none is known is its key from now on.
    fn learn(&mut self, view: &View) {
        for one in members(view) {
            if let Some(key) = one.key.filter(|_| !self.keys.contains_key(&one.device)) {
                self.believe(one.device, key);
            }
        }
    }

    fn believe(&mut self, device: Id, key: String) {
        if self.keys.entry(device.clone()).or_default().insert(key.clone()) {
            self.new.push((device, key));
        }
    }
}

/// Takes changes into a document: those that are vouched for or may be claimed. The others are left in `sifted`.
///
/// # Errors
/// Those of the record; the document is to be opened anew then.
pub(crate) fn receive(
    document: &mut Record,
    record: &Id,
    mut trust: Trust,
    changes: &[Vec<u8>],
    marks: &[Mark],
    said: Said,
    kept: &dyn Fn(&ChangeId) -> bool,
) -> Result<Received, Refusal> {
    let mut other_keys = BTreeSet::new();
    let mut held: Vec<Signature> = Vec::new();
    for mark in marks {
        let one = signature_of(mark);
        if document.ledger().has(&one.change) && kept(&one.change) {
            continue;
        }
        let known = trust.keys.get(&one.device);
        if said == Said::Nothing && known.is_some_and(|known| !known.contains(&one.key)) {
            other_keys.insert(one.device);
        } else if mark.holds(record.as_str()) {
            held.push(one);
        }
    }
    let vouching: Vec<(Id, ChangeId)> = held.iter().map(|one| (one.device.clone(), one.change)).collect();
    let signing: BTreeSet<&Id> = held.iter().map(|one| &one.device).chain(&trust.signers).collect();
    let signs = |device: &Id| said == Said::Nothing && signing.contains(device);
    let mut sifted = document.sift(changes, &vouching, &signs)?;
    let taken = document.receive_opened(std::mem::take(&mut sifted.through), sifted.repeats);
    let written = match taken {
        // Nothing was changed by it.
        Err(BadRecord::Against(refused)) => Written {
            refused,
            ..Written::default()
        },
        taken => taken?,
    };
    // A key that nobody knew is the device's where the record names it by it now.
    let listed: BTreeMap<Id, Option<String>> = members(document.view())
        .into_iter()
        .map(|one| (one.device, one.key))
        .collect();
    let mut signatures = Vec::new();
    let mut proofs = BTreeMap::new();
    let twice: BTreeSet<&ChangeId> = sifted
        .twice
        .iter()
        .flat_map(|two| [&two.held, &two.other])
        .collect();
    for one in held {
        let known = trust
            .keys
            .get(&one.device)
            .is_some_and(|known| known.contains(&one.key));
        let named = listed.get(&one.device).and_then(Option::as_ref) == Some(&one.key);
        if !known && !named {
            other_keys.insert(one.device.clone());
            sifted.vouched.remove(&one.device);
            continue;
        }
        if twice.contains(&one.change) {
            proofs.insert(one.change, HEXLOWER.encode(&one.signature));
        }
        if document.ledger().author(&one.change) == Some(&one.device) {
            trust.believe(one.device.clone(), one.key.clone());
            signatures.push(one);
        }
    }
    trust.learn(document.view());
    Ok(Received {
        written,
        sifted,
        signatures,
        keys: trust.new,
        other_keys,
        proofs,
    })
}

fn signature_of(mark: &Mark) -> Signature {
    Signature {
        device: Id::from_uuid(uuid::Uuid::from_bytes(mark.device)),
        change: ChangeId::from_bytes(mark.change),
        key: HEXLOWER.encode(&mark.key),
        signature: mark.signature,
    }
}

fn mark_of(one: &Signature) -> Option<Mark> {
    let key = HEXLOWER_PERMISSIVE.decode(one.key.as_bytes()).ok()?;
    Some(Mark {
        device: *one.device.uuid()?.as_bytes(),
        change: *one.change.bytes(),
        key: key.try_into().ok()?,
        signature: one.signature,
    })
}

impl Notebook {
    /// This device's secrets where they are kept, to sign with; none are made here.
    pub(crate) fn signer(&mut self) -> Result<Option<&Identity>, Refusal> {
        if self.signing.is_none() {
            if self.store.secret()?.is_some() {
                self.signing = self.identity()?;
            } else if self.has_lost_its_key()? {
                // As a device that others know by a key nothing is written unsigned: it would be nobody's.
                self.came_without_key()?;
            }
        }
        Ok(self.signing.as_ref())
    }

    fn sign(&mut self, record: &Id, device: &Id, change: &ChangeId) -> Result<Option<Signature>, Refusal> {
        let Some(uuid) = device.uuid() else {
            return Ok(None);
        };
        let Some(identity) = self.signer()? else {
            return Ok(None);
        };
        let mark = Mark::sign(identity, record.as_str(), *uuid.as_bytes(), *change.bytes());
        Ok(Some(signature_of(&mark)))
    }

    /// The signature over the newest of these changes that this run of the program wrote.
    pub(crate) fn own_signature(
        &mut self,
        record: &Id,
        device: Option<&Id>,
        written: &Written,
    ) -> Result<Option<Signature>, Refusal> {
        let device = match device {
            Some(device) => Some(device.clone()),
            None => self.store.device()?.map(|this| this.id),
        };
        let Some(device) = device else { return Ok(None) };
        let own = self.seat(&device)?.actor_hex();
        match written.changes.iter().rev().find(|change| change.actor == own) {
            Some(newest) => self.sign(record, &device, &newest.id),
            None => Ok(None),
        }
    }

    /// Signs what this device wrote before changes were signed, or in a run of an older program: once for each opening
    /// of the record.
    pub(crate) fn sign_standing(&mut self, record: &Id) -> Result<(), Refusal> {
        let this = self.device()?.id;
        if self.newer().is_some() || std::mem::replace(&mut self.document(record)?.signed, true) {
            return Ok(());
        }
        let newest: Vec<ChangeId> = self
            .document(record)?
            .record
            .newest_of(&this)
            .into_iter()
            .collect();
        self.sign_these(record, &newest).map(drop)
    }

    /// Signs those of this device's newest changes that are not signed, and keeps the signatures; in a newer program's folder none.
    pub(crate) fn sign_these(&mut self, record: &Id, newest: &[ChangeId]) -> Result<Vec<Signature>, Refusal> {
        let mut signatures = Vec::new();
        if self.newer().is_some() {
            return Ok(signatures);
        }
        let this = self.device()?.id;
        for change in newest {
            if self.store.signature(record, change)?.is_none() {
                signatures.extend(self.sign(record, &this, change)?);
            }
        }
        if signatures.is_empty() {
            return Ok(signatures);
        }
        let keys: Vec<(Id, String)> = signatures
            .iter()
            .map(|one| (this.clone(), one.key.clone()))
            .collect();
        let batch = Batch {
            signatures: &signatures,
            keys: &keys,
            ..Batch::default()
        };
        self.store.commit(record, &batch)?;
        Ok(signatures)
    }

    /// Takes changes from outside into the document, which is out of the notebook until they are kept.
    ///
    /// # Errors
    /// Those of the record.
    pub(crate) fn receive(
        &mut self,
        record: &Id,
        changes: &[Vec<u8>],
        marks: &[Mark],
        said: Said,
    ) -> Result<(Pending, Received), Refusal> {
        self.sign_standing(record)?;
        let mut pending = self.pending(record)?;
        let store = &self.store;
        let trust = Trust::of(store, record, pending.record().view())?;
        let kept = |change: &ChangeId| matches!(store.signature(record, change), Ok(Some(_)));
        let mut received = receive(
            &mut pending.opened.record,
            record,
            trust,
            changes,
            marks,
            said,
            &kept,
        )?;
        append(&mut pending.written, std::mem::take(&mut received.written));
        Ok((pending, received))
    }

    /// Keeps what was received, and the proofs of what was written twice.
    pub(crate) fn enter_received(
        &mut self,
        pending: Pending,
        received: &Received,
        with: &Batch<'_>,
    ) -> Result<Written, Refusal> {
        let record = &pending.id.clone();
        let came = self.now();
        let mut twice = Vec::new();
        for two in &received.sifted.twice {
            twice.push(self.proof(record, two, &received.proofs, came)?);
        }
        let batch = Batch {
            signatures: &received.signatures,
            keys: &received.keys,
            twice: &twice,
            ..*with
        };
        self.enter(pending, &batch)
    }

    fn proof(
        &self,
        record: &Id,
        two: &Twice,
        proofs: &BTreeMap<ChangeId, String>,
        came: record::Moment,
    ) -> Result<TwiceRow, Refusal> {
        let kept = self.store.signature(record, &two.held)?;
        let kept = kept.map(|one| HEXLOWER.encode(&one.signature));
        let told = serde_json::json!({
            "held": proofs.get(&two.held).cloned().or(kept),
            "other": proofs.get(&two.other),
        });
        Ok(TwiceRow {
            device: two.device.as_ref().map(ToString::to_string).unwrap_or_default(),
            actor: two.actor.clone(),
            number: two.number,
            held: two.held,
            other: two.other,
            came,
            told: told.to_string(),
        })
    }

    /// The signatures that are to go along with these changes. With `all`, the newest of every device too, whatever is
    /// sent.
    pub fn marks_for(&mut self, record: &Id, changes: &[ChangeId], all: bool) -> Result<Vec<Mark>, Refusal> {
        self.sign_standing(record)?;
        if !all && changes.len() <= FEW {
            let mut marks = Vec::new();
            for change in changes {
                marks.extend(self.store.signature(record, change)?.as_ref().and_then(mark_of));
            }
            return Ok(marks);
        }
        let kept = self.store.signatures(record)?;
        let signed: HashSet<ChangeId> = kept.iter().map(|one| one.change).collect();
        let sent: HashSet<ChangeId> = changes.iter().copied().collect();
        Ok(worth_of(&self.document(record)?.record, &kept, &sent, &signed))
    }

    /// A stream of changes with the signatures that go along, each behind its change; those over other changes at the end.
    pub(crate) fn with_marks(
        &mut self,
        record: &Id,
        changes: Vec<(ChangeId, Vec<u8>)>,
        all: bool,
    ) -> Result<Vec<Vec<u8>>, Refusal> {
        let ids: Vec<ChangeId> = changes.iter().map(|(id, _)| *id).collect();
        let marks = self.marks_for(record, &ids, all)?;
        let mut by_change: BTreeMap<ChangeId, Vec<u8>> = marks
            .iter()
            .map(|mark| (ChangeId::from_bytes(mark.change), mark.to_bytes()))
            .collect();
        let mut stream = Vec::with_capacity(changes.len().saturating_add(by_change.len()));
        for (id, bytes) in changes {
            stream.push(bytes);
            stream.extend(by_change.remove(&id));
        }
        stream.extend(by_change.into_values());
        Ok(stream)
    }

    /// Whose a device is, as the record names it.
    pub(crate) fn device_words(&mut self, record: &Id, device: &Id) -> Result<String, Refusal> {
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        Ok(device_in(view, device))
    }

    /// Why changes that no signature vouches for are not taken in, in words.
    pub(crate) fn unsigned_words(
        &mut self,
        record: &Id,
        sifted: &Sifted,
        other_keys: &BTreeSet<Id>,
    ) -> Result<String, Refusal> {
        let mut parts = Vec::new();
        for (device, count) in &sifted.unsigned {
            let name = self.device_words(record, device)?;
            parts.push(if other_keys.contains(device) {
                format!("{count} in the name of {name}, signed with another key than the one known here")
            } else {
                format!("{count} in the name of {name}, which signs what it writes and did not sign these")
            });
        }
        Ok(format!(
            "changes came that nobody vouches for: {}; nothing of them was taken in",
            parts.join(", and ")
        ))
    }
}

/// Whom to thank for what a device brought: its keeper by name, or the device where none is known. What a file says of
/// itself is no source: no signature covers that.
pub(crate) fn credited(view: &View, device: &str) -> String {
    let Ok(device) = device.parse::<Id>() else {
        return String::new();
    };
    let keeper = view.keeper_of(&device).map(|keeper| keeper_name(view, &keeper));
    let keeper = keeper.filter(|name| !name.is_empty());
    keeper.unwrap_or_else(|| device_name(view, &device))
}

/// Whose a device is, as a view names it.
pub(crate) fn device_in(view: &View, device: &Id) -> String {
    let keeper = view
        .keeper_of(device)
        .map_or_else(String::new, |keeper| keeper_name(view, &keeper));
    match (device_name(view, device), keeper) {
        (name, _) if name.is_empty() => "a device that the record does not know".to_owned(),
        (name, keeper) if keeper.is_empty() => format!("'{name}'"),
        (name, keeper) => format!("'{}'", whose(&keeper, &name)),
    }
}

#[cfg(test)]
mod tests;
