//! The check of findings: of danger, or to mend, and nobody has ended them. It says nothing of how one ends.

use super::{Check, CheckDef, Looked, Opening, Unfinished, opening, place, stamp_of, stamps_of};
use crate::ending::{End, wants_mending};
use crate::entities::{Finding, Job, Part};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::name::{Kind, Mention, Ref};
use crate::words::{HowBad, Words as _};

/// An open finding.
pub(super) static FINDING: CheckDef = CheckDef {
    check: Check::Finding,
    kind: Kind::Finding,
    within: |view, entry| place(view, &entry.name()),
    unfinished,
    opening: opened,
    called: "open finding",
    hangs_on: &[Kind::Part, Kind::Job],
    from_the_first: false,
};

fn unfinished(looked: &Looked<'_>, entry: &Entry) -> Option<Unfinished> {
    let finding = Finding::of(entry)?;
    let how_bad = finding.how_bad()?;
    wants_mending(looked.view, finding).then(|| Unfinished {
        state: how_bad.word().to_owned(),
        danger: how_bad == HowBad::Danger,
    })
}

/// What made it a finding of its weight there, and what opened it again: its end taken back, or the job that mends it.
fn opened(looked: &Looked<'_>, entry: &Entry) -> Option<Opening> {
    let finding = Finding::of(entry)?;
    let mut stamps = stamps_of(entry, &[Finding::about, Finding::how_bad, Finding::ended]);
    if let Some(part) = finding
        .about()
        .and_then(Mention::name)
        .filter(|about| about.kind == Kind::Part)
    {
        let part = looked.view.find(&part);
        stamps.extend(part.and_then(|part| stamp_of(part, Part::assembly)).cloned());
    }
    if let Some(job) = finding.ended().and_then(|kept| End::of(kept).job().cloned()) {
        let job = looked.view.find(&Ref::new(Kind::Job, job));
        stamps.extend(job.and_then(|job| stamp_of(job, Job::state)).cloned());
    }
    opening(stamps, entry.value(Finding::how_bad).cloned())
}
