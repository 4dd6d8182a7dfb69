//! One disagreement is one question: a decision and its reason, a limit's bounds and its page, are fields of one thing said. Two
//! who said it apart made a point of each field, and settled one by one they would leave his decision with her reason. Each
//! point keeps its identity; here it is told which of them are one question, and what else holds with a side that is chosen. It
//! finds no point, and writes nothing.

use super::point::{PartOf, Point, Side};
use super::rule::Rule;
use crate::document::{Ledger, Record, Stroke};
use crate::entities::{Assembly, HoldPoint, Job, Limit, Part, Reading, TighteningRun, Try};
use crate::entry::{Claim, Entry, Scalar};
use crate::field::Stored;
use crate::hash::ChangeId;
use crate::name::Kind;
use crate::past::{Knew, Past};
use crate::view::View;

/// Points that are asked and settled as one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question<'p> {
    /// The one that it is asked by: its identity is the question's, its choices are.
    pub lead: &'p Point,
    /// The others, as the thing is said.
    pub with: Vec<&'p Point>,
}

/// The fields that are one thing said, in the order it is said in; nothing for a field that stands by itself.
#[must_use]
pub fn said_with(kind: Kind, field: &str) -> &'static [&'static str] {
    const DECISION: &[&str] = &[Part::decision, Part::decision_why];
    const DIFFERS: &[&str] = &[Part::differs, Part::differs_why];
    const JOB: &[&str] = &[Job::state, Job::outcome, Job::left_off, Job::undone_by];
    const NOT_BEFORE: &[&str] = &[Job::not_before, Job::not_before_time];
    const HOLD: &[&str] = &[HoldPoint::state, HoldPoint::met_how, HoldPoint::met_by];
    const TRY: &[&str] = &[Try::worked, Try::came_of_it];
    const LIMIT: &[&str] = &[Limit::low, Limit::high, Limit::book, Limit::edition, Limit::page];
    const READING: &[&str] = &[
        Reading::value,
        Reading::again,
        Reading::grid,
        Reading::grid_names,
        Reading::instrument,
    ];
    const RUN: &[&str] = &[
        TighteningRun::torque,
        TighteningRun::passes,
        TighteningRun::conditions,
        TighteningRun::source,
    ];
    const STANDS: &[&str] = &[Assembly::state, Assembly::off_car];
    let one = match kind {
        Kind::Assembly => STANDS,
        Kind::Part if DIFFERS.contains(&field) => DIFFERS,
        Kind::Part => DECISION,
        Kind::Job if NOT_BEFORE.contains(&field) => NOT_BEFORE,
        Kind::Job => JOB,
        Kind::HoldPoint => HOLD,
        Kind::Try => TRY,
        Kind::Limit => LIMIT,
        Kind::Reading => READING,
        Kind::TighteningRun => RUN,
        _ => &[],
    };
    if one.contains(&field) { one } else { &[] }
}

/// The points as they are asked, each question where its first stands.
#[must_use]
pub fn questions(points: &[Point]) -> Vec<Question<'_>> {
    let mut asked: Vec<Question<'_>> = Vec::new();
    for point in points {
        let of = |one: &Point| one.part_of.as_ref().map(|part| part.question.clone());
        let same = |one: &&mut Question<'_>| of(point).is_some() && of(one.lead) == of(point);
        match asked.iter_mut().find(same) {
            Some(question) => question.with.push(point),
            None => asked.push(Question {
                lead: point,
                with: Vec::new(),
            }),
        }
    }
    for question in &mut asked {
        let mut all = std::mem::take(&mut question.with);
        all.push(question.lead);
        all.sort_by_key(|point| place(point));
        let mut all = all.into_iter();
        question.lead = all.next().unwrap_or(question.lead);
        question.with = all.collect();
    }
    asked
}

impl<'p> Question<'p> {
    /// All its points, as the thing is said.
    pub fn points(&self) -> impl Iterator<Item = &'p Point> {
        std::iter::once(self.lead).chain(self.with.iter().copied())
    }

    /// The side of one of its points that a side of the first goes with.
    #[must_use]
    pub fn side_of<'s>(&self, point: &'s Point, side: &str) -> Option<&'s Side> {
        goes_with(self.lead, side, point)
    }
}

/// Where a point's field stands in what is said.
fn place(point: &Point) -> (usize, &str) {
    let kind = point.about.first().map(|name| name.kind);
    let field = point.field.as_deref().unwrap_or_default();
    let said = kind.map_or(&[][..], |kind| said_with(kind, field));
    let at = said.iter().position(|one| *one == field);
    (at.unwrap_or(usize::MAX), &point.id)
}

/// The side of another point of the same question that a side of this goes with.
fn goes_with<'s>(point: &Point, side: &str, other: &'s Point) -> Option<&'s Side> {
    if point.id == other.id {
        return other.sides.iter().find(|one| one.key == side);
    }
    let (here, there) = (point.part_of.as_ref()?, other.part_of.as_ref()?);
    let at = point.sides.iter().position(|one| one.key == side)?;
    let whole = here.sides.get(at).filter(|_| here.question == there.question)?;
    let at = there.sides.iter().position(|one| one == whole)?;
    other.sides.get(at)
}

/// The changes that stand for what a side says.
fn changes<'e>(entry: &'e Entry, field: &str, value: &Option<Scalar>) -> Vec<&'e ChangeId> {
    whose(entry.claims(field), value)
}

/// The changes that put a value, of all that stand.
fn whose<'c>(claims: &'c [Claim], value: &Option<Scalar>) -> Vec<&'c ChangeId> {
    claims
        .iter()
        .filter(|claim| claim.value == *value)
        .map(|claim| &claim.stamp.change)
        .collect()
}

/// Whether one of these was written with one of those: in one change, or by somebody who had it.
pub(super) fn joined(ledger: &impl Knew, these: &[&ChangeId], those: &[&ChangeId]) -> bool {
    these.iter().any(|one| {
        let with = |other: &&&ChangeId| *one == **other || ledger.knew(one, other) || ledger.knew(other, one);
        those.iter().find(with).is_some()
    })
}

/// Tells of the points of one entry which are one question: every side of one goes with just one side of the other. Where three
/// wrote this and that between them no such pairs are found, and each is asked by itself.
pub(super) fn lay(ledger: &Ledger, entry: &Entry, points: &mut [Point]) {
    let order = |point: &Point| place(point).0;
    let mut at: Vec<usize> = (0..points.len()).collect();
    at.sort_by_key(|at| points.get(*at).map(order));
    let mut laid: Vec<(String, PartOf)> = Vec::new();
    for at in at {
        let Some(point) = points.get(at) else { continue };
        let field = point.field.as_deref().unwrap_or_default();
        let said = said_with(entry.kind, field);
        if said.is_empty() {
            continue;
        }
        let mut firsts = laid.iter().filter(|(id, part)| *id == part.question);
        let paired = firsts.find_map(|(id, _)| {
            let first = points.iter().find(|one| one.id == *id)?;
            Some(PartOf {
                question: id.clone(),
                sides: pairs(ledger, entry, point, first)?,
            })
        });
        let alone = || PartOf {
            question: point.id.clone(),
            sides: point.sides.iter().map(|side| side.key.clone()).collect(),
        };
        laid.push((point.id.clone(), paired.unwrap_or_else(alone)));
    }
    for point in points {
        let part = laid.iter().find(|(id, _)| *id == point.id);
        point.part_of = part.map(|(_, part)| part.clone());
    }
}

/// For each side of a point the one side of the first that it goes with; nothing where that is not plain.
fn pairs(ledger: &Ledger, entry: &Entry, point: &Point, first: &Point) -> Option<Vec<String>> {
    if point.sides.len() != first.sides.len() {
        return None;
    }
    let written = |of: &Point, side: &Side| -> Vec<ChangeId> {
        let field = of.field.as_deref().unwrap_or_default();
        changes(entry, field, &side.value).into_iter().copied().collect()
    };
    let mut keys: Vec<String> = Vec::new();
    for side in &point.sides {
        let mine = written(point, side);
        let mine: Vec<&ChangeId> = mine.iter().collect();
        let mut with = first.sides.iter().filter(|other| {
            let theirs = written(first, other);
            joined(ledger, &mine, &theirs.iter().collect::<Vec<_>>())
        });
        let (one, none) = (with.next()?, with.next());
        if none.is_some() || keys.contains(&one.key) {
            return None;
        }
        keys.push(one.key.clone());
    }
    Some(keys)
}

/// What holds with a side that is chosen, of the rest of what was said.
pub(crate) struct HeldTogether<'p> {
    /// What is put, so that nothing of the other's is left beside it.
    pub(crate) strokes: Vec<Stroke>,
    /// The points that are settled with it, and the side of each.
    pub(crate) settles: Vec<(&'p Point, String)>,
}

/// What holds with a side of a point: the same keeper's word on the rest of the question, and where only the other wrote
/// something, what stood there for whoever is chosen.
pub(crate) fn held_with<'p>(
    record: &Record,
    points: &'p [Point],
    point: &Point,
    choice: &str,
) -> HeldTogether<'p> {
    let mut held = HeldTogether {
        strokes: Vec::new(),
        settles: Vec::new(),
    };
    for one in each_with(record.view(), record, points, point, choice) {
        if one.changes {
            let stored = Stored::Scalar(one.value);
            let Some(name) = point.about.first() else { continue };
            let stroke = Stroke::Put(name.kind, name.id.clone(), one.field.to_owned(), stored);
            held.strokes.push(stroke);
        }
        held.settles.extend(one.settles);
    }
    held
}

/// One more field of what a keeper said.
#[derive(Clone, Debug)]
pub struct SaidToo<'p> {
    /// The field.
    pub field: &'static str,
    /// What it is with the side that is chosen.
    pub value: Option<Scalar>,
    /// Whether choosing that side writes it.
    pub changes: bool,
    /// The point that is settled with it, and the side.
    pub settles: Option<(&'p Point, String)>,
}

/// The rest of what was said with a side of a point, field by field.
#[must_use]
pub fn each_with<'p>(
    view: &View,
    past: &impl Past,
    points: &'p [Point],
    point: &Point,
    choice: &str,
) -> Vec<SaidToo<'p>> {
    let (Some(name), Some(field)) = (point.about.first(), point.field.as_deref()) else {
        return Vec::new();
    };
    let side = point.sides.iter().find(|one| one.key == choice);
    let (Some(side), Some(entry)) = (side, view.find(name)) else {
        return Vec::new();
    };
    if point.rule != Rule::TwoValues {
        return Vec::new();
    }
    let rest = said_with(name.kind, field)
        .iter()
        .filter(|other| **other != field);
    let too = |other: &&'static str| {
        let asked = points.iter().find(|one| {
            one.rule == Rule::TwoValues && one.about == point.about && one.field.as_deref() == Some(*other)
        });
        if let Some(asked) = asked {
            let with = goes_with(point, choice, asked)?;
            return Some(SaidToo {
                field: other,
                value: with.value.clone(),
                changes: true,
                settles: Some((asked, with.key.clone())),
            });
        }
        let claims = entry.claims(other);
        let value = claims.first().and_then(|claim| claim.value.clone());
        // Two values that nobody is asked about any more are not decided by the way.
        if claims.iter().any(|claim| claim.value != value) {
            return None;
        }
        let theirs = as_had(past, entry, point, side, other);
        Some(SaidToo {
            field: other,
            changes: theirs.as_ref().is_some_and(|had| *had != value)
                || goes_along(entry, point, side, other),
            value: theirs.unwrap_or(value),
            settles: None,
        })
    };
    rest.filter_map(too).collect()
}

/// Whether a field is believed only beside the side that it was put with, so that whoever puts that anew puts it anew.
fn goes_along(entry: &Entry, point: &Point, side: &Side, other: &str) -> bool {
    let Some(field) = point.field.as_deref() else {
        return false;
    };
    let mine = changes(entry, field, &side.value);
    let mut claims = entry.claims(other).iter();
    (entry.kind, other) == (Kind::Job, Job::undone_by)
        && claims.any(|claim| claim.value.is_some() && mine.contains(&&claim.stamp.change))
}

/// What a field was for whoever wrote a side, where it reads as another side's writer left it; nothing where it is theirs, or
/// older than both.
fn as_had(
    past: &impl Past,
    entry: &Entry,
    point: &Point,
    side: &Side,
    other: &str,
) -> Option<Option<Scalar>> {
    let field = point.field.as_deref()?;
    let now: Vec<&ChangeId> = entry
        .claims(other)
        .iter()
        .map(|claim| &claim.stamp.change)
        .collect();
    let mine = changes(entry, field, &side.value);
    // Written with it, or by somebody who had it; or older than it.
    if joined(past, &now, &mine) {
        return None;
    }
    let theirs: Vec<&ChangeId> = entry
        .claims(field)
        .iter()
        .filter(|one| one.value != side.value)
        .map(|one| &one.stamp.change)
        .collect();
    // A third keeper's, of which neither knew, is nobody's side.
    if !joined(past, &now, &theirs) {
        return None;
    }
    let by = &side.stamp.change;
    let name = entry.name();
    let had = past.field_after(&name, other, by);
    let Some(first) = had.first() else {
        return Some(None);
    };
    if had.len() == 1 {
        return Some(first.value.clone());
    }
    // Whoever chose between two here, with an older program, left the two reasons as they were: the one that was written with
    // what was chosen holds.
    let before = past.field_before(&name, field, by);
    let chosen = whose(&before, &side.value);
    let with = had.iter().find(|one| joined(past, &[&one.stamp.change], &chosen));
    Some(with.unwrap_or(first).value.clone())
}
