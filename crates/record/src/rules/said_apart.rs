//! Said apart, and read as one: a torque by one keeper and the conditions it holds for by the other, a value and its instrument, a decision
//! and its reason, the two bounds of a limit, that an assembly was taken off closed as it was and that it was opened and closed on the car. No field has two values, so the merge shows a thing that nobody has said. Whoever
//! wrote knowing the other's is at odds with nobody; where a field has two values, that is asked instead.

use std::collections::BTreeSet;

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Settling, Survey, nothing};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use super::talk::Talk;
use super::together::{joined, said_with};
use crate::document::{Ledger, Stroke};
use crate::entities::{Assembly, Limit, Part, Reading, TighteningRun};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, Held, Scalar, Stamp};
use crate::field::Stored;
use crate::hash::ChangeId;
use crate::lies::closed_off_car;
use crate::name::Kind;
use crate::refusal::Refusal;
use crate::title::title;
use crate::view::View;

/// What is read as one was said apart.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::SaidApart,
    said: "said by two, and read as one",
    finds: Finds::InRecord(READS, look),
    choices: &[AS_ONE_HAD_IT, GO_TOGETHER],
};

const KINDS: &[Kind] = &[
    Kind::Assembly,
    Kind::Part,
    Kind::Reading,
    Kind::Limit,
    Kind::TighteningRun,
];
/// A side says what an instrument is called.
const READS: &[Kind] = &[
    Kind::Assembly,
    Kind::Part,
    Kind::Reading,
    Kind::Limit,
    Kind::TighteningRun,
    Kind::Instrument,
];

/// All of it as one keeper had it.
const AS_ONE_HAD_IT: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Numbered("side_"),
    Outcome::Of(0, "is as one of the two had it"),
    |settling, _| as_had(settling),
);

const GO_TOGETHER: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("go_together"),
    Outcome::Of(0, "is as both have said it"),
    nothing,
)
.with_why();

/// What is said of a kind, and what is said with it: that the second goes with the first, nobody has said who wrote one of them apart.
fn said_of(kind: Kind) -> (&'static [&'static str], &'static [&'static str]) {
    match kind {
        Kind::Assembly => (&[Assembly::state], &[Assembly::off_car]),
        Kind::Part => (&[Part::decision], &[Part::decision_why]),
        Kind::Reading => (
            &[Reading::value, Reading::again, Reading::grid],
            &[Reading::instrument],
        ),
        Kind::Limit => (
            &[Limit::low, Limit::high],
            &[Limit::book, Limit::edition, Limit::page],
        ),
        Kind::TighteningRun => (
            &[TighteningRun::torque],
            &[TighteningRun::conditions, TighteningRun::source],
        ),
        _ => (&[], &[]),
    }
}

/// What one keeper wrote of it.
struct Wrote<'e> {
    fields: Vec<(&'static str, &'e Claim)>,
}

impl<'e> Wrote<'e> {
    /// The last that they wrote of it, which has the rest before it.
    fn last(&self, ledger: &Ledger) -> Option<&'e Stamp> {
        let stamps = || self.fields.iter().map(|(_, claim)| &claim.stamp);
        let knows_all = |one: &&Stamp| stamps().all(|other| ledger.knew(&one.change, &other.change));
        stamps()
            .find(knows_all)
            .or_else(|| stamps().max_by_key(|stamp| (stamp.at, &stamp.change)))
    }
}

fn look(survey: &Survey<'_>, found: &mut Found) -> bool {
    let look = |entry: &Entry| -> Vec<Point> {
        let standing = Some(entry).filter(|entry| entry.stands());
        standing
            .and_then(|entry| point(survey.view, survey.ledger, entry))
            .into_iter()
            .collect()
    };
    let Some(touched) = survey.only(&[Kind::Instrument]) else {
        let each = KINDS.iter().flat_map(|kind| survey.view.standing(*kind));
        return found.anew(each.map(|entry| (entry.name().to_string(), look(entry))));
    };
    let mut other = false;
    for (name, entry) in touched.iter().filter(|(name, _)| KINDS.contains(&name.kind)) {
        other |= found.put(&name.to_string(), entry.map(look).unwrap_or_default());
    }
    other
}

/// What each of those wrote who wrote apart, as the thing is said; nothing where nobody did.
fn wrote<'e>(ledger: &Ledger, entry: &'e Entry) -> Vec<Wrote<'e>> {
    let (cores, with) = said_of(entry.kind);
    // Where it is, the state of any other says.
    if entry.kind == Kind::Assembly && !closed_off_car(entry) {
        return Vec::new();
    }
    let said: Vec<(&'static str, &Held)> = cores
        .iter()
        .chain(with)
        .filter_map(|field| Some((*field, entry.fields.get(*field)?)))
        // What was taken away is read with nothing, and two values are asked about by themselves.
        .filter(|(_, held)| held.value().is_some() && !held.contradicts())
        .collect();
    let changes = |held: &'e Held| -> Vec<&'e ChangeId> {
        held.claims().iter().map(|claim| &claim.stamp.change).collect()
    };
    let together = |one: &'e Held, other: &'e Held| joined(ledger, &changes(one), &changes(other));
    let apart = |(field, held): &(&'static str, &'e Held)| {
        said.iter().any(|(other, theirs)| {
            (cores.contains(field) || cores.contains(other)) && !together(held, theirs)
        })
    };
    let mut all: Vec<(Wrote<'e>, Vec<&'e Held>)> = Vec::new();
    for (field, held) in said.iter().filter(|one| apart(one)) {
        let Some(claim) = held.claims().first() else {
            continue;
        };
        let theirs = all
            .iter_mut()
            .find(|(_, helds)| helds.iter().any(|other| together(held, other)));
        match theirs {
            Some((wrote, helds)) => {
                wrote.fields.push((*field, claim));
                helds.push(*held);
            }
            None => all.push((
                Wrote {
                    fields: vec![(*field, claim)],
                },
                vec![*held],
            )),
        }
    }
    all.into_iter().map(|(wrote, _)| wrote).collect()
}

fn point(view: &View, ledger: &Ledger, entry: &Entry) -> Option<Point> {
    let wrote = wrote(ledger, entry);
    if wrote.len() < 2 {
        return None;
    }
    let talk = Talk { view, me: None };
    let about = vec![entry.name()];
    let changes: BTreeSet<&ChangeId> = wrote
        .iter()
        .flat_map(|one| one.fields.iter().map(|(_, claim)| &claim.stamp.change))
        .collect();
    let changes: Vec<&ChangeId> = changes.into_iter().collect();
    let side = |(one, at): (&Wrote<'_>, u32)| {
        let said = |(field, claim): &(&'static str, &Claim)| {
            let value = talk.value(entry.kind, field, claim.value.as_ref());
            format!("{}: {value}", Talk::label(entry.kind, field))
        };
        let said: Vec<String> = match (entry.kind, one.fields.first()) {
            (Kind::Assembly, Some((field, _))) => vec![left(field).to_owned()],
            _ => one.fields.iter().map(said).collect(),
        };
        Some(Side {
            key: format!("side_{at}"),
            about: entry.name(),
            title: title(entry),
            value: Some(Scalar::Line(said.join("; "))),
            stamp: one.last(ledger)?.clone(),
            knew_other: false,
        })
    };
    let sides: Vec<Side> = wrote.iter().zip(1..).filter_map(side).collect();
    let crossed = crossed(entry);
    let mut choices: Vec<_> = sides.iter().map(|side| AS_ONE_HAD_IT.offer(&side.key)).collect();
    // One keeper alone could not have put it so, and it judges nothing.
    if crossed.is_none() {
        choices.push(GO_TOGETHER.offer("go_together"));
    }
    let name = title(entry);
    let labels: Vec<String> = wrote
        .iter()
        .filter_map(|one| Some(format!("'{}'", Talk::label(entry.kind, one.fields.first()?.0))))
        .collect();
    Some(Point {
        id: identity(Rule::SaidApart, &about, "", &changes),
        rule: Rule::SaidApart,
        title: if entry.kind == Kind::Assembly {
            format!(
                "'{name}' is closed: one took it off as it was, and another opened and closed it on the car"
            )
        } else {
            crossed.map_or_else(
            || format!("'{name}': {} were said by two apart, and are read as one", labels.join(" and ")),
            |(low, high)| {
                format!("'{name}': not below {low} and not above {high} were said apart, and leave nothing between")
            },
        )
        },
        changes: changes.into_iter().copied().collect(),
        about,
        field: None,
        part_of: None,
        reopened: None,
        sides,
        choices,
    })
}

/// How whoever put a field of a closed assembly left it.
fn left(field: &str) -> &'static str {
    match field {
        Assembly::off_car => "off the car, closed as it was",
        _ => "on the car, opened and closed again",
    }
}

/// The bounds of a limit between which nothing is left, as they were typed.
fn crossed(entry: &Entry) -> Option<(String, String)> {
    let limit = Limit::of(entry)?.entry();
    let (low, high) = (limit.measure(Limit::low)?, limit.measure(Limit::high)?);
    let crossed = low.kind() == high.kind() && low.value() > high.value();
    crossed.then(|| (low.text().to_owned(), high.text().to_owned()))
}

/// Every field of what is said as whoever wrote a side had it.
fn as_had(settling: &Settling<'_>) -> Result<Vec<Stroke>, Refusal> {
    let (point, name) = (settling.point, settling.about(0)?);
    let mut sides = point.sides.iter();
    let side = sides
        .find(|side| side.key == settling.choice)
        .ok_or(Refusal::NoSuchPoint)?;
    let entry = settling.view().find(name).ok_or(Refusal::NoSuchPoint)?;
    let first = said_of(name.kind).0.first().ok_or(Refusal::NoSuchPoint)?;
    let mut strokes = Vec::new();
    for field in said_with(name.kind, first) {
        // What nobody wrote in this is left as it is.
        let theirs = entry
            .claims(field)
            .iter()
            .any(|claim| point.changes.contains(&claim.stamp.change));
        let had = settling
            .record
            .field_after(name.kind, &name.id, field, &side.stamp.change);
        let had = had.first().and_then(|claim| claim.value.clone());
        if theirs && had.as_ref() != entry.value(field) {
            strokes.push(Stroke::Put(
                name.kind,
                name.id.clone(),
                (*field).to_owned(),
                Stored::Scalar(had),
            ));
        }
    }
    Ok(strokes)
}
