//! Ended, and written on: one keeper ended a finding, or did the job that mends it, while the other wrote that it can hurt somebody, or
//! said of such a one otherwise what it is. The merge shows the end beside the new weight, and whoever reads it thinks that the danger was seen
//! and dealt with. Whoever ends it after that, or makes it worse knowing the end, is at odds with nobody.

use super::def::{ChoiceDef, Finds, Found, Key, Outcome, RuleDef, Survey, nothing};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::ending::{End, said_to_hurt};
use crate::entities::{Finding, Job};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, Scalar, Stamp, View};
use crate::field::Stored;
use crate::name::{Kind, Ref};
use crate::title::title;
use crate::words::{HowBad, Words as _};

/// A finding was ended and written on.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::EndedApart,
    said: "a finding was ended, and written on",
    finds: Finds::InRecord(&[Kind::Finding, Kind::Job], look),
    choices: &[
        ChoiceDef::new(
            Key::Word("open_again"),
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
            Key::Word("is_ended"),
            Outcome::Of(0, "has its end all the same"),
            nothing,
        )
        .with_why(),
    ],
};

fn look(survey: &Survey<'_>, found: &mut Found) -> bool {
    survey.each(Kind::Finding, found, mended_by_one, |finding| {
        point(survey.view, survey.ledger, finding)
    })
}

/// Whether one of these is the job that mends it.
fn mended_by_one(finding: &Entry, names: &[&Ref]) -> bool {
    let end = finding.line(Finding::ended).map(End::of);
    let job = end.as_ref().and_then(End::job);
    job.is_some_and(|job| names.iter().any(|name| name.kind == Kind::Job && name.id == *job))
}

/// What is shown of a field.
fn claim<'e>(entry: &'e Entry, field: &str) -> Option<&'e Claim> {
    entry.claims(field).first()
}

fn point(view: &View, ledger: &Ledger, entry: &Entry) -> Option<Point> {
    let finding = Finding::of(entry)?;
    let end = End::of(finding.ended()?);
    if !said_to_hurt(entry) || !end.holds(view) {
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
    // That it is a danger before what is said of it.
    let danger = |claim: &&Claim| claim.value.as_ref().and_then(Scalar::line) == Some(HowBad::Danger.word());
    let weighed = entry.claims(Finding::how_bad).iter().filter(danger);
    let (by, worse) = weighed.chain(entry.claims(Finding::what)).find_map(|worse| {
        let by = ends.iter().find(|end| apart(end, &worse.stamp))?;
        Some((*by, worse))
    })?;
    let told = end.told(|job| view.get(Kind::Job, job).map_or_else(String::new, title));
    let about = vec![entry.name()];
    let changes = [&by.change, &worse.stamp.change];
    let side = |key: &str, value: Option<Scalar>, stamp: &Stamp| Side {
        key: key.to_owned(),
        about: entry.name(),
        title: title(entry),
        value,
        stamp: stamp.clone(),
        knew_other: false,
    };
    Some(Point {
        id: identity(Rule::EndedApart, &about, "", &changes),
        rule: Rule::EndedApart,
        title: format!("'{}' was ended, and written on", title(entry)),
        sides: vec![
            side("side_1", Some(Scalar::Line(told)), by),
            side("side_2", worse.value.clone(), &worse.stamp),
        ],
        changes: changes.into_iter().cloned().collect(),
        about,
        field: None,
        part_of: None,
        choices: RULE.offers(),
    })
}
