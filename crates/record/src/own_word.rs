//! What an entry says of itself that lists are made by: whether it is unfinished, and whether it says where it belongs. By its own word
//! alone; what the rest of the record makes of it is asked elsewhere.

use crate::across;
use crate::entities::{Finding, HoldPoint, Job};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, Scalar, Stamp};
use crate::name::{Id, Kind};
use crate::shown::says_something;
use crate::spelled::MetBy;
use crate::words::{HoldState, HowBad, JobState, Words as _};

/// Whether it stands and asks for something: an open job or hold point, a finding that can hurt somebody.
#[must_use]
pub fn asks(entry: &Entry) -> bool {
    entry.stands()
        && match entry.kind {
            Kind::Job | Kind::HoldPoint => is_open(entry),
            Kind::Finding => said_to_hurt(entry),
            _ => false,
        }
}

/// Whether it stands and does not say what it is of: a part, a job or a hold point of no assembly, a photo of nothing.
#[must_use]
pub fn is_loose(entry: &Entry) -> bool {
    entry.stands()
        && match entry.kind {
            // A job and a hold point without one are the car's own.
            Kind::Part | Kind::Job | Kind::HoldPoint => {
                across::assembly(entry).and_then(|link| link.id()).is_none()
            }
            Kind::Photo => across::about(entry).is_none(),
            _ => false,
        }
}

/// Whether a job or hold point is still open: begun and put off are open too, and so is a word of a newer version.
#[must_use]
pub fn is_open(entry: &Entry) -> bool {
    match entry.kind {
        Kind::Job => {
            let state = Job::of(entry).and_then(|job| job.state());
            !matches!(state, Some(JobState::Done | JobState::Dropped))
        }
        Kind::HoldPoint => HoldPoint::of(entry).and_then(|hold| hold.state()) != Some(HoldState::Met),
        _ => false,
    }
}

/// Whether a job was begun, and stands.
#[must_use]
pub fn is_begun(entry: &Entry) -> bool {
    entry.stands() && Job::of(entry).and_then(|job| job.state()) == Some(JobState::Begun)
}

/// Whether a job is put off to a later round, and stands.
#[must_use]
pub fn is_put_off(entry: &Entry) -> bool {
    entry.stands() && Job::of(entry).and_then(|job| job.state()) == Some(JobState::Later)
}

/// The bigger job that did this one as well, or undid it. Believed only beside the state it came with: what was put since has another reason.
#[must_use]
pub fn undone_by(job: &Entry) -> Option<Id> {
    let state = job.claims(Job::state).first()?;
    let by = job.claims(Job::undone_by).first()?;
    let said = by.value.as_ref().and_then(Scalar::line)?;
    (by.stamp.change == state.stamp.change)
        .then(|| said.parse().ok())
        .flatten()
}

/// How many were counted of an open one, and who did, where that is not what is wanted: it belongs to the record as well, and stands in
/// the way by that number. Believed only beside the state it came with, as what met one is.
#[must_use]
pub fn counted_otherwise(hold: &Entry) -> Option<(i32, &Stamp)> {
    let state = hold.claims(HoldPoint::state).first()?;
    let by = hold.claims(HoldPoint::met_by).first()?;
    let said = by.value.as_ref().and_then(Scalar::line)?;
    let met = state.value.as_ref().and_then(Scalar::line) == Some(HoldState::Met.word());
    if met || by.stamp.change != state.stamp.change {
        return None;
    }
    let MetBy::Counted(counted) = MetBy::of(said)? else {
        return None;
    };
    let wanted = HoldPoint::of(hold)?.wanted();
    (wanted != Some(counted)).then_some((counted, &by.stamp))
}

/// What was seen of a hold point that is open again, and whose word that is: it held before, and tells nothing of how it is now. What
/// was counted otherwise than is wanted is another matter: that is how it is now.
#[must_use]
pub fn seen_before(hold: &Entry) -> Option<&Claim> {
    let says = |claim: &&Claim| {
        let said = claim.value.as_ref().and_then(Scalar::line);
        said.is_some_and(says_something)
    };
    let open = hold.kind == Kind::HoldPoint && is_open(hold) && counted_otherwise(hold).is_none();
    hold.claims(HoldPoint::met_how)
        .first()
        .filter(|_| open)
        .filter(says)
}

/// Whether somebody says of a finding that it can hurt somebody, be it shown or not: two may be at odds about just that.
#[must_use]
pub fn said_to_hurt(entry: &Entry) -> bool {
    let says = |claim: &Claim| claim.value.as_ref().and_then(Scalar::line) == Some(HowBad::Danger.word());
    entry.kind == Kind::Finding && entry.claims(Finding::how_bad).iter().any(says)
}
