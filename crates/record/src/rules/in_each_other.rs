//! Each stands in the other: one keeper put the pump into the cooling system, the other, who could not know, the cooling system
//! into the pump. Neither is in the car then, and what is done to one of them with all that is in it is done to the other
//! as well. Three can do so in a ring. One of them has to be taken out again.

use std::collections::{BTreeMap, BTreeSet};

use super::def::{ChoiceDef, ChoiceKey, Finds, Outcome, RuleDef, Settling};
use super::point::{Choice, Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::entry::{Claim, Entry, Scalar};
use crate::field::Stored;
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::title::title;
use crate::view::View;

/// Two things, or more in a ring, each stand in the other.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::InEachOther,
    said: "each stands in the other",
    finds: Finds::InRecord(&[Kind::Assembly, Kind::Container], |survey, found| {
        found.whole(points(survey.view, survey.ledger))
    }),
    choices: &[ONE_OUT],
};

/// One of them is taken out.
const ONE_OUT: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Numbered(TAKE_OUT),
    Outcome::OfNumbered("is taken out"),
    |settling, _| take_out(settling),
);

/// The kinds that stand in their like, with the field that says so.
const NESTS: [(Kind, &str); 2] = [(Kind::Assembly, "parent"), (Kind::Container, "inside")];

/// What a choice begins with, before the number of the side that is taken out.
const TAKE_OUT: &str = "take_out_";

/// Most things of a ring that are shown; a longer one is opened at one of them as well.
const MOST_SIDES: usize = 8;

/// The field that says in which of its like an entry stands.
fn field_of(kind: Kind) -> Option<&'static str> {
    NESTS
        .iter()
        .find(|(one, _)| *one == kind)
        .map(|(_, field)| *field)
}

fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    let mut points = Vec::new();
    for (kind, field) in NESTS {
        let rings = rings(view, kind, field).into_iter();
        points.extend(rings.map(|ring| point(view, ledger, field, &ring)));
    }
    points
}

/// Every ring of what stands, each in the order of standing in the next and from its smallest id on. Every entry is walked over once.
fn rings<'a>(view: &'a View, kind: Kind, field: &str) -> Vec<Vec<&'a Entry>> {
    let up = |entry: &Entry| {
        let around = entry.line(field).and_then(|id| id.parse::<Id>().ok());
        around
            .and_then(|id| view.get(kind, &id))
            .filter(|entry| entry.stands())
    };
    let mut done: BTreeSet<&Id> = BTreeSet::new();
    let mut rings = Vec::new();
    for entry in view.standing(kind) {
        let mut path: Vec<&Entry> = Vec::new();
        let mut place: BTreeMap<&Id, usize> = BTreeMap::new();
        let mut at = Some(entry);
        while let Some(here) = at.filter(|here| !done.contains(&here.id)) {
            if let Some(first) = place.get(&here.id) {
                let mut ring = path.split_off(*first);
                let smallest = ring.iter().zip(0_usize..).min_by_key(|(entry, _)| &entry.id);
                let by = smallest.map_or(0, |(_, at)| at);
                ring.rotate_left(by);
                done.extend(ring.iter().map(|entry| &entry.id));
                rings.push(ring);
                break;
            }
            place.insert(&here.id, path.len());
            path.push(here);
            at = up(here);
        }
        done.extend(path.into_iter().map(|entry| &entry.id));
    }
    rings
}

fn point(view: &View, ledger: &Ledger, field: &str, ring: &[&Entry]) -> Point {
    let claim = |entry: &'_ Entry| entry.fields.get(field)?.claims().first().cloned();
    let claims: Vec<Claim> = ring.iter().filter_map(|entry| claim(entry)).collect();
    let around = |entry: &Entry| {
        let id = entry.line(field).and_then(|id| id.parse::<Id>().ok());
        let around = id.and_then(|id| view.get(entry.kind, &id));
        around.map(title).unwrap_or_default()
    };
    let sides = ring.iter().zip(&claims).zip(1_u32..).take(MOST_SIDES);
    let sides: Vec<Side> = sides
        .map(|((entry, claim), at)| Side {
            key: format!("side_{at}"),
            about: entry.name(),
            title: title(entry),
            value: Some(Scalar::Line(format!("put into '{}'", around(entry)))),
            stamp: claim.stamp.clone(),
            knew_other: claims.iter().any(|other| {
                other.stamp.change != claim.stamp.change
                    && ledger.knew(&claim.stamp.change, &other.stamp.change)
            }),
        })
        .collect();
    let choices: Vec<Choice> = (1..=sides.len())
        .map(|at| ONE_OUT.offer(&format!("{TAKE_OUT}{at}")))
        .collect();
    let about: Vec<_> = ring.iter().map(|entry| entry.name()).collect();
    let changes: Vec<_> = claims.iter().map(|claim| claim.stamp.change).collect();
    let refs: Vec<_> = changes.iter().collect();
    let named = |at: usize| ring.get(at).map(|entry| title(entry)).unwrap_or_default();
    let said = match ring.len() {
        0 | 1 => format!("'{}' stands in itself", named(0)),
        2 => format!("'{}' and '{}' each stand in the other", named(0), named(1)),
        count => format!(
            "'{}', '{}' and {} more stand in each other, in a ring",
            named(0),
            named(1),
            count.saturating_sub(2)
        ),
    };
    Point {
        id: identity(Rule::InEachOther, &about, field, &refs),
        rule: Rule::InEachOther,
        title: said,
        about,
        field: None,
        part_of: None,
        reopened: None,
        sides,
        choices,
        changes,
    }
}

/// Takes one out of a ring: it stands again where it stood before it was put there, if that is still outside of it.
fn take_out(settling: &Settling<'_>) -> Result<Vec<Stroke>, Refusal> {
    let (record, view) = (settling.record, settling.view());
    let name = settling.numbered(TAKE_OUT)?;
    let entry = view.find(name).ok_or(Refusal::NoSuchPoint)?;
    let field = field_of(name.kind).ok_or(Refusal::NoSuchPoint)?;
    let put_by = entry.fields.get(field).and_then(|held| held.claims().first());
    let before = put_by
        .and_then(|claim| record.entry_before(name.kind, &name.id, &claim.stamp.change))
        .and_then(|before| before.line(field)?.parse::<Id>().ok())
        .filter(|up| {
            let up = Ref::new(name.kind, up.clone());
            let outside = !settling.point.about.contains(&up) && !stands_in(view, &up, name, field);
            outside && view.find(&up).is_some_and(Entry::stands)
        });
    let place = Stored::Scalar(before.map(|up| Scalar::Line(up.to_string())));
    Ok(vec![Stroke::Put(
        name.kind,
        name.id.clone(),
        field.to_owned(),
        place,
    )])
}

/// Whether one thing stands in another, however deep.
fn stands_in(view: &View, inner: &Ref, outer: &Ref, field: &str) -> bool {
    let mut seen = BTreeSet::new();
    let mut at = Some(inner.clone());
    while let Some(here) = at.filter(|here| seen.insert(here.clone())) {
        if here == *outer {
            return true;
        }
        let up = view.find(&here).and_then(|entry| entry.line(field)?.parse().ok());
        at = up.map(|id| Ref::new(inner.kind, id));
    }
    false
}
