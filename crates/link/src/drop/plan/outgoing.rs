//! Which photos to put and which batches to write. It never writes what lies there already for all who may read it, but
//! where many small batches become few.

use std::collections::{BTreeMap, BTreeSet};

use super::super::book::{Book, Noted, Own, Put, Short, State, readers, short};
use super::super::listing::Listing;
use super::super::{DropLimits, Hash, HeldChange, Lies, carry};
use super::incoming::{announced, may_be_whole};
use super::{Plan, Putting, Sight, Write};

pub(super) fn puts(
    book: &Book,
    sight: &Sight<'_>,
    listing: &Listing,
    members: &BTreeSet<Hash>,
    plan: &mut Plan,
) {
    let seals = readers(sight.readers);
    let lag = sight.limits.lag;
    let announced = announced(book, members, Some(&seals));
    let mut own: BTreeMap<Hash, (Hash, u32)> = BTreeMap::new();
    for (name, put) in &book.put {
        if put.replaced.is_none() && put.seen + lag >= book.looks {
            own.insert(put.hash, (*name, put.readers));
        }
    }
    let mut room = sight.limits.put;
    for (hash, length) in sight.photos {
        let replaces = match own.get(hash) {
            Some((_, number)) if book.opens_for(*number, &seals) => continue,
            Some((name, _)) => Some(*name),
            None => {
                let there = announced.get(hash).is_some_and(|files| {
                    files
                        .iter()
                        .any(|(lies, look)| may_be_whole(listing, lies) || look + lag >= book.looks)
                });
                if there {
                    continue;
                }
                None
            }
        };
        if *length <= room || plan.puts.is_empty() {
            room = room.saturating_sub(*length);
            plan.puts.push(Putting {
                hash: *hash,
                length: *length,
                replaces,
            });
        }
    }
}

/// Whether all that the place holds is known: what was read before and is in no file any more is gone then, and not on its
/// way. Where something could not be read yet, it may hold what another file held.
fn is_known_whole(book: &Book, plan: &Plan) -> bool {
    let open = |noted: &Noted| {
        noted.seen == book.looks
            && matches!(
                noted.state,
                State::Waits { .. } | State::Unfinished { .. } | State::Wrong { .. }
            )
    };
    plan.left == 0 && plan.unknown == 0 && plan.reads.is_empty() && !book.batches.values().any(open)
}

pub(super) fn writes(book: &Book, sight: &Sight<'_>, members: &BTreeSet<Hash>, plan: &mut Plan) {
    let lately = |seen: u64| seen + sight.limits.lag >= book.looks;
    let known = is_known_whole(book, plan);
    // A file that was listed before and is not any more is gone: whoever has what it held puts it there again, or those who
    // lack it would wait for as long as its writer is away. One that was never listed may only lag.
    let lies = |noted: &Noted| match &noted.state {
        State::Own(own) if own.confirmed > 0 => noted.seen == book.looks,
        State::Taken { .. } if known => noted.seen == book.looks,
        _ => lately(noted.seen),
    };
    let seals = readers(sight.readers);
    let mut covered: BTreeSet<Short> = BTreeSet::new();
    let mut own: Vec<(&Hash, &Own)> = Vec::new();
    for (name, noted) in &book.batches {
        match &noted.state {
            State::Own(one) if lies(noted) => {
                covered.extend(&one.changes);
                if one.replaced.is_empty() {
                    own.push((name, one));
                }
            }
            State::Taken {
                by, changes, look, ..
            } if lies(noted) && members.contains(by) && book.reaches(name, *look, &seals) => {
                covered.extend(changes);
            }
            _ => {}
        }
    }
    let told: BTreeSet<Hash> = own
        .iter()
        .flat_map(|(_, one)| one.photos.iter().map(|lies| lies.name))
        .collect();
    let standing = |(name, put): (&Hash, &Put)| {
        (put.replaced.is_none() && lately(put.seen)).then_some(Lies {
            hash: put.hash,
            name: *name,
            length: put.length,
        })
    };
    let photos: Vec<Lies> = book.put.iter().filter_map(standing).collect();
    plan.announce = photos
        .iter()
        .filter(|lies| !told.contains(&lies.name))
        .copied()
        .collect();
    let fresh: Vec<HeldChange> = sight
        .held
        .iter()
        .filter(|held| !covered.contains(&short(&held.hash)))
        .copied()
        .collect();
    let stale = own.iter().any(|(_, one)| !book.opens_for(one.readers, &seals));
    let news = !fresh.is_empty() || !plan.announce.is_empty();
    if !stale && !news {
        return;
    }
    if stale || own.len() >= sight.limits.batches {
        let anew = all_anew(sight, &own, &fresh, &photos);
        // Where they hardly become fewer, as those of a record of many full batches, nothing is won by writing them again.
        if stale || anew.len() * 2 <= own.len() + 1 {
            plan.writes = anew;
            plan.replaces = own.iter().map(|(name, _)| **name).collect();
            return;
        }
    }
    plan.writes = parted(fresh.into_iter(), plan.announce.clone(), sight.limits);
}

/// All that this device's standing batches hold, and what is new, in as few batches as it goes into.
fn all_anew(sight: &Sight<'_>, own: &[(&Hash, &Own)], fresh: &[HeldChange], photos: &[Lies]) -> Vec<Write> {
    let mut all: BTreeSet<Short> = fresh.iter().map(|held| short(&held.hash)).collect();
    all.extend(own.iter().flat_map(|(_, one)| &one.changes));
    let all = sight
        .held
        .iter()
        .filter(|held| all.contains(&short(&held.hash)))
        .copied();
    // What they announce and was not put since stays announced.
    let known: BTreeSet<Hash> = photos.iter().map(|lies| lies.hash).collect();
    let older = own.iter().flat_map(|(_, one)| &one.photos);
    let older = older.filter(|lies| !known.contains(&lies.hash));
    let mut photos: Vec<Lies> = photos.iter().chain(older).copied().collect();
    photos.sort_by_key(|lies| (lies.hash, lies.name));
    photos.dedup();
    parted(all, photos, sight.limits)
}

/// Changes in batches of no more than the limit; the photos in the first.
fn parted(changes: impl Iterator<Item = HeldChange>, photos: Vec<Lies>, limits: &DropLimits) -> Vec<Write> {
    let mut writes = Vec::new();
    let mut under_way = Write {
        changes: Vec::new(),
        photos,
    };
    let mut bytes = 0_u64;
    for held in changes {
        let more = held.length.saturating_add(carry::Limits::PER_CHANGE);
        if bytes.saturating_add(more) > limits.batch && !under_way.changes.is_empty() {
            writes.push(std::mem::take(&mut under_way));
            bytes = 0;
        }
        bytes = bytes.saturating_add(more);
        under_way.changes.push(held);
    }
    writes.push(under_way);
    writes
}
