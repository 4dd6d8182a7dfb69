//! Settling a point: the choice is carried out and remembered, in one change. The rules then no longer find the
//! contradiction, on this device or on any that meets it later.

use crate::document::{Draft, Record, Stroke};
use crate::edit::fields;
use crate::edit::{close_up, strike};
use crate::ending::said_to_hurt;
use crate::entities::{Settlement, SettlementFields};
use crate::field::{Given, MOST_LINE_BYTES};
use crate::given::GivenFields;
use crate::ids::Ids;
use crate::name::{Id, Ref};
use crate::refusal::Refusal;
use crate::rules::{self, Point, Rule, Settling};
use crate::shown::says_something;
use crate::standing::some_words;
use crate::title::title;
use crate::view::View;

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
    settled(record, &points, point, choice, why, ids)
}

fn settled(
    record: &Record,
    points: &[Point],
    point: &Point,
    choice: &str,
    why: Option<&str>,
    ids: &mut dyn Ids,
) -> Result<Draft, Refusal> {
    let view = record.view();
    // What a point offers and nobody knows to carry out is not done.
    let offered = point.choices.iter().any(|one| one.key == choice);
    let chosen = rules::chosen(point, choice).filter(|_| offered);
    let chosen = chosen.ok_or_else(|| Refusal::NoSuchChoice {
        got: choice.chars().take(60).collect(),
        may: point.choices.iter().map(|one| one.key.clone()).collect(),
    })?;
    let why = why.map(str::trim).filter(|why| !why.is_empty());
    if chosen.wants_why() && why.is_none() {
        return Err(Refusal::WhyWanted);
    }
    if let Some(why) = why.filter(|_| chosen.wants_why()) {
        if !says_something(why) {
            return Err(Refusal::WhyWanted);
        }
        let danger = point
            .about
            .iter()
            .filter_map(|name| view.find(name))
            .find(|entry| said_to_hurt(entry));
        if let Some(danger) = danger {
            some_words(&title(danger), why)?;
        }
    }
    let settling = Settling {
        record,
        point,
        choice,
        why,
    };
    let mut strokes = chosen.carry_out(&settling, ids)?;
    let with = rules::held_with(record, points, point, choice);
    strokes.extend(with.strokes);
    close_up::left_closed(record, points, point, &strokes)?;
    // Whatever is written on a finding now knows its end and what was written apart from it, and would settle that without a word.
    if point.rule != Rule::EndedApart {
        let written = |name: &Ref| {
            strokes.iter().any(
                |stroke| matches!(stroke, Stroke::Put(kind, id, ..) if *kind == name.kind && *id == name.id),
            )
        };
        let at_odds = points
            .iter()
            .find(|one| one.rule == Rule::EndedApart && one.about.iter().any(written));
        if let Some(other) = at_odds {
            return Err(Refusal::OtherPointFirst(other.title.clone()));
        }
    }
    strike::none_stays_struck(view, point, &strokes)?;
    strokes.extend(fields::ends_outgrown(record, &strokes));
    let of = (point.rule == Rule::SettledTwoWays)
        .then(|| rules::matter_of(view, point))
        .flatten();
    // Each point of one question has a settlement of its own: an older program reads by that what was settled.
    let each =
        std::iter::once((point, choice)).chain(with.settles.iter().map(|(one, side)| (*one, side.as_str())));
    for (point, choice) in each {
        let told = rules::told(&point.about);
        let (had, had_by) = as_had(view, point, choice).unzip();
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
            had: or_leave(had),
            had_by: had_by.flatten().map_or(Given::Leave, Given::Put),
            stood: Given::Leave,
        };
        let id = Id::from_uuid(ids.fresh());
        strokes.extend(fields::add(view, &id, &GivenFields::of::<Settlement>(&given)?)?.strokes);
    }
    Ok(Draft {
        message: format!("Settled: {}", point.title),
        strokes,
    })
}

/// What a side said, and whose it is, where it is chosen as somebody had it.
fn as_had<'p>(view: &View, point: &'p Point, choice: &str) -> Option<(&'p str, Option<Id>)> {
    let side = point.sides.iter().find(|side| side.key == choice);
    let side = side.filter(|_| matches!(point.rule, Rule::SaidApart | Rule::TwoValues))?;
    let said = side
        .value
        .as_ref()?
        .line()
        .filter(|said| said.len() <= MOST_LINE_BYTES)?;
    let keeper = side
        .stamp
        .device
        .as_ref()
        .and_then(|device| view.keeper_of(device));
    Some((said, keeper))
}

/// A line that is given, where there is something in it.
fn or_leave(text: Option<&str>) -> Given<String> {
    text.filter(|text| !text.is_empty())
        .map_or(Given::Leave, fields::given)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

    use super::*;
    use crate::document::Seat;
    use crate::name::Kind;
    use crate::rules::Choice;

    struct Counted(u128);

    impl Ids for Counted {
        fn fresh(&mut self) -> uuid::Uuid {
            self.0 += 1;
            uuid::Uuid::from_u128(self.0)
        }
    }

    /// A point may offer by a slip what nobody carries out.
    #[test]
    fn a_choice_that_no_rule_knows_is_refused() {
        let seat = Seat {
            device: uuid::Uuid::from_u128(7),
            run: [0; 8],
        };
        let record = Record::begin(seat).unwrap();
        for rule in Rule::ALL.iter().copied() {
            for key in ["sell_both", "side_0", "side_", "take_out_0", "take_out_x", ""] {
                let about = [1, 2].map(|id| Ref::new(Kind::Order, Id::from_uuid(uuid::Uuid::from_u128(id))));
                let point = Point {
                    id: "f".repeat(32),
                    rule,
                    title: "two of them".to_owned(),
                    about: about.to_vec(),
                    field: Some("state".to_owned()),
                    part_of: None,
                    reopened: None,
                    sides: Vec::new(),
                    choices: vec![Choice {
                        key: key.to_owned(),
                        wants_why: false,
                    }],
                    changes: Vec::new(),
                };
                let came = settled(&record, &[], &point, key, Some("we looked"), &mut Counted(0));
                match came {
                    Err(refusal @ Refusal::NoSuchChoice { .. }) => {
                        assert_eq!(refusal.code(), "no_such_choice");
                    }
                    came => panic!("{rule:?}, '{key}': {came:?}"),
                }
            }
        }
    }
}
