//! Two live orders for one part: two people each went looking for it. Never buying the same part twice is half of
//! what the record is for.

use std::collections::BTreeSet;

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Settling, Survey, nothing};
use super::point::{Point, identity};
use super::rule::Rule;
use super::same_code::{pairs, two_sides};
use crate::document::{Ledger, Stroke};
use crate::entities::Order;
use crate::entry::{Claim, Entry};
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::strokes;
use crate::title::title;
use crate::view::View;

/// Two live orders for one part.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::TwoOrders,
    said: "two orders for one part",
    // A part's name is in the point's title.
    finds: Finds::InRecord(&[Kind::Order, Kind::Part], finds),
    choices: &[
        ChoiceDef::new(
            ChoiceKey::Word("cancel_first"),
            Outcome::Of(0, "is cancelled"),
            |settling, _| cancelled(settling, 0),
        ),
        ChoiceDef::new(
            ChoiceKey::Word("cancel_second"),
            Outcome::Of(1, "is cancelled"),
            |settling, _| cancelled(settling, 1),
        ),
        ChoiceDef::new(
            ChoiceKey::Word("both_wanted"),
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

/// Part by part; the orders for one that is not there are held against each other all the same.
fn finds(survey: &Survey<'_>, found: &mut Found) -> bool {
    let view = survey.view;
    let look = |part: &Ref| (part.to_string(), points(view, survey.ledger, part));
    let Some(again) = survey.again(Kind::Part, &[]) else {
        let orders = view.standing(Kind::Order);
        let parts: BTreeSet<Ref> = orders.filter_map(part_of).collect();
        return found.anew(parts.iter().map(look));
    };
    let mut other = false;
    for (place, points) in again.iter().map(look) {
        other |= found.put(&place, points);
    }
    other
}

fn part_of(order: &Entry) -> Option<Ref> {
    let id = order.line(Order::part)?.parse::<Id>().ok()?;
    Some(Ref::new(Kind::Part, id))
}

fn points(view: &View, ledger: &Ledger, part: &Ref) -> Vec<Point> {
    let live = |order: &&Entry| {
        order.stands() && !matches!(order.line(Order::state), Some("returned" | "cancelled"))
    };
    let named = view.naming(part, Kind::Order);
    let orders: Vec<&Entry> = named
        .filter(live)
        .filter(|order| part_of(order).as_ref() == Some(part))
        .collect();
    let title = view.find(part).map_or_else(|| "a part".to_owned(), title);
    let pairs = pairs(&orders).into_iter();
    pairs
        .filter_map(|(first, second)| point(ledger, &title, first, second))
        .collect()
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
        changes: changes.into_iter().copied().collect(),
        about,
        field: None,
        part_of: None,
        reopened: None,
        sides,
        choices: RULE.offers(),
    })
}
