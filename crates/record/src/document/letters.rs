//! Who wrote in the notes of what was struck out or ended. A text is made with its entry, and what is written in it later changes
//! none of the entry's values: so of what lies under a strike it is read, letter by letter, which changes they came with.
//! A letter that was taken out again says nothing. It reads the document and judges nothing.

use std::collections::BTreeSet;

use automerge::{Automerge, ReadDoc};

use super::named::{change_id, object_of};
use super::record::Record;
use super::written::Touched;
use crate::ending::said_to_hurt;
use crate::entities::Finding;
use crate::entities::fields_of;
use crate::entry::{Entry, STRUCK};
use crate::field::Shape;
use crate::hash::ChangeId;
use crate::inside::{Inside, holders};
use crate::name::{Kind, Ref};
use crate::view::View;

impl Record {
    /// Reads who wrote in the texts under a strike, and of the dangers that were ended: all of them, or after something was touched.
    pub(super) fn read_letters(&mut self, touched: Option<&Touched>) {
        // A strike, or a new place, brings with it what nobody touched.
        let wide = touched.is_none_or(|touched| {
            touched.iter().any(|((kind, id), fields)| {
                let entry = self.view.get(*kind, id);
                let held = |entry: &Entry| holders(entry).any(|(field, _)| fields.contains(field));
                fields.contains(STRUCK) || entry.is_some_and(held)
            })
        });
        let mut found = Vec::new();
        for ((kind, id), _) in touched.into_iter().flatten() {
            self.ledger.forget_letters(*kind, id);
            found.extend(self.view.get(*kind, id));
        }
        match touched {
            Some(touched) if wide => {
                let names = touched.keys().map(|(kind, id)| Ref::new(*kind, id.clone()));
                found = with_inside(&self.view, names.collect());
            }
            Some(_) => {}
            None => {
                let struck = Kind::worked_on().any(|kind| self.view.all(kind).any(|entry| !entry.stands()));
                found = match struck {
                    true => Kind::worked_on().flat_map(|kind| self.view.all(kind)).collect(),
                    false => self.view.all(Kind::Finding).collect(),
                };
            }
        }
        for entry in found {
            if self.ledger.letters_of(entry).next().is_some() || !is_read(&self.view, entry) {
                continue;
            }
            for field in texts(entry) {
                let by = writers(&self.doc, entry, field);
                self.ledger.put_letters(entry, field, by);
            }
        }
    }
}

/// These entries and everything that is in or about them, however deep.
fn with_inside(view: &View, mut open: Vec<Ref>) -> Vec<&Entry> {
    let inside = Inside::of(view);
    let mut seen: BTreeSet<Ref> = open.iter().cloned().collect();
    let mut found = Vec::new();
    while let Some(name) = open.pop() {
        found.extend(view.find(&name));
        for held in inside.direct(&name) {
            let name = held.entry.name();
            if seen.insert(name.clone()) {
                open.push(name);
            }
        }
    }
    found
}

/// The fields of an entry in which something is written as prose.
fn texts(entry: &Entry) -> impl Iterator<Item = &'static str> + '_ {
    let prose = fields_of(entry.kind)
        .iter()
        .filter(|def| def.shape == Shape::Prose);
    prose
        .map(|def| def.name)
        .filter(|field| entry.line(field).is_some())
}

/// Whether it matters who wrote in the texts of an entry.
fn is_read(view: &View, entry: &Entry) -> bool {
    let ended = || {
        entry
            .claims(Finding::ended)
            .iter()
            .any(|claim| claim.value.is_some())
    };
    under_a_strike(view, entry) || (said_to_hurt(entry) && ended())
}

/// Whether an entry was struck out, or something that it is in or about.
fn under_a_strike(view: &View, entry: &Entry) -> bool {
    if entry.kind == Kind::Sheet || texts(entry).next().is_none() {
        return false;
    }
    let mut seen: BTreeSet<Ref> = BTreeSet::new();
    let mut open = vec![entry];
    while let Some(at) = open.pop() {
        if !at.stands() {
            return true;
        }
        let around = holders(at).filter(|(_, up)| seen.insert(up.clone()));
        open.extend(around.filter_map(|(_, up)| view.find(&up)));
    }
    false
}

/// The changes that the letters of a text came with, in order.
fn writers(doc: &Automerge, entry: &Entry, field: &str) -> Vec<ChangeId> {
    let Some(object) = object_of(doc, entry.kind, &entry.id) else {
        return Vec::new();
    };
    let mut hashes = BTreeSet::new();
    for (value, text) in doc.get_all(&object, field).unwrap_or_default() {
        if !value.is_object() {
            continue;
        }
        for letter in doc.list_range(&text, ..) {
            hashes.extend(doc.hash_for_opid(&letter.id()));
        }
    }
    hashes.iter().map(change_id).collect()
}
