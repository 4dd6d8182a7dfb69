//! Which batches to read and which photos to fetch, the likeliest first. It never asks twice for what can only be answered
//! alike, and never lets one file that is at fault stand before the others.

use std::collections::{BTreeMap, BTreeSet};

use super::super::book::{Book, Reader, State};
use super::super::listing::{Listing, Lying, mark};
use super::super::{Hash, Lies, MemberStanding};
use super::{Fetch, Plan, Read, Sight};

fn read_of(name: &Hash, copies: &[Lying]) -> Option<Read> {
    let best = copies.first()?;
    Some(Read {
        name: *name,
        paths: copies.iter().map(|copy| copy.path.clone()).collect(),
        mark: mark(copies),
        device: best.device,
        size: best.size,
    })
}

pub(super) fn reads(book: &Book, sight: &Sight<'_>, listing: &Listing, plan: &mut Plan) {
    // What waits may be whole together with a file that is new, whoever wrote that: it is read once more where there is room.
    let news = listing
        .batches
        .keys()
        .any(|name| !book.batches.contains_key(name));
    let mut again = Vec::new();
    let mut reads = Vec::new();
    for (name, copies) in &listing.batches {
        let Some(read) = read_of(name, copies) else {
            continue;
        };
        let stands = book.batches.get(name).map(|noted| &noted.state);
        let wanted = match stands {
            None => true,
            Some(State::Own(_) | State::Taken { .. } | State::Aside | State::Closed) => false,
            Some(State::Waits { held, devices }) => {
                (*held, *devices) != (sight.held.len() as u64, sight.devices.len() as u64)
            }
            // Places whose marks are too coarse to show that a copy went on: asked again now and then.
            Some(State::Unfinished { mark }) => *mark != read.mark || book.looks.is_multiple_of(8),
            Some(State::Wrong { mark, told }) => *mark != read.mark || !told,
        };
        if wanted {
            reads.push(read);
        } else if news && matches!(stands, Some(State::Waits { .. })) {
            again.push(read);
        }
    }
    // Members before those that were revoked; the largest first, since the others build on it.
    let revoked = |read: &Read| sight.devices.get(&read.device) != Some(&MemberStanding::Member);
    reads.sort_by(|a, b| {
        revoked(a)
            .cmp(&revoked(b))
            .then(b.size.cmp(&a.size))
            .then(a.name.cmp(&b.name))
    });
    let mut room = sight.limits.read;
    for read in reads {
        // One always goes, or a large one would never come.
        if (read.size <= room && plan.reads.len() < sight.limits.files) || plan.reads.is_empty() {
            room = room.saturating_sub(read.size);
            plan.reads.push(read);
        } else {
            plan.left = plan.left.saturating_add(read.size);
        }
    }
    for read in again {
        if read.size <= room && plan.reads.len() < sight.limits.files {
            room = room.saturating_sub(read.size);
            plan.reads.push(read);
        }
    }
}

/// In how many files a photo is looked for at one look.
const TRIED: usize = 8;

/// Where members say that photos lie, in the order of the files' names: to fetch them, or, with the seals of all who are to
/// find them, to put none twice.
pub(super) fn announced<'a>(
    book: &'a Book,
    members: &BTreeSet<Hash>,
    seals: Option<&BTreeSet<Reader>>,
) -> BTreeMap<Hash, Vec<(&'a Lies, u64)>> {
    let mut announced: BTreeMap<Hash, Vec<(&Lies, u64)>> = BTreeMap::new();
    for (name, noted) in &book.batches {
        let (photos, look) = match &noted.state {
            State::Taken { by, photos, look, .. }
                if members.contains(by) && seals.is_none_or(|seals| book.reaches(name, *look, seals)) =>
            {
                (photos, *look)
            }
            // A device that has lost its photos may find its own.
            State::Own(own) if seals.is_none() => (&own.photos, 0),
            _ => continue,
        };
        for lies in photos {
            announced.entry(lies.hash).or_default().push((lies, look));
        }
    }
    for files in announced.values_mut() {
        files.sort_by_key(|(lies, _)| lies.name);
    }
    announced
}

/// Whether any copy of a photo's file is long enough to hold it: what is shorter than the photo is a part, or what was
/// left of a file that went.
pub(super) fn may_be_whole(listing: &Listing, lies: &Lies) -> bool {
    let copies = listing.photos.get(&lies.name);
    copies.is_some_and(|copies| copies.iter().any(|copy| copy.size >= lies.length))
}

pub(super) fn fetches(
    book: &Book,
    sight: &Sight<'_>,
    listing: &Listing,
    members: &BTreeSet<Hash>,
    plan: &mut Plan,
) {
    if sight.wanted.is_empty() {
        return;
    }
    let announced = announced(book, members, None);
    let mut room = sight.limits.read;
    for hash in sight.wanted {
        let Some(files) = announced.get(hash) else {
            continue;
        };
        plan.photos_left += 1;
        let sound = |(lies, _): &(&Lies, u64)| {
            let file = read_of(&lies.name, listing.photos.get(&lies.name)?)?;
            let sound = book.wrong_photos.get(&lies.name) != Some(&file.mark)
                && lies.length <= sight.limits.carry.photo;
            sound.then_some((**lies, file))
        };
        let mut files: Vec<(Lies, Read)> = files.iter().filter_map(sound).collect();
        // One of which only a part was left behind must not stand before one that is whole. The others take turns, so that
        // none is passed over for ever.
        let turn = usize::try_from(book.looks).unwrap_or_default();
        let turn = turn.checked_rem(files.len()).unwrap_or_default();
        files.rotate_left(turn);
        files.sort_by_key(|(lies, _)| !may_be_whole(listing, lies));
        files.truncate(TRIED);
        let fetch = Fetch { files };
        let length = fetch.length();
        if !fetch.files.is_empty()
            && ((length <= room && plan.fetches.len() < sight.limits.files) || plan.fetches.is_empty())
        {
            room = room.saturating_sub(length);
            plan.fetches.push(fetch);
        }
    }
}
