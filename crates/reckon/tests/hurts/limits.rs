//! Readings against limits: a part on its limit is in, a reading that cannot be is not judged, and each verdict says of what it is.

use proptest::prelude::*;
use reckon::{Answer, Preferences, RefusalCode, VerdictWord};

use crate::ask::{ask_in, inch, keys, metric, refused};
use crate::{all_words, answered, seed, verdict, warned};

/// Every verdict of an answer is in limits and says that it stands on the limit.
fn on_the_limit(name: &str, arguments: &str, preferences: &Preferences) -> Result<(), String> {
    let answer = ask_in(name, arguments, preferences).map_err(|refusal| format!("{arguments}: {refusal}"))?;
    let found = answer
        .verdicts
        .first()
        .ok_or(format!("{arguments}: no verdict"))?;
    let fine = found.word == VerdictWord::InLimits && found.words.contains("on the limit");
    fine.then_some(()).ok_or(format!("{arguments}: {}", found.words))
}

/// A whole number of steps as a decimal text.
fn decimal(steps: i64, places: usize) -> String {
    let part = 10_i64.pow(u32::try_from(places).unwrap());
    let sign = if steps < 0 { "-" } else { "" };
    let steps = steps.abs();
    format!("{sign}{}.{:0places$}", steps / part, steps % part)
}

proptest! {
    #![proptest_config(seed::cases(600))]

    /// Derived: limits are included (JCGM 106, 3.3.5), and what is typed is exact, so a difference of two sizes that is the limit is on it.
    #[test]
    fn a_part_on_its_limit_is_in(inner in 20_000..150_000_i64, wide in 1..400_i64, more in 0..300_i64, upper in any::<bool>(), inches in any::<bool>()) {
        let (unit, places, inner, preferences) =
            if inches { ("in", 4, inner / 3, inch()) } else { ("mm", 3, inner, metric()) };
        let (low, high) = if upper { ((wide - more).max(-100), wide) } else { (wide, wide + more) };
        let pair = format!(
            "bore={} {unit}; inner={} {unit}; low={} {unit}; high={} {unit}",
            decimal(inner + wide, places), decimal(inner, places), decimal(low, places), decimal(high, places)
        );
        on_the_limit("clearance", &pair, &preferences).map_err(TestCaseError::fail)?;
        // A bore of this size, and one reading wider by as much as its limit allows.
        let size = if inches { 10_000 + inner / 2 } else { 40_000 + inner / 2 };
        for (limit, nominal) in [("round_limit", ""), ("taper_limit", ""), ("wear_limit", "nominal")] {
            let grid = if limit == "taper_limit" {
                format!("{0}, {0}\n{1}, {0} {unit}", decimal(size + wide, places), decimal(size, places))
            } else {
                format!("{1}, {0}\n{1}, {0} {unit}", decimal(size + wide, places), decimal(size, places))
            };
            let nominal = if nominal.is_empty() { String::new() } else { format!("; nominal={} {unit}", decimal(size, places)) };
            let worn = format!("grid={grid}{nominal}; {limit}={} {unit}", decimal(wide, places));
            on_the_limit("wear", &worn, &preferences).map_err(TestCaseError::fail)?;
        }
    }
}

/// The pair that was called out for 0.0 µm, and that `select_fit` calls in.
#[test]
fn rounding_calls_nothing_out() {
    let pair = "bore=76.23mm; inner=76.17mm; low=0.03mm; high=0.06mm";
    verdict(
        "clearance",
        pair,
        "clearance",
        VerdictWord::InLimits,
        "on the limit",
    );
    verdict(
        "select_fit",
        "bores=76.23 mm; inners=76.17 mm; low=0.03mm; high=0.06mm",
        "clearance",
        VerdictWord::InLimits,
        "in limits",
    );
    // What is out by less than is shown is out still, and not by nought.
    let out = "bore=76.23002 mm; inner=76.17 mm; high=0.06 mm";
    verdict(
        "clearance",
        out,
        "clearance",
        VerdictWord::AboveLimits,
        "by less than",
    );
    // With instruments nobody can call it; and no uncertainty of nought would decide it.
    let with = format!("{pair}; bore_instrument=bore_gauge; inner_instrument=micrometer_100");
    verdict(
        "clearance",
        &with,
        "clearance",
        VerdictWord::TooCloseToCall,
        "it stands on the limit",
    );
    for reading in ["50.02 mm", "50.02001 mm"] {
        let arguments = format!("reading={reading}; low=49.98 mm; high=50.02 mm; instrument=bore_gauge");
        verdict(
            "verdict",
            &arguments,
            "reading",
            VerdictWord::TooCloseToCall,
            "it stands on the limit",
        );
        assert!(!all_words(&answered("verdict", &arguments)).contains("0.0 µm"));
    }
}

const GRID: &str = "grid=85.612, 85.560\n85.575, 85.545\n85.530, 85.520 mm";

/// Common practice, no source: what is measured is measured ten times finer than the step it decides on.
#[test]
fn an_instrument_too_coarse_for_the_oversizes_is_said() {
    for (instrument, coarse) in [
        ("caliper", true),
        ("rule", true),
        ("bore_gauge", false),
        ("dial", false),
    ] {
        let arguments = format!("{GRID}; nominal=85.50 mm; instrument={instrument}");
        assert_eq!(
            warned(&answered("wear", &arguments), "coarse"),
            coarse,
            "{instrument}"
        );
    }
}

#[test]
fn each_verdict_on_a_bore_says_of_what_it_is() {
    let arguments =
        format!("{GRID}; nominal=85.50 mm; round_limit=0.04 mm; taper_limit=0.2 mm; wear_limit=0.15 mm");
    for (key, word, says) in [
        (
            "out_of_round",
            VerdictWord::AboveLimits,
            "Out-of-round, 0.052 mm: ",
        ),
        ("taper", VerdictWord::InLimits, "Taper, 0.082 mm: "),
        ("wear", VerdictWord::InLimits, "Wear, 0.112 mm: "),
    ] {
        verdict("wear", &arguments, key, word, says);
    }
}

/// No bore wears smaller. What a new one may be under the size it is made to, 0.02 mm, is common practice, no source.
#[test]
fn a_bore_smaller_than_made_is_not_judged() {
    let judged = |nominal: &str, more: &str| {
        answered(
            "wear",
            &format!("{GRID}; nominal={nominal}; wear_limit=0.15 mm{more}"),
        )
    };
    let in_limits = |answer: &Answer| {
        answer
            .verdicts
            .iter()
            .any(|verdict| verdict.word == VerdictWord::InLimits)
    };
    // The widest is 85.612.
    for (nominal, more) in [
        ("85.78 mm", ""),
        ("85.70 mm", "; instrument=caliper"),
        ("85.64 mm", ""),
    ] {
        let answer = judged(nominal, more);
        assert!(warned(&answer, "smaller") && !in_limits(&answer), "{nominal}");
        assert!(
            !keys(&answer).contains(&"oversize")
                && answer.tables.iter().all(|table| table.key != "oversizes")
        );
        assert!(all_words(&answer).contains("slip"));
    }
    // Within what a new bore may be under, and within what a caliper is known to (±59 µm).
    for (nominal, more) in [("85.62 mm", ""), ("85.66 mm", "; instrument=caliper")] {
        assert!(!warned(&judged(nominal, more), "smaller"), "{nominal}");
    }
}

/// JCGM 100: no reading is without uncertainty.
#[test]
fn no_reading_is_without_uncertainty() {
    refused(
        "verdict",
        "reading=50.01 mm; high=50.02 mm; uncertainty=0 mm",
        RefusalCode::OutOfRange,
        "uncertainty",
        "No reading is without uncertainty",
    );
}

/// JCGM 100, F.2.2.1: readings that do not differ say that the step hides the spread, and not that there is none.
#[test]
fn readings_without_a_spread_are_not_without_uncertainty() {
    let bare = answered("repeated", "readings=50.01, 50.01, 50.01 mm");
    assert!(warned(&bare, "no_spread") && !keys(&bare).contains(&"expanded"));
    assert!(
        !bare
            .values
            .iter()
            .any(|value| value.text.starts_with("0.0") && value.key != "deviation"),
        "{:?}",
        bare.values
    );
    let named = answered(
        "repeated",
        "readings=50.01, 50.01, 50.01 mm; instrument=micrometer_100",
    );
    assert!(keys(&named).contains(&"expanded") && all_words(&named).contains("is the whole of it"));
    assert!(!warned(
        &answered("repeated", "readings=50.01, 50.02, 50.01 mm"),
        "no_spread"
    ));
}

/// Common practice, no source: one reading ten times as far off as the rest is asked about; two that are half a millimetre apart are.
#[test]
fn a_slip_among_readings_is_asked_about() {
    for (readings, slip) in [
        ("50.012, 50.014, 51.011 mm", true),
        ("50.012, 50.014, 50.011 mm", false),
        ("49.012, 50.014, 50.013, 50.011 mm", true),
        ("50.012, 51.012 mm", true),
        ("50.012, 50.030 mm", false),
        ("50.01, 50.01, 50.01, 50.03 mm", false),
    ] {
        let answer = answered("repeated", &format!("readings={readings}"));
        assert_eq!(warned(&answer, "slip"), slip, "{readings}");
    }
}

/// Common practice: a leaf is good to 0.00035 in (9 µm), so a gap nearer to a limit than that is not decided by it.
#[test]
fn a_gap_near_its_limit_is_judged_as_the_leaf_reads() {
    let gap = |gap: &str| {
        answered(
            "ring_gap",
            &format!("bore=77 mm; low=0.30 mm; high=0.45 mm; gap={gap}"),
        )
    };
    assert!(all_words(&gap("0.38 mm")).contains("without an instrument"));
    for (size, near) in [
        ("0.303 mm", true),
        ("0.447 mm", true),
        ("0.295 mm", true),
        ("0.38 mm", false),
        ("0.25 mm", false),
    ] {
        assert_eq!(warned(&gap(size), "near_limit"), near, "{size}");
    }
}
