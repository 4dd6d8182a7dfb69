//! Settling a point: the choice is carried out and remembered, in one change. The rules then no longer find the
//! contradiction, on this device or on any that meets it later.

use std::collections::BTreeSet;

use crate::document::{Draft, Record, Stroke};
use crate::edit::close_up::put_state;
use crate::edit::fields::{self, GivenFields};
use crate::edit::{Ids, strike};
use crate::entities::{Settlement, SettlementFields, Waiver, WaiverFields};
use crate::entity::fields_of;
use crate::entry::{Entry, STRUCK, Scalar, View};
use crate::field::{Field, Given, Line, Shape, Stored};
use crate::inside::Inside;
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::rules::{self, Point, Rule};

pub(super) fn settle(
    record: &Record,
    point: &str,
    choice: &str,
    why: Option<&str>,
    ids: &mut dyn Ids,
) -> Result<Draft, Refusal> {
    let view = record.view();
    let points = rules::points(view, record.ledger());
    let point = points
        .iter()
        .find(|one| one.id == point)
        .ok_or(Refusal::NoSuchPoint)?;
    let chosen = point
        .choices
        .iter()
        .find(|one| one.key == choice)
        .ok_or_else(|| Refusal::NoSuchChoice {
            got: choice.chars().take(60).collect(),
            may: point.choices.iter().map(|one| one.key.clone()).collect(),
        })?;
    let why = why.map(str::trim).filter(|why| !why.is_empty());
    if chosen.wants_why && why.is_none() {
        return Err(Refusal::WhyWanted);
    }
    let mut strokes = match point.rule {
        Rule::SettledTwoWays => one_way(record, point, choice),
        Rule::StruckWorkedOn => struck_worked_on(record, point, choice)?,
        Rule::InEachOther => vec![take_out(record, point, choice)?],
        _ => carry_out(view, point, choice, why, ids)?,
    };
    let of = (point.rule == Rule::SettledTwoWays)
        .then(|| rules::matter_of(view, point))
        .flatten();
    let told = rules::told(&point.about);
    let field = of.as_ref().map_or(point.field.as_deref(), |of| Some(of.field()));
    let given = SettlementFields {
        point: fields::given(point.id.clone()),
        rule: fields::given(point.rule.word()),
        choice: fields::given(choice),
        why: why.map_or(Given::Leave, fields::given),
        about: or_leave(Some(told.as_str())),
        field: or_leave(field),
        of_point: or_leave(of.as_ref().map(|of| of.first_point())),
        of_rule: or_leave(of.as_ref().map(|of| of.rule())),
    };
    let id = Id::from_uuid(ids.fresh());
    strokes.extend(fields::add(view, &id, &GivenFields::of::<Settlement>(&given)?)?.strokes);
    Ok(Draft {
        message: format!("Settled: {}", point.title),
        strokes,
    })
}

/// A line that is given, where there is something in it.
fn or_leave(text: Option<&str>) -> Given<String> {
    text.filter(|text| !text.is_empty())
        .map_or(Given::Leave, fields::given)
}

/// Of several settlements one holds: what the others wrote, and nobody has overwritten since, is put back to what stood before
/// them, and where both wrote one field the one that holds is put anew. What they made, such as a waiver, is struck out.
fn one_way(record: &Record, point: &Point, choice: &str) -> Vec<Stroke> {
    let (view, ledger) = (record.view(), record.ledger());
    let Some(matter) = rules::matter_of(view, point).filter(|_| choice != rules::AS_IT_IS) else {
        return Vec::new();
    };
    let family = matter.family();
    let (with, against) = matter.for_and_against(ledger, choice);
    let mut strokes = Vec::new();
    for entry in view.everything().filter(|entry| entry.kind != Kind::Settlement) {
        if against.contains(&entry.made.change) {
            if entry.stands() {
                let why = Scalar::Line("the point was settled otherwise".to_owned());
                strokes.push(strike::put(entry, Stored::Scalar(Some(why))));
            }
            continue;
        }
        for (field, held) in &entry.fields {
            let claims = held.claims();
            let Some(wrong) = claims.iter().find(|claim| against.contains(&claim.stamp.change)) else {
                continue;
            };
            // What somebody else wrote meanwhile is not overruled: two values are a point of their own.
            if claims.iter().any(|claim| !family.contains(&claim.stamp.change)) {
                continue;
            }
            let right = claims.iter().find(|claim| with.contains(&claim.stamp.change));
            let value = right.map_or_else(
                || {
                    let before = record.entry_before(entry.kind, &entry.id, &wrong.stamp.change);
                    before.and_then(|before| before.value(field).cloned())
                },
                |claim| claim.value.clone(),
            );
            let stored = Stored::Scalar(value);
            strokes.push(Stroke::Put(entry.kind, entry.id.clone(), field.clone(), stored));
        }
    }
    strokes
}

/// What was struck out while somebody worked on it.
fn struck_worked_on(record: &Record, point: &Point, choice: &str) -> Result<Vec<Stroke>, Refusal> {
    let view = record.view();
    let group = rules::group_of(view, record.ledger(), point).ok_or(Refusal::NoSuchPoint)?;
    let stands = |entry: &Entry| strike::put(entry, Stored::Scalar(None));
    match choice {
        "take_back" => Ok(group.struck.iter().map(|entry| stands(entry)).collect()),
        "move_up" => {
            let root = *group.roots.first().ok_or(Refusal::NoSuchPoint)?;
            let moving: Vec<_> = group.moving().collect();
            let mut strokes = strike::moved(root, &moving, group.up.as_ref())?;
            strokes.extend(group.again().map(stands));
            Ok(strokes)
        }
        "strike_too" => {
            let root = *group.roots.first().ok_or(Refusal::NoSuchPoint)?;
            let why = strike::reason(root.struck().map_or("", |(why, _)| why))?;
            let all = Inside::of(view);
            let each = strike::with_everything(&all, group.standing.iter().map(|held| held.entry));
            Ok(each
                .into_iter()
                .map(|entry| strike::put(entry, why.clone()))
                .collect())
        }
        _ => Ok(Vec::new()),
    }
}

/// Takes one out of a ring: it stands again where it stood before it was put there, if that is still outside of it.
fn take_out(record: &Record, point: &Point, choice: &str) -> Result<Stroke, Refusal> {
    let view = record.view();
    let name = rules::taken_out(choice).and_then(|at| point.about.get(at));
    let (name, entry) = name
        .and_then(|name| Some((name, view.find(name)?)))
        .ok_or(Refusal::NoSuchPoint)?;
    let field = rules::nests_by(name.kind).ok_or(Refusal::NoSuchPoint)?;
    let put_by = entry.fields.get(field).and_then(|held| held.claims().first());
    let before = put_by
        .and_then(|claim| record.entry_before(name.kind, &name.id, &claim.stamp.change))
        .and_then(|before| before.line(field)?.parse::<Id>().ok())
        .filter(|up| {
            let up = Ref::new(name.kind, up.clone());
            let outside = !point.about.contains(&up) && !stands_in(view, &up, name, field);
            outside && view.find(&up).is_some_and(Entry::stands)
        });
    let place = Stored::Scalar(before.map(|up| Scalar::Line(up.to_string())));
    Ok(Stroke::Put(name.kind, name.id.clone(), field.to_owned(), place))
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

fn carry_out(
    view: &View,
    point: &Point,
    choice: &str,
    why: Option<&str>,
    ids: &mut dyn Ids,
) -> Result<Vec<Stroke>, Refusal> {
    let about = |at: usize| point.about.get(at).cloned().ok_or(Refusal::NoSuchPoint);
    match (point.rule, choice) {
        (Rule::TwoValues, side) => {
            let side = point
                .sides
                .iter()
                .find(|one| one.key == side)
                .ok_or(Refusal::NoSuchPoint)?;
            let field = point.field.clone().ok_or(Refusal::NoSuchPoint)?;
            let name = about(0)?;
            Ok(vec![Stroke::Put(
                name.kind,
                name.id,
                field,
                Stored::Scalar(side.value.clone()),
            )])
        }
        (Rule::ClosedOverJob | Rule::ClosedOverHold | Rule::ClosedOverRun, "reopen") => {
            Ok(vec![put_state(Kind::Assembly, &about(0)?.id, "fitted")])
        }
        (Rule::ClosedOverJob, "was_done") => Ok(vec![put_state(Kind::Job, &about(1)?.id, "done")]),
        (Rule::ClosedOverHold, "was_met") => Ok(vec![put_state(Kind::HoldPoint, &about(1)?.id, "met")]),
        // What nobody logged is not put down as tight: the run is struck out, and says why.
        (Rule::ClosedOverRun, "strike_run") => Ok(vec![struck(&about(1)?, why.unwrap_or_default())?]),
        (Rule::ClosedOverJob | Rule::ClosedOverHold | Rule::ClosedOverRun, _) => {
            let given = WaiverFields {
                assembly: Given::Put(about(0)?.id),
                about: Given::Put(about(1)?),
                why: fields::given(why.unwrap_or_default()),
            };
            let id = Id::from_uuid(ids.fresh());
            Ok(fields::add(view, &id, &GivenFields::of::<Waiver>(&given)?)?.strokes)
        }
        (Rule::SameCode, "first_keeps") => new_code(view, &about(1)?),
        (Rule::SameCode, "second_keeps") => new_code(view, &about(0)?),
        (Rule::SameCode, _) => one_container(view, &about(0)?, &about(1)?),
        (Rule::TwoOrders, "cancel_first") => Ok(vec![put_state(Kind::Order, &about(0)?.id, "cancelled")]),
        (Rule::TwoOrders, "cancel_second") => Ok(vec![put_state(Kind::Order, &about(1)?.id, "cancelled")]),
        (Rule::TwoOrders | Rule::SettledTwoWays | Rule::StruckWorkedOn | Rule::InEachOther, _)
        | (Rule::ReadingsDiffer, "both_stand") => Ok(Vec::new()),
        (Rule::ReadingsDiffer, "side_1") => other_reading(view, &about(0)?, &about(1)?, why),
        (Rule::ReadingsDiffer, _) => other_reading(view, &about(1)?, &about(0)?, why),
    }
}

fn new_code(view: &View, name: &Ref) -> Result<Vec<Stroke>, Refusal> {
    let code = view
        .find(name)
        .and_then(|entry| entry.line("code"))
        .unwrap_or_default();
    let fresh = rules::next_free_code(view, code);
    let value = Line::store(&fresh).map_err(|why| fields::misfit("code", why))?;
    Ok(vec![Stroke::Put(
        name.kind,
        name.id.clone(),
        "code".to_owned(),
        value,
    )])
}

/// One reading is right: the other is struck out, with the reason given or with which one was taken.
fn other_reading(view: &View, right: &Ref, other: &Ref, why: Option<&str>) -> Result<Vec<Stroke>, Refusal> {
    let value = view
        .find(right)
        .and_then(|entry| entry.line("value"))
        .and_then(|kept| kept.rsplit_once(" = "))
        .map_or_else(String::new, |(typed, _)| format!(" of {typed}"));
    let why = why.map_or_else(
        || format!("it does not agree with the other reading{value} of the same point, which was taken"),
        str::to_owned,
    );
    Ok(vec![struck(other, &why)?])
}

/// An entry struck out.
fn struck(name: &Ref, why: &str) -> Result<Stroke, Refusal> {
    let value = Line::store(&why.to_owned()).map_err(|why| fields::misfit("why", why))?;
    Ok(Stroke::Put(name.kind, name.id.clone(), STRUCK.to_owned(), value))
}

/// Both labels are on one bag: everything in the second is in the first, and the second is struck out.
fn one_container(view: &View, first: &Ref, second: &Ref) -> Result<Vec<Stroke>, Refusal> {
    // Whatever may lie in a container, or be about one, says so by a field of one of these shapes.
    let names_it = |shape: Shape| match shape {
        Shape::Link(Kind::Container) => Some((second.id.to_string(), first.id.to_string())),
        Shape::About(kinds) if kinds.contains(&Kind::Container) => {
            Some((second.to_string(), first.to_string()))
        }
        _ => None,
    };
    let mut strokes = Vec::new();
    for kind in Kind::ALL {
        for field in fields_of(*kind) {
            let Some((was, is)) = names_it(field.shape) else {
                continue;
            };
            let there = |entry: &&Entry| entry.line(field.name) == Some(&was) && entry.id != first.id;
            strokes.extend(view.standing(*kind).filter(there).map(|entry| {
                let stays = Stored::Scalar(Some(Scalar::Line(is.clone())));
                Stroke::Put(*kind, entry.id.clone(), field.name.to_owned(), stays)
            }));
        }
    }
    let why = Stored::Scalar(Some(Scalar::Line(
        "it is the same container under one code".to_owned(),
    )));
    strokes.push(Stroke::Put(
        second.kind,
        second.id.clone(),
        STRUCK.to_owned(),
        why,
    ));
    Ok(strokes)
}
