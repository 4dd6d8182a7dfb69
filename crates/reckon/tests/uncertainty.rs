//! Uncertainties and judgements against JCGM 100, JCGM 106, ISO 14253-1 and ISO/IEC 17043. Each check names its source.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;
mod seed;

use ask::{ask, check_value, refused, value_in};
use proptest::prelude::*;
use reckon::uncertainty::{
    Contribution, InstrumentKind, Judgement, Limits, Repeated, Uncertainty, combine, coverage_factor,
    deciding_instrument, disagree, en, judge, normal_below,
};
use reckon::{Expect, Length, RefusalCode, Unit, VerdictWord, parse};

#[track_caller]
fn close(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{found}, wanted {expected} ± {tolerance}"
    );
}

/// Source: JCGM 100:2008, table 1 and 4.4.3.
#[test]
fn twenty_readings() {
    let readings = [
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68,
        100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ];
    let repeated = Repeated::of(&readings).unwrap();
    close(repeated.mean, 100.145, 0.0005);
    close(repeated.deviation, 1.489, 0.0005);
    close(repeated.mean_deviation, 0.333, 0.0005);
    let typed: Vec<String> = readings.iter().map(|r| format!("{r} mm")).collect();
    let arguments = format!("readings={}", typed.join(", "));
    let answer = ask("repeated", &arguments).unwrap();
    check_value(&arguments, &answer, "mean", Unit::Millimetre, 100.145, 0.0005);
    check_value(&arguments, &answer, "deviation", Unit::Millimetre, 1.489, 0.0005);
    check_value(
        &arguments,
        &answer,
        "mean_deviation",
        Unit::Millimetre,
        0.333,
        0.0005,
    );
    let count = answer.values.iter().find(|value| value.key == "count").unwrap();
    assert_eq!(count.text, "20");
    // Table G.2: 19 degrees of freedom, 2.14.
    check_value(&arguments, &answer, "coverage", Unit::One, 2.14, 1e-9);
}

/// Source: JCGM 100:2008, H.1.6: end gauge, uc 32 nm, 16 degrees of freedom from parts (u, ν) 25/18, 9.7/25.6, 2.9/50, 16.6/2.
#[test]
fn the_end_gauge() {
    let part = |standard, freedom| Contribution {
        standard,
        sensitivity: 1.0,
        freedom,
    };
    let parts = [
        part(25.0, Some(18.0)),
        part(9.7, Some(25.6)),
        part(2.9, Some(50.0)),
        part(16.6, Some(2.0)),
    ];
    let combined = combine(&parts);
    close(combined.standard, 32.0, 0.5);
    close(combined.freedom.unwrap(), 16.7, 0.5);
    assert!((coverage_factor(16.7) - 2.17).abs() < 1e-9, "truncated to 16");
}

/// Source: JCGM 100:2008, 4.3.7, 4.3.9, F.2.2.1; clearance from 5 and 3 µm derived.
#[test]
fn laws() {
    close(Contribution::rectangular(1.0).standard, 0.577_35, 1e-5);
    close(Contribution::triangular(1.0).standard, 0.408_25, 1e-5);
    close(Contribution::resolution(1.0).standard, 0.29, 0.002);
    close(
        combine(&[Contribution::standard(5.0), Contribution::standard(3.0)]).standard,
        5.83,
        0.005,
    );
    close(
        combine(&[Contribution::standard(5.0).times(-2.0)]).standard,
        10.0,
        1e-12,
    );
    let arguments = "parts=5, 3 µm";
    let answer = ask("combined", arguments).unwrap();
    check_value(arguments, &answer, "standard", Unit::Micrometre, 5.83, 0.005);
    let limits = ask("combined", "parts=4 µm; law=limits").unwrap();
    check_value(
        "4 µm",
        &limits,
        "standard",
        Unit::Micrometre,
        4.0 / 3.0_f64.sqrt(),
        1e-9,
    );
}

/// Source: tables of the normal law: Φ(0) 0.5, Φ(1) 0.841345, Φ(1.96) 0.975002, Φ(−3) 0.001350.
#[test]
fn normal_law() {
    for (z, p) in [(0.0, 0.5), (1.0, 0.841_345), (1.96, 0.975_002), (-3.0, 0.001_350)] {
        close(normal_below(z), p, 1e-6);
    }
}

/// Source: JCGM 106:2012, 7.3.2 example: y −5.47, u 0.05, TU −5.40 gives 0.919.
#[test]
fn probability_of_conformance() {
    let limits = Limits::new(None, Some(-5.40)).unwrap();
    close(limits.probability(-5.47, 0.05), 0.919, 0.0005);
}

/// Source: ISO 14253-1:2017: 95 %, one-sided guard band 1.645 u: TU 0.10, u 0.01 accepts below 0.0836.
#[test]
fn guard_band() {
    let limits = Limits::new(None, Some(0.10)).unwrap();
    let word = |value| judge(value, limits, Uncertainty::standard(0.01)).word;
    assert_eq!(word(0.0835), VerdictWord::InLimits);
    assert_eq!(word(0.0836), VerdictWord::TooCloseToCall);
    assert_eq!(word(0.10), VerdictWord::TooCloseToCall);
    assert_eq!(word(0.1164), VerdictWord::TooCloseToCall);
    assert_eq!(word(0.1165), VerdictWord::AboveLimits);
    // The uncertainty that would decide: 2 · 0.01/1.645.
    close(
        judge(0.09, limits, Uncertainty::standard(0.01)).decides.unwrap(),
        0.012_159,
        1e-5,
    );
    assert_eq!(judge(0.10, limits, Uncertainty::standard(0.01)).decides, None);
}

/// The rule of this program (see `judge`): in limits is not said where the tolerance is below twice U; what lies outside by 1.645 u is out
/// all the same, and what lies outside by less is too close to call.
#[test]
fn a_narrow_tolerance() {
    let limits = Limits::new(Some(0.0), Some(0.01)).unwrap();
    let coarse = judge(0.005, limits, Uncertainty::expanded_by(0.006, 2.0));
    assert_eq!(
        (coarse.word, coarse.too_coarse),
        (VerdictWord::TooCloseToCall, true)
    );
    close(coarse.decides.unwrap(), 0.005, 1e-9);
    let fine = judge(0.005, limits, Uncertainty::expanded_by(0.005, 2.0));
    assert_eq!((fine.word, fine.too_coarse), (VerdictWord::InLimits, false));
    let gross = judge(1.0, limits, Uncertainty::expanded_by(0.006, 2.0));
    assert_eq!((gross.word, gross.too_coarse), (VerdictWord::AboveLimits, true));
    // u is 0.003: 1.645 u is 0.004935.
    let at = |value: f64| judge(value, limits, Uncertainty::expanded_by(0.006, 2.0));
    assert_eq!(at(0.014_93).word, VerdictWord::TooCloseToCall);
    assert_eq!(at(0.014_94).word, VerdictWord::AboveLimits);
    assert_eq!(at(-0.004_93).word, VerdictWord::TooCloseToCall);
    assert_eq!(at(-0.004_94).word, VerdictWord::BelowLimits);
    // What is not called names the uncertainty that would decide it.
    close(at(0.014_93).decides.unwrap(), 2.0 * 0.004_93 / 1.644_854, 1e-8);
    assert_eq!(
        judge(-1.0, limits, Uncertainty::NONE).word,
        VerdictWord::BelowLimits
    );
    // With no uncertainty the limits themselves are in.
    assert_eq!(judge(0.01, limits, Uncertainty::NONE).word, VerdictWord::InLimits);
    // What is no number is never called.
    for odd in [f64::NAN, f64::INFINITY] {
        let word = judge(0.005, limits, Uncertainty::expanded_by(odd, 2.0)).word;
        assert_eq!(word, VerdictWord::TooCloseToCall);
    }
    assert_eq!(
        judge(f64::NAN, limits, Uncertainty::NONE).word,
        VerdictWord::TooCloseToCall
    );
    assert!(Limits::new(None, None).is_none() && Limits::new(Some(2.0), Some(1.0)).is_none());
}

/// Source: ISO/IEC 17043: En = |x1 − x2|/√(U1² + U2²). 5 and 12 make 13.
#[test]
fn normalised_error() {
    close(en(0.0, 5.0, 13.0, 12.0), 1.0, 1e-12);
    assert!(disagree(0.0, 5.0, 13.001, 12.0) && !disagree(0.0, 5.0, 13.0, 12.0));
    assert!(disagree(1.0, 0.0, 2.0, 0.0) && !disagree(1.0, 0.0, 1.0, 0.0));
    let arguments = "first=50.000 mm; second=50.013 mm; first_uncertainty=5 µm; second_uncertainty=12 µm";
    let answer = ask("agree", arguments).unwrap();
    check_value(arguments, &answer, "en", Unit::One, 1.0, 1e-6);
    let caliper = ask(
        "agree",
        "first=50.00 mm; second=50.05 mm; first_instrument=caliper; second_instrument=micrometer",
    )
    .unwrap();
    assert_eq!(caliper.verdicts[0].word, VerdictWord::InLimits);
    let micrometers = ask(
        "agree",
        "first=50.00 mm; second=50.05 mm; first_instrument=micrometer; second_instrument=micrometer",
    )
    .unwrap();
    assert_eq!(micrometers.verdicts[0].word, VerdictWord::AboveLimits);
}

/// Sources: DIN 863 (±4 µm), DIN 862 (±50 µm), as a/√3 with the step (JCGM 100).
#[test]
fn instruments() {
    let micrometer = InstrumentKind::named("micrometer").unwrap();
    close(
        micrometer.uncertainty_mm().standard * 1_000.0,
        (16.0_f64 / 3.0 + 1.0 / 12.0).sqrt(),
        1e-9,
    );
    assert_eq!(
        deciding_instrument(Length::from_um(60.0)).unwrap().name,
        "caliper"
    );
    assert_eq!(deciding_instrument(Length::from_um(12.0)).unwrap().name, "dial");
    assert_eq!(
        deciding_instrument(Length::from_um(5.0)).unwrap().name,
        "micrometer"
    );
    assert!(deciding_instrument(Length::from_um(1.0)).is_none());
    for pair in InstrumentKind::all().windows(2) {
        assert!(
            pair[0].expanded() <= pair[1].expanded(),
            "finest first: {}",
            pair[1].name
        );
    }
    for choice in reckon::uncertainty::INSTRUMENT_CHOICES {
        assert!(InstrumentKind::named(choice.name).is_some(), "{}", choice.name);
    }
}

#[test]
fn the_verdict_names_what_would_decide() {
    let with = |instrument: &str| {
        let arguments = format!("reading=50.01 mm; low=49.90 mm; high=50.05 mm; instrument={instrument}");
        ask("verdict", &arguments).unwrap().verdicts[0].clone()
    };
    assert_eq!(with("micrometer").word, VerdictWord::InLimits);
    let caliper = with("caliper");
    assert_eq!(caliper.word, VerdictWord::TooCloseToCall);
    assert!(
        caliper.words.contains("dial indicator") && caliper.words.contains("would decide"),
        "{}",
        caliper.words
    );
    // 0.04/1.645 · 2.
    let answer = ask(
        "verdict",
        "reading=50.01 mm; low=49.90 mm; high=50.05 mm; instrument=caliper",
    )
    .unwrap();
    close(value_in(&answer, "decides", Unit::Millimetre), 0.048_64, 2e-5);
    refused(
        "verdict",
        "reading=1 mm; high=2 mm",
        RefusalCode::Missing,
        "instrument",
        "measured with",
    );
    refused(
        "verdict",
        "reading=1 mm; instrument=dial",
        RefusalCode::Missing,
        "high",
        "A limit",
    );
    refused(
        "verdict",
        "reading=1 mm; low=3 mm; high=2 mm; instrument=dial",
        RefusalCode::Impossible,
        "high",
        "changed over",
    );
    refused(
        "repeated",
        "readings=1 mm",
        RefusalCode::NothingToReckon,
        "readings",
        "two readings",
    );
}

#[test]
fn typed_readings_are_judged() {
    let typed = |text: &str| parse(text, Expect::length()).unwrap();
    let (value, low, high, u) = (
        typed("0.30 mm"),
        typed("0.25 mm"),
        typed("0.40 mm"),
        typed("0.01 mm"),
    );
    let judged = Judgement::of_typed(&value, Some(&low), Some(&high), Some(&u)).unwrap();
    assert_eq!(judged.word, VerdictWord::InLimits);
    // Kinds must be the same, and limits must be there.
    let angle = parse("3 deg", Expect::angle()).unwrap();
    assert!(Judgement::of_typed(&value, Some(&angle), None, None).is_none());
    assert!(Judgement::of_typed(&value, None, None, Some(&u)).is_none());
}

proptest! {
    #![proptest_config(seed::cases(4_000))]

    /// A coarser instrument never turns out into in, nor in into out; what it says at the deciding uncertainty is a call.
    #[test]
    fn growing_uncertainty_only_loses_certainty(
        value in -2.0..2.0_f64, low in prop::option::of(-1.0..0.0_f64), high in prop::option::of(0.0..1.0_f64),
        u in 0.0..1.0_f64, more in 1.0..50.0_f64,
    ) {
        let limits = Limits::new(low, high).or(Limits::new(Some(-0.5), None)).unwrap();
        let fine = judge(value, limits, Uncertainty::standard(u));
        let coarse = judge(value, limits, Uncertainty::standard(u * more));
        if fine.word != coarse.word {
            prop_assert_eq!(coarse.word, VerdictWord::TooCloseToCall);
        }
        let truth = judge(value, limits, Uncertainty::NONE).word;
        if fine.word != VerdictWord::TooCloseToCall {
            prop_assert_eq!(fine.word, truth);
        }
        // What is called out conforms with 5 % at most, however narrow the tolerance (JCGM 106, 7.2); what is called in, with 95 % at least.
        for judged in [fine, coarse] {
            match judged.word {
                VerdictWord::InLimits => prop_assert!(judged.probability >= 0.95 && !judged.too_coarse),
                VerdictWord::BelowLimits | VerdictWord::AboveLimits => prop_assert!(judged.probability <= 0.05 + 1e-12),
                VerdictWord::TooCloseToCall => {}
            }
        }
        if let Some(decides) = fine.decides {
            let just = |part: f64| judge(value, limits, Uncertainty::expanded_by(decides * part, 2.0)).word;
            prop_assert_eq!(just(0.999_999), truth);
            prop_assert_eq!(just(1.000_001), VerdictWord::TooCloseToCall);
        }
    }

    /// More to combine is never less uncertain, whatever the order.
    #[test]
    fn combining_adds_up(mut parts in prop::collection::vec(0.0..10.0_f64, 1..6)) {
        let of = |parts: &[f64]| combine(&parts.iter().map(|p| Contribution::standard(*p)).collect::<Vec<_>>()).standard;
        let whole = of(&parts);
        prop_assert!(parts.iter().all(|part| whole >= *part - 1e-12));
        parts.reverse();
        prop_assert!((of(&parts) - whole).abs() < 1e-9);
    }
}
