//! One finding: how it stands, and the jobs around it that could have mended it. It reads entries only.

use std::collections::{BTreeMap, BTreeSet};

use record::entities::Waiver;
use record::words::JobState;
use record::{Entity as _, Id, Kind, Ref, called};
use store::DeedRow;

use super::assembly::{closing, is_of_this_closing};
use super::lines::Reader;
use crate::wire::{FindingClosedOver, FindingPage};

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
    })
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
