//! What this device knows of the others: a guess that saves sending twice, and the plain line that says where the
//! last words are. It is learned from what they sent, never from what was sent to them.

use std::collections::BTreeSet;

use link::carry::Head;
use record::{ChangeId, Id, Moment, Record};
use store::{KnownOf, Peer};

use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Most newest changes of another that are remembered though they are not here: a record has about as many as devices.
const MOST_AWAY: usize = 1_000;

impl Notebook {
    pub(crate) fn peer(&self, record: &Id, device: &Id) -> Result<Option<Peer>, Refusal> {
        Ok(self
            .store
            .peers(record)?
            .into_iter()
            .find(|peer| &peer.device == device))
    }
}

/// The newest changes that a file's first page names.
#[must_use]
pub fn heads_of(head: &Head) -> Vec<ChangeId> {
    head.heads
        .iter()
        .filter_map(|hex| ChangeId::from_hex(hex))
        .collect()
}

pub(crate) fn peer_of(head: &Head, now: Moment) -> Option<Peer> {
    Some(Peer {
        device: head.device.parse().ok()?,
        name: head.keeper_name.clone(),
        heads: heads_of(head),
        met: Some(now),
        photos: BTreeSet::new(),
    })
}

/// The newest changes that a device is known to have: it has what it had before, and what it says now. Only what none of the
/// others stands on need be remembered, and of what is not here yet no more than any honest device has.
pub(crate) fn had_now(document: &Record, before: &[ChangeId], said: Vec<ChangeId>) -> Vec<ChangeId> {
    let ledger = document.ledger();
    let (here, mut away): (Vec<ChangeId>, Vec<ChangeId>) =
        said.into_iter().partition(|head| ledger.has(head));
    away.truncate(MOST_AWAY);
    let mut heads = ledger.newest(&[before, here.as_slice()].concat());
    heads.extend(away);
    heads.sort();
    heads.dedup();
    heads
}

/// How many changes a device is known to have, counted so that no screen need open the document for it.
pub(crate) fn known_of(document: &Record, heads: &[ChangeId], this: &Id) -> KnownOf {
    let known = document.ledger().known_by(heads, this);
    KnownOf {
        all: known.all,
        own: known.of_device,
    }
}
