//! Two values for one field: two devices wrote it, neither having the other's. The document shows one of them and
//! neither is wrong by itself; which one the car has, only a person can say.

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Settling, Survey};
use super::point::{Choice, Point, Side, identity};
use super::rule::Rule;
use super::together;
use crate::document::whose::{KEEPER, OWN};
use crate::document::{Ledger, Stroke};
use crate::entities::{Assembly, Part, Reading, Tightened};
use crate::entry::{Claim, Entry, Held, STRUCK, Scalar};
use crate::field::Stored;
use crate::name::Kind;
use crate::refusal::Refusal;
use crate::said;
use crate::title::title;

/// Two values for one field.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::TwoValues,
    said: "two values",
    finds: Finds::InRecord(Kind::ALL, finds),
    choices: &[KEEP],
};

/// One of the values is put anew.
const KEEP: ChoiceDef = ChoiceDef::new(ChoiceKey::Numbered("side_"), Outcome::AsCalled, |settling, _| {
    keep(settling)
});

fn keep(settling: &Settling<'_>) -> Result<Vec<Stroke>, Refusal> {
    let mut sides = settling.point.sides.iter();
    let side = sides
        .find(|one| one.key == settling.choice)
        .ok_or(Refusal::NoSuchPoint)?;
    let field = settling.point.field.clone().ok_or(Refusal::NoSuchPoint)?;
    let name = settling.about(0)?.clone();
    let value = Stored::Scalar(side.value.clone());
    // Asked once more, the value may be all that stands: put again it would be nothing, and whoever settles it otherwise far away
    // would overrule this without a word.
    let held = settling
        .view()
        .find(&name)
        .and_then(|entry| entry.fields.get(&field));
    let stands = held.is_some_and(|held| held.is_just(side.value.as_ref()));
    let anew = stands.then(|| Stroke::Anew(name.kind, name.id.clone(), field.clone()));
    let put = Stroke::Put(name.kind, name.id, field, value);
    Ok(anew.into_iter().chain([put]).collect())
}

fn finds(survey: &Survey<'_>, found: &mut Found) -> bool {
    let ledger = survey.ledger;
    let Some(touched) = survey.only(&[]) else {
        let each = survey.view.everything();
        return found.anew(each.map(|entry| (entry.name().to_string(), of_entry(entry, ledger))));
    };
    let mut other = false;
    for (name, entry) in touched {
        let points = entry.map(|entry| of_entry(entry, ledger)).unwrap_or_default();
        other |= found.put(&name.to_string(), points);
    }
    other
}

fn of_entry(entry: &Entry, ledger: &Ledger) -> Vec<Point> {
    // Settlements and waivers are never rewritten. A struck entry's fields matter to nobody, unless the strike
    // itself is in question.
    if matches!(entry.kind, Kind::Settlement | Kind::Waiver) {
        return Vec::new();
    }
    let in_question = |field: &str| entry.stands() || field == STRUCK;
    let fields = entry
        .fields
        .iter()
        .filter(|(field, held)| held.contradicts() && in_question(field) && !marks(entry.kind, field, held));
    let mut points: Vec<Point> = fields
        .map(|(field, held)| point(ledger, entry, field, held))
        .collect();
    if points.len() > 1 {
        together::lay(ledger, entry, &mut points);
    }
    points
}

/// Whether it only marks that something was done: an opening that another took back, or a turn that two took back, each for a reason.
fn marks(kind: Kind, field: &str, held: &Held) -> bool {
    match kind {
        Kind::Assembly if field == Assembly::off_car => {
            // Fitted closed by one and opened by the other: neither said that it is off the car as it is.
            let off = Some(Scalar::Flag(true));
            held.claims().iter().all(|claim| claim.value != off)
        }
        Kind::Assembly => matches!(field, Assembly::opened | Assembly::taken_apart),
        Kind::Reading => field == Reading::knew_of,
        // Moved by two, it stands where one of them put it, and is moved again by a tap.
        Kind::Part => field == Part::order,
        Kind::Tightened if field == STRUCK => held.claims().iter().all(|claim| claim.value.is_some()),
        Kind::Tightened => field == Tightened::loosened,
        _ => false,
    }
}

fn point(ledger: &Ledger, entry: &Entry, field: &str, held: &Held) -> Point {
    let about = vec![entry.name()];
    let changes: Vec<_> = held.claims().iter().map(|claim| &claim.stamp.change).collect();
    // One side for each different value, in an order that does not depend on which one is shown.
    let mut claims: Vec<&Claim> = held.claims().iter().collect();
    claims.sort_by(|a, b| (&a.value, &a.stamp.change).cmp(&(&b.value, &b.stamp.change)));
    claims.dedup_by(|b, a| a.value == b.value);
    let side = |(at, claim): (usize, &&Claim)| Side {
        key: format!("side_{}", at.saturating_add(1)),
        about: entry.name(),
        title: title(entry),
        value: claim.value.clone(),
        stamp: claim.stamp.clone(),
        knew_other: changes
            .iter()
            .any(|other| **other != claim.stamp.change && ledger.knew(&claim.stamp.change, other)),
    };
    let sides: Vec<Side> = claims.iter().enumerate().map(side).collect();
    // Whose a device is stays as it was entered, and its keys are its own to say: there is nothing to choose but to say so.
    let as_entered = entry.kind == Kind::Device && (matches!(field, KEEPER | STRUCK) || OWN.contains(&field));
    let choices: Vec<Choice> = sides
        .iter()
        .filter(|side| !as_entered || side.value.as_ref() == held.value())
        .map(|side| KEEP.offer(&side.key))
        .collect();
    let said = said::label_within(entry.kind, field);
    Point {
        id: identity(Rule::TwoValues, &about, field, &changes),
        rule: Rule::TwoValues,
        title: format!("Two values for '{said}' of '{}'", title(entry)),
        changes: changes.into_iter().copied().collect(),
        about,
        field: Some(field.to_owned()),
        part_of: None,
        reopened: None,
        sides,
        choices,
    }
}
