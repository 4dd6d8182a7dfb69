//! How it stands tonight: every finding of danger that nobody has ended, the car's own state first. It reads entries only, and
//! leaves nothing out for being under a closed lid.

use record::ending::{End, can_hurt};
use record::entities::{Assembly, Finding};
use record::rules::{Point, Rule};
use record::words::{AssemblyState, HowBad};
use record::{Entity, Entry, Id, Kind, Mention, Ref, Scalar, View, called};

use super::Reader;
use crate::wire::Tonight;

/// What stands in the way of a hand, newest first, the car's own state before what was found in it.
pub(crate) fn tonight(read: &Reader<'_>, points: &[Point]) -> Vec<Tonight> {
    let view = read.view;
    let mut all: Vec<Tonight> = view
        .standing(Kind::Finding)
        .filter(|entry| stands_tonight(view, entry, points))
        .filter_map(|entry| one(read, entry, points))
        .collect();
    all.sort_by(|a, b| {
        (a.about.is_some(), b.on, b.by.at, &a.name).cmp(&(b.about.is_some(), a.on, a.by.at, &b.name))
    });
    all
}

/// Of danger, by whoever says so, and not ended; or ended by one while another wrote on it.
fn stands_tonight(view: &View, entry: &Entry, points: &[Point]) -> bool {
    let danger = HowBad::Danger;
    let claims = entry.fields.get(Finding::how_bad).map(record::Held::claims);
    let said = claims.into_iter().flatten().any(|claim| {
        let word = claim.value.as_ref().and_then(Scalar::line);
        word.map(str::to_owned) == Some(String::from(danger.clone()))
    });
    let at_odds = || {
        let name = entry.name();
        points
            .iter()
            .any(|point| point.rule == Rule::EndedApart && point.about.contains(&name))
    };
    let ended = Finding::of(entry).is_some_and(|finding| record::ending::ended(view, finding));
    can_hurt(view, entry) || (said && (!ended || at_odds()))
}

fn one(read: &Reader<'_>, entry: &Entry, points: &[Point]) -> Option<Tonight> {
    let view = read.view;
    let finding = Finding::of(entry)?;
    let about = finding.about().and_then(Mention::name)?;
    let home = read.home(&entry.name());
    let job = finding.ended().map(End::of).and_then(|end| end.job().cloned());
    let name = entry.name();
    Some(Tonight {
        what: called(finding.what()),
        within: home
            .as_ref()
            .filter(|home| about.kind != Kind::Assembly || about.id != **home)
            .map(|home| read.named(&Ref::new(Kind::Assembly, home.clone()))),
        closed: home.is_some_and(|home| is_closed(view, &home)),
        about: (about.kind != Kind::Car).then(|| read.named(&about)),
        job: job.map(|job| read.named(&Ref::new(Kind::Job, job))),
        asks: points.iter().any(|point| point.about.contains(&name)),
        by: read.by(&entry.made),
        on: finding.on(),
        name,
    })
}

fn is_closed(view: &View, assembly: &Id) -> bool {
    let assembly = view.one::<Assembly>(assembly);
    assembly.and_then(|assembly| assembly.state()) == Some(AssemblyState::Closed)
}
