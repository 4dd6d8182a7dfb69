//! The check of readings: out of limits or too close to call, and nothing done about it. Of a point the
//! latest is asked about, and each of those whose writers could not know of each other; what it says was judged by `verdict`.

use reckon::VerdictWord;

use super::def::{
    CheckDef, Looked, Opening, Unfinished, changed_since, nowhere_else, opening, place, stamp_of, stamps_of,
};
use crate::across;
use crate::closing_check::Check;
use crate::entities::{Instrument, Limit, Part, Reading};
use crate::entity::Entity as _;
use crate::entry::{Entry, STRUCK, Scalar};
use crate::measured_again::{about_the_same, at_one_point, since};
use crate::name::{Id, Kind, Mention};
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

/// Whether it was measured again at the same point by somebody who knew it, or what mends it was done or is in.
fn is_over(view: &View, judge: &Judge<'_>, reading: &Entry) -> bool {
    let is = |kind: Kind, state: &str| {
        view.naming(&reading.name(), kind).any(|entry| {
            entry.stands()
                && across::remedy_of(entry) == Some((&reading.id).into())
                && across::state(entry) == Some(state)
        })
    };
    since(judge, reading).is_some()
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
    let struck =
        about_the_same(view, reading).filter(|other| !other.stands() && at_one_point(other, reading));
    stamps.extend(struck.filter_map(|other| stamp_of(other, STRUCK)).cloned());
    let state = unfinished(looked, reading)?.state;
    opening(stamps, Some(Scalar::Line(state)))
}
