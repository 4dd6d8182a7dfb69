//! Asks a calculation as a person would, for the tests: arguments as `name=text` pairs. The checks that several files share are here too.
#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::panic,
    reason = "each test file uses what it needs, the short way"
)]

use std::collections::BTreeMap;

use reckon::{Answer, Preferences, ReckonRefusal, RefusalCode, Unit, Units};

/// Metric, and bare numbers asked about.
pub(crate) fn metric() -> Preferences {
    Preferences::default()
}

/// Inches and pounds.
pub(crate) fn inch() -> Preferences {
    Preferences {
        units: Units::Inch,
        ..Preferences::default()
    }
}

/// Answers `name` for `bore=77 mm; stroke=64 mm`, in these preferences.
pub(crate) fn ask_in(
    name: &str,
    arguments: &str,
    preferences: &Preferences,
) -> Result<Answer, ReckonRefusal> {
    let typed: BTreeMap<String, String> = arguments
        .split(';')
        .filter(|pair| !pair.trim().is_empty())
        .map(|pair| {
            let (name, text) = pair.split_once('=').unwrap();
            (name.trim().to_owned(), text.trim().to_owned())
        })
        .collect();
    reckon::reckon(name, &typed, preferences)
}

/// The same in metric units.
pub(crate) fn ask(name: &str, arguments: &str) -> Result<Answer, ReckonRefusal> {
    ask_in(name, arguments, &metric())
}

/// The value of `key`, turned into `unit`.
#[track_caller]
pub(crate) fn value_in(answer: &Answer, key: &str, unit: Unit) -> f64 {
    let Some(value) = answer.values.iter().find(|value| value.key == key) else {
        panic!(
            "no value {key} among {:?}",
            answer.values.iter().map(|value| &value.key).collect::<Vec<_>>()
        );
    };
    let from = Unit::ALL
        .iter()
        .find(|other| other.kind() == unit.kind() && other.symbol() == value.unit);
    let from = from.unwrap_or_else(|| panic!("{key} is in {}", value.unit));
    unit.from_base(from.to_base(value.value))
}

/// Checks that the value of `key`, in `unit`, is within `tolerance` of `expected`.
#[track_caller]
pub(crate) fn check_value(
    arguments: &str,
    answer: &Answer,
    key: &str,
    unit: Unit,
    expected: f64,
    tolerance: f64,
) {
    let found = value_in(answer, key, unit);
    assert!(
        (found - expected).abs() <= tolerance,
        "{arguments}: {key} is {found} {}, wanted {expected} ± {tolerance}",
        unit.symbol()
    );
}

/// The keys of the values.
pub(crate) fn keys(answer: &Answer) -> Vec<&str> {
    answer.values.iter().map(|value| value.key.as_ref()).collect()
}

/// Checks that the first problem has this code, is about this argument, and says this.
#[track_caller]
pub(crate) fn refused(name: &str, arguments: &str, code: RefusalCode, argument: &str, says: &str) {
    let refusal = match ask(name, arguments) {
        Ok(answer) => panic!("{arguments}: answered {:?}", answer.values),
        Err(refusal) => refusal,
    };
    let problem = refusal.problems.first().unwrap();
    assert_eq!(
        (problem.code, problem.argument.as_str()),
        (code, argument),
        "{arguments}: {refusal}"
    );
    assert!(refusal.to_string().contains(says), "{arguments}: {refusal}");
}
