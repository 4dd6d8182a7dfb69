//! How a finding ends: mended, by a job or as somebody says in words, or lived with, for a reason. All of it is one scalar, so that no
//! merge can put one keeper's end beside the other's reason: two ends are two values of one field. It says nothing of how bad a finding is.

use crate::entities::{Finding, FindingRef, Job};
use crate::entry::{Claim, Entry, Held, Scalar};
use crate::field::{Field, Line, Misfit, Shape, Stored};
use crate::name::{Id, Kind};
use crate::shown::says_something;
use crate::view::View;
use crate::words::{HowBad, JobState, Words as _};

/// The words before the colon.
const MENDED_BY: &str = "mended_by";
const MENDED: &str = "mended";
const LIVED_WITH: &str = "lived_with";

/// How a finding ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End<'a> {
    /// By this job, for as long as that is done.
    MendedBy(Id),
    /// As these words say.
    Mended(&'a str),
    /// It stays as it is, and this is why.
    LivedWith(&'a str),
    /// As a newer version says. What it means is not known here, so it ends nothing here.
    Other(&'a str),
}

impl<'a> End<'a> {
    /// From the stored text.
    #[must_use]
    pub fn of(kept: &'a str) -> Self {
        match kept.split_once(':') {
            Some((MENDED_BY, job)) => job.parse().map_or(End::Other(kept), End::MendedBy),
            Some((MENDED, words)) => End::Mended(words),
            Some((LIVED_WITH, why)) => End::LivedWith(why),
            _ => End::Other(kept),
        }
    }

    /// As it is stored.
    #[must_use]
    pub fn kept(&self) -> String {
        match self {
            End::MendedBy(job) => format!("{MENDED_BY}:{job}"),
            End::Mended(words) => format!("{MENDED}:{words}"),
            End::LivedWith(why) => format!("{LIVED_WITH}:{why}"),
            End::Other(kept) => (*kept).to_owned(),
        }
    }

    /// Its word: `mended_by`, `mended`, `lived_with`, or whatever a newer version says.
    #[must_use]
    pub fn word(&self) -> &'a str {
        match self {
            End::MendedBy(_) => MENDED_BY,
            End::Mended(_) => MENDED,
            End::LivedWith(_) => LIVED_WITH,
            End::Other(kept) => kept.split(':').next().unwrap_or(kept),
        }
    }

    /// The job that mends it.
    #[must_use]
    pub fn job(&self) -> Option<&Id> {
        match self {
            End::MendedBy(job) => Some(job),
            _ => None,
        }
    }

    /// How it was mended, or why it is lived with.
    #[must_use]
    pub fn words(&self) -> Option<&'a str> {
        match self {
            End::Mended(words) | End::LivedWith(words) => Some(words),
            End::MendedBy(_) | End::Other(_) => None,
        }
    }

    /// In a sentence; `named` tells what a job is called.
    #[must_use]
    pub fn told(&self, named: impl FnOnce(&Id) -> String) -> String {
        match self {
            End::MendedBy(job) => format!("mended by '{}'", named(job)),
            End::Mended(words) => format!("mended: {words}"),
            End::LivedWith(why) => format!("lived with: {why}"),
            End::Other(kept) => kept.replace('_', " "),
        }
    }

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

/// Whether somebody says of a finding that it can hurt somebody, be it shown or not: two may be at odds about just that.
#[must_use]
pub fn said_to_hurt(entry: &Entry) -> bool {
    let says = |claim: &Claim| claim.value.as_ref().and_then(Scalar::line) == Some(HowBad::Danger.word());
    entry.kind == Kind::Finding && entry.claims(Finding::how_bad).iter().any(says)
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

/// The field: one of the three spellings, with something said.
#[derive(Debug)]
pub struct Ending;
impl Field for Ending {
    type Value = String;
    const SHAPE: Shape = Shape::Ending;
    fn store(value: &String) -> Result<Stored, Misfit> {
        let stored = Line::store(value)?;
        let fits = match End::of(value.trim()) {
            End::MendedBy(_) => true,
            End::Mended(words) | End::LivedWith(words) => says_something(words),
            End::Other(kept) => kept.is_empty(),
        };
        if fits {
            return Ok(stored);
        }
        Err(Misfit::Unclear(format!(
            "say '{MENDED_BY}:' and the job's id, '{MENDED}:' and how, or '{LIVED_WITH}:' and why"
        )))
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}
