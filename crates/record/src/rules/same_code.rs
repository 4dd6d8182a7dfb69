//! One code on two containers: two people each took the next free label. Two bags that answer to one name lose
//! parts, so one of them gets another code, or they turn out to be one bag.

use std::collections::BTreeMap;

use super::{Point, Rule, Side, choice, identity};
use crate::document::Ledger;
use crate::entry::{Claim, Entry, View};
use crate::name::Kind;
use crate::title::title;

/// Codes are read by people: case and spaces do not tell two apart.
fn plain(code: &str) -> String {
    code.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_uppercase)
        .collect()
}

pub(super) fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    let mut by_code: BTreeMap<String, Vec<&Entry>> = BTreeMap::new();
    for entry in view.standing(Kind::Container) {
        if let Some(code) = entry.line("code") {
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
            .get("code")
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
            first.line("code").unwrap_or_default()
        ),
        changes: vec![one.stamp.change.clone(), two.stamp.change.clone()],
        about,
        field: None,
        sides: two_sides(ledger, (first, &one), (second, &two)),
        choices: vec![
            choice("first_keeps"),
            choice("second_keeps"),
            choice("one_container"),
        ],
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
                .line("code")
                .is_some_and(|code| plain(code) == plain(&fresh))
        });
        if !taken || number == u64::MAX {
            return fresh;
        }
    }
}
