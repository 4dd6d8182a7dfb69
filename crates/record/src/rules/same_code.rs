//! One code on two containers: two people each took the next free label. Two bags that answer to one name lose
//! parts, so one of them gets another code, or they turn out to be one bag.

use std::collections::BTreeMap;

use super::def::{ChoiceDef, ChoiceKey, Finds, Outcome, RuleDef};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::entities::Container;
use crate::entities::fields_of;
use crate::entry::{Claim, Entry, Scalar};
use crate::field::{Shape, Stored};
use crate::name::{Kind, Ref};
use crate::refusal::Refusal;
use crate::strokes;
use crate::title::title;
use crate::view::View;

/// One code on two containers.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::SameCode,
    said: "one code on two containers",
    finds: Finds::InRecord(&[Kind::Container], |survey, found| {
        found.whole(points(survey.view, survey.ledger))
    }),
    choices: &[
        ChoiceDef::new(
            ChoiceKey::Word("first_keeps"),
            Outcome::Of(0, "keeps the code"),
            |settling, _| new_code(settling.view(), settling.about(1)?),
        ),
        ChoiceDef::new(
            ChoiceKey::Word("second_keeps"),
            Outcome::Of(1, "keeps the code"),
            |settling, _| new_code(settling.view(), settling.about(0)?),
        ),
        ChoiceDef::new(
            ChoiceKey::Word("one_container"),
            Outcome::Words("they are one and the same container"),
            |settling, _| one_container(settling.view(), settling.about(0)?, settling.about(1)?),
        ),
    ],
};

/// Codes are read by people: case and spaces do not tell two apart.
fn plain(code: &str) -> String {
    code.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_uppercase)
        .collect()
}

fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    let mut by_code: BTreeMap<String, Vec<&Entry>> = BTreeMap::new();
    for entry in view.standing(Kind::Container) {
        if let Some(code) = entry.line(Container::code) {
            by_code.entry(plain(code)).or_default().push(entry);
        }
    }
    let mut points = Vec::new();
    for (_, same) in by_code {
        for (first, second) in pairs(&same) {
            points.extend(point(ledger, first, second));
        }
    }
    points
}

/// Each with its next: settling n − 1 points settles n.
pub(super) fn pairs<'a>(entries: &[&'a Entry]) -> Vec<(&'a Entry, &'a Entry)> {
    entries
        .iter()
        .zip(entries.iter().skip(1))
        .map(|(first, second)| (*first, *second))
        .collect()
}

/// Two entries side by side, by the claim that makes each contradict.
pub(super) fn two_sides(ledger: &Ledger, first: (&Entry, &Claim), second: (&Entry, &Claim)) -> Vec<Side> {
    let side = |key: &str, (entry, claim): (&Entry, &Claim), other: &Claim| Side {
        key: key.to_owned(),
        about: entry.name(),
        title: title(entry),
        value: claim.value.clone(),
        stamp: claim.stamp.clone(),
        knew_other: ledger.knew(&claim.stamp.change, &other.stamp.change),
    };
    vec![side("side_1", first, second.1), side("side_2", second, first.1)]
}

fn point(ledger: &Ledger, first: &Entry, second: &Entry) -> Option<Point> {
    let claim = |entry: &'_ Entry| {
        entry
            .fields
            .get(Container::code)
            .and_then(|held| held.claims().first())
            .cloned()
    };
    let (one, two) = (claim(first)?, claim(second)?);
    let about = vec![first.name(), second.name()];
    Some(Point {
        id: identity(
            Rule::SameCode,
            &about,
            "",
            &[&one.stamp.change, &two.stamp.change],
        ),
        rule: Rule::SameCode,
        title: format!(
            "Two containers are called '{}'",
            first.line(Container::code).unwrap_or_default()
        ),
        changes: vec![one.stamp.change, two.stamp.change],
        about,
        field: None,
        part_of: None,
        reopened: None,
        sides: two_sides(ledger, (first, &one), (second, &two)),
        choices: RULE.offers(),
    })
}

/// Digits of a code that are counted on: a longer row of them, which only another program writes, is a name.
const MOST_DIGITS: usize = 18;

/// The next code of the same series that no container has: `B14` leads to `B15`, `B16`, …; `BAG` to `BAG2`.
#[must_use]
pub fn next_free_code(view: &View, code: &str) -> String {
    let mut head = code.trim_end_matches(|c: char| c.is_ascii_digit());
    if code.len().saturating_sub(head.len()) > MOST_DIGITS {
        head = code;
    }
    let digits = code.get(head.len()..).unwrap_or_default();
    let width = digits.len();
    let mut number: u64 = digits.parse().unwrap_or(1);
    loop {
        number = number.saturating_add(1);
        let fresh = format!("{head}{number:0width$}");
        let taken = view.all(Kind::Container).any(|entry| {
            entry
                .line(Container::code)
                .is_some_and(|code| plain(code) == plain(&fresh))
        });
        if !taken || number == u64::MAX {
            return fresh;
        }
    }
}

fn new_code(view: &View, name: &Ref) -> Result<Vec<Stroke>, Refusal> {
    let code = view
        .find(name)
        .and_then(|entry| entry.line(Container::code))
        .unwrap_or_default();
    let fresh = next_free_code(view, code);
    let value = strokes::line("code", &fresh)?;
    Ok(vec![Stroke::Put(
        name.kind,
        name.id.clone(),
        "code".to_owned(),
        value,
    )])
}

/// Both labels are on one bag: everything in the second is in the first, and the second is struck out.
fn one_container(view: &View, first: &Ref, second: &Ref) -> Result<Vec<Stroke>, Refusal> {
    // Whatever may lie in a container, or be about one, says so by a field of one of these shapes.
    let names_it = |shape: Shape| match shape {
        Shape::Link(Kind::Container) | Shape::Lies => Some((second.id.to_string(), first.id.to_string())),
        Shape::About(kinds) if kinds.contains(&Kind::Container) => {
            Some((second.to_string(), first.to_string()))
        }
        _ => None,
    };
    let mut written = Vec::new();
    for kind in Kind::ALL {
        for field in fields_of(*kind) {
            let Some((was, is)) = names_it(field.shape) else {
                continue;
            };
            let there = |entry: &&Entry| entry.line(field.name) == Some(&was) && entry.id != first.id;
            written.extend(view.standing(*kind).filter(there).map(|entry| {
                let stays = Stored::Scalar(Some(Scalar::Line(is.clone())));
                Stroke::Put(*kind, entry.id.clone(), field.name.to_owned(), stays)
            }));
        }
    }
    let why = Stored::Scalar(Some(Scalar::Line(
        "it is the same container under one code".to_owned(),
    )));
    written.push(strokes::strike(second, why));
    Ok(written)
}
