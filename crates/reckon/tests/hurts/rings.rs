//! Ring gaps: no ring is run with its ends butting, and none is bought that would not serve.

use crate::ask::{check_value, keys, refused};
use crate::{all_words, answered, verdict, warned};
use reckon::{RefusalCode, Unit, VerdictWord};

/// Derived: a ring of the next oversize, 0.25 mm, closes the gap by π·0.25 = 0.785 mm.
#[test]
fn the_next_oversize_only_where_it_serves() {
    use VerdictWord::AboveLimits;
    let ring = "bore=77 mm; low=0.30 mm; high=0.45 mm; gap=";
    // 0.60 − 0.785 is less than the least: filed to fit.
    verdict(
        "ring_gap",
        &format!("{ring}0.60 mm"),
        "gap",
        AboveLimits,
        "Try the next oversize",
    );
    // 1.15 − 0.785 = 0.365: in limits as it is.
    verdict(
        "ring_gap",
        &format!("{ring}1.15 mm"),
        "gap",
        AboveLimits,
        "in limits as it is",
    );
    // 2.0 − 0.785 = 1.215: too wide as well, so nobody is sent for it.
    verdict(
        "ring_gap",
        &format!("{ring}2.0 mm"),
        "gap",
        AboveLimits,
        "would be too wide as well",
    );
    let far = answered("ring_gap", &format!("{ring}2.0 mm"));
    assert!(!all_words(&far).contains("Try the next oversize"));
    assert!(!keys(&far).contains(&"gap_next_oversize") && !keys(&far).contains(&"file_next_oversize"));
    verdict(
        "ring_plan",
        "bores=77, 77 mm; top=2.0, 2.1 mm; low=0.30 mm; high=0.45 mm",
        "plan",
        AboveLimits,
        "so too",
    );
}

/// Common practice, no source: a ring whose ends butt is still to be filed, by nobody knows how much.
#[test]
fn a_gap_of_nought_is_still_to_be_filed() {
    for nought in ["0 mm", "0 in", "0.0 thou"] {
        let arguments = format!("bore=77 mm; gap={nought}");
        verdict(
            "ring_gap",
            &arguments,
            "gap",
            VerdictWord::BelowLimits,
            "Still to be filed",
        );
        let answer = answered("ring_gap", &arguments);
        assert!(warned(&answer, "butts"));
        assert!(!keys(&answer).contains(&"file_least"), "how much is not known");
    }
    let plan = answered(
        "ring_plan",
        "bores=77, 77 mm; top=0, 0.24 mm; low=0.30 mm; high=0.45 mm",
    );
    assert!(warned(&plan, "butts"));
    assert!(all_words(&plan).contains("still to be filed"));
    assert!(plan.verdicts[0].words.contains("ends butt"));
}

/// No ring has a gap of millimetres (from 0.05 to 3 mm, as the ring's own calculation takes it), whatever limits were left out.
#[test]
fn no_plan_calls_a_monstrous_gap_in_limits() {
    for arguments in [
        "bores=77, 77 mm; top=4, 4.5 mm",
        "bores=77, 77 mm; top=4, 4.5 mm; low=0.3 mm",
        // 0.3 + π · 1.5 = 5.0 in the wider bore.
        "bores=77, 78.5 mm; top=0.3, 0.3 mm; gauge=77 mm",
    ] {
        let answer = answered("ring_plan", arguments);
        assert_eq!(
            answer.verdicts[0].word,
            VerdictWord::AboveLimits,
            "{arguments}: {:?}",
            answer.verdicts
        );
    }
    // Bores so far apart are not of one engine: the gap would come to 0.3 + π · 23.
    refused(
        "ring_plan",
        "bores=77, 100 mm; top=0.3, 0.3 mm",
        RefusalCode::Impossible,
        "bores",
        "contradict",
    );
    refused(
        "ring_plan",
        "bores=100, 100 mm; gauge=77 mm; top=0.3, 0.3 mm",
        RefusalCode::Impossible,
        "gauge",
        "contradict",
    );
    // Where no most is given, that is said.
    let open = answered("ring_plan", "bores=77, 77 mm; top=0.3, 0.3 mm; low=0.3 mm");
    assert!(open.verdicts[0].words.contains("No most gap was given"));
}

/// Derived: the gap in a bore narrower by ΔB is less by π·ΔB. What butts is common practice, no source.
#[test]
fn a_gap_measured_in_a_wider_bore_is_judged_in_the_least() {
    use VerdictWord::{BelowLimits, InLimits};
    let ring = |gap: &str, at: &str| {
        format!("bore=77 mm; gap={gap} mm; bore_at_gap={at} mm; low=0.3 mm; high=0.45 mm")
    };
    // 0.32 − π · 0.10 = 0.0058: 0.2942 to file, and the ends may butt.
    let narrow = ring("0.32", "77.10");
    verdict("ring_gap", &narrow, "gap", BelowLimits, "File 0.294 mm more");
    let answer = answered("ring_gap", &narrow);
    assert!(warned(&answer, "butts"));
    check_value(
        &narrow,
        &answer,
        "gap_least_bore",
        Unit::Millimetre,
        0.005_84,
        1e-5,
    );
    check_value(&narrow, &answer, "file_least", Unit::Millimetre, 0.294_16, 1e-5);
    // 0.32 − π · 0.12 is less than nothing.
    let butting = ring("0.32", "77.12");
    verdict("ring_gap", &butting, "gap", BelowLimits, "File");
    assert!(warned(&answered("ring_gap", &butting), "butts"));
    // 0.67 would be too wide where it was measured; 0.67 − 0.314 = 0.356 in the least bore is not.
    verdict("ring_gap", &ring("0.67", "77.10"), "gap", InLimits, "In limits");
    assert!(!warned(&answered("ring_gap", &ring("0.67", "77.10")), "butts"));
    // Measured in the least bore itself it is judged as it is.
    verdict("ring_gap", &ring("0.32", "77.00"), "gap", InLimits, "In limits");
    // Measured where the bore is narrower, it opens in the bore: 0.32 + π · 0.10 = 0.634.
    let opens = answered("ring_gap", &ring("0.32", "76.90"));
    assert!(warned(&opens, "worn_bore"));
    check_value("76.90", &opens, "gap_widest", Unit::Millimetre, 0.634_16, 1e-5);
}

/// Common practice, no source: a feeler leaf is known to ±0.009 mm, and the thinnest of a usual set is 0.05 mm; what is under it may butt.
#[test]
fn a_gap_just_above_nought_may_butt() {
    use VerdictWord::BelowLimits;
    for gap in ["0.001", "0.01", "0.03", "0.049"] {
        let arguments = format!("bore=77 mm; gap={gap} mm; low=0.30 mm; high=0.45 mm");
        verdict("ring_gap", &arguments, "gap", BelowLimits, "measure again");
        let answer = answered("ring_gap", &arguments);
        assert!(warned(&answer, "butts"), "{gap}");
        let file = 0.30 - gap.parse::<f64>().unwrap();
        check_value(&arguments, &answer, "file_least", Unit::Millimetre, file, 1e-9);
        let plan = answered(
            "ring_plan",
            &format!("bores=77, 77 mm; top={gap}, 0.24 mm; low=0.30 mm; high=0.45 mm"),
        );
        assert!(warned(&plan, "butts"), "{gap}");
    }
    assert!(!warned(
        &answered("ring_gap", "bore=77 mm; gap=0.05 mm; low=0.30 mm; high=0.45 mm"),
        "butts"
    ));
}

/// What was not given was not checked, and that is said; no source is needed for it.
#[test]
fn a_limit_that_was_not_given_is_said_to_be_unchecked() {
    for (name, arguments, key, says) in [
        ("ring_gap", "bore=77 mm; gap=1.2 mm; use=boost", "gap", "most"),
        ("ring_gap", "bore=77 mm; gap=1.2 mm; use=minimum", "gap", "most"),
        ("ring_gap", "bore=77 mm; gap=1.2 mm; factor=0.004", "gap", "most"),
        ("ring_gap", "bore=77 mm; gap=1.2 mm; low=0.3 mm", "gap", "most"),
        (
            "verdict",
            "reading=50 mm; low=49 mm; instrument=micrometer",
            "reading",
            "upper",
        ),
        (
            "verdict",
            "reading=50 mm; high=51 mm; instrument=micrometer",
            "reading",
            "lower",
        ),
        (
            "clearance",
            "bore=77.02 mm; inner=76.97 mm; low=0.02 mm; bore_instrument=bore_gauge; inner_instrument=micrometer_100",
            "clearance",
            "upper",
        ),
    ] {
        let answer = answered(name, arguments);
        let words = &answer
            .verdicts
            .iter()
            .find(|verdict| verdict.key == key)
            .unwrap()
            .words;
        assert!(
            words.contains("not checked") && words.contains(says),
            "{name} {arguments}: {words}"
        );
    }
    // With both limits nothing is left unchecked.
    for (name, arguments) in [
        ("ring_gap", "bore=77 mm; gap=0.4 mm; low=0.3 mm; high=0.45 mm"),
        (
            "verdict",
            "reading=50 mm; low=49 mm; high=51 mm; instrument=micrometer",
        ),
    ] {
        assert!(
            !all_words(&answered(name, arguments)).contains("not checked"),
            "{name}"
        );
    }
}
