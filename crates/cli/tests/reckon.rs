//! `witnessmark reckon` at a shell: every calculation answers in words and as JSON, and the list tells what each argument takes, in which
//! unit, and the ranges.
//!
//! Whether an answer is right is tested where it is reckoned; here it must only arrive whole.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

use std::collections::BTreeSet;
use std::process::{Command, Output};

use serde_json::Value;

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_witnessmark"))
        .arg("reckon")
        .args(arguments)
        .output()
        .unwrap()
}

#[track_caller]
fn words(arguments: &[&str]) -> String {
    let output = run(arguments);
    let trouble = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{arguments:?}: {trouble}");
    String::from_utf8(output.stdout).unwrap()
}

#[track_caller]
fn json(arguments: &[&str]) -> Value {
    let told = words(&[arguments, &["--json"]].concat());
    serde_json::from_str(&told).unwrap_or_else(|trouble| panic!("{arguments:?}: {trouble}: {told}"))
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value.get(key).and_then(Value::as_str).unwrap_or_default()
}

fn list<'a>(value: &'a Value, key: &str) -> Vec<&'a Value> {
    value.get(key).and_then(Value::as_array).unwrap().iter().collect()
}

/// Each calculation as one would type it.
const TYPED: &[&[&str]] = &[
    &[
        "displacement",
        "bore=77 mm",
        "stroke=64mm",
        "cylinders=4",
        "chamber=40 cc",
    ],
    &[
        "clearance",
        "bore=77.02 mm",
        "inner=76.975 mm",
        "low=0.03 mm",
        "high=0.07 mm",
    ],
    &[
        "shim_pack",
        "stock=0.24x2, 0.30, 0.36 mm",
        "measured=1.04 mm",
        "wanted=0.14 mm",
    ],
    &[
        "wear",
        "grid=85.612, 85.560; 85.530, 85.520 mm",
        "nominal=85.5 mm",
    ],
    &["ring_gap", "bore=77 mm", "gap=0.21 mm"],
    &[
        "ring_plan",
        "bores=77.02, 77.00 mm",
        "top=0.21, 0.24 mm",
        "low=0.3 mm",
        "high=0.45 mm",
    ],
    &[
        "select_fit",
        "bores=77.020, 77.031 mm",
        "inners=76.975, 76.983 mm",
    ],
    &[
        "hone",
        "bore=77 mm",
        "turning=200 rpm",
        "stroke=120 mm",
        "cycles=60",
    ],
    &[
        "lash",
        "shim=2.65 mm",
        "measured=0.32 mm",
        "wanted=0.20 mm",
        "state=cold",
    ],
    &["torque", "torque=54 N·m"],
    &["tightening", "shape=circle", "bolts=8", "torque=60 N·m"],
    &["bolt_strength", "thread=M10"],
    &["thread_strip", "thread=M8", "engagement=10 mm"],
    &["aircraft_torque", "thread=1/4-28"],
    &["thread_identify", "diameter=6 mm", "pitch=1 mm"],
    &["tap_drill", "thread=M8"],
    &["dwell", "cylinders=4", "dwell=50 deg"],
    &["rim_mark", "diameter=170 mm", "angle=10 deg"],
    &["wire", "current=10 A", "length=5 m", "back=wire", "area=2.5 mm²"],
    &["fuse", "power=55 W"],
    &["resistor", "supply=12 V", "wanted=6 V", "current=2 A"],
    &[
        "hydraulics",
        "foot=220 N",
        "pedal_long=250 mm",
        "pedal_short=31 mm",
        "master=25.4 mm",
    ],
    &["drum", "new=228.6 mm", "measured=229.4 mm"],
    &["tyre", "size=185/70R14"],
    &["gearing", "diameter=610 mm", "axle=4.1", "speed=100 km/h"],
    &["speedometer", "true_speed=50 km/h"],
    &["coolant", "capacity=8 L", "present=33 %", "wanted=50 %"],
    &["paint", "solids=50 %", "dry=50 µm"],
    &[
        "heat_fit",
        "diameter=30 mm",
        "material=steel",
        "interference=18 µm",
    ],
    &["iso_fit", "nominal=50 mm", "hole=H8", "shaft=f7"],
    &["vehicle_number", "number=11111111111111111"],
    &[
        "verdict",
        "reading=50.012 mm",
        "low=49.98 mm",
        "high=50.02 mm",
        "instrument=micrometer",
    ],
    &["repeated", "readings=50.012, 50.014, 50.011 mm"],
    &[
        "agree",
        "first=50.01 mm",
        "second=50.03 mm",
        "first_instrument=dial",
        "second_instrument=caliper",
    ],
    &["combined", "parts=5, 3 µm"],
    &["feelers", "gap=0.35 mm"],
];

#[test]
fn every_calculation_answers_in_words_and_as_json() {
    let all: BTreeSet<String> = json(&["--list"])
        .as_array()
        .unwrap()
        .iter()
        .map(|one| text(one, "name").to_owned())
        .collect();
    let typed: BTreeSet<String> = TYPED
        .iter()
        .filter_map(|one| one.first())
        .map(|name| (*name).to_owned())
        .collect();
    assert_eq!(typed, all, "every calculation is asked here");
    for arguments in TYPED {
        let (answer, told) = (json(arguments), words(arguments));
        // Whatever the answer holds, the words hold.
        for (key, part) in [
            ("values", "text"),
            ("verdicts", "words"),
            ("formulas", "written"),
            ("sources", "words"),
            ("conditions", "words"),
            ("cautions", "words"),
            ("warnings", "words"),
        ] {
            for one in list(&answer, key) {
                assert!(
                    told.contains(text(one, part)),
                    "{arguments:?}: no {}",
                    text(one, part)
                );
            }
        }
        for line in list(&answer, "tables")
            .iter()
            .flat_map(|table| list(table, "lines"))
        {
            assert!(told.contains(text(line, "words")) && told.contains(text(line, "why")));
        }
        assert!(!list(&answer, "values").is_empty() && !list(&answer, "cautions").is_empty());
    }
}

/// Whatever can hurt is read before the first number, warnings before cautions, in every calculation; and a warning is called one.
#[test]
fn what_can_hurt_comes_first() {
    let hurts: &[&[&str]] = &[
        &[
            "torque",
            "thread=M8",
            "class=8.8",
            "lubrication=dry",
            "torque=60 N·m",
        ],
        &["wire", "current=30 A", "length=1 m", "back=chassis", "area=1 mm²"],
        &["fuse", "current=20 A", "area=1 mm²"],
        &[
            "lash",
            "shim=2.65 mm",
            "measured=0 mm",
            "wanted=0.20 mm",
            "state=cold",
        ],
        &[
            "displacement",
            "bore=77 mm",
            "stroke=64 mm",
            "cylinders=4",
            "rpm=12000 rpm",
        ],
    ];
    for arguments in TYPED.iter().chain(hurts) {
        let (answer, told) = (json(arguments), words(arguments));
        let line = |says: String| {
            let at = told.lines().position(|line| line.trim() == says);
            at.unwrap_or_else(|| panic!("{arguments:?}: no line {says:?} in {told}"))
        };
        let lines = |key: &str, head: &str| {
            list(&answer, key)
                .iter()
                .map(|note| line(format!("{head}: {}", text(note, "words"))))
                .collect::<Vec<_>>()
        };
        let (warnings, cautions) = (lines("warnings", "Warning"), lines("cautions", "Caution"));
        let value = list(&answer, "values")
            .iter()
            .map(|value| line(format!("{}: {}", text(value, "words"), text(value, "text"))))
            .min();
        let verdict = list(&answer, "verdicts")
            .iter()
            .map(|verdict| line(text(verdict, "words").to_owned()))
            .min();
        let first = value.into_iter().chain(verdict).min().unwrap();
        assert!(cautions.iter().all(|at| *at < first), "{arguments:?}: {told}");
        assert!(
            warnings.iter().all(|at| *at < *cautions.iter().min().unwrap()),
            "{arguments:?}: {told}"
        );
        assert!(!told.contains("Unusual"), "{told}");
    }
    for arguments in hurts {
        assert!(words(arguments).starts_with("Warning: "), "{arguments:?}");
    }
}

#[test]
fn the_list_tells_arguments_units_and_ranges() {
    for inch in [false, true] {
        let flag: &[&str] = if inch { &["--inch"] } else { &[] };
        let (all, told) = (
            json(&[&["--list"], flag].concat()),
            words(&[&["--list"], flag].concat()),
        );
        let mut ranges = 0;
        for calculation in all.as_array().unwrap() {
            let name = text(calculation, "name");
            let own = words(&[&["--list", name], flag].concat());
            assert!(told.contains(&own), "{name}: {own}");
            for argument in list(calculation, "arguments") {
                let key = format!("      {}=…  ", text(argument, "name"));
                let (_, rest) = own.split_once(&key).unwrap_or_else(|| panic!("{name}: no {key}"));
                let line = rest.lines().nth(1).unwrap();
                let says = |what: &str| assert!(line.contains(what), "{name} {key} {line:?}: no {what}");
                let measured = matches!(
                    text(argument, "want"),
                    "quantity" | "number" | "whole" | "gauge" | "list" | "grid"
                );
                let reject = argument.get("reject").filter(|range| !range.is_null());
                assert_eq!(reject.is_some(), measured, "{name} {key}");
                if let Some(range) = reject {
                    says(&format!("refused outside {}", text(range, "text")));
                    says(text(argument, "unit"));
                    ranges += 1;
                }
                if let Some(range) = argument.get("warn").filter(|range| !range.is_null()) {
                    says(&format!("unusual outside {}", text(range, "text")));
                }
                if let Some(default) = argument.get("default").and_then(Value::as_str) {
                    says(&format!("{default} where nothing is given"));
                }
                for choice in list(argument, "choices") {
                    says(text(choice, "name"));
                }
            }
        }
        assert!(ranges > 130, "{ranges}");
    }
}

#[test]
fn what_is_wrong_is_said() {
    for (arguments, says) in [
        (&["ring_gap"][..], "is needed"),
        (&["ring_gap", "bore=77"], "Which unit?"),
        (&["ring_gap", "bore=5 mm"], "20 mm to 250 mm"),
        (&["ring_gap", "bore"], "KEY=VALUE"),
        (
            &["ring_gap", "bore=77 mm", "gap=0.2 mm", "bore=78 mm"],
            "bore is given twice, and the two contradict each other: '77 mm' and '78 mm'",
        ),
        (&["horoscope"], "no calculation"),
        (&["--list", "horoscope"], "no calculation"),
        (&[], "--list"),
    ] {
        let output = run(arguments);
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(
            !output.status.success() && output.stdout.is_empty(),
            "{arguments:?}"
        );
        assert!(told.contains(says), "{arguments:?}: {told}");
        assert!(told.trim().lines().count() < 4, "{arguments:?}: {told}");
    }
}
