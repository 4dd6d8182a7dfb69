//! One finding: how it stands, and the jobs around it that could have mended it. It reads entries only.

use record::words::JobState;
use record::{Id, Kind, Ref};

use super::Reader;
use crate::wire::FindingPage;

/// The page of a finding; nothing if there is none of that id, or none that is about something.
pub(crate) fn finding(read: &Reader<'_>, id: &Id) -> Option<FindingPage> {
    let entry = read.view.get(Kind::Finding, id)?;
    let finding = read.finding(entry)?;
    let home = read.home(&entry.name());
    let here = |job: &&record::Entry| home.is_some() && read.home(&job.name()) == home;
    let mut jobs: Vec<_> = read
        .view
        .standing(Kind::Job)
        .filter(here)
        .filter_map(|job| read.job(job))
        .filter(|job| job.state != JobState::Dropped)
        .collect();
    // What is done may have mended it; what is open may come to.
    jobs.sort_by_key(|job| (job.state != JobState::Done, job.what.clone(), job.id.clone()));
    Some(FindingPage {
        finding,
        within: home.map(|home| read.named(&Ref::new(Kind::Assembly, home))),
        jobs,
    })
}
