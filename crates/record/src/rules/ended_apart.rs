//! Ended, and written on: one keeper ended a finding, or did the job that mends it, while the other wrote that it can hurt somebody, or
//! said of such a one otherwise what it is, wrote a note on it, or tried the job and it did not work. The merge shows the end beside the new weight, and whoever reads it thinks that the danger was seen
//! and dealt with. Whoever ends it after that, or makes it worse knowing the end, is at odds with nobody.

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Survey, nothing};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::ending::{End, said_to_hurt};
use crate::entities::{Finding, Job, Try};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, Scalar, Stamp};
use crate::field::Stored;
use crate::name::{Id, Kind, Ref};
use crate::title::{ending_of, title};
use crate::view::View;
use crate::words::{HowBad, Words as _};

/// A finding was ended and written on.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::EndedApart,
    said: "a finding was ended, and written on",
    finds: Finds::InRecord(&[Kind::Finding, Kind::Job, Kind::Try], look),
    choices: &[
        ChoiceDef::new(
            ChoiceKey::Word("open_again"),
            Outcome::Of(0, "is open again"),
            |settling, _| {
                let name = settling.about(0)?.clone();
                Ok(vec![Stroke::Put(
                    name.kind,
                    name.id,
                    Finding::ended.to_owned(),
                    Stored::Scalar(None),
                )])
            },
        ),
        ChoiceDef::new(
            ChoiceKey::Word("is_ended"),
            Outcome::Of(0, "has its end all the same"),
            nothing,
        )
        .with_why(),
    ],
};

fn look(survey: &Survey<'_>, found: &mut Found) -> bool {
    let view = survey.view;
    survey.each(Kind::Finding, found, |finding| {
        point(view, survey.ledger, finding)
    })
}

/// Whether a try is one at this job.
fn is_of(one: &Entry, job: &Id) -> bool {
    one.line(Try::job) == Some(job.as_str())
}

/// What is shown of a field.
fn claim<'e>(entry: &'e Entry, field: &str) -> Option<&'e Claim> {
    entry.claims(field).first()
}

/// What was written apart from an end, on what, and by whom.
struct Wrote<'v> {
    on: &'v Entry,
    value: Option<Scalar>,
    stamp: Stamp,
}

impl<'v> Wrote<'v> {
    fn of(finding: &'v Entry, claim: &Claim) -> Self {
        Self {
            on: finding,
            value: claim.value.clone(),
            stamp: claim.stamp.clone(),
        }
    }

    /// A try that did not work.
    fn tried(one: &'v Entry, stamp: &Stamp) -> Self {
        let came = one.line(Try::came_of_it).or_else(|| one.line(Try::what));
        Self {
            on: one,
            value: came.map(|came| Scalar::Line(came.to_owned())),
            stamp: stamp.clone(),
        }
    }

    fn noted(finding: &'v Entry, stamp: Stamp) -> Self {
        // What was written on it last may be the warning.
        let note = finding.line(Finding::note).map(ending_of);
        Self {
            on: finding,
            value: note.map(Scalar::Line),
            stamp,
        }
    }
}

fn point(view: &View, ledger: &Ledger, entry: &Entry) -> Option<Point> {
    let finding = Finding::of(entry)?;
    let end = End::of(finding.ended()?);
    if !said_to_hurt(entry) || !end.holds(view, entry) {
        return None;
    }
    let ended = &claim(entry, Finding::ended)?.stamp;
    let done = end
        .job()
        .and_then(|job| claim(view.get(Kind::Job, job)?, Job::state))
        .map(|claim| &claim.stamp);
    // Ended by a job is what is ended when the job is done: whoever did the later of the two had the other before them.
    let ends = match done {
        Some(done) if ledger.knew(&ended.change, &done.change) => vec![ended],
        Some(done) if ledger.knew(&done.change, &ended.change) => vec![done],
        Some(done) => vec![ended, done],
        None => vec![ended],
    };
    let apart = |one: &Stamp, other: &Stamp| {
        !ledger.knew(&one.change, &other.change) && !ledger.knew(&other.change, &one.change)
    };
    let by_apart = |stamp: &Stamp| ends.iter().find(|end| apart(end, stamp)).copied();
    // That it is a danger before what is said of it.
    let danger = |claim: &&Claim| claim.value.as_ref().and_then(Scalar::line) == Some(HowBad::Danger.word());
    let weighed = entry.claims(Finding::how_bad).iter().filter(danger);
    let said = weighed
        .chain(entry.claims(Finding::what))
        .find_map(|worse| Some((by_apart(&worse.stamp)?, Wrote::of(entry, worse))));
    let failed = || {
        let job = end.job()?;
        let tries = view.naming(&Ref::new(Kind::Job, job.clone()), Kind::Try);
        let mut tries = tries.filter(|one| one.stands() && is_of(one, job));
        tries.find_map(|one| {
            let claim = claim(one, Try::worked).filter(|claim| claim.value == Some(Scalar::Flag(false)))?;
            Some((by_apart(&claim.stamp)?, Wrote::tried(one, &claim.stamp)))
        })
    };
    // Of a text the newest hand in it is named; it is read of dangers that were ended only.
    let noted = || {
        let letters = ledger
            .letters_of(entry)
            .filter(|(field, _)| *field == Finding::note);
        let stamps = letters.map(|(_, change)| ledger.stamp(*change));
        let by = stamps.filter_map(|stamp| Some((by_apart(&stamp)?, stamp)));
        let (by, stamp) = by.max_by(|(_, a), (_, b)| (a.at, &a.change).cmp(&(b.at, &b.change)))?;
        Some((by, Wrote::noted(entry, stamp)))
    };
    let (by, worse) = said.or_else(failed).or_else(noted)?;
    let told = end.told(|job| view.get(Kind::Job, job).map_or_else(String::new, title));
    let about = vec![entry.name()];
    let changes = [&by.change, &worse.stamp.change];
    let side = |key: &str, of: &Entry, value: Option<Scalar>, stamp: &Stamp| Side {
        key: key.to_owned(),
        about: of.name(),
        title: title(of),
        value,
        stamp: stamp.clone(),
        knew_other: false,
    };
    Some(Point {
        id: identity(Rule::EndedApart, &about, "", &changes),
        rule: Rule::EndedApart,
        title: format!("'{}' was ended, and written on", title(entry)),
        sides: vec![
            side("side_1", entry, Some(Scalar::Line(told)), by),
            side("side_2", worse.on, worse.value.clone(), &worse.stamp),
        ],
        changes: changes.into_iter().copied().collect(),
        about,
        field: None,
        part_of: None,
        reopened: None,
        choices: RULE.offers(),
    })
}
