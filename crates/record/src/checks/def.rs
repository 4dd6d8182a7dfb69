//! What a check at closing is, and what the checks ask alike: where something stands, and the stamps of what made it unfinished. It lists
//! none.

use std::cell::OnceCell;
use std::collections::BTreeSet;

use crate::closing_check::Check;
use crate::document::Ledger;
use crate::entry::{Entry, Scalar, Stamp};
use crate::hash::ChangeId;
use crate::inside;
use crate::name::{Id, Kind, Ref};
use crate::verdict::Judge;
use crate::view::View;

/// What is read while the checks are made: a view, and what of it is asked for more than once.
#[derive(Debug)]
pub(crate) struct Looked<'v> {
    pub(crate) view: &'v View,
    judge: OnceCell<Judge<'v>>,
}

impl<'v> Looked<'v> {
    pub(crate) fn at(view: &'v View) -> Self {
        Self {
            view,
            judge: OnceCell::new(),
        }
    }

    pub(super) fn judge(&self) -> &Judge<'v> {
        self.judge.get_or_init(|| Judge::of(self.view))
    }
}

/// What is unfinished of an entry.
pub(crate) struct Unfinished {
    /// How it stands, in its kind's word or in words: `open`, `danger`, `apart`.
    pub(crate) state: String,
    /// Whether it can hurt somebody.
    pub(crate) danger: bool,
}

/// What made an entry unfinished.
pub(crate) struct Opening {
    /// Every change that had a part in it.
    pub(crate) stamps: Vec<Stamp>,
    /// Who is named beside it.
    pub(crate) by: Stamp,
    /// How far it is, as it is shown.
    pub(crate) value: Option<Scalar>,
}

impl Opening {
    /// Without what these changes did of it.
    pub(crate) fn but(&self, changes: &BTreeSet<ChangeId>) -> Self {
        let stamps = self.stamps.iter();
        Self {
            stamps: stamps
                .filter(|stamp| !changes.contains(&stamp.change))
                .cloned()
                .collect(),
            by: self.by.clone(),
            value: self.value.clone(),
        }
    }

    /// Whether whoever wrote a change had all of it before them, or whoever did the rest of it had that change: none of it was done
    /// apart.
    pub(crate) fn was_before(&self, ledger: &Ledger, by: &ChangeId) -> bool {
        self.stamps
            .iter()
            .all(|stamp| ledger.knew(by, &stamp.change) || ledger.knew(&stamp.change, by))
    }
}

/// An assembly, and what put an entry in its way.
pub(crate) type PutThere = (Id, Vec<Stamp>);

/// A check of the entries of one kind.
#[derive(Clone, Copy)]
pub(crate) struct CheckDef {
    pub(crate) check: Check,
    pub(crate) kind: Kind,
    /// The assembly that it stands in the way of.
    pub(crate) within: fn(&View, &Entry) -> Option<Id>,
    /// Others that it stands in the way of, wherever it was entered, each with what put it there. These were not asked about from the first.
    pub(crate) also: fn(&View, &Entry) -> Vec<PutThere>,
    /// How it stands, where it is unfinished.
    pub(crate) unfinished: fn(&Looked<'_>, &Entry) -> Option<Unfinished>,
    /// What made it so.
    pub(crate) opening: fn(&Looked<'_>, &Entry) -> Option<Opening>,
    /// What it is called where something was closed over it.
    pub(crate) called: &'static str,
    /// Whether it was asked about from the first. What was closed over a newer one by somebody who had it before them stays closed.
    pub(crate) from_the_first: bool,
}

/// The assembly that something is in or about, by way of whatever lies between: a part, a limit's part, an order's part.
#[must_use]
pub fn place(view: &View, of: &Ref) -> Option<Id> {
    let mut at = of.clone();
    // What a thing is about comes from outside too: it may be a ring.
    let mut seen = std::collections::BTreeSet::new();
    while seen.insert(at.clone()) {
        if at.kind == Kind::Assembly {
            return Some(at.id);
        }
        let entry = view.find(&at)?;
        let (_, up) =
            inside::holders(entry).find(|(_, up)| !matches!(up.kind, Kind::Container | Kind::Car))?;
        at = up;
    }
    None
}

/// Nothing else.
pub(super) fn nowhere_else(_: &View, _: &Entry) -> Vec<PutThere> {
    Vec::new()
}

/// The stamp of what is shown of a field.
pub(super) fn stamp_of<'e>(entry: &'e Entry, field: &str) -> Option<&'e Stamp> {
    Some(&entry.fields.get(field)?.claims().first()?.stamp)
}

/// The stamps of what is shown of these fields, the entry's own making before them.
pub(super) fn stamps_of(entry: &Entry, fields: &[&str]) -> Vec<Stamp> {
    let each = fields.iter().filter_map(|field| stamp_of(entry, field));
    std::iter::once(&entry.made).chain(each).cloned().collect()
}

/// What became of a job or an order after it was made: its state, its strike. One that only was made has ended nothing yet, and has
/// opened nothing again.
pub(super) fn changed_since(entry: &Entry) -> impl Iterator<Item = Stamp> {
    [crate::entities::Job::state, crate::entry::STRUCK]
        .into_iter()
        .filter_map(|field| stamp_of(entry, field))
        .filter(|stamp| stamp.change != entry.made.change)
        .cloned()
}

/// Named beside it is whoever did the last of it.
pub(super) fn opening(stamps: Vec<Stamp>, value: Option<Scalar>) -> Option<Opening> {
    let by = stamps
        .iter()
        .max_by_key(|stamp| (stamp.at, &stamp.change))?
        .clone();
    Some(Opening { stamps, by, value })
}

/// Whether a reason must be given for this by itself: what can hurt, and anything of brakes, steering and fuel.
pub(crate) fn alone(danger: bool, said: &[&str]) -> bool {
    danger || crate::cautions::want_a_reason(said)
}
