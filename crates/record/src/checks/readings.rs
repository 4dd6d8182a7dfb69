//! The check of readings: out of limits or too close to call, and nothing done about it. Only the latest of a point is asked about; what it
//! says was judged by `verdict`.

use reckon::VerdictWord;

use super::def::{
    CheckDef, Looked, Opening, Unfinished, changed_since, nowhere_else, opening, place, stamp_of, stamps_of,
};
use crate::across;
use crate::closing_check::Check;
use crate::entities::{Instrument, Limit, Part, Reading};
use crate::entity::Entity as _;
use crate::entry::{Entry, STRUCK, Scalar};
use crate::name::{Id, Kind, Mention};
use crate::time::Day;
use crate::verdict::{Judge, limits_of};
use crate::view::View;
use crate::words::{JobState, OrderState, Words as _};

/// A reading that is not in its limits.
pub(super) static READING: CheckDef = CheckDef {
    check: Check::Reading,
    kind: Kind::Reading,
    within,
    also: nowhere_else,
    unfinished,
    opening: opened,
    called: "a reading that is not in its limits:",
    from_the_first: false,
};

/// As with a finding: of what is measured elsewhere no place is asked.
fn within(view: &View, entry: &Entry) -> Option<Id> {
    let about = across::about(entry).and_then(Mention::name)?;
    matches!(about.kind, Kind::Assembly | Kind::Part)
        .then(|| place(view, &about))
        .flatten()
}

/// What is measured where, as people name it: case and how many spaces stand between words do not tell two points apart.
type AtPoint<'v> = (&'v str, String, String);

fn plain(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

fn point_of(reading: &Entry) -> Option<AtPoint<'_>> {
    let of = Reading::of(reading)?;
    let at = of.at().map(plain).unwrap_or_default();
    Some((of.about()?.as_str(), plain(of.what()?), at))
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

/// The readings of what one is about.
fn about_the_same<'v>(view: &'v View, reading: &Entry) -> impl Iterator<Item = &'v Entry> + use<'v> {
    let about = across::about(reading).and_then(Mention::name);
    about
        .into_iter()
        .flat_map(|about| view.naming(&about, Kind::Reading))
}

/// Whether it was measured again at the same point, or what mends it was done or is in. One that nothing judges says nothing of one that
/// was out: it takes no other's place.
fn is_over(view: &View, judge: &Judge<'_>, reading: &Entry) -> bool {
    let when = |entry: &Entry| (measured_on(entry), entry.made.at, entry.id.clone());
    let point = point_of(reading);
    let later = |other: &Entry| {
        other.stands()
            && other.id != reading.id
            && point_of(other) == point
            && when(other) > when(reading)
            && judge.verdict(other).is_some()
    };
    let is = |kind: Kind, state: &str| {
        view.naming(&reading.name(), kind).any(|entry| {
            entry.stands()
                && across::remedy_of(entry) == Some((&reading.id).into())
                && across::state(entry) == Some(state)
        })
    };
    (point.is_some() && about_the_same(view, reading).any(later))
        || is(Kind::Job, JobState::Done.word())
        || is(Kind::Order, OrderState::In.word())
}

fn unfinished(looked: &Looked<'_>, reading: &Entry) -> Option<Unfinished> {
    // What was measured on a part that was struck out is on no car.
    let about = across::about(reading).and_then(Mention::name)?;
    looked.view.find(&about).filter(|about| about.stands())?;
    if is_over(looked.view, looked.judge(), reading) {
        return None;
    }
    let word = looked.judge().verdict(reading)?.word;
    let state = match word {
        VerdictWord::InLimits => return None,
        VerdictWord::BelowLimits => "below_limits",
        VerdictWord::AboveLimits => "above_limits",
        VerdictWord::TooCloseToCall => "too_close_to_call",
    };
    Some(Unfinished {
        state: state.to_owned(),
        danger: false,
    })
}

/// What it was measured as, what it is held against, and what of what mended it was undone.
fn opened(looked: &Looked<'_>, reading: &Entry) -> Option<Opening> {
    let view = looked.view;
    const SAYS: [&str; 10] = [
        Reading::about,
        Reading::what,
        Reading::on,
        STRUCK,
        Reading::value,
        Reading::again,
        Reading::grid,
        Reading::instrument,
        Reading::limit,
        Reading::at,
    ];
    let mut stamps = stamps_of(reading, &SAYS);
    for limit in limits_of(reading) {
        if let Some(limit) = view.get(Kind::Limit, &limit) {
            let says = [Limit::low, Limit::high, Limit::judges, STRUCK];
            stamps.extend(stamps_of(limit, &says).into_iter().skip(1));
        }
    }
    // Each limit of the set has a key of its own.
    let more = reading.fields.iter().filter(|(field, _)| {
        field
            .split_once(':')
            .is_some_and(|(set, _)| set == Reading::more_limits)
    });
    stamps.extend(more.filter_map(|(field, _)| stamp_of(reading, field)).cloned());
    let instrument = Reading::of(reading).and_then(|reading| reading.instrument()?.id());
    if let Some(instrument) = instrument.and_then(|id| view.get(Kind::Instrument, &id)) {
        let says = [Instrument::resolution, Instrument::uncertainty, STRUCK];
        stamps.extend(stamps_of(instrument, &says).into_iter().skip(1));
    }
    let about = across::about(reading).and_then(Mention::name);
    if let Some(part) = about.filter(|about| about.kind == Kind::Part) {
        let part = view.find(&part);
        stamps.extend(part.and_then(|part| stamp_of(part, Part::assembly)).cloned());
    }
    let name = reading.name();
    let all = |kind: Kind| {
        view.naming(&name, kind)
            .filter(|entry| across::remedy_of(entry) == Some((&reading.id).into()))
    };
    for done in all(Kind::Job).chain(all(Kind::Order)) {
        stamps.extend(changed_since(done));
    }
    // One that said more of the same point and was struck out.
    let point = point_of(reading);
    let struck = about_the_same(view, reading).filter(|other| !other.stands() && point_of(other) == point);
    stamps.extend(struck.filter_map(|other| stamp_of(other, STRUCK)).cloned());
    let state = unfinished(looked, reading)?.state;
    opening(stamps, Some(Scalar::Line(state)))
}
