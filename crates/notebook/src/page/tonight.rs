//! How it stands tonight: every finding of danger that nobody has mended, the car's own state first, what is lived with last. It reads entries only, and
//! leaves nothing out for being under a closed lid.

use std::collections::BTreeSet;

use record::ending::{End, can_hurt, is_suspected, said_to_hurt};
use record::entities::{Assembly, Finding};
use record::rules::{Point, Rule, struck_dangers};
use record::words::AssemblyState;
use record::{Entity, Entry, Id, Kind, Mention, Ref, Tree, View, called};

use super::lines::Reader;
use crate::wire::Tonight;

/// What stands in the way of a hand, newest first, the car's own state before what was found in it.
pub(crate) fn tonight(read: &Reader<'_>, points: &[Point]) -> Vec<Tonight> {
    let view = read.view;
    // What was struck out by somebody who could not know that it is a danger is not out of sight as long as that is to be settled.
    let struck: BTreeSet<Ref> = points
        .iter()
        .flat_map(|point| struck_dangers(view, point))
        .map(Entry::name)
        .collect();
    let mut all: Vec<Tonight> = view
        .all(Kind::Finding)
        .filter(|entry| stands_tonight(view, entry, points) || struck.contains(&entry.name()))
        .map(|entry| one(read, entry, points))
        .collect();
    all.sort_by(|a, b| {
        let rank = |one: &Tonight| (one.lived_with.is_some(), one.about.is_some());
        (rank(a), b.on, b.by.at, &a.name).cmp(&(rank(b), a.on, a.by.at, &b.name))
    });
    all
}

/// Of danger, by whoever says so, and not ended; or ended by one while another wrote on it.
fn stands_tonight(view: &View, entry: &Entry, points: &[Point]) -> bool {
    let name = entry.name();
    // Those that end a danger on one side, whatever stands on it as long as they are not at one.
    let ends = |rule: Rule| matches!(rule, Rule::EndedApart | Rule::SettledTwoWays);
    let at_odds = |point: &Point| ends(point.rule) && said_to_hurt(entry) && point.about.contains(&name);
    let lived_with = || said_to_hurt(entry) && lived_with(entry).is_some();
    can_hurt(view, entry) || (entry.stands() && (lived_with() || points.iter().any(at_odds)))
}

/// Why a finding is lived with.
fn lived_with(entry: &Entry) -> Option<&str> {
    match End::of(Finding::of(entry)?.ended()?) {
        End::LivedWith(why) => Some(why),
        End::MendedBy(_) | End::Mended(_) | End::NotSo(_) | End::Other(_) => None,
    }
}

fn one(read: &Reader<'_>, entry: &Entry, points: &[Point]) -> Tonight {
    let view = read.view;
    let finding = Finding::of(entry);
    let about = finding
        .and_then(|finding| finding.about())
        .and_then(Mention::name);
    let home = read.home(&entry.name());
    let kept = finding.and_then(|finding| finding.ended());
    let job = kept.map(End::of).and_then(|end| end.job().cloned());
    let name = entry.name();
    Tonight {
        what: called(finding.and_then(|finding| finding.what())),
        within: home
            .as_ref()
            .filter(|home| about.as_ref().is_none_or(|about| about.id != **home))
            .map(|home| read.named(&Ref::new(Kind::Assembly, home.clone()))),
        closed: home.is_some_and(|home| {
            Tree::of_assemblies(view)
                .upward(&home)
                .iter()
                .any(|up| is_closed(view, up))
        }),
        // What this program cannot read is shown without its place, not left out.
        about: about
            .filter(|about| about.kind != Kind::Car)
            .map(|about| read.named(&about)),
        job: job.map(|job| read.named(&Ref::new(Kind::Job, job))),
        suspected: finding.is_some_and(|finding| is_suspected(view, finding)),
        lived_with: lived_with(entry).map(str::to_owned),
        ended: kept.is_some(),
        asks: points.iter().any(|point| point.about.contains(&name)),
        by: read.by(&entry.made),
        on: finding.and_then(|finding| finding.on()),
        name,
    }
}

fn is_closed(view: &View, assembly: &Id) -> bool {
    let assembly = view.one::<Assembly>(assembly);
    assembly.and_then(|assembly| assembly.state()) == Some(AssemblyState::Closed)
}
