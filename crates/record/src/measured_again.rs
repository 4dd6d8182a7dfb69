//! Whether a reading was measured again: which readings are of one point, which is the later, and whether whoever wrote one of them had the
//! other before them. What a writer knew is put beside the reading by the change that says what was measured, so a page tells it without
//! the document. It judges no reading; where a program of before wrote one of the two, the days they were measured on say which is over.

use crate::across;
use crate::document::Stroke;
use crate::entities::Reading;
use crate::entry::{Entry, Scalar, Stamp};
use crate::field::Stored;
use crate::name::{Id, Kind, Mention, Ref};
use crate::time::Day;
use crate::verdict::Judge;
use crate::view::View;

/// What a reading says was measured, and where. Changed since, it is another one to whoever knew it before.
const SAYS: [&str; 7] = [
    Reading::about,
    Reading::what,
    Reading::at,
    Reading::value,
    Reading::again,
    Reading::grid,
    Reading::grid_names,
];

/// Of how many of its point a reading says that its writer knew them: each device's latest, and the latest of all. A device knows its own
/// earlier ones without its saying so.
const MOST_KNOWN: usize = 30;

/// Where nothing of the point was known. A program of before says nothing at all.
const NONE: &str = "none";

/// What is measured where, as people name it: case and how many spaces stand between words do not tell two points apart.
type AtPoint = (String, String, String);

fn plain(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

fn at_point(line: impl Fn(&str) -> Option<String>) -> Option<AtPoint> {
    let at = line(Reading::at).map(|at| plain(&at)).unwrap_or_default();
    Some((line(Reading::about)?, plain(&line(Reading::what)?), at))
}

fn point_of(reading: &Entry) -> Option<AtPoint> {
    at_point(|field| reading.line(field).map(str::to_owned))
}

/// Whether two readings are of one point.
#[must_use]
pub fn at_one_point(one: &Entry, other: &Entry) -> bool {
    let point = point_of(one);
    point.is_some() && point == point_of(other)
}

/// The stamp of what is shown of a field.
fn stamp_of<'e>(entry: &'e Entry, field: &str) -> Option<&'e Stamp> {
    Some(&entry.fields.get(field)?.claims().first()?.stamp)
}

/// The day it was measured. Nobody has measured on a day that was not yet when they said so, wherever they are: a slip of the pen would
/// otherwise silence whatever is measured until then.
fn measured_on(reading: &Entry) -> Option<Day> {
    let said: Day = across::on(reading)?.parse().ok()?;
    let put = stamp_of(reading, Reading::on)?.at;
    Some(match said > put.day(FURTHEST_EAST) {
        true => put.day(FURTHEST_WEST),
        false => said,
    })
}

/// Seconds that the clocks furthest east are ahead of UTC, the Line Islands', and those furthest west behind it, Baker Island's (tz
/// database).
const FURTHEST_EAST: i64 = 14 * 3_600;
const FURTHEST_WEST: i64 = -12 * 3_600;

/// The readings of what one is about, itself among them.
pub(crate) fn about_the_same<'v>(
    view: &'v View,
    reading: &Entry,
) -> impl Iterator<Item = &'v Entry> + use<'v> {
    let about = across::about(reading).and_then(Mention::name);
    about
        .into_iter()
        .flat_map(|about| view.naming(&about, Kind::Reading))
}

/// What a reading says, by the changes that say it: sixteen digits that are others when it was changed.
fn mark(reading: &Entry) -> String {
    let claims = SAYS.iter().flat_map(|field| reading.claims(field));
    let mut changes: Vec<_> = claims.map(|claim| claim.stamp.change).collect();
    changes.sort();
    changes.dedup();
    let mut hasher = blake3::Hasher::new();
    for change in &changes {
        hasher.update(change.hex().as_bytes());
    }
    hasher.finalize().to_hex().chars().take(16).collect()
}

/// What a reading says that its writer knew of its point; nothing where a program of before wrote it.
fn says_known(reading: &Entry) -> impl Iterator<Item = &str> {
    let claims = reading.claims(Reading::knew_of).iter();
    claims.filter_map(|claim| claim.value.as_ref().and_then(Scalar::line))
}

/// Whether whoever wrote a reading had another before them as it stands.
fn names(reading: &Entry, other: &Entry) -> bool {
    let mark = mark(other);
    let is = |known: &str| known.split_once('@') == Some((other.id.as_str(), mark.as_str()));
    says_known(reading).any(|known| known.split(' ').any(is))
}

/// Whether whoever wrote one of two had the other before them; nothing where that cannot be told, since a program of before wrote one.
fn knew(one: &Entry, other: &Entry) -> Option<bool> {
    let told = |reading: &Entry| says_known(reading).next().is_some();
    let together = one.made.change == other.made.change || is_of_one_device(one, other);
    (told(one) && told(other)).then(|| together || names(one, other) || names(other, one))
}

/// Whether one device alone said all that two readings say: nothing is written on a device that it does not have before it.
fn is_of_one_device(one: &Entry, other: &Entry) -> bool {
    let Some(device) = one.made.device.as_ref() else {
        return false;
    };
    let is_its = |entry: &Entry| {
        let mut claims = SAYS.iter().flat_map(|field| entry.claims(field));
        claims.all(|claim| claim.stamp.device.as_ref() == Some(device))
    };
    is_its(one) && is_its(other)
}

/// Whether whoever entered a reading had another before them. Of one that was changed since only its clock tells.
fn made_knowing(reading: &Entry, other: &Entry) -> bool {
    let put = stamp_of(reading, Reading::knew_of);
    put.is_some_and(|put| put.change == reading.made.change) && names(reading, other)
}

/// Whether one was measured after another: on a later day, or on the same one by somebody who had the other before them.
fn is_later(one: &Entry, other: &Entry) -> bool {
    let days = (measured_on(one), measured_on(other));
    let when = |entry: &Entry| (entry.made.at, entry.id.clone());
    match (
        days.0 == days.1,
        made_knowing(one, other),
        made_knowing(other, one),
    ) {
        (false, ..) => days.0 > days.1,
        (true, true, false) => true,
        (true, false, true) => false,
        (true, ..) => when(one) > when(other),
    }
}

/// Whether a reading takes the place of another of the same point: it is the later, and whoever wrote one of the two had the other before
/// them. Two that could not know of each other stay.
#[must_use]
pub fn takes_the_place_of(later: &Entry, earlier: &Entry) -> bool {
    later.stands()
        && later.id != earlier.id
        && at_one_point(later, earlier)
        && is_later(later, earlier)
        && knew(later, earlier) != Some(false)
}

/// The latest of those that take a reading's place. One that nothing judges says nothing of one that was out: it takes no other's place.
#[must_use]
pub fn since<'v>(judge: &Judge<'v>, reading: &Entry) -> Option<&'v Entry> {
    let all = about_the_same(judge.view(), reading);
    let later = all.filter(|other| takes_the_place_of(other, reading) && judge.verdict(other).is_some());
    later.max_by_key(|one| (measured_on(one), one.made.at, &one.id))
}

/// Whether it is told that the later of two was written by somebody who had the earlier before them, or the other way round: nothing of it
/// is left to the days.
pub(crate) fn is_told(one: &Entry, other: &Entry) -> bool {
    knew(one, other) == Some(true)
}

/// The readings of one point that stand, the earliest first. Those that could not know of each other are among them.
#[must_use]
pub fn of_one_point<'v>(view: &'v View, reading: &Entry) -> Vec<&'v Entry> {
    let mut all: Vec<&Entry> = about_the_same(view, reading)
        .filter(|other| other.stands() && at_one_point(other, reading))
        .collect();
    all.sort_by_cached_key(|one| (measured_on(one), one.made.at, one.id.clone()));
    all
}

/// What whoever writes these strokes knows of the points at which they measure, put with what they say.
pub(crate) fn put_with(view: &View, strokes: &[Stroke]) -> Vec<Stroke> {
    let mut measured: Vec<&Id> = Vec::new();
    for stroke in strokes {
        if let Stroke::Put(Kind::Reading, id, field, _) = stroke
            && SAYS.contains(&field.as_str())
            && !measured.contains(&id)
        {
            measured.push(id);
        }
    }
    let said = |id: &Id| {
        strokes.iter().any(
            |stroke| matches!(stroke, Stroke::Put(Kind::Reading, put, field, _) if put == id && field == Reading::knew_of),
        )
    };
    measured.retain(|id| !said(id));
    let each = measured.into_iter().filter_map(|id| {
        let known = known_at(view, id, &said_in(view, strokes, id)?);
        let field = Reading::knew_of.to_owned();
        Some(Stroke::Put(
            Kind::Reading,
            id.clone(),
            field,
            Stored::Scalar(Some(Scalar::Line(known))),
        ))
    });
    each.collect()
}

/// The point at which a reading is when these strokes are written.
fn said_in(view: &View, strokes: &[Stroke], reading: &Id) -> Option<AtPoint> {
    let entry = view.get(Kind::Reading, reading);
    at_point(|wanted| {
        let put = strokes.iter().rev().find_map(|stroke| match stroke {
            Stroke::Put(Kind::Reading, id, field, Stored::Scalar(value))
                if id == reading && field == wanted =>
            {
                Some(value.as_ref().and_then(Scalar::line))
            }
            _ => None,
        });
        match put {
            Some(value) => value.map(str::to_owned),
            None => entry.and_then(|entry| entry.line(wanted)).map(str::to_owned),
        }
    })
}

/// The others of a point that stand, as whoever writes at it has them. What is corrected is not measured again: another that could not be
/// known when it was measured stays one that was not known.
fn known_at(view: &View, reading: &Id, point: &AtPoint) -> String {
    let before = view.get(Kind::Reading, reading);
    let apart = |other: &Entry| {
        before.is_some_and(|before| at_one_point(before, other) && knew(before, other) == Some(false))
    };
    let about: Option<Ref> = point.0.parse().ok();
    let all = about
        .into_iter()
        .flat_map(|about| view.naming(&about, Kind::Reading));
    let mut others: Vec<&Entry> = all
        .filter(|other| other.stands() && other.id != *reading && point_of(other).as_ref() == Some(point))
        .filter(|other| !apart(other))
        .collect();
    others.sort_by_cached_key(|one| std::cmp::Reverse((measured_on(one), one.made.at, one.id.clone())));
    // Of each device the latest comes first, so that none of many drops out of what is said.
    let mut devices: Vec<Option<&Id>> = Vec::new();
    let is_latest: Vec<bool> = others
        .iter()
        .map(|one| {
            let device = one.made.device.as_ref();
            let fresh = !devices.contains(&device);
            devices.extend(fresh.then_some(device));
            fresh
        })
        .collect();
    let (latest, rest): (Vec<_>, Vec<_>) = others.into_iter().zip(is_latest).partition(|(_, latest)| *latest);
    let others = latest.into_iter().chain(rest).map(|(one, _)| one);
    let known: Vec<String> = others
        .take(MOST_KNOWN)
        .map(|other| format!("{}@{}", other.id, mark(other)))
        .collect();
    match known.is_empty() {
        true => NONE.to_owned(),
        false => known.join(" "),
    }
}
