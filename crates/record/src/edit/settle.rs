//! Settling a point: the choice is carried out and remembered, in one change. The rules then no longer find the
//! contradiction, on this device or on any that meets it later.

use crate::document::{Draft, Ledger, Stroke};
use crate::edit::Ids;
use crate::edit::close_up::put_state;
use crate::edit::fields::{self, GivenFields};
use crate::entities::{Settlement, SettlementFields, Waiver, WaiverFields};
use crate::entry::{Entry, STRUCK, Scalar, View};
use crate::field::{Field, Given, Line, Stored};
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::rules::{self, Point, Rule};

pub(super) fn settle(
    view: &View,
    ledger: &Ledger,
    point: &str,
    choice: &str,
    why: Option<&str>,
    ids: &mut dyn Ids,
) -> Result<Draft, Refusal> {
    let points = rules::points(view, ledger);
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
    let mut strokes = carry_out(view, point, choice, why, ids)?;
    let given = SettlementFields {
        point: fields::given(point.id.clone()),
        rule: fields::given(point.rule.word()),
        choice: fields::given(choice),
        why: why.map_or(Given::Leave, fields::given),
    };
    let id = Id::from_uuid(ids.fresh());
    strokes.extend(fields::add(view, &id, &GivenFields::of::<Settlement>(&given)?)?.strokes);
    Ok(Draft {
        message: format!("Settled: {}", point.title),
        strokes,
    })
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
        (Rule::TwoOrders, _) | (Rule::ReadingsDiffer, "both_stand") => Ok(Vec::new()),
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
    let stays = Stored::Scalar(Some(Scalar::Line(first.id.to_string())));
    let lies = [
        (Kind::Part, "container"),
        (Kind::Container, "inside"),
        (Kind::Assembly, "kept_in"),
    ];
    let mut strokes = Vec::new();
    for (kind, field) in lies {
        let inside = |entry: &&Entry| entry.line(field) == Some(second.id.as_str()) && entry.id != first.id;
        strokes.extend(
            view.standing(kind)
                .filter(inside)
                .map(|entry| Stroke::Put(kind, entry.id.clone(), field.to_owned(), stays.clone())),
        );
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
