//! Two live orders for one part: two people each went looking for it. Never buying the same part twice is half of
//! what the record is for.

use std::collections::BTreeMap;

use super::same_code::{pairs, two_sides};
use super::{Point, Rule, choice, choice_with_why, identity};
use crate::document::Ledger;
use crate::entry::{Claim, Entry, View};
use crate::name::{Id, Kind};
use crate::title::title;

pub(super) fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    let mut by_part: BTreeMap<Id, Vec<&Entry>> = BTreeMap::new();
    for entry in view.standing(Kind::Order) {
        let live = !matches!(entry.line("state"), Some("returned" | "cancelled"));
        let part = entry.line("part").and_then(|id| id.parse::<Id>().ok());
        if let Some(part) = part.filter(|_| live) {
            by_part.entry(part).or_default().push(entry);
        }
    }
    let mut points = Vec::new();
    for (part, orders) in by_part {
        let part = view
            .get(Kind::Part, &part)
            .map_or_else(|| "a part".to_owned(), title);
        for (first, second) in pairs(&orders) {
            points.extend(point(ledger, &part, first, second));
        }
    }
    points
}

fn claim<'a>(entry: &'a Entry, field: &str) -> Option<&'a Claim> {
    entry.fields.get(field)?.claims().first()
}

fn point(ledger: &Ledger, part: &str, first: &Entry, second: &Entry) -> Option<Point> {
    let (one, two) = (claim(first, "part")?, claim(second, "part")?);
    // An order called off and taken up again is a new contradiction, so the states count too.
    let mut changes = vec![&one.stamp.change, &two.stamp.change];
    changes.extend(
        [first, second]
            .iter()
            .filter_map(|entry| claim(entry, "state"))
            .map(|claim| &claim.stamp.change),
    );
    let about = vec![first.name(), second.name()];
    let mut sides = two_sides(ledger, (first, one), (second, two));
    for (side, entry) in sides.iter_mut().zip([first, second]) {
        side.value = claim(entry, "state").and_then(|claim| claim.value.clone());
    }
    Some(Point {
        id: identity(Rule::TwoOrders, &about, "", &changes),
        rule: Rule::TwoOrders,
        title: format!("Two orders for '{part}'"),
        changes: changes.into_iter().cloned().collect(),
        about,
        field: None,
        sides,
        choices: vec![
            choice("cancel_first"),
            choice("cancel_second"),
            choice_with_why("both_wanted"),
        ],
    })
}
