//! What an entry says of itself that lists are made by: whether it is unfinished, and whether it says where it belongs. By its own word
//! alone; what the rest of the record makes of it is asked elsewhere.

use crate::across;
use crate::entities::{Finding, HoldPoint, Job};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, Scalar};
use crate::name::Kind;
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

/// Whether it stands and does not say what it is of: a part of no assembly, a photo of nothing.
#[must_use]
pub fn is_loose(entry: &Entry) -> bool {
    entry.stands()
        && match entry.kind {
            Kind::Part => across::assembly(entry).and_then(|link| link.id()).is_none(),
            Kind::Photo => across::about(entry).is_none(),
            _ => false,
        }
}

/// Whether a job or hold point is still open.
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

/// Whether somebody says of a finding that it can hurt somebody, be it shown or not: two may be at odds about just that.
#[must_use]
pub fn said_to_hurt(entry: &Entry) -> bool {
    let says = |claim: &Claim| claim.value.as_ref().and_then(Scalar::line) == Some(HowBad::Danger.word());
    entry.kind == Kind::Finding && entry.claims(Finding::how_bad).iter().any(says)
}
