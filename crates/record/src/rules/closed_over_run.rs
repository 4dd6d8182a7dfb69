//! Closed over an unfinished tightening run: one keeper closed the assembly while the other had begun the run, made it longer or
//! taken a bolt back. The guard at the bench could not know. Whoever did so *after* seeing it closed has made a plan, not a
//! contradiction; whoever closed it with a waiver has said why. It never says that a bolt is tight that nobody logged.

use super::{Point, Rule, Side, choice, choice_with_why, identity};
use crate::document::Ledger;
use crate::entry::{Entry, STRUCK, Scalar, Stamp, View};
use crate::name::{Id, Kind};
use crate::tightening::Standing;
use crate::title::title;
use crate::tree::Tree;

/// What a run's length and place hang on.
const MAKES_IT: [&str; 6] = ["assembly", "layout", "bolts", "rows", "torque", "passes"];

pub(super) fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    let tree = Tree::of_assemblies_struck_too(view);
    let mut points = Vec::new();
    for run in view.standing(Kind::TighteningRun) {
        let Some(home) = run.line("assembly").and_then(|id| id.parse::<Id>().ok()) else {
            continue;
        };
        // The innermost closed assembly is the one to open again; those around it follow. Where none is closed, no order is reckoned.
        let closed = tree.upward(&home).into_iter().find_map(|id| {
            let assembly = view
                .get(Kind::Assembly, &id)
                .filter(|assembly| assembly.stands())?;
            (assembly.line("state") == Some("closed")).then_some(assembly)
        });
        if let Some(assembly) = closed {
            points.extend(point(view, ledger, assembly, run));
        }
    }
    points
}

fn point(view: &View, ledger: &Ledger, assembly: &Entry, run: &Entry) -> Option<Point> {
    let standing = Standing::of(view, run).ok()?;
    standing.next?;
    let closing = assembly.fields.get("state")?.claims().first()?;
    let opening = opening(view, run);
    let planned = opening.iter().any(|stamp| {
        stamp.change != closing.stamp.change && ledger.knew(&stamp.change, &closing.stamp.change)
    });
    let name = run.name().to_string();
    let waived = view.standing(Kind::Waiver).any(|waiver| {
        waiver.line("about") == Some(name.as_str()) && waiver.line("assembly") == Some(assembly.id.as_str())
    });
    if planned || waived {
        return None;
    }
    let could_have_known = opening
        .iter()
        .all(|stamp| ledger.knew(&closing.stamp.change, &stamp.change));
    let latest = opening.iter().max_by_key(|stamp| (stamp.at, &stamp.change))?;
    let about = vec![assembly.name(), run.name()];
    let changes: Vec<_> = std::iter::once(&closing.stamp.change)
        .chain(opening.iter().map(|stamp| &stamp.change))
        .collect();
    let done = format!("{} of {} turns done", standing.done(), standing.turns());
    Some(Point {
        id: identity(Rule::ClosedOverRun, &about, "", &changes),
        rule: Rule::ClosedOverRun,
        title: format!(
            "'{}' was closed over unfinished tightening run '{}'",
            title(assembly),
            title(run)
        ),
        sides: vec![
            Side {
                key: "side_1".to_owned(),
                about: assembly.name(),
                title: title(assembly),
                value: closing.value.clone(),
                stamp: closing.stamp.clone(),
                knew_other: could_have_known,
            },
            Side {
                key: "side_2".to_owned(),
                about: run.name(),
                title: title(run),
                value: Some(Scalar::Line(done)),
                stamp: latest.clone(),
                knew_other: false,
            },
        ],
        changes: changes.into_iter().cloned().collect(),
        about,
        field: None,
        choices: vec![
            choice("reopen"),
            choice_with_why("strike_run"),
            choice_with_why("let_stand"),
        ],
    })
}

/// What made the run as long as it is and left it unfinished: its beginning, its length, and each bolt that was taken back.
fn opening(view: &View, run: &Entry) -> Vec<Stamp> {
    let of = |entry: &Entry, field: &str| {
        let held = entry.fields.get(field)?;
        Some(held.claims().first()?.stamp.clone())
    };
    let mut stamps = vec![run.made.clone()];
    stamps.extend(MAKES_IT.iter().filter_map(|field| of(run, field)));
    let taken_back = view
        .all(Kind::Tightened)
        .filter(|one| !one.stands() && one.line("run") == Some(run.id.as_str()));
    stamps.extend(taken_back.filter_map(|one| of(one, STRUCK)));
    stamps
}
