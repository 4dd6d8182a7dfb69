//! One finding: how it stands, the jobs around it that could have mended it, and what it comes of; and all that an earlier hand did. It reads entries only.

use std::collections::{BTreeMap, BTreeSet};

use record::entities::{Finding, Waiver};
use record::words::{CameBy, JobState};
use record::{Entity as _, Entry, Id, Kind, Ref, called};
use store::DeedRow;

use super::assembly::{closing, is_of_this_closing};
use super::lines::Reader;
use crate::wire::{FindingClosedOver, FindingLine, FindingPage};

/// The page of a finding; nothing if there is none of that id, or none that is about something.
pub(crate) fn finding(read: &Reader<'_>, id: &Id, deeds: &BTreeMap<Id, Vec<DeedRow>>) -> Option<FindingPage> {
    let entry = read.view.get(Kind::Finding, id)?;
    let finding = read.finding(entry)?;
    let home = read.home(&entry.name());
    let here = |job: &&record::Entry| job.stands() && read.home(&job.name()) == home;
    let around = home.iter().map(|home| Ref::new(Kind::Assembly, home.clone()));
    let mut jobs: Vec<_> = around
        .flat_map(|home| read.view.naming(&home, Kind::Job))
        .filter(here)
        .filter_map(|job| read.job(job))
        .filter(|job| job.state != JobState::Dropped)
        .collect();
    // What is done may have mended it; what is open may come to.
    jobs.sort_by_key(|job| (job.state != JobState::Done, job.what.clone(), job.id.clone()));
    Some(FindingPage {
        finding,
        closed_over: closed_over(read, &entry.name(), deeds),
        within: home.map(|home| read.named(&Ref::new(Kind::Assembly, home))),
        jobs,
        because_of: because_of(entry).and_then(|id| read.finding(read.view.get(Kind::Finding, &id)?)),
        led_to: led_to(read, entry),
    })
}

fn because_of(entry: &Entry) -> Option<Id> {
    Finding::of(entry)?.because_of()?.id()
}

/// The findings that come of it, the newest first.
fn led_to(read: &Reader<'_>, entry: &Entry) -> Vec<FindingLine> {
    let name = entry.name();
    let of_it = read.view.naming(&name, Kind::Finding);
    let of_it = of_it.filter(|one| one.stands() && because_of(one).as_ref() == Some(&entry.id));
    let mut all: Vec<FindingLine> = of_it.filter_map(|one| read.finding(one)).collect();
    all.sort_by(|a, b| (b.on, &b.id).cmp(&(a.on, &a.id)));
    all
}

/// What an earlier hand did, all over the car: what is open first, place by place. Where they were careless once, one looks again.
pub(crate) fn earlier_hand(read: &Reader<'_>) -> Vec<FindingLine> {
    let by_hand = read.view.each_standing::<Finding>();
    let by_hand = by_hand.filter(|finding| finding.came_by() == Some(CameBy::EarlierHand));
    let mut all: Vec<FindingLine> = by_hand
        .filter_map(|finding| read.finding(finding.entry()))
        .collect();
    all.sort_by(|a, b| {
        let place = |one: &FindingLine| (!one.open, one.about.title.clone());
        (place(a), b.on, &a.id).cmp(&(place(b), a.on, &b.id))
    });
    all
}

/// The assemblies that were closed over it, once or still: what was done to them says which of these closings holds.
pub(crate) fn closed_over_it(read: &Reader<'_>, id: &Id) -> BTreeSet<Id> {
    let finding = Ref::new(Kind::Finding, id.clone());
    let of_it = read.view.naming(&finding, Kind::Waiver).filter_map(Waiver::of);
    of_it.filter_map(|waiver| waiver.assembly()?.id()).collect()
}

/// What was closed over it, newest first.
fn closed_over(
    read: &Reader<'_>,
    finding: &Ref,
    deeds: &BTreeMap<Id, Vec<DeedRow>>,
) -> Vec<FindingClosedOver> {
    let of_it = read.view.naming(finding, Kind::Waiver).filter_map(Waiver::of);
    let waivers = of_it.filter(|waiver| waiver.stands()).filter_map(|waiver| {
        (waiver.about()?.name()? == *finding).then_some(())?;
        let assembly = waiver.assembly()?.id()?;
        let entry = read.view.get(Kind::Assembly, &assembly)?;
        let deeds = deeds.get(&assembly).map_or(&[][..], Vec::as_slice);
        Some(FindingClosedOver {
            assembly: read.named(&Ref::new(Kind::Assembly, assembly)),
            closed: is_of_this_closing(entry, waiver, closing(entry, deeds)),
            why: called(waiver.why()),
            by: read.by(&waiver.entry().made),
        })
    });
    let mut all: Vec<FindingClosedOver> = waivers.collect();
    all.sort_by(|a, b| (b.by.at, &b.assembly.name).cmp(&(a.by.at, &a.assembly.name)));
    all
}
