//! Remedies: what mends a reading that is out of limits, with the amount, and what would decide one that is too close to
//! call. Pure, and reckoned anew at every look, as the verdicts are; only what a keeper takes becomes a job or an order.
//! It never takes one by itself.

mod amount;
mod guess;
mod one;
mod taken;
mod undersize;

use reckon::VerdictWord;
use reckon::uncertainty::Side;

use crate::entities::Limit;
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::measured_again;
use crate::verdict::{Judge, Judged, Measured};
use crate::words::Mend;

pub use guess::mend_of;
use one::ReadingPlace;
pub use one::{Makes, OnTheBench, Remedy, home};
pub use taken::{TakenRemedies, edit_of, standing_for};

/// What mends a reading, the gravest limit's remedies first; nothing for one that is in its limits, or was measured again since.
#[must_use]
pub fn of_reading(judge: &Judge<'_>, reading: &Entry) -> Vec<Remedy> {
    Measured::of(reading).map_or_else(Vec::new, |measured| {
        of_judged(judge, reading, &measured, &judge.each(reading, &measured))
    })
}

/// The same, where it was measured and judged already.
#[must_use]
pub fn of_judged(
    judge: &Judge<'_>,
    reading: &Entry,
    measured: &Measured,
    judged: &[Judged<'_>],
) -> Vec<Remedy> {
    // What was measured since says what is to be mended now.
    if measured_again::since(judge, reading).is_some() {
        return Vec::new();
    }
    let mut by_gravity: Vec<&Judged<'_>> = judged
        .iter()
        .filter(|one| one.verdict.word != VerdictWord::InLimits)
        .collect();
    // Stable: equals stay in the order of the reading's limits.
    by_gravity.sort_by(|a, b| b.graver_than(a));
    let out = |one: &Judged<'_>| one.verdict.word != VerdictWord::TooCloseToCall;
    let any_out = by_gravity.iter().any(|one| out(one));
    let mut remedies: Vec<Remedy> = Vec::new();
    for one in by_gravity {
        let place = ReadingPlace::of(judge.view(), reading, one);
        let of_it = if out(one) {
            let side = one.judgement.near;
            let mend = stated(one, side).unwrap_or_else(|| guess::mend_of(&place.said, one, side));
            amount::remedies(judge.view(), reading, measured, one, &place, &mend)
        } else if any_out {
            // What is out is mended first; after that it is measured again anyway.
            Vec::new()
        } else {
            vec![amount::measure_again(judge, reading, measured, one, &place)]
        };
        for remedy in of_it {
            if remedies.iter().all(|other| other.key != remedy.key) {
                remedies.push(remedy);
            }
        }
    }
    remedies
}

/// The mend that the limit itself names for a side.
fn stated(judged: &Judged<'_>, side: Side) -> Option<Mend> {
    let limit = Limit::of(judged.bounds.entry)?;
    match side {
        Side::Low => limit.if_low(),
        Side::High => limit.if_high(),
    }
}
