//! The check of findings: of danger, to mend, or only suspected, and nobody has ended them. It says nothing of how one ends.

use super::def::{CheckDef, Looked, Opening, Unfinished, nowhere_else, opening, place, stamp_of, stamps_of};
use crate::closing_check::Check;
use crate::ending::{End, is_suspected, wants_mending};
use crate::entities::{Finding, Job, Part};
use crate::entity::Entity as _;
use crate::entry::{Entry, STRUCK};
use crate::name::{Id, Kind, Mention, Ref};
use crate::view::View;
use crate::words::{HowBad, HowSure, Words as _};

/// An open finding.
pub(super) static FINDING: CheckDef = CheckDef {
    check: Check::Finding,
    kind: Kind::Finding,
    within,
    also: nowhere_else,
    unfinished,
    opening: opened,
    called: "open finding",
    from_the_first: false,
};

/// Of what is seen elsewhere no place is asked: only another program writes so, and what such a thing hangs on is not looked at again.
fn within(view: &View, entry: &Entry) -> Option<Id> {
    let about = Finding::of(entry)?.about()?.name()?;
    matches!(about.kind, Kind::Assembly | Kind::Part)
        .then(|| place(view, &about))
        .flatten()
}

fn unfinished(looked: &Looked<'_>, entry: &Entry) -> Option<Unfinished> {
    let finding = Finding::of(entry)?;
    let how_bad = finding.how_bad();
    let state = match &how_bad {
        // Whether it is so at all comes before what is done about it.
        _ if is_suspected(looked.view, finding) => HowSure::Suspected.word(),
        Some(how_bad) if wants_mending(looked.view, finding) => how_bad.word(),
        _ => return None,
    };
    Some(Unfinished {
        state: state.to_owned(),
        danger: how_bad == Some(HowBad::Danger),
    })
}

/// What made it a finding of its weight there, and what opened it again: its end taken back, or the job that mends it.
fn opened(looked: &Looked<'_>, entry: &Entry) -> Option<Opening> {
    let finding = Finding::of(entry)?;
    const SAYS: [&str; 5] = [
        Finding::about,
        Finding::how_bad,
        Finding::how_sure,
        Finding::ended,
        STRUCK,
    ];
    let mut stamps = stamps_of(entry, &SAYS);
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
        let undone = |job| [Job::state, STRUCK].map(|field| stamp_of(job, field).cloned());
        stamps.extend(job.into_iter().flat_map(undone).flatten());
    }
    // What is only suspected, and would be nothing to ask about were it so, is told as that.
    let field = match wants_mending(looked.view, finding) {
        true => Finding::how_bad,
        false => Finding::how_sure,
    };
    opening(stamps, entry.value(field).cloned())
}
