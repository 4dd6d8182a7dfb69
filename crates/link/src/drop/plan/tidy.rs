//! Which of its own files a device may take away: what lies whole in another of its own, for long enough that the copies
//! of others have it too. It never takes away the last file of anything.

use std::collections::{BTreeMap, BTreeSet};

use super::super::Hash;
use super::super::book::{Book, State};
use super::super::listing::Listing;
use super::super::names::Shelf;
use super::{Plan, Sight};

pub(super) fn removals(book: &Book, sight: &Sight<'_>, listing: &Listing, plan: &mut Plan) {
    let aged = |at: i64| sight.now.saturating_sub(at) >= sight.limits.grace;
    let there = |name: &Hash| match book.batches.get(name).map(|noted| (noted, &noted.state)) {
        // Listed whole at this look, at one before, and long since.
        Some((noted, State::Own(own))) => {
            noted.seen == book.looks && own.confirmed >= 2 && own.replaced.is_empty() && aged(own.at)
        }
        _ => false,
    };
    let mut holding = Holding::new(book, there);
    for (name, noted) in &book.batches {
        if let State::Own(own) = &noted.state
            && noted.seen == book.looks
            && !own.replaced.is_empty()
            && own.replaced.iter().all(|by| holding.holds(by))
        {
            plan.removals
                .push(sight.names.path(sight.me, Shelf::Batches, name));
        }
    }
    let standing: BTreeSet<Hash> = book
        .put
        .values()
        .filter(|put| put.replaced.is_none() && put.seen == book.looks)
        .map(|put| put.hash)
        .collect();
    for (name, put) in &book.put {
        if put.replaced.is_some_and(aged) && standing.contains(&put.hash) && put.seen == book.looks {
            plan.removals
                .push(sight.names.path(sight.me, Shelf::Photos, name));
        }
    }
    // Photos of which a batch of this device speaks, and of which it has put no other file.
    let kept: BTreeSet<Hash> = book
        .batches
        .values()
        .filter_map(|noted| match &noted.state {
            State::Own(own) => Some(&own.photos),
            _ => None,
        })
        .flatten()
        .filter(|lies| !standing.contains(&lies.hash))
        .map(|lies| lies.name)
        .collect();
    for (name, first) in &book.stray {
        let mine = listing
            .photos
            .get(name)
            .is_some_and(|copies| copies.iter().any(|copy| copy.clean && copy.device == *sight.me));
        if mine && aged(*first) && !kept.contains(name) {
            plan.removals
                .push(sight.names.path(sight.me, Shelf::Photos, name));
        }
    }
}

/// Whether all that was in a batch is there: in itself, or in those that took its place.
///
/// Written anew again and again, the batches that took the place of one are as many at each step as the batches that the
/// record fills, and all of them were replaced by the same: each is asked about once, or the ways through them would be
/// counted, which are more than any look has time for.
struct Holding<'a, F> {
    book: &'a Book,
    there: F,
    known: BTreeMap<Hash, bool>,
}

impl<'a, F: Fn(&Hash) -> bool> Holding<'a, F> {
    fn new(book: &'a Book, there: F) -> Self {
        Self {
            book,
            there,
            known: BTreeMap::new(),
        }
    }

    fn holds(&mut self, name: &Hash) -> bool {
        if let Some(known) = self.known.get(name) {
            return *known;
        }
        // While it is asked about it counts as not there: a round of batches that replace each other holds nothing.
        self.known.insert(*name, false);
        let holds = (self.there)(name)
            || match self.book.batches.get(name).map(|noted| &noted.state) {
                Some(State::Own(own)) => {
                    !own.replaced.is_empty() && own.replaced.iter().all(|by| self.holds(by))
                }
                _ => false,
            };
        self.known.insert(*name, holds);
        holds
    }
}
