//! What is still open, and what of it stands in the way of closing an assembly: the checks walked over what is inside it. It refuses
//! nothing and changes nothing: the close-up asks it before, the rules about what was closed over ask the same checks after.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::checks::{self, CHECKS, CheckDef, Looked, Unfinished};

pub use crate::checks::place;
pub use crate::closing_check::Check;
use crate::ending::said_to_hurt;
use crate::entities::Assembly;
use crate::entry::Entry;
use crate::inside::Inside;
use crate::lies::UNSAID;
use crate::name::{Id, Kind, Ref};
pub use crate::own_word::is_open;
use crate::own_word::is_put_off;
use crate::rules::point::Point;
use crate::rules::rule::Rule;
use crate::title::title;
use crate::tree::Tree;
use crate::view::View;
use crate::words::{AssemblyState, Decision, Words as _};

/// Something that stands in the way of closing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Blocker {
    /// Which check found it.
    pub check: Check,
    /// What is unfinished; for a point, the assembly it is in.
    pub about: Ref,
    /// What it is called.
    pub title: String,
    /// The assembly it is in.
    pub within: Id,
    /// What that assembly is called.
    pub within_title: String,
    /// How it stands: `open`, `apart`, `danger`, `above_limits`, `in B14: clips`, or `struck` of an assembly that was struck out with
    /// something left in it.
    pub state: String,
    /// Which point is to be settled, where that is what stands in the way.
    pub point: Option<String>,
    /// Whether it can hurt somebody.
    pub danger: bool,
    /// Whether it is a part that is at hand, in a container or off the car, so that it can be put in at once.
    pub at_hand: bool,
    /// Whether it wants a reason of its own where it is closed over; of the others one reason may serve a whole sort.
    pub alone: bool,
}

/// The state of a struck assembly in which something was left.
const LEFT_IN: &str = "struck";
/// The state of a point.
const UNSETTLED: &str = "to settle";

/// Of how many a refusal speaks one by one.
const SAID: usize = 3;

impl Blocker {
    /// Several of them in one line.
    #[must_use]
    pub fn in_words(blockers: &[Blocker]) -> String {
        let each: Vec<String> = blockers.iter().map(Blocker::words).collect();
        each.join("; ")
    }

    /// The first few of them, what can hurt before all else, and how many more there are: a sentence that can be read.
    #[must_use]
    pub fn in_short(blockers: &[Blocker]) -> String {
        let mut gravest: Vec<&Blocker> = blockers.iter().collect();
        // Stable: the rest stays in the order of the walk.
        gravest.sort_by_key(|blocker| !blocker.danger);
        let mut said: Vec<String> = gravest.iter().take(SAID).map(|one| one.words()).collect();
        match gravest.len().saturating_sub(SAID) {
            0 => {}
            1 => said.push("and one thing more".to_owned()),
            more => said.push(format!("and {more} things more")),
        }
        said.join("; ")
    }

    fn words(&self) -> String {
        let kind = self.about.kind.word().replace('_', " ");
        let (title, state) = (&self.title, self.state.replace('_', " "));
        let within = &self.within_title;
        match self.check {
            Check::Struck => {
                format!("{kind} '{title}' in '{within}' was struck out with something left in it")
            }
            Check::Assembly if self.state == AssemblyState::Fitted.word() => {
                format!("{kind} '{title}' is not closed")
            }
            Check::Apart => format!("it is itself {state}"),
            Check::Finding => format!("finding '{title}' in '{within}' ({state}) has no end"),
            Check::PartWanted if self.state == Decision::Replace.word() => {
                format!("part '{title}' in '{within}' is to be replaced, and no other is in")
            }
            Check::Point => format!("'{title}' is to be settled"),
            _ => format!("{kind} '{title}' in '{within}' is {state}"),
        }
    }

    /// Whether it is meant by what is said of a check, and of a point where that is one.
    #[must_use]
    pub fn is(&self, about: &Ref, check: Option<Check>, point: Option<&str>) -> bool {
        self.about == *about
            && check.is_none_or(|check| check == self.check)
            && point.is_none_or(|point| self.point.as_deref() == Some(point))
    }
}

/// A place on the walk through an assembly.
struct Step<'v> {
    view: &'v View,
    at: usize,
    entry: &'v Entry,
    /// Everything that it is called by, and what is around it: `engine`, `carburettor`.
    path: Vec<String>,
}

impl Step<'_> {
    fn blocker(&self, check: Check, about: &Entry, found: &Unfinished) -> Blocker {
        let title = title(about);
        let mut said: Vec<&str> = self.path.iter().map(String::as_str).collect();
        said.push(&title);
        Blocker {
            check,
            about: about.name(),
            within: self.entry.id.clone(),
            within_title: crate::title::title(self.entry),
            state: found.state.clone(),
            point: None,
            danger: found.danger,
            at_hand: check == Check::PartStored && crate::lies::is_at_hand(self.view, about),
            alone: checks::alone(found.danger, &said),
            title,
        }
    }
}

/// What stands in the way of closing an assembly, in the order a mechanic would walk it: of each assembly inside it, check by check.
/// `points` are those left to settle. What was left in an inner one that was struck out is still inside.
#[must_use]
pub fn blockers(view: &View, points: &[Point], assembly: &Id) -> Vec<Blocker> {
    let tree = Tree::around_assembly_struck_too(view, assembly);
    let within = tree.within(assembly);
    let path = |id: &Id| -> Vec<String> {
        let around = tree.upward(id);
        around
            .iter()
            .filter_map(|up| view.get(Kind::Assembly, up))
            .map(title)
            .collect()
    };
    let steps: BTreeMap<Id, Step<'_>> = within
        .iter()
        .enumerate()
        .filter_map(|(at, id)| {
            let entry = view.get(Kind::Assembly, id)?;
            let path = path(id);
            Some((
                id.clone(),
                Step {
                    view,
                    at,
                    entry,
                    path,
                },
            ))
        })
        .collect();
    let looked = Looked::at(view);
    let mut out: Vec<((usize, Check), Blocker)> = Vec::new();
    for step in steps.values().filter(|step| step.entry.id != *assembly) {
        out.extend(left_in(view, &tree, assembly, step).map(|blocker| ((step.at, Check::Struck), blocker)));
    }
    let inside = inside(view, &within);
    for def in CHECKS {
        for entry in inside
            .iter()
            .filter(|entry| entry.kind == def.kind && entry.stands())
        {
            let Some(step) = step_of(&steps, assembly, def, view, entry) else {
                continue;
            };
            // An inner one that is in pieces is asked about itself.
            let inner = step.entry.id != *assembly;
            let found = (def.unfinished)(&looked, entry);
            if let Some(found) = found.filter(|found| !(inner && found.state == UNSAID)) {
                out.push(((step.at, def.check), step.blocker(def.check, entry, &found)));
            }
        }
    }
    // Whether it is closed is what closing decides, and what it was closed over before is asked about by its own check.
    let itself = Ref::new(Kind::Assembly, assembly.clone());
    let decided = |point: &Point| {
        let of_state = point.rule == Rule::TwoValues && point.field.as_deref() == Some(Assembly::state);
        (of_state || point.rule.is_of_a_closing()) && point.about.first() == Some(&itself)
    };
    for point in points.iter().filter(|point| !decided(point)) {
        let mut places = point.about.iter().filter_map(|name| checks::place(view, name));
        let Some(step) = places.find_map(|place| steps.get(&place)) else {
            continue;
        };
        let found = Unfinished {
            state: UNSETTLED.to_owned(),
            danger: point
                .about
                .iter()
                .any(|name| view.find(name).is_some_and(said_to_hurt)),
        };
        let blocker = step.blocker(Check::Point, step.entry, &found);
        let blocker = Blocker {
            title: point.title.clone(),
            point: Some(point.id.clone()),
            alone: blocker.alone || checks::alone(false, &[&point.title]),
            ..blocker
        };
        out.push(((step.at, Check::Point), blocker));
    }
    // Stable: of one check, in the order of their ids.
    out.sort_by_key(|(at, _)| *at);
    out.into_iter().map(|(_, blocker)| blocker).collect()
}

/// The jobs of an assembly that are put off to a later round and stand in the way of nothing, however deep they lie, by id: whoever closes
/// it is told of them.
#[must_use]
pub fn put_off<'v>(view: &'v View, assembly: &Id) -> Vec<&'v Entry> {
    let within = Tree::around_assembly_struck_too(view, assembly).within(assembly);
    let Some(def) = checks::def(Check::Job) else {
        return Vec::new();
    };
    let looked = Looked::at(view);
    let is_here = |entry: &&Entry| {
        let also = (def.also)(view, entry).into_iter().map(|(place, _)| place);
        let mut places = (def.within)(view, entry).into_iter().chain(also);
        places.any(|place| within.contains(&place))
    };
    inside(view, &within)
        .into_iter()
        .filter(|entry| is_put_off(entry) && (def.unfinished)(&looked, entry).is_none())
        .filter(is_here)
        .collect()
}

/// Everything in these assemblies or about what is in them, and what must have one of them apart, by id.
fn inside<'v>(view: &'v View, assemblies: &[Id]) -> Vec<&'v Entry> {
    let all = Inside::of(view);
    let mut open: Vec<Ref> = assemblies
        .iter()
        .map(|id| Ref::new(Kind::Assembly, id.clone()))
        .collect();
    let mut seen: BTreeSet<Ref> = open.iter().cloned().collect();
    for assembly in open.clone() {
        seen.extend(view.naming(&assembly, Kind::Job).map(Entry::name));
    }
    while let Some(at) = open.pop() {
        for held in all.direct(&at) {
            let name = held.entry.name();
            if seen.insert(name.clone()) {
                open.push(name);
            }
        }
    }
    seen.iter().filter_map(|name| view.find(name)).collect()
}

/// Where on the walk an entry is asked about; nothing for what is not inside.
fn step_of<'s, 'v>(
    steps: &'s BTreeMap<Id, Step<'v>>,
    assembly: &Id,
    def: &CheckDef,
    view: &View,
    entry: &Entry,
) -> Option<&'s Step<'v>> {
    match def.check {
        // An inner one is asked about where it is itself; the one that is closed only whether it is in pieces.
        Check::Assembly => steps.get(&entry.id).filter(|step| step.entry.id != *assembly),
        Check::Apart => steps.get(&entry.id).filter(|step| step.entry.id == *assembly),
        _ => {
            let also = || (def.also)(view, entry).into_iter().map(|(place, _)| place);
            let of = |place: Id| steps.get(&place);
            (def.within)(view, entry)
                .and_then(of)
                .or_else(|| also().find_map(of))
        }
    }
}

/// What a struck assembly still holds of what no check asks about by itself: nobody said where that belongs.
fn left_in(view: &View, tree: &Tree, assembly: &Id, step: &Step<'_>) -> Option<Blocker> {
    if step.entry.stands() {
        return None;
    }
    let says_so = |entry: &Entry| {
        matches!(
            entry.kind,
            Kind::Job | Kind::HoldPoint | Kind::TighteningRun | Kind::Assembly
        )
    };
    let left = Inside::of(view).left_in(step.entry);
    if left.into_iter().all(says_so) {
        return None;
    }
    let found = Unfinished {
        state: LEFT_IN.to_owned(),
        danger: false,
    };
    let around = tree
        .parent(&step.entry.id)
        .and_then(|up| view.get(Kind::Assembly, up));
    Some(Blocker {
        within: around.map_or_else(|| assembly.clone(), |around| around.id.clone()),
        within_title: around.map_or_else(String::new, title),
        ..step.blocker(Check::Struck, step.entry, &found)
    })
}
