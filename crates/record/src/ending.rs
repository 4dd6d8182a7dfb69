//! How a finding ends: mended, by a job or as somebody says in words, lived with, for a reason, or not so, where somebody looked. All of it is one scalar, so that no
//! merge can put one keeper's end beside the other's reason: two ends are two values of one field. It says nothing of how bad a finding is.

use crate::entities::{Finding, FindingRef, Job};
use crate::entry::{Claim, Entry, Held, Scalar};
use crate::name::{Id, Kind};
pub use crate::own_word::said_to_hurt;
use crate::shown::says_something;
pub use crate::spelled::End;
use crate::view::View;
use crate::words::{HowBad, HowSure, JobState, Words as _};

impl End<'_> {
    /// Whether it holds for a finding: a job that was opened again, dropped or struck out mends nothing, and what somebody looked at and
    /// confirms is not ruled out.
    #[must_use]
    pub fn holds(&self, view: &View, finding: &Entry) -> bool {
        match self {
            End::MendedBy(job) => view
                .one::<Job>(job)
                .is_some_and(|job| job.stands() && job.state() == Some(JobState::Done)),
            End::Mended(words) | End::LivedWith(words) => says_something(words),
            End::NotSo(seen) => says_something(seen) && !is_confirmed(finding),
            End::Other(_) => false,
        }
    }
}

/// Whether a finding calls for something to be done, and nobody has: one of danger or to mend that has no end that holds.
#[must_use]
pub fn wants_mending(view: &View, finding: FindingRef<'_>) -> bool {
    matches!(finding.how_bad(), Some(HowBad::Mend | HowBad::Danger)) && !ended(view, finding)
}

/// Whether anybody who looked says that it is so.
fn is_confirmed(finding: &Entry) -> bool {
    let says = |claim: &Claim| claim.value.as_ref().and_then(Scalar::line) == Some(HowSure::Confirmed.word());
    finding.claims(Finding::how_sure).iter().any(says)
}

/// Whether a finding is only suspected and nobody has looked since: it is asked about when its place is next open, and at closing.
#[must_use]
pub fn is_suspected(view: &View, finding: FindingRef<'_>) -> bool {
    finding.how_sure() == Some(HowSure::Suspected)
        && finding.how_bad() != Some(HowBad::Sound)
        && !ended(view, finding)
}

/// Whether a finding of danger has no end that holds, whether it stands or is struck out: as long as two say otherwise of its end, or
/// of the job that ends it, it has none.
#[must_use]
pub fn is_danger(view: &View, entry: &Entry) -> bool {
    let ends = |claim: &Claim| {
        let kept = claim.value.as_ref().and_then(Scalar::line).map(End::of);
        kept.is_some_and(|end| end.holds(view, entry) && !end.job().is_some_and(|job| two_say_of(view, job)))
    };
    let ended = entry.claims(Finding::ended);
    said_to_hurt(entry) && (ended.is_empty() || !ended.iter().all(ends))
}

/// The same, of one that stands.
#[must_use]
pub fn can_hurt(view: &View, entry: &Entry) -> bool {
    entry.stands() && is_danger(view, entry)
}

fn two_say_of(view: &View, job: &Id) -> bool {
    let state = view
        .get(Kind::Job, job)
        .and_then(|job| job.fields.get(Job::state));
    state.is_some_and(Held::contradicts)
}

/// Whether a finding has an end that holds.
#[must_use]
pub fn ended(view: &View, finding: FindingRef<'_>) -> bool {
    let end = finding.ended().map(End::of);
    end.is_some_and(|end| end.holds(view, finding.entry()))
}
