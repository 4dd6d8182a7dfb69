//! Met, and not as it stands now: a keeper met a hold point while the other reworded it, took its assembly apart again, or struck out or
//! changed what it was met by. That it was opened is known when it stands together again as well. The merge shows it met. Whoever does that knowing that it was met has it asked anew by the same
//! change; who could not know of it has not, and neither has a program of before.

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Survey, nothing};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::document::Ledger;
use crate::entities::{Assembly, HoldPoint};
use crate::entry::{Entry, Scalar, Stamp};
use crate::holding;
use crate::name::Kind;
use crate::strokes;
use crate::title::title;
use crate::view::View;
use crate::words::{HoldState, Words as _};

/// A hold point was met, and what it rests on was changed.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::MetApart,
    said: "a hold point was met, and what it rests on was changed",
    finds: Finds::InRecord(
        &[Kind::HoldPoint, Kind::Assembly, Kind::Reading, Kind::Photo],
        look,
    ),
    choices: &[
        ChoiceDef::new(
            ChoiceKey::Word("open_again"),
            Outcome::Of(0, "is open again"),
            |settling, _| {
                let id = &settling.about(0)?.id;
                let open = HoldState::Open.word();
                Ok(vec![
                    strokes::state(Kind::HoldPoint, id, open),
                    holding::by_nothing(id),
                ])
            },
        ),
        ChoiceDef::new(
            ChoiceKey::Word("is_met"),
            Outcome::Of(0, "is met all the same"),
            nothing,
        )
        .with_why(),
    ],
};

fn look(survey: &Survey<'_>, found: &mut Found) -> bool {
    survey.each(Kind::HoldPoint, found, |hold| {
        point(survey.view, survey.ledger, hold)
    })
}

fn point(view: &View, ledger: &Ledger, hold: &Entry) -> Option<Point> {
    let (met, changed, field, claim) = holding::met_apart(view, ledger, hold)?;
    let mut about = vec![hold.name()];
    about.extend(Some(changed.name()).filter(|name| *name != hold.name()));
    let changes = [&met.change, &claim.stamp.change];
    let side = |key: &str, of: &Entry, value: Option<Scalar>, stamp: &Stamp, knew_other: bool| Side {
        key: key.to_owned(),
        about: of.name(),
        title: title(of),
        value,
        stamp: stamp.clone(),
        knew_other,
    };
    let how = hold
        .value(HoldPoint::met_how)
        .or_else(|| hold.value(HoldPoint::state))
        .cloned();
    let said = match field {
        Assembly::opened => Some(Scalar::Line("opened".to_owned())),
        _ => claim.value.clone(),
    };
    Some(Point {
        id: identity(Rule::MetApart, &about, "", &changes),
        rule: Rule::MetApart,
        title: format!("'{}' was met, and {}", title(hold), holding::told(changed, field)),
        sides: vec![
            side("side_1", hold, how, met, false),
            side(
                "side_2",
                changed,
                said,
                &claim.stamp,
                ledger.knew(&claim.stamp.change, &met.change),
            ),
        ],
        changes: changes.into_iter().copied().collect(),
        about,
        field: None,
        part_of: None,
        reopened: None,
        choices: RULE.offers(),
    })
}
