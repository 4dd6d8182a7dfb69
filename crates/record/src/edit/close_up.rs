//! Close-up: an assembly closes only when nothing inside it, however deep, is still open, unless each open thing
//! is waived with a reason.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::document::{Draft, Stroke};
use crate::edit::fields::{self, GivenFields};
use crate::edit::{Ids, check, title};
use crate::entities::{Waiver, WaiverFields};
use crate::entry::{Entry, Scalar, View};
use crate::field::{Given, Stored};
use crate::inside::Inside;
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::tightening::Standing;
use crate::tree::Tree;

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

/// One open thing that is waived.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Waive {
    /// The job, hold point or inner assembly.
    pub about: Ref,
    /// Why the assembly is closed over it all the same.
    pub why: String,
}

/// Whether a job or hold point is still open.
pub(crate) fn is_open(entry: &Entry) -> bool {
    match entry.kind {
        Kind::Job => !matches!(entry.line("state"), Some("done" | "dropped")),
        Kind::HoldPoint => entry.line("state") != Some("met"),
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
            && let Some(state @ ("off" | "apart" | "away")) = inner.line("state")
        {
            out.push(blocker(inner, state));
        }
        let open = [Kind::HoldPoint, Kind::Job]
            .into_iter()
            .flat_map(|kind| view.standing(kind))
            .filter(|entry| is_open(entry) && entry.line("assembly") == Some(id.as_str()));
        out.extend(open.map(|entry| blocker(entry, "open")));
        let unfinished = view.standing(Kind::TighteningRun).filter(|run| {
            run.line("assembly") == Some(id.as_str())
                && Standing::of(view, run).is_ok_and(|standing| standing.next.is_some())
        });
        out.extend(unfinished.map(|run| blocker(run, "open")));
    }
    out
}

pub(super) fn close_up(
    view: &View,
    assembly: &Id,
    waive: &[Waive],
    ids: &mut dyn Ids,
) -> Result<Draft, Refusal> {
    let entry = check::standing(view, &Ref::new(Kind::Assembly, assembly.clone()))?;
    let state = entry.fields.get("state");
    if state.is_some_and(|held| held.is_just(Some(&Scalar::Line("closed".to_owned())))) {
        return Err(Refusal::AlreadyClosed(title(entry)));
    }
    let found = blockers(view, assembly);
    let left: Vec<Blocker> = found
        .iter()
        .filter(|blocker| !waive.iter().any(|w| w.about == blocker.about))
        .cloned()
        .collect();
    if !left.is_empty() {
        return Err(Refusal::StillOpen {
            assembly: title(entry),
            blockers: left,
        });
    }
    let mut strokes = Vec::new();
    for one in waive {
        if one.why.trim().is_empty() {
            return Err(Refusal::WhyWanted);
        }
        // Waiving what does not stand in the way would leave a reason for nothing in the record.
        if !found.iter().any(|blocker| blocker.about == one.about) {
            return Err(Refusal::Unknown(one.about.clone()));
        }
        let struck = view.find(&one.about).is_some_and(|about| !about.stands());
        let given = WaiverFields {
            assembly: Given::Put(assembly.clone()),
            about: Given::Put(one.about.clone()),
            why: fields::given(one.why.clone()),
        };
        let id = Id::from_uuid(ids.fresh());
        let given = GivenFields::of::<Waiver>(&given)?;
        // What was left in a struck assembly is waived by its name, though nothing else may be said of what is struck out.
        let added = if struck {
            fields::add_unchecked(&id, &given)
        } else {
            fields::add(view, &id, &given)?
        };
        strokes.extend(added.strokes);
    }
    strokes.push(put_state(Kind::Assembly, assembly, "closed"));
    let over = if waive.is_empty() {
        String::new()
    } else {
        format!(" over {} waived", waive.len())
    };
    Ok(Draft {
        message: format!("Closed up '{}'{over}", title(entry)),
        strokes,
    })
}

/// Puts a state.
pub(super) fn put_state(kind: Kind, id: &Id, word: &str) -> Stroke {
    Stroke::Put(
        kind,
        id.clone(),
        "state".to_owned(),
        Stored::Scalar(Some(Scalar::Line(word.to_owned()))),
    )
}
