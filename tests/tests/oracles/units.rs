//! Units, judged by pint: every unit that reckon knows, turned from and into others of its kind.
//!
//! Never reads a text: how units are spelled is tested in the crate.

use std::collections::BTreeSet;

use rand::Rng;
use serde_json::json;

use crate::{agrees, dice};

/// Conversions that pint judges.
const CONVERSIONS: usize = 100_000;

#[test]
fn pint_converts_as_we_do() {
    let mut dice = dice();
    let all = reckon::Unit::ALL;
    let (mut cases, mut from_each, mut to_each) = (Vec::new(), BTreeSet::new(), BTreeSet::new());
    while cases.len() < CONVERSIONS {
        let from = all[dice.random_range(0..all.len())];
        let to = all[dice.random_range(0..all.len())];
        if from.kind() != to.kind() {
            continue;
        }
        let value = f64::from(dice.random_range(1..10_000_000)) / 1_000.0;
        let found = to.from_base(from.to_base(value));
        from_each.insert(from.symbol());
        to_each.insert(to.symbol());
        cases.push(json!({ "value": value, "from": from.symbol(), "to": to.symbol(), "found": found }));
    }
    let every: BTreeSet<&str> = all.iter().map(|unit| unit.symbol()).collect();
    assert_eq!((&from_each, &to_each), (&every, &every));
    let wrong = json!({ "value": 1.0, "from": "in", "to": "mm", "found": 25.41 });
    agrees("units.py", &cases, &wrong);
}
