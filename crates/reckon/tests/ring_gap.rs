//! Ring gaps against the handbook's rule and common practice. Each check names its source.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;

use ask::{ask, ask_in, check_value, inch, keys, value_in};
use reckon::{RefusalCode, Standing, Unit, VerdictWord};

#[track_caller]
fn check(arguments: &str, key: &str, unit: Unit, expected: f64, tolerance: f64) {
    let answer = ask("ring_gap", arguments).unwrap();
    check_value(arguments, &answer, key, unit, expected, tolerance);
}

/// Common practice, no source: the gap is k of the bore.
#[test]
fn gap_of_the_bore() {
    check(
        "bore=4.030 in; factor=0.0045",
        "gap_low",
        Unit::Inch,
        0.018,
        0.0005,
    );
    check(
        "bore=4.030 in; factor=0.0050",
        "gap_low",
        Unit::Inch,
        0.020,
        0.0005,
    );
    check(
        "bore=77 mm; factor=0.004",
        "gap_low",
        Unit::Millimetre,
        0.308,
        1e-9,
    );
    for (usage, low, high) in [
        ("minimum", 0.0035, None),
        ("road", 0.0040, Some(0.0045)),
        ("boost", 0.0050, None),
        ("hard", 0.0055, Some(0.0065)),
    ] {
        let arguments = format!("bore=100 mm; use={usage}");
        check(&arguments, "gap_low", Unit::Millimetre, low * 100.0, 1e-9);
        let answer = ask("ring_gap", &arguments).unwrap();
        match high {
            Some(high) => check(&arguments, "gap_high", Unit::Millimetre, high * 100.0, 1e-9),
            None => assert!(!keys(&answer).contains(&"gap_high"), "{usage}"),
        }
        assert!(
            answer
                .sources
                .iter()
                .any(|s| s.key == "factor" && s.standing == Standing::CommonPractice)
        );
    }
}

/// Source: US Army TM 5-3825-225-14&P, 1-24 c (liner 3.125 to 3.126 in) and 1-26 k, l, m (compression and scraper ring gap 0.009 to
/// 0.014 in, in a gauge of 3.125 in), and US Army TM 10-3930-653-14&P, engine specifications (5), (6) (bore 87.20 to 87.25 mm, gap of the top
/// ring 0.25 to 0.40 mm). The rule's least gap, and its range for the road, lie in what is printed, to the last figure printed; what
/// practice asks for boost and hard use lies above it.
#[test]
fn gaps_as_manuals_print_them() {
    for (bore, unit, low, high, last) in [
        ("3.125 in", Unit::Inch, 0.009, 0.014, 0.0005),
        ("3.126 in", Unit::Inch, 0.009, 0.014, 0.0005),
        ("87.20 mm", Unit::Millimetre, 0.25, 0.40, 0.005),
        ("87.25 mm", Unit::Millimetre, 0.25, 0.40, 0.005),
    ] {
        let of = |usage: &str, key: &str| {
            let answer = ask("ring_gap", &format!("bore={bore}; use={usage}")).unwrap();
            value_in(&answer, key, unit)
        };
        let printed = low - last..=high + last;
        for gap in [
            of("minimum", "gap_low"),
            of("road", "gap_low"),
            of("road", "gap_high"),
        ] {
            assert!(printed.contains(&gap), "{bore}: {gap}");
        }
        for gap in [of("boost", "gap_low"), of("hard", "gap_low")] {
            assert!(gap > high + last, "{bore}: {gap}");
        }
        // The printed limits themselves, typed in, are judged as printed: both ends are in, one last figure further is not.
        let judged = |gap: f64| {
            let symbol = unit.symbol();
            let arguments =
                format!("bore={bore}; low={low} {symbol}; high={high} {symbol}; gap={gap} {symbol}");
            ask("ring_gap", &arguments).unwrap().verdicts[0].word
        };
        let step = last * 2.0;
        assert_eq!(judged(low - step), VerdictWord::BelowLimits, "{bore}");
        assert_eq!(judged(low), VerdictWord::InLimits, "{bore}");
        assert_eq!(judged(high), VerdictWord::InLimits, "{bore}");
        assert_eq!(judged(high + step), VerdictWord::AboveLimits, "{bore}");
    }
    let answer = ask("ring_gap", "bore=3.125 in").unwrap();
    assert!(
        answer
            .sources
            .iter()
            .any(|source| source.words.contains("TM 5-3825-225-14&P")
                && source.standing == Standing::Published)
    );
}

/// Source: US Army TM 5-3825-225-14&P, 1-26, note: gaps are measured in a gauge of 3.125 in, and for every 0.001 in (0.0254 mm) of difference
/// in bore 0.003 in (0.0762 mm) is allowed. Source: US Army TM 5-3825-229-14&P, 6-11 c (3) (b): a bore 0.03 mm undersize takes 0.08 mm off
/// the gap; π · 0.03 is 0.094, and the 0.03 printed is 0.001 in rounded up, so it is held to the half of its last figure. The inches
/// printed beside it, 0.0012 in and 0.0031 in, were turned from the rounded millimetres; 0.0031 in is π times 0.001 in.
#[test]
fn gap_opens_as_manuals_print_it() {
    let arguments = "bore=3.125 in; gap=0.009 in; bore_at_gap=3.125 in; bore_widest=3.126 in";
    check(arguments, "gap_opens", Unit::Inch, 0.003, 0.000_5);
    check(arguments, "gap_opens", Unit::Inch, 0.003_1, 0.000_05);
    check(arguments, "gap_widest", Unit::Inch, 0.012, 0.000_5);
    let answer = ask("ring_gap", arguments).unwrap();
    assert!(answer.sources.iter().any(|source| source.key == "gap_opens"
        && source.words.contains("0.003 in of gap for each 0.001 in")
        && source.standing == Standing::Published));
    // The least that rounds to 0.03 mm opens the least that rounds to 0.08 mm.
    let metric = "bore=77 mm; gap=0.31 mm; bore_at_gap=77 mm; bore_widest=77.0254 mm";
    check(metric, "gap_opens", Unit::Millimetre, 0.08, 0.005);
}

/// Source: US Army TM 10-3930-653-14&P (measure where the wear is least); Δgap = π·ΔB derived: 0.25 mm opens 0.785 mm.
#[test]
fn gap_in_a_worn_bore() {
    let arguments = "bore=77 mm; gap=0.31 mm; bore_at_gap=77.00 mm; bore_widest=77.25 mm";
    check(arguments, "gap_opens", Unit::Millimetre, 0.785, 0.0005);
    check(arguments, "gap_widest", Unit::Millimetre, 0.31 + 0.785, 0.0005);
    let answer = ask("ring_gap", arguments).unwrap();
    assert!(answer.warnings.iter().any(|note| note.key == "worn_bore"));
    assert!(
        answer
            .sources
            .iter()
            .any(|s| s.words.contains("TM 10-3930-653-14&P") && s.standing == Standing::Published)
    );
    // A little wear does not warn: 0.31 + π · 0.005 is below 0.0045 of 77 mm.
    let little = ask("ring_gap", "bore=77 mm; gap=0.31 mm; bore_widest=77.005 mm").unwrap();
    assert!(little.warnings.is_empty(), "{:?}", little.warnings);
}

#[track_caller]
fn verdict(arguments: &str, word: VerdictWord, says: &str) {
    let answer = ask("ring_gap", arguments).unwrap();
    let [verdict] = answer.verdicts.as_slice() else {
        panic!("{arguments}: {:?}", answer.verdicts)
    };
    assert_eq!(verdict.word, word, "{arguments}");
    assert!(verdict.words.contains(says), "{arguments}: {}", verdict.words);
}

#[test]
fn verdicts_and_remedies() {
    let limits = "bore=77 mm; low=0.30 mm; high=0.45 mm";
    verdict(
        &format!("{limits}; gap=0.21 mm"),
        VerdictWord::BelowLimits,
        "File 0.090 mm more, and not over 0.240 mm",
    );
    verdict(
        &format!("{limits}; gap=0.30 mm"),
        VerdictWord::InLimits,
        "In limits",
    );
    verdict(
        &format!("{limits}; gap=0.45 mm"),
        VerdictWord::InLimits,
        "In limits",
    );
    verdict(
        &format!("{limits}; gap=0.46 mm"),
        VerdictWord::AboveLimits,
        "Try the next oversize",
    );
    // The least alone: nothing is known to be too wide, which is said, and the rule of thumb does not speak.
    verdict(
        "bore=77 mm; low=0.20 mm; gap=2 mm",
        VerdictWord::InLimits,
        "whether it is too wide was not checked",
    );
    // The rule of thumb, just at its ends: 0.308 and 0.3465.
    verdict("bore=77 mm; gap=0.308 mm", VerdictWord::InLimits, "In limits");
    verdict("bore=77 mm; gap=0.3465 mm", VerdictWord::InLimits, "In limits");
    verdict("bore=77 mm; gap=0.347 mm", VerdictWord::AboveLimits, "Too wide");
}

/// Derived: the next oversize is longer round by π times the step.
#[test]
fn the_next_oversize() {
    let arguments = "bore=77 mm; low=0.30 mm; high=0.45 mm; gap=0.60 mm";
    // 0.30 − (0.60 − π · 0.25) = 0.4854.
    check(arguments, "file_next_oversize", Unit::Millimetre, 0.4854, 0.00005);
    // Wide: the next oversize needs no file. 1.15 − 0.7854.
    check(
        &arguments.replace("0.60", "1.15"),
        "gap_next_oversize",
        Unit::Millimetre,
        0.3646,
        0.00005,
    );
    let inches = ask_in(
        "ring_gap",
        "bore=3.031 in; low=0.012 in; high=0.018 in; gap=0.024 in",
        &inch(),
    )
    .unwrap();
    // 0.012 − (0.024 − π · 0.010) = 0.0194.
    assert!((value_in(&inches, "file_next_oversize", Unit::Inch) - 0.0194).abs() < 0.00005);
}

/// The manual's limits speak, and the use that was not asked for is not shown.
#[test]
fn the_manual_wins() {
    let manual = ask("ring_gap", "bore=77 mm; low=0.20 mm; high=0.40 mm; gap=0.25 mm").unwrap();
    assert!(
        !manual.inputs.iter().any(|input| input.name == "use"),
        "{:?}",
        manual.inputs
    );
    assert!(
        manual
            .sources
            .iter()
            .any(|source| source.key == "manual" && source.standing == Standing::Given)
    );
    assert!(manual.cautions.iter().any(|note| note.key == "manual_wins"));
    let rule = ask("ring_gap", "bore=77 mm; gap=0.25 mm").unwrap();
    let usage = rule.inputs.iter().find(|input| input.name == "use").unwrap();
    assert!(usage.by_default && usage.typed == "road");
}

#[track_caller]
fn refused(arguments: &str, code: RefusalCode, argument: &str, says: &str) {
    ask::refused("ring_gap", arguments, code, argument, says);
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    refused(
        "bore=77 mm; gap=3.1 mm",
        RefusalCode::OutOfRange,
        "gap",
        "0 mm to 3 mm",
    );
    refused(
        "bore=77 mm; factor=0.011",
        RefusalCode::OutOfRange,
        "factor",
        "0.001 to 0.01",
    );
    refused(
        "bore=20 mm; factor=0.002",
        RefusalCode::OutOfRange,
        "factor",
        "0.050 mm to 3.000 mm",
    );
    refused(
        "bore=77 mm; low=0.4 mm; high=0.3 mm",
        RefusalCode::Impossible,
        "high",
        "changed over",
    );
    refused(
        "bore=77 mm; high=0.2 mm",
        RefusalCode::Impossible,
        "high",
        "give the least too",
    );
    refused(
        "bore=77 mm; bore_widest=76.9 mm",
        RefusalCode::Impossible,
        "bore_widest",
        "changed over",
    );
    refused(
        "bore=77 mm; use=racing",
        RefusalCode::NotAChoice,
        "use",
        "minimum, road, boost, hard",
    );
    refused("bore=77,123 mm", RefusalCode::Unclear, "bore", "77123, or 77.123");
}
