//! Whether a reading that is here meets a hold point: one that was taken before the point was asked anew, or elsewhere, meets none; one that
//! is not in its limits, has none, was held against another, or is of another measurement by its words, meets it with a word of whoever says so. It judges no reading itself.
//!
//! That a measurement is looked for by the words that it has in common with what must be so is common practice of this program, no source.

use reckon::VerdictWord;

use crate::across;
use crate::alike::words;
use crate::document::{Ledger, Record};
use crate::entities::{Assembly, HoldPoint, Reading};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, Scalar, Stamp};
use crate::field::Misfit;
use crate::given::GivenFields;
use crate::holding::{ASKS, MetBy, READS};
use crate::home;
use crate::name::{Id, Kind, Mention, Ref};
use crate::refusal::Refusal;
use crate::shown::says_something;
use crate::title::title;
use crate::tree::assemblies_around;
use crate::verdict::{Judge, limits_of};
use crate::view::View;
use crate::words::{HoldState, Words as _};

/// Why a reading does not meet a hold point by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhyNot {
    /// In words, after the reading.
    pub says: String,
    /// Whether it meets it where somebody says why.
    pub with_a_word: bool,
    /// Whether it is only its words that speak against it: one that was taken since this was asked may have been taken for it.
    by_words: bool,
}

/// Whether something was written before something else, as far as whoever asks can tell.
type Before<'a> = &'a dyn Fn(&Stamp, &Stamp) -> bool;

/// By the clocks of those who wrote: for a page, which opens no document. Keeping goes by who knew of what.
#[must_use]
pub fn by_the_clock(one: &Stamp, other: &Stamp) -> bool {
    one.at < other.at && one.change != other.change
}

fn by_ledger(ledger: &Ledger) -> impl Fn(&Stamp, &Stamp) -> bool {
    |one, other| one.change != other.change && ledger.knew(&other.change, &one.change)
}

/// Why a reading does not meet a hold point by itself; nothing where it does.
#[must_use]
pub fn why_not(
    view: &View,
    judge: &Judge<'_>,
    hold: &Entry,
    reading: &Entry,
    before: Before<'_>,
) -> Option<WhyNot> {
    let asks = hold.line(HoldPoint::what).unwrap_or_default();
    let never = |says: String| {
        Some(WhyNot {
            says,
            with_a_word: false,
            by_words: false,
        })
    };
    let with_a_word = |says: &str| {
        Some(WhyNot {
            says: says.to_owned(),
            with_a_word: true,
            by_words: false,
        })
    };
    if is_older(view, hold, reading, before) {
        return never("it was taken before this was asked anew".to_owned());
    }
    let about = across::about(reading).and_then(Mention::name);
    let home = about.as_ref().and_then(|about| home::assembly_of(view, about));
    let here = HoldPoint::of(hold).and_then(|hold| hold.assembly()?.id());
    if let (Some(home), Some(here)) = (&home, &here)
        && !assemblies_around(view, home).contains(here)
    {
        let home = view.get(Kind::Assembly, home).map(title).unwrap_or_default();
        return never(format!("it was taken of '{home}'"));
    }
    let judged = judge.verdict(reading).map(|verdict| verdict.word);
    match judged {
        Some(VerdictWord::BelowLimits) => return with_a_word("it is below its limits"),
        Some(VerdictWord::AboveLimits) => return with_a_word("it is above its limits"),
        Some(VerdictWord::InLimits | VerdictWord::TooCloseToCall) | None => {}
    }
    if let Some(limit) = limit_of(view, hold)
        && !limits_of(reading).contains(&limit.id)
    {
        return with_a_word(&format!("it was not held against '{}'", title(limit)));
    }
    if judged.is_none() {
        return with_a_word("it has no limit, so nothing says whether it is what is wanted");
    }
    // Of what is asked of the car, a reading of the car is.
    let of_the_car = here.is_none() && about.is_some_and(|about| about.kind == Kind::Car);
    if home.is_none() && !of_the_car {
        return with_a_word("it does not say of which part of the car it was taken");
    }
    let measured = words(reading.line(Reading::what).unwrap_or_default());
    match words(asks).is_disjoint(&measured) {
        true => Some(WhyNot {
            says: "it is of another measurement, by its words".to_owned(),
            with_a_word: true,
            by_words: true,
        }),
        false => None,
    }
}

/// What a hold point says that a reading is to be held against.
fn limit_of<'v>(view: &'v View, hold: &Entry) -> Option<&'v Entry> {
    let limit = HoldPoint::of(hold)?.limit()?.id()?;
    view.get(Kind::Limit, &limit).filter(|limit| limit.stands())
}

/// Whether what was measured was known already when the hold point was asked anew.
fn is_older(view: &View, hold: &Entry, reading: &Entry, before: Before<'_>) -> bool {
    let shown = |field: &&str| reading.claims(field).first().map(|claim| &claim.stamp);
    let measured: Vec<&Stamp> = [Reading::value, Reading::again, Reading::grid]
        .iter()
        .filter_map(shown)
        .collect();
    // Asked anew since that reading was changed, it is met by what it says now.
    let by_itself = |asked: &Stamp| {
        READS
            .iter()
            .filter_map(shown)
            .any(|one| one.change == asked.change)
    };
    asked_anew(view, hold, before)
        .into_iter()
        .any(|asked| !by_itself(asked) && measured.iter().all(|one| before(one, asked)))
}

/// When a hold point was asked anew: worded otherwise, its assembly opened, what it was met by changed, or by whoever settled a question
/// about it. That somebody takes a tap back asks nothing anew.
fn asked_anew<'v>(view: &'v View, hold: &'v Entry, before: Before<'_>) -> Vec<&'v Stamp> {
    let later = |claim: &&Claim| claim.stamp.change != hold.made.change;
    let reworded = ASKS.iter().flat_map(|field| hold.claims(field)).filter(later);
    let mut all: Vec<&Stamp> = reworded.map(|claim| &claim.stamp).collect();
    let here = HoldPoint::of(hold).and_then(|hold| hold.assembly()?.id());
    let here = here.and_then(|id| view.get(Kind::Assembly, &id));
    let opened = here.map_or(&[][..], |assembly| assembly.claims(Assembly::opened));
    let opened = opened
        .iter()
        .filter(|claim| claim.value == Some(Scalar::Flag(true)) && !before(&claim.stamp, &hold.made));
    all.extend(opened.map(|claim| &claim.stamp));
    let open = HoldState::Open.word();
    let put = hold.claims(HoldPoint::state).iter().filter(later);
    let put = put.filter(|claim| claim.value.as_ref().and_then(Scalar::line) == Some(open));
    all.extend(
        put.map(|claim| &claim.stamp)
            .filter(|stamp| is_no_tap(view, stamp)),
    );
    all
}

/// Whether a change that put a hold point open settled a question, or changed a reading.
fn is_no_tap(view: &View, put: &Stamp) -> bool {
    let settled = |entry: &Entry| entry.made.change == put.change;
    let changed = |entry: &Entry| {
        let fields = READS.iter().flat_map(|field| entry.claims(field));
        fields
            .map(|claim| &claim.stamp.change)
            .any(|change| *change == put.change)
    };
    view.all(Kind::Settlement).any(settled) || view.all(Kind::Reading).any(changed)
}

/// Refuses that a hold point is met by a reading that does not meet it, or that wants a word which is not said.
pub(crate) fn can_meet(record: &Record, id: &Id, given: &GivenFields) -> Result<(), Refusal> {
    let view = record.view();
    let meets =
        given.kind() == Kind::HoldPoint && given.line(HoldPoint::state) == Some(HoldState::Met.word());
    let by = given.line(HoldPoint::met_by).and_then(MetBy::of);
    let (true, Some(MetBy::Reading(reading))) = (meets, by) else {
        return Ok(());
    };
    let name = Ref::new(Kind::Reading, reading);
    let (Some(hold), Some(reading)) = (view.get(Kind::HoldPoint, id), view.find(&name)) else {
        return Ok(());
    };
    let before = by_ledger(record.ledger());
    let Some(why) = why_not(view, &Judge::of(view), hold, reading, &before) else {
        return Ok(());
    };
    let said = given.line(HoldPoint::met_how).is_some_and(says_something);
    let since = why.by_words && !before(&reading.made, &hold.made);
    if since || (why.with_a_word && said) {
        return Ok(());
    }
    let then = match why.with_a_word {
        true => "say why it meets this all the same, or take another",
        false => "take it again",
    };
    Err(Refusal::Misfit {
        field: HoldPoint::met_by.to_owned(),
        why: Misfit::Unclear(format!(
            "'{}' does not meet it: {}; {then}",
            title(reading),
            why.says
        )),
    })
}
