//! Checks that hold for every calculation, the ones to come among them: names, examples, ranges, and that no argument text
//! can break one.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

mod ask;
mod seed;

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use reckon::calculation::{Argument, Want};
use reckon::{Preferences, RefusalCode, Units, calculations, describe, reckon};

/// Typed texts for what must be given, from the examples.
fn required(arguments: &[Argument]) -> BTreeMap<String, String> {
    arguments
        .iter()
        .filter(|a| a.required)
        .map(|a| (a.name.to_owned(), a.example.to_owned()))
        .collect()
}

fn snake(name: &str) -> bool {
    !name.is_empty()
        && name
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
}

#[test]
fn names_are_unique_and_words_are_there() {
    let names: BTreeSet<&str> = calculations().iter().map(|c| c.name).collect();
    assert_eq!(names.len(), calculations().len());
    for calculation in calculations() {
        assert!(
            snake(calculation.name) && calculation.about.ends_with('.'),
            "{}",
            calculation.name
        );
        let arguments: BTreeSet<&str> = calculation.arguments.iter().map(|a| a.name).collect();
        assert_eq!(
            arguments.len(),
            calculation.arguments.len(),
            "{}",
            calculation.name
        );
        for argument in calculation.arguments {
            assert!(snake(argument.name), "{}", argument.name);
            assert!(
                !argument.words.is_empty() && !argument.words.ends_with('.'),
                "{}",
                argument.name
            );
        }
    }
}

#[test]
fn every_example_and_default_is_taken() {
    for units in [Units::Metric, Units::Inch] {
        let preferences = Preferences {
            units,
            bare_numbers: false,
        };
        for calculation in calculations() {
            for argument in calculation.arguments {
                let example = if units == Units::Inch {
                    argument.example_inch
                } else {
                    argument.example
                };
                for text in [Some(example), argument.default].into_iter().flatten() {
                    let mut typed = required(calculation.arguments);
                    typed.insert(argument.name.to_owned(), text.to_owned());
                    // Whether one argument alone leads to an answer is another matter; the text itself must be taken.
                    if let Err(refusal) = reckon(calculation.name, &typed, &preferences) {
                        for problem in refusal.problems.iter().filter(|p| p.argument == argument.name) {
                            let taken = !matches!(
                                problem.code,
                                RefusalCode::Unclear | RefusalCode::OutOfRange | RefusalCode::NotAChoice
                            );
                            assert!(
                                taken,
                                "{} {}={text}: {}",
                                calculation.name, argument.name, problem.words
                            );
                        }
                    }
                }
            }
        }
    }
}

/// Just inside each end of each range an argument is not refused for its range; just outside it is, and the range is named.
#[test]
fn every_range_is_kept_and_named() {
    let described = describe(&Preferences::default());
    let mut checked = 0;
    for (calculation, described) in calculations().iter().zip(&described) {
        for (argument, described) in calculation.arguments.iter().zip(&described.arguments) {
            let (Some(range), Some(words)) = (argument.reject, &described.reject) else {
                continue;
            };
            let whole = matches!(argument.want, Want::Whole | Want::Gauge);
            let step = if whole {
                1.0
            } else {
                (range.high - range.low) * 1e-6
            };
            let base = match argument.want {
                Want::Quantity(kind) | Want::List(kind) | Want::Grid(kind) => kind.base().symbol(),
                _ => "",
            };
            for (value, inside) in [
                (range.low, true),
                (range.high, true),
                (range.low - step, false),
                (range.high + step, false),
            ] {
                let mut typed = required(calculation.arguments);
                typed.insert(argument.name.to_owned(), format!("{value:.9} {base}"));
                let problems = match reckon(calculation.name, &typed, &Preferences::default()) {
                    Ok(_) => Vec::new(),
                    Err(refusal) => refusal.problems,
                };
                let ranged: Vec<_> = problems
                    .iter()
                    .filter(|p| {
                        p.code == RefusalCode::OutOfRange
                            && p.argument == argument.name
                            && p.words.contains(&words.text)
                    })
                    .collect();
                assert_eq!(
                    ranged.is_empty(),
                    inside,
                    "{} {}={value} {base}: {problems:?}",
                    calculation.name,
                    argument.name
                );
                checked += 1;
            }
        }
    }
    // At four points each.
    let ranges = calculations()
        .iter()
        .flat_map(|c| c.arguments)
        .filter(|a| a.reject.is_some())
        .count();
    assert_eq!(checked, 4 * ranges);
    assert!(ranges >= 130, "{ranges} ranges");
}

/// Whatever holds one or several values names the range outside which it is refused, with its unit, and the words are what the numbers
/// are, in either system of units.
#[test]
fn every_range_is_described() {
    for units in [Units::Metric, Units::Inch] {
        let preferences = Preferences {
            units,
            ..Preferences::default()
        };
        for described in describe(&preferences) {
            for argument in described.arguments {
                let name = format!("{} {}", described.name, argument.name);
                let measured = matches!(
                    argument.want.as_str(),
                    "quantity" | "number" | "whole" | "gauge" | "list" | "grid"
                );
                assert_eq!(argument.reject.is_some(), measured, "{name}");
                for range in argument.reject.iter().chain(&argument.warn) {
                    let ends = range.text.split(" to ").map(|end| {
                        let (number, symbol) = end.split_once(' ').unwrap_or((end, ""));
                        assert_eq!(symbol, argument.unit, "{name}: {}", range.text);
                        number.parse::<f64>().unwrap()
                    });
                    for (told, value) in ends.zip([range.low, range.high]) {
                        assert!(
                            (told - value).abs() <= 1e-3 * value.abs(),
                            "{name}: {value} is told as {told}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn unusual_values_are_answered_with_a_warning() {
    let typed = |rpm: &str| {
        let pairs = [
            ("bore", "77 mm"),
            ("stroke", "64 mm"),
            ("cylinders", "4"),
            ("rpm", rpm),
        ];
        let typed = pairs
            .map(|(name, text)| (name.to_owned(), text.to_owned()))
            .into();
        reckon("displacement", &typed, &Preferences::default())
            .unwrap()
            .warnings
    };
    assert!(typed("4000 rpm").is_empty());
    let warnings = typed("12000 rpm");
    assert_eq!(warnings.len(), 1);
    assert_eq!(warnings[0].key, "unusual_rpm");
    assert!(
        warnings[0].words.contains("300 rpm to 8000 rpm"),
        "{}",
        warnings[0].words
    );
}

#[test]
fn bare_numbers_are_taken_only_where_preferred() {
    let typed: BTreeMap<String, String> = [("bore", "3"), ("stroke", "3"), ("cylinders", "4")]
        .map(|(n, t)| (n.to_owned(), t.to_owned()))
        .into();
    let refusal = reckon("displacement", &typed, &Preferences::default()).unwrap_err();
    assert_eq!(refusal.problems.len(), 2, "both are named: {refusal}");
    assert!(
        refusal
            .problems
            .iter()
            .all(|p| p.code == RefusalCode::Unclear && !p.candidates.is_empty())
    );
    let inches = Preferences {
        units: Units::Inch,
        bare_numbers: true,
    };
    let answer = reckon("displacement", &typed, &inches).unwrap();
    // π/4 · 3² · 3 · 4 in³.
    assert!((answer.values[0].value - 84.823).abs() < 0.001);
    assert_eq!(answer.inputs[0].exact, "76.2 mm");
}

#[test]
fn an_unknown_calculation_is_refused_with_the_names() {
    let refusal = reckon("horoscope", &BTreeMap::new(), &Preferences::default()).unwrap_err();
    assert_eq!(refusal.code(), Some(RefusalCode::UnknownCalculation));
    for calculation in calculations() {
        assert!(refusal.to_string().contains(calculation.name));
    }
}

/// Answers, refusals and descriptions go over the wire and come back.
#[test]
fn the_wire_carries_everything() {
    let answer = ask::ask("ring_gap", "bore=77 mm; gap=0.21 mm").unwrap();
    let json = serde_json::to_string(&answer).unwrap();
    assert_eq!(serde_json::from_str::<reckon::Answer>(&json).unwrap(), answer);
    assert!(
        json.contains("\"below_limits\"") && json.contains("\"common_practice\""),
        "{json}"
    );
    let refusal = ask::ask("ring_gap", "bore=77,123 mm").unwrap_err();
    let json = serde_json::to_string(&refusal).unwrap();
    assert_eq!(
        serde_json::from_str::<reckon::ReckonRefusal>(&json).unwrap(),
        refusal
    );
    let described = describe(&Preferences::default());
    let json = serde_json::to_string(&described).unwrap();
    assert_eq!(
        serde_json::from_str::<Vec<reckon::Described>>(&json).unwrap(),
        described
    );
}

/// A text for an argument: an example, another argument's example, a number, or anything.
fn text() -> impl Strategy<Value = String> {
    let examples: Vec<String> = calculations()
        .iter()
        .flat_map(|c| c.arguments)
        .flat_map(|a| [a.example.to_owned(), a.example_inch.to_owned()])
        .collect();
    prop_oneof![
        4 => prop::sample::select(examples),
        3 => ("[0-9]{1,3}(\\.[0-9]{1,3})?", prop::sample::select(vec!["mm", "in", "cc", "N·m", "lbf", "kN", "rpm", "°", ""]))
            .prop_map(|(number, unit)| format!("{number} {unit}")),
        1 => "M[0-9]{1,3}(x[0-9.]{1,4})?",
        1 => "\\PC{0,12}",
    ]
}

proptest! {
    #![proptest_config(seed::cases(6_000))]

    #[test]
    fn any_arguments_are_answered_or_refused(
        which in 0..calculations().len(),
        texts in prop::collection::vec(prop::option::of(text()), 24),
        start_from_examples in any::<bool>(),
        inch in any::<bool>(),
        bare_numbers in any::<bool>(),
    ) {
        let calculation = &calculations()[which];
        let mut typed = if start_from_examples { required(calculation.arguments) } else { BTreeMap::new() };
        for (argument, text) in calculation.arguments.iter().zip(texts) {
            if let Some(text) = text {
                typed.insert(argument.name.to_owned(), text);
            }
        }
        let units = if inch { Units::Inch } else { Units::Metric };
        match reckon(calculation.name, &typed, &Preferences { units, bare_numbers }) {
            Ok(answer) => {
                prop_assert!(!answer.values.is_empty() && !answer.sources.is_empty());
                prop_assert!(answer.values.iter().all(|value| value.value.is_finite() && !value.text.is_empty()));
                let keys: BTreeSet<&str> = answer.values.iter().map(|value| value.key.as_ref()).collect();
                prop_assert_eq!(keys.len(), answer.values.len(), "keys are unique: {:?}", answer.values);
                prop_assert!(answer.cautions.iter().any(|note| note.key == "manual_wins"));
            }
            Err(refusal) => {
                prop_assert!(!refusal.problems.is_empty());
                prop_assert!(refusal.problems.iter().all(|problem| !problem.words.is_empty()));
            }
        }
    }
}

/// No letter of a form reads as a maker's initials. They are kept as numbers (FNV-1a of the small letters), so that none stands here.
#[test]
fn no_letter_reads_as_a_makers_initials() {
    const INITIALS: &[u64] = &[
        0x0046_3119_1343_cb5d,
        0x0046_3d19_1343_dfc1,
        0x0076_0f19_136c_b559,
        0x0895_3b07_b53f_6a71,
        0x089c_3707_b545_8253,
        0x08a6_3807_b54d_d88b,
        0x08a9_6107_b550_540d,
        0x08cb_5207_b56d_20f6,
        0x08cf_5107_b571_081a,
        0x08d9_4307_b579_44d5,
        0x20fb_c719_253d_f149,
        0x213f_b919_2577_a64b,
        0x458b_8419_3a7e_7308,
        0x8242_8919_5ce8_3037,
        0xcaa1_3b18_f468_3b8d,
        0xd4fd_6018_fac1_3c96,
        0xe6f3_b219_051c_3790,
        0xe704_a219_052a_8f93,
    ];
    let number = |word: &str| {
        word.to_lowercase()
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |all, byte| {
                (all ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
            })
    };
    // The authors' own test vector.
    assert_eq!(number("foobar"), 0x8594_4171_f739_67e8);
    for calculation in calculations() {
        for argument in calculation.arguments {
            assert!(
                !INITIALS.contains(&number(argument.letter)),
                "{} {}: {}",
                calculation.name,
                argument.name,
                argument.letter
            );
        }
    }
}
