//! Two live orders for one part: two people each went looking for it. Never buying the same part twice is half of
//! what the record is for.

use std::collections::BTreeMap;

use super::def::{ChoiceDef, Finds, Key, Outcome, RuleDef, Settling, nothing};
use super::point::{Point, identity};
use super::rule::Rule;
use super::same_code::{pairs, two_sides};
use crate::document::{Ledger, Stroke};
use crate::entities::Order;
use crate::entry::{Claim, Entry, View};
use crate::name::{Id, Kind};
use crate::refusal::Refusal;
use crate::strokes;
use crate::title::title;

/// Two live orders for one part.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::TwoOrders,
    said: "two orders for one part",
    // A part's name is in the point's title.
    finds: Finds::InRecord(&[Kind::Order, Kind::Part], |survey, found| {
        found.whole(points(survey.view, survey.ledger))
    }),
    choices: &[
        ChoiceDef::new(
            Key::Word("cancel_first"),
            Outcome::Of(0, "is cancelled"),
            |settling, _| cancelled(settling, 0),
        ),
        ChoiceDef::new(
            Key::Word("cancel_second"),
            Outcome::Of(1, "is cancelled"),
            |settling, _| cancelled(settling, 1),
        ),
        ChoiceDef::new(
            Key::Word("both_wanted"),
            Outcome::Words("both orders are wanted"),
            nothing,
        )
        .with_why(),
    ],
};

fn cancelled(settling: &Settling<'_>, at: usize) -> Result<Vec<Stroke>, Refusal> {
    Ok(vec![strokes::state(
        Kind::Order,
        &settling.about(at)?.id,
        "cancelled",
    )])
}

fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    let mut by_part: BTreeMap<Id, Vec<&Entry>> = BTreeMap::new();
    for entry in view.standing(Kind::Order) {
        let live = !matches!(entry.line(Order::state), Some("returned" | "cancelled"));
        let part = entry.line(Order::part).and_then(|id| id.parse::<Id>().ok());
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
        part_of: None,
        reopened: None,
        sides,
        choices: RULE.offers(),
    })
}
