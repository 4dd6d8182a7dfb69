//! What is still open, and what of it stands in the way of closing an assembly. It refuses nothing and changes nothing: the close-up
//! asks it before, the rules about what was closed over after.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::across;
use crate::entities::{Assembly, HoldPoint, Job, TighteningRun};
use crate::entity::Entity as _;
use crate::entry::{Entry, View};
use crate::inside::Inside;
use crate::name::{Id, Kind, Ref};
use crate::tightening::Standing;
use crate::title::title;
use crate::tree::Tree;
use crate::words::{AssemblyState, HoldState, JobState, Words as _};

/// Something that stands in the way of closing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Blocker {
    /// The job, hold point, tightening run or inner assembly.
    pub about: Ref,
    /// What it is called.
    pub title: String,
    /// The assembly it is in.
    pub within: Id,
    /// What that assembly is called.
    pub within_title: String,
    /// The state that blocks: `open`, `off`, `apart`, `away`, or `struck` of an assembly that was struck out with something left in it.
    pub state: String,
}

/// The state of a struck assembly in which something was left.
const LEFT_IN: &str = "struck";

impl Blocker {
    /// Several of them in one line.
    #[must_use]
    pub fn in_words(blockers: &[Blocker]) -> String {
        let each = blockers.iter().map(|blocker| {
            let kind = blocker.about.kind.word().replace('_', " ");
            let stands = match blocker.state.as_str() {
                LEFT_IN => "was struck out with something left in it".to_owned(),
                state => format!("is {state}"),
            };
            format!(
                "{kind} '{}' in '{}' {stands}",
                blocker.title, blocker.within_title
            )
        });
        each.collect::<Vec<_>>().join("; ")
    }
}

/// Whether a job or hold point is still open.
#[must_use]
pub fn is_open(entry: &Entry) -> bool {
    match entry.kind {
        Kind::Job => {
            let state = Job::of(entry).and_then(|job| job.state());
            !matches!(state, Some(JobState::Done | JobState::Dropped))
        }
        Kind::HoldPoint => HoldPoint::of(entry).and_then(|hold| hold.state()) != Some(HoldState::Met),
        _ => false,
    }
}

/// What stands in the way of closing an assembly, in the order a mechanic would walk it. What was left in an inner one that was
/// struck out is still inside.
#[must_use]
pub fn blockers(view: &View, assembly: &Id) -> Vec<Blocker> {
    let tree = Tree::of_assemblies_struck_too(view);
    let within = tree.within(assembly);
    let mut inside: Option<Inside<'_>> = None;
    let mut out = Vec::new();
    for id in &within {
        let Some(inner) = view.get(Kind::Assembly, id) else {
            continue;
        };
        let blocker = |entry: &Entry, state: &str| Blocker {
            about: entry.name(),
            title: title(entry),
            within: id.clone(),
            within_title: title(inner),
            state: state.to_owned(),
        };
        if id != assembly && !inner.stands() {
            // What is open in it says so itself; the rest only that nobody said where it belongs.
            let all = inside.get_or_insert_with(|| Inside::of(view));
            let says_so = |entry: &Entry| {
                matches!(
                    entry.kind,
                    Kind::Job | Kind::HoldPoint | Kind::TighteningRun | Kind::Assembly
                )
            };
            if all.left_in(inner).into_iter().any(|left| !says_so(left)) {
                let around = tree.parent(id).and_then(|up| view.get(Kind::Assembly, up));
                out.push(Blocker {
                    within: around.map_or_else(|| assembly.clone(), |around| around.id.clone()),
                    within_title: around.map_or_else(String::new, title),
                    ..blocker(inner, LEFT_IN)
                });
            }
        }
        if id != assembly
            && inner.stands()
            && let Some(state @ (AssemblyState::Off | AssemblyState::Apart | AssemblyState::Away)) =
                Assembly::of(inner).and_then(|inner| inner.state())
        {
            out.push(blocker(inner, state.word()));
        }
        let open = [Kind::HoldPoint, Kind::Job]
            .into_iter()
            .flat_map(|kind| view.standing(kind))
            .filter(|entry| is_open(entry) && across::assembly(entry) == Some(id.into()));
        out.extend(open.map(|entry| blocker(entry, "open")));
        let unfinished = view.each_standing::<TighteningRun>().filter(|run| {
            run.assembly() == Some(id.into())
                && Standing::of(view, run.entry()).is_ok_and(|standing| standing.next.is_some())
        });
        out.extend(unfinished.map(|run| blocker(run.entry(), "open")));
    }
    out
}
