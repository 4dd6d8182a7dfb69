//! Asks a calculation as a person would, with texts, for the oracles.
//!
//! Never reckons anything by itself.

use std::collections::BTreeMap;

use reckon::{Answer, Preferences, Unit};

/// The answer of `name` for these arguments.
#[track_caller]
pub(crate) fn answer(name: &str, arguments: &[(&str, String)]) -> Answer {
    let typed: BTreeMap<String, String> = arguments
        .iter()
        .map(|(name, text)| ((*name).to_owned(), text.clone()))
        .collect();
    reckon::reckon(name, &typed, &Preferences::default())
        .unwrap_or_else(|refusal| panic!("{name} {arguments:?}: {refusal}"))
}

/// The value of `key`, in `unit`.
#[track_caller]
pub(crate) fn value(answer: &Answer, key: &str, unit: Unit) -> f64 {
    let value = answer
        .values
        .iter()
        .find(|value| value.key == key)
        .unwrap_or_else(|| panic!("no {key}: {:?}", answer.values));
    let from = Unit::ALL
        .iter()
        .find(|other| other.kind() == unit.kind() && other.symbol() == value.unit)
        .unwrap_or_else(|| panic!("{key} is in {}", value.unit));
    unit.from_base(from.to_base(value.value))
}

/// The cells of `key` in every line of a table, in order.
#[track_caller]
pub(crate) fn column(answer: &Answer, table: &str, key: &str) -> Vec<f64> {
    let table = answer.tables.iter().find(|one| one.key == table).unwrap();
    table
        .lines
        .iter()
        .map(|line| line.values.iter().find(|value| value.key == key).unwrap().value)
        .collect()
}

/// Whole nanometres as a text in millimetres, exact.
pub(crate) fn mm(nanometres: i64) -> String {
    let sign = if nanometres < 0 { "-" } else { "" };
    let nanometres = nanometres.unsigned_abs();
    format!(
        "{sign}{}.{:06} mm",
        nanometres / 1_000_000,
        nanometres % 1_000_000
    )
}

/// Several of them.
pub(crate) fn list(nanometres: &[i64]) -> String {
    nanometres.iter().map(|nm| mm(*nm)).collect::<Vec<_>>().join("; ")
}
