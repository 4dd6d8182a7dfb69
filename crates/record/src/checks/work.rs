//! Checks of work: jobs, hold points and tightening runs that are open, and assemblies that are not put together. None of them reads
//! what was found or measured.

use super::def::{
    CheckDef, Looked, Opening, PutThere, Unfinished, alone, nowhere_else, opening, place, stamp_of, stamps_of,
};
use crate::across;
use crate::closing_check::Check;
use crate::entities::{Assembly, HoldPoint, Job, Part, Tightened};
use crate::entity::Entity as _;
use crate::entry::{Entry, STRUCK, Scalar, Stamp};
use crate::lies;
use crate::name::{Id, Kind, Link};
use crate::own_word::{counted_otherwise, is_begun, is_open, is_put_off};
use crate::tightening::RunStanding;
use crate::title::title;
use crate::tree::assemblies_around;
use crate::view::View;
use crate::words::{AssemblyState, Words as _};

/// What a run's length and place hang on.
const MAKES_A_RUN: [&str; 6] = ["assembly", "layout", "bolts", "rows", "torque", "passes"];

/// An open job.
pub(super) static JOB: CheckDef = CheckDef {
    check: Check::Job,
    kind: Kind::Job,
    within: named,
    also: of_its_part,
    unfinished: job_open,
    opening: opened,
    called: "job",
    from_the_first: true,
};

/// An open hold point.
pub(super) static HOLD_POINT: CheckDef = CheckDef {
    check: Check::HoldPoint,
    kind: Kind::HoldPoint,
    within: named,
    also: nowhere_else,
    unfinished: hold_open,
    opening: opened,
    called: "hold point",
    from_the_first: true,
};

/// An unfinished tightening run. Bolts say how far it is.
pub(super) static RUN: CheckDef = CheckDef {
    check: Check::TighteningRun,
    kind: Kind::TighteningRun,
    within: named,
    also: nowhere_else,
    unfinished: run_unfinished,
    opening: run_opened,
    called: "unfinished tightening run",
    from_the_first: true,
};

/// An inner assembly that is not closed. Whoever closes what is around it is asked, and nobody else.
pub(super) static INNER: CheckDef = CheckDef {
    check: Check::Assembly,
    kind: Kind::Assembly,
    within: |_, entry| Assembly::of(entry)?.parent().and_then(Link::id),
    also: nowhere_else,
    unfinished: |_, entry| {
        let state = Assembly::of(entry)?.state().unwrap_or(AssemblyState::Fitted);
        match state == AssemblyState::Closed {
            true => tried(entry),
            false => Some(said(state.word())),
        }
    },
    opening: |_, entry| {
        let fields = [Assembly::state, Assembly::parent, STRUCK];
        let tried =
            tried(entry).filter(|_| entry.line(Assembly::state) == Some(AssemblyState::Closed.word()));
        match tried {
            Some(tried) => {
                let stamps = stamps_of(entry, &[&fields[..], &[Assembly::for_trial]].concat());
                opening(stamps, Some(Scalar::Line(tried.state)))
            }
            None => opening(stamps_of(entry, &fields), entry.value(Assembly::state).cloned()),
        }
    },
    called: "an assembly that is not closed:",
    from_the_first: false,
};

/// What is on for trial comes off again, however well it is closed.
fn tried(assembly: &Entry) -> Option<Unfinished> {
    lies::for_trial(assembly).map(|why| said(&lies::for_trial_said(why)))
}

/// An assembly that is itself in pieces, or on for trial. Two states of one assembly are two values, so no rule asks this again; that it was
/// put on for trial by one while the other closed it shows on its page, where it still stands in the way, and is no point.
pub(super) static APART: CheckDef = CheckDef {
    check: Check::Apart,
    kind: Kind::Assembly,
    within: |_, entry| Some(entry.id.clone()),
    also: nowhere_else,
    unfinished: |_, entry| {
        let state = Assembly::of(entry)?.state().unwrap_or(AssemblyState::Fitted);
        match state == AssemblyState::Apart {
            true => Some(said(state.word())),
            false => tried(entry),
        }
    },
    opening: |_, _| None,
    called: "itself, in pieces or on for trial:",
    from_the_first: false,
};

fn said(state: &str) -> Unfinished {
    Unfinished {
        state: state.to_owned(),
        danger: false,
    }
}

fn named(_: &View, entry: &Entry) -> Option<Id> {
    across::assembly(entry).and_then(Link::id)
}

/// Where the part is that a job is on, and what must be apart for it: whoever closes that up has to open it again.
fn of_its_part(view: &View, entry: &Entry) -> Vec<PutThere> {
    let Some(job) = Job::of(entry) else {
        return Vec::new();
    };
    let put = |fields: &[&str]| stamps_of(entry, fields);
    let part = job.part().and_then(Link::id);
    let part = part.and_then(|part| view.get(Kind::Part, &part));
    let home = part.and_then(|part| {
        let mut stamps = put(&[Job::part]);
        stamps.extend(stamp_of(part, Part::assembly).cloned());
        Some((place(view, &part.name())?, stamps))
    });
    let apart = job.needs_apart().filter_map(|needed| {
        let element = format!("{}:{}", Job::needs_apart, needed.as_str());
        Some((needed.id()?, put(&[&element])))
    });
    home.into_iter().chain(apart).collect()
}

fn open(_: &Looked<'_>, entry: &Entry) -> Option<Unfinished> {
    is_open(entry).then(|| said("open"))
}

/// One that is put off is in nobody's way, and closing up tells of it by itself ([`crate::open::put_off`]). Only where it is of brakes,
/// steering or fuel it goes on wanting a reason.
fn job_open(looked: &Looked<'_>, entry: &Entry) -> Option<Unfinished> {
    let open = open(looked, entry)?;
    if is_put_off(entry) {
        return wants_a_reason(looked.view, entry).then(|| said("put off"));
    }
    Some(if is_begun(entry) { said("begun") } else { open })
}

/// By its own words, and by those of what it is in or on.
fn wants_a_reason(view: &View, job: &Entry) -> bool {
    let own = std::iter::once(title(job));
    let mut homes: Vec<Id> = named(view, job).into_iter().collect();
    homes.extend(of_its_part(view, job).into_iter().map(|(home, _)| home));
    let around = homes.iter().flat_map(|home| assemblies_around(view, home));
    let around = around.filter_map(|id| view.get(Kind::Assembly, &id).map(title));
    let part = Job::of(job).and_then(|job| view.get(Kind::Part, &job.part()?.id()?).map(title));
    let said: Vec<String> = own.chain(around).chain(part).collect();
    let said: Vec<&str> = said.iter().map(String::as_str).collect();
    alone(false, &said)
}

/// One that was counted, and otherwise than is wanted, says by how much: something is missing, or left over.
fn hold_open(looked: &Looked<'_>, entry: &Entry) -> Option<Unfinished> {
    let open = open(looked, entry)?;
    let Some((counted, _)) = counted_otherwise(entry) else {
        return Some(open);
    };
    let wanted = HoldPoint::of(entry).and_then(|hold| hold.wanted());
    Some(said(&match wanted {
        Some(wanted) => format!("open: {counted} counted, {wanted} wanted"),
        None => format!("open: {counted} counted"),
    }))
}

fn opened(_: &Looked<'_>, entry: &Entry) -> Option<Opening> {
    let state = stamp_of(entry, Job::state).unwrap_or(&entry.made);
    let placing = stamp_of(entry, Job::assembly).unwrap_or(&entry.made);
    Some(Opening {
        stamps: vec![state.clone(), placing.clone()],
        by: state.clone(),
        value: entry.value(Job::state).cloned(),
    })
}

fn run_unfinished(looked: &Looked<'_>, run: &Entry) -> Option<Unfinished> {
    match RunStanding::of(looked.view, run) {
        Ok(standing) if standing.over.is_empty() => standing.next.map(|_| said("open")),
        Ok(_) => Some(said("tightened to more than is wanted")),
        // Two keepers' changes that do not fit each other: nobody can say that it is done.
        Err(_) => Some(said("not to be read as it stands")),
    }
}

/// What made the run as long as it is and left it unfinished: its beginning, its length, and each bolt that was taken back.
fn run_opened(looked: &Looked<'_>, run: &Entry) -> Option<Opening> {
    let standing = RunStanding::of(looked.view, run).ok()?;
    let mut stamps: Vec<Stamp> = stamps_of(run, &MAKES_A_RUN);
    let taken_back = looked
        .view
        .naming(&run.name(), Kind::Tightened)
        .filter(|one| !one.stands() && one.line(Tightened::run) == Some(run.id.as_str()));
    stamps.extend(taken_back.filter_map(|one| stamp_of(one, STRUCK)).cloned());
    let done = format!("{} of {} turns done", standing.done(), standing.turns());
    opening(stamps, Some(Scalar::Line(done)))
}
