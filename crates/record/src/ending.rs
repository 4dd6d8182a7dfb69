//! How a finding ends: mended, by a job or as somebody says in words, or lived with, for a reason. All of it is one scalar, so that no
//! merge can put one keeper's end beside the other's reason: two ends are two values of one field. It says nothing of how bad a finding is.

use crate::entities::{Finding, FindingRef, Job};
use crate::entry::{Claim, Entry, Held, Scalar};
use crate::name::{Id, Kind};
pub use crate::own_word::said_to_hurt;
use crate::shown::says_something;
pub use crate::spelled::End;
use crate::view::View;
use crate::words::{HowBad, JobState};

impl End<'_> {
    /// Whether it holds: a job that was opened again, dropped or struck out mends nothing.
    #[must_use]
    pub fn holds(&self, view: &View) -> bool {
        match self {
            End::MendedBy(job) => view
                .one::<Job>(job)
                .is_some_and(|job| job.stands() && job.state() == Some(JobState::Done)),
            End::Mended(words) | End::LivedWith(words) => says_something(words),
            End::Other(_) => false,
        }
    }
}

/// Whether a finding calls for something to be done, and nobody has: one of danger or to mend that has no end that holds.
#[must_use]
pub fn wants_mending(view: &View, finding: FindingRef<'_>) -> bool {
    matches!(finding.how_bad(), Some(HowBad::Mend | HowBad::Danger)) && !ended(view, finding)
}

/// Whether a finding of danger has no end that holds, whether it stands or is struck out: as long as two say otherwise of its end, or
/// of the job that ends it, it has none.
#[must_use]
pub fn is_danger(view: &View, entry: &Entry) -> bool {
    let ends = |claim: &Claim| {
        let kept = claim.value.as_ref().and_then(Scalar::line).map(End::of);
        kept.is_some_and(|end| end.holds(view) && !end.job().is_some_and(|job| two_say_of(view, job)))
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
    finding.ended().is_some_and(|kept| End::of(kept).holds(view))
}
