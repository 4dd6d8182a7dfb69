//! Closed over something open: one keeper closed the assembly while the other's open job or hold point was on its
//! way. The guard at the bench could not know. Who opened it *after* seeing it closed has made a plan, not a
//! contradiction; whoever closed it with a waiver has said why.

use super::{Point, Rule, Side, choice, choice_with_why, identity};
use crate::document::Ledger;
use crate::entry::{Claim, Entry, View};
use crate::name::{Id, Kind};
use crate::title::title;
use crate::tree::Tree;

pub(super) fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    let tree = Tree::of_assemblies_struck_too(view);
    let mut points = Vec::new();
    for (kind, rule) in [
        (Kind::Job, Rule::ClosedOverJob),
        (Kind::HoldPoint, Rule::ClosedOverHold),
    ] {
        for entry in view.standing(kind).filter(|entry| crate::open::is_open(entry)) {
            let Some(home) = entry.line("assembly").and_then(|id| id.parse::<Id>().ok()) else {
                continue;
            };
            // The innermost closed assembly is the one to open again; those around it follow.
            let closed = tree.upward(&home).into_iter().find_map(|id| {
                let assembly = view
                    .get(Kind::Assembly, &id)
                    .filter(|assembly| assembly.stands())?;
                (assembly.line("state") == Some("closed")).then_some(assembly)
            });
            if let Some(assembly) = closed {
                points.extend(point(view, ledger, rule, assembly, entry));
            }
        }
    }
    points
}

fn first_claim<'a>(entry: &'a Entry, field: &str) -> Option<&'a Claim> {
    entry.fields.get(field)?.claims().first()
}

fn point(view: &View, ledger: &Ledger, rule: Rule, assembly: &Entry, open: &Entry) -> Option<Point> {
    let closing = first_claim(assembly, "state")?;
    let opening = first_claim(open, "state").map_or(&open.made, |claim| &claim.stamp);
    let placing = first_claim(open, "assembly").map_or(&open.made, |claim| &claim.stamp);
    let planned = [opening, placing].iter().any(|stamp| {
        stamp.change != closing.stamp.change && ledger.knew(&stamp.change, &closing.stamp.change)
    });
    let waived = view.standing(Kind::Waiver).any(|waiver| {
        waiver.line("about") == Some(open.name().to_string().as_str())
            && waiver
                .line("assembly")
                .and_then(|id| id.parse().ok())
                .is_some_and(|id: Id| id == assembly.id)
    });
    if planned || waived {
        return None;
    }
    let could_have_known = [opening, placing]
        .iter()
        .all(|stamp| ledger.knew(&closing.stamp.change, &stamp.change));
    let about = vec![assembly.name(), open.name()];
    let side = |key: &str, entry: &Entry, claim: Option<&Claim>, stamp, knew_other| Side {
        key: key.to_owned(),
        about: entry.name(),
        title: title(entry),
        value: claim.and_then(|claim| claim.value.clone()),
        stamp,
        knew_other,
    };
    let done = if rule == Rule::ClosedOverJob {
        "was_done"
    } else {
        "was_met"
    };
    Some(Point {
        id: identity(
            rule,
            &about,
            "",
            &[&closing.stamp.change, &opening.change, &placing.change],
        ),
        rule,
        title: format!(
            "'{}' was closed over {} '{}'",
            title(assembly),
            open.kind.word().replace('_', " "),
            title(open)
        ),
        sides: vec![
            side(
                "side_1",
                assembly,
                Some(closing),
                closing.stamp.clone(),
                could_have_known,
            ),
            side("side_2", open, first_claim(open, "state"), opening.clone(), false),
        ],
        changes: vec![
            closing.stamp.change.clone(),
            opening.change.clone(),
            placing.change.clone(),
        ],
        about,
        field: None,
        choices: vec![choice("reopen"), choice(done), choice_with_why("let_stand")],
    })
}
