//! What comes out of a document: changes, ready for a log, and what they touched. Nothing is kept here.

use std::collections::{BTreeMap, BTreeSet};

use super::against::Refused;
use crate::hash::ChangeId;
use crate::name::{Id, Kind};
use crate::time::Moment;
use crate::wrote::WroteAll;

/// What a change touched: which fields of which entities.
pub type Touched = BTreeMap<(Kind, Id), BTreeSet<String>>;

/// One change, ready for the log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Logged {
    /// Its hash.
    pub id: ChangeId,
    /// The changes it was made on top of.
    pub deps: Vec<ChangeId>,
    /// The actor that made it, in hex: a device and one run of the program.
    pub actor: String,
    /// The device that made it.
    pub device: Option<Id>,
    /// When, by that device's clock.
    pub at: Moment,
    /// What was done, in the trade's words.
    pub message: String,
    /// The change itself, uncompressed.
    pub bytes: Vec<u8>,
    /// What it touched.
    pub touched: Touched,
    /// What it wrote there.
    pub wrote: WroteAll,
    /// What was done by it.
    pub deeds: Vec<crate::deed::Deed>,
}

/// What came of an edit or of receiving changes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[must_use = "changes that are not logged are lost when the program ends"]
pub struct Written {
    /// The new changes, each after those it builds on.
    pub changes: Vec<Logged>,
    /// Everything they touched.
    pub touched: Touched,
    /// Changes from outside that came with them and were not taken in.
    pub refused: Vec<Refused>,
}

impl Written {
    pub(super) fn add_touched(&mut self, touched: &Touched) {
        for (name, fields) in touched {
            let all = self.touched.entry(name.clone()).or_default();
            all.extend(fields.iter().cloned());
        }
    }
}
