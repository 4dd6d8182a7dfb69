//! Inputs that contradict each other are refused, with what contradicts what, by one mechanism for every calculation; inputs that say
//! the same thing twice are answered.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

mod ask;

use std::collections::BTreeMap;

use ask::ask;
use reckon::{Preferences, RefusalCode, calculations, reckon};

/// Refused beside `argument`, with both texts as they were typed.
#[track_caller]
fn refused(name: &str, arguments: &str, argument: &str, both: [&str; 2]) {
    let refusal = match ask(name, arguments) {
        Ok(answer) => panic!("{name} {arguments}: answered {:?}", answer.values),
        Err(refusal) => refusal,
    };
    let problem = refusal
        .problems
        .iter()
        .find(|problem| problem.argument == argument)
        .unwrap_or_else(|| panic!("{name} {arguments}: {refusal}"));
    assert_eq!(
        problem.code,
        RefusalCode::Impossible,
        "{name} {arguments}: {refusal}"
    );
    assert!(
        problem.words.contains("contradict each other"),
        "{name} {arguments}: {refusal}"
    );
    for typed in both {
        assert!(
            problem.words.contains(&format!("({typed})")),
            "{name} {arguments}: {refusal}"
        );
    }
}

#[track_caller]
fn answered(name: &str, arguments: &str) {
    if let Err(refusal) = ask(name, arguments) {
        panic!("{name} {arguments}: {refusal}");
    }
}

/// Derived: 25.4/n is the pitch, dwell is a part of 360°/N, P = U·I, the area of a gauge (ASTM B258), a size's own diameter.
#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn what_says_one_thing_in_two_ways_must_agree() {
    refused(
        "thread_identify",
        "diameter=6.3 mm; pitch=1.25 mm; per_inch=24",
        "per_inch",
        ["1.25 mm", "24"],
    );
    answered("thread_identify", "diameter=6.3 mm; pitch=1.27 mm; per_inch=20");
    refused(
        "dwell",
        "cylinders=4; dwell=50 deg; percent=45 %",
        "percent",
        ["50 deg", "45 %"],
    );
    answered("dwell", "cylinders=4; dwell=50 deg; percent=56 %");
    refused("fuse", "power=55 W; current=9 A", "current", ["55 W", "9 A"]);
    answered("fuse", "power=55 W; current=4.6 A");
    answered("fuse", "power=55 W; current=9 A; voltage=6 V");
    refused(
        "wire",
        "current=1 A; length=1 m; back=wire; area=1 mm²; gauge=14",
        "gauge",
        ["1 mm²", "14"],
    );
    answered(
        "wire",
        "current=1 A; length=1 m; back=wire; area=2.1 mm²; gauge=14",
    );
    refused(
        "tyre",
        "size=185/70R14; diameter=700 mm",
        "diameter",
        ["185/70R14", "700 mm"],
    );
    answered("tyre", "size=185/70R14; diameter=610 mm");
    refused(
        "tyre",
        "size=185/70R14; other=195/65R15; other_diameter=500 mm",
        "other_diameter",
        ["195/65R15", "500 mm"],
    );
    refused(
        "torque",
        "torque=20 N·m; thread=M10; diameter=8 mm",
        "diameter",
        ["M10", "8 mm"],
    );
    answered("torque", "torque=20 N·m; thread=M10; diameter=9.8 mm");
    refused(
        "torque",
        "diameter=8 mm; torque=20 N·m; factor=0.12; lubrication=dry",
        "factor",
        ["dry", "0.12"],
    );
    answered(
        "torque",
        "diameter=8 mm; torque=20 N·m; factor=0.12; lubrication=oiled",
    );
    refused(
        "ring_gap",
        "bore=77 mm; use=road; factor=0.006",
        "factor",
        ["road", "0.006"],
    );
    // The use that stands there by itself was said by nobody.
    answered("ring_gap", "bore=77 mm; factor=0.006");
    answered("ring_gap", "bore=77 mm; use=hard; factor=0.006");
    refused(
        "tightening",
        "shape=rectangle; bolts=8; rows=2; columns=5",
        "columns",
        ["8", "5"],
    );
    answered("tightening", "shape=rectangle; bolts=10; rows=2; columns=5");
    refused(
        "shim_pack",
        "stock=0.3x4 mm; thickness=0.5 mm; measured=1.04 mm; wanted=0.14 mm",
        "thickness",
        ["1.04 mm", "0.5 mm"],
    );
    answered(
        "shim_pack",
        "stock=0.3x4 mm; thickness=0.9 mm; measured=1.04 mm; wanted=0.14 mm",
    );
}

/// Two bores of one cylinder lie as near as wear and rebores let them (common practice, 2.5 %).
#[test]
fn two_bores_of_one_cylinder_must_agree() {
    refused(
        "ring_gap",
        "bore=77 mm; bore_at_gap=87 mm",
        "bore_at_gap",
        ["77 mm", "87 mm"],
    );
    answered("ring_gap", "bore=77 mm; bore_at_gap=77.1 mm");
    refused(
        "ring_gap",
        "bore=77 mm; bore_widest=7.71 in",
        "bore_widest",
        ["77 mm", "7.71 in"],
    );
    refused(
        "displacement",
        "bore=77 mm; stroke=64 mm; cylinders=4; gasket_bore=70 mm",
        "gasket_bore",
        ["77 mm", "70 mm"],
    );
    refused(
        "ring_plan",
        "bores=77, 77.1 mm; gauge=85 mm; top=0.3, 0.3 mm",
        "gauge",
        ["77, 77.1 mm", "85 mm"],
    );
    refused(
        "ring_plan",
        "bores=77, 85 mm; top=0.3, 0.3 mm",
        "bores",
        ["77, 85 mm", "77, 85 mm"],
    );
}

/// What must stand in order is said to be changed over where it does not, in every calculation alike.
#[test]
fn limits_that_are_changed_over_contradict_each_other() {
    for (name, rest, low, high) in [
        ("ring_gap", "bore=77 mm", "low", "high"),
        ("ring_plan", "bores=77 mm; top=0.2 mm", "low", "high"),
        (
            "ring_plan",
            "bores=77 mm; second=0.2 mm",
            "low_second",
            "high_second",
        ),
        ("ring_plan", "bores=77 mm; second=0.2 mm", "low_second", "high"),
        ("ring_plan", "bores=77 mm; second=0.2 mm", "low", "high_second"),
        ("ring_plan", "bores=77 mm; oil=0.2 mm", "low_oil", "high_oil"),
        ("clearance", "bore=77.02 mm; inner=77 mm", "low", "high"),
        ("select_fit", "bores=77.02 mm; inners=77 mm", "low", "high"),
        ("shim_pack", "stock=0.3 mm; measured=1 mm", "low", "high"),
        ("verdict", "reading=0.4 mm; instrument=caliper", "low", "high"),
        (
            "verdict",
            "reading=0.4 mm; high=1 mm; instrument=caliper",
            "least",
            "most",
        ),
    ] {
        let arguments = format!("{rest}; {low}=0.45 mm; {high}=0.30 mm");
        refused(name, &arguments, high, ["0.45 mm", "0.30 mm"]);
        let refusal = ask(name, &arguments).unwrap_err();
        assert!(refusal.to_string().contains("changed over"), "{name}: {refusal}");
    }
    refused(
        "dwell",
        "cylinders=4; dwell=50 deg; least=53 deg; most=47 deg",
        "most",
        ["53 deg", "47 deg"],
    );
    refused(
        "drum",
        "new=228.6 mm; measured=229 mm; cast=228 mm",
        "cast",
        ["228.6 mm", "228 mm"],
    );
    refused(
        "shim_pack",
        "stock=0.3x5 mm; thickness=1 mm; least_shims=3; most_shims=2",
        "most_shims",
        ["3", "2"],
    );
    refused(
        "ring_gap",
        "bore=77 mm; gap=0.31 mm; bore_at_gap=77.1 mm; bore_widest=77.05 mm",
        "bore_widest",
        ["77.1 mm", "77.05 mm"],
    );
}

/// Every contradiction is told at once, and each argument that stands in place of another has its pair.
#[test]
fn the_one_mechanism_knows_every_pair() {
    let refusal = ask(
        "ring_gap",
        "bore=77 mm; low=0.45 mm; high=0.30 mm; bore_at_gap=90 mm",
    )
    .unwrap_err();
    assert_eq!(refusal.problems.len(), 2, "{refusal}");
    let mut pairs = 0;
    for calculation in calculations() {
        let declared: Vec<(&str, &str)> = calculation.can_contradict().collect();
        pairs += declared.len();
        for name in declared.iter().flat_map(|(one, other)| [one, other]) {
            assert!(
                calculation
                    .arguments
                    .iter()
                    .any(|argument| argument.name == *name),
                "{} has no {name}",
                calculation.name
            );
        }
        for argument in calculation.arguments {
            let instead = argument.words.contains("in place of");
            assert!(
                !instead
                    || declared
                        .iter()
                        .any(|(one, other)| [*one, *other].contains(&argument.name)),
                "{}: {} stands in place of another and has no pair",
                calculation.name,
                argument.name
            );
        }
    }
    assert!(pairs >= 30, "{pairs}");
}

/// What a page offers as examples never contradicts itself, in either system of units: a form filled in with them is answered, or lacks
/// something.
#[test]
fn no_examples_contradict_each_other() {
    for calculation in calculations() {
        for inch in [false, true] {
            let typed: BTreeMap<String, String> = calculation
                .arguments
                .iter()
                .map(|argument| {
                    let text = if inch {
                        argument.example_inch
                    } else {
                        argument.example
                    };
                    (argument.name.to_owned(), text.to_owned())
                })
                .collect();
            if let Err(refusal) = reckon(calculation.name, &typed, &Preferences::default()) {
                assert!(
                    !refusal.to_string().contains("contradict"),
                    "{}, inch {inch}: {refusal}",
                    calculation.name
                );
            }
        }
    }
}
