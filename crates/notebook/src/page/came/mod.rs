//! What came in while one was away, told by assembly: who did what, in sentences, with the photos in their places; what was only worded
//! otherwise is folded into a line. It reads entries, deeds and changes, and judges nothing: what contradicts is the rules'.

mod brought;
mod gather;
mod phrase;
mod place;
mod tell;

use std::collections::{BTreeMap, BTreeSet};

use record::rules::Point;
use record::{ChangeId, Id};

use super::lines::Reader;
use crate::wire::{CamePlace, PointOut};
pub(crate) use brought::{Brought, told_with_what_it_was};
use place::Place;
use tell::Told;

/// Most lines of a place; whoever wants the rest goes to the assembly.
const MOST_LINES: usize = 60;

/// What a coming brought, place by place.
pub(crate) fn places(
    read: &Reader<'_>,
    me: Option<&Id>,
    brought: &Brought<'_>,
    points: &[Point],
) -> Vec<CamePlace> {
    let told = Told::of(read, me, brought, points);
    let mut places: BTreeMap<Place, CamePlace> = BTreeMap::new();
    let empty = |place: &Place| CamePlace {
        title: place.title(read),
        about: place.about(),
        lines: Vec::new(),
        more: 0,
        photos: Vec::new(),
        smaller: Vec::new(),
    };
    for (place, line) in told.lines() {
        places
            .entry(place.clone())
            .or_insert_with(|| empty(&place))
            .lines
            .push(line);
    }
    for (place, shows, photo) in told.photos() {
        let there = places.entry(place.clone()).or_insert_with(|| empty(&place));
        let line = there.lines.iter_mut().find(|line| shows.contains(&line.name));
        line.map_or(&mut there.photos, |line| &mut line.photos)
            .push(photo);
    }
    for (place, smaller) in told.smaller() {
        places
            .entry(place.clone())
            .or_insert_with(|| empty(&place))
            .smaller
            .push(smaller);
    }
    let mut out: Vec<(Place, CamePlace)> = places.into_iter().collect();
    for (_, place) in &mut out {
        // What can hurt somebody is read first.
        place
            .lines
            .sort_by(|a, b| (!a.hurts, a.at, &a.name).cmp(&(!b.hurts, b.at, &b.name)));
        place.lines = gather::gathered(read, std::mem::take(&mut place.lines));
        let more = place.lines.len().saturating_sub(MOST_LINES);
        place.more = u32::try_from(more).unwrap_or(u32::MAX);
        place.lines.truncate(MOST_LINES);
    }
    // Where something can hurt somebody comes first; then what was done last, after what was written and what holds of the whole car.
    out.sort_by_key(|(place, of)| {
        let last = of.lines.iter().map(|line| line.at).max();
        let hurts = of.lines.iter().any(|line| line.hurts);
        (!hurts, place.rank(), std::cmp::Reverse(last), place.clone())
    });
    out.into_iter().map(|(_, place)| place).collect()
}

/// The points that came with these changes, as a list shows them: each question once.
pub(crate) fn points_of(read: &Reader<'_>, points: &[Point], changes: &BTreeSet<ChangeId>) -> Vec<PointOut> {
    let came: BTreeSet<String> = asked_with(points, changes).into_iter().collect();
    let all = super::points(read, points).into_iter();
    all.filter(|point| point.id == point.question && came.contains(&point.id))
        .collect()
}

/// The questions in which one of these changes has a part, each by its first point.
pub(crate) fn asked_with(points: &[Point], changes: &BTreeSet<ChangeId>) -> Vec<String> {
    record::rules::questions(points)
        .iter()
        .filter(|question| {
            let mut sides = question.points().flat_map(|point| &point.sides);
            sides.any(|side| changes.contains(&side.stamp.change))
        })
        .map(|question| question.lead.id.clone())
        .collect()
}

/// The same in plain sentences, for a face without pictures: at most `most`.
pub(crate) fn sentences(places: &[CamePlace], most: usize) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut lines: Vec<_> = places.iter().flat_map(|place| &place.lines).collect();
    lines.sort_by_key(|line| !line.hurts);
    out.extend(lines.into_iter().map(|line| match &line.word {
        Some(word) => format!("{} {}: {word}", line.who, line.says),
        None => format!("{} {}", line.who, line.says),
    }));
    let photos: usize = places.iter().map(|place| place.photos.len()).sum();
    let smaller: usize = places.iter().map(|place| place.smaller.len()).sum();
    for (count, one, many) in [
        (photos, "one photo more", "photos more"),
        (smaller, "one smaller change", "smaller changes"),
    ] {
        match count {
            0 => {}
            1 => out.push(one.to_owned()),
            count => out.push(format!("{count} {many}")),
        }
    }
    out.truncate(most);
    out
}
