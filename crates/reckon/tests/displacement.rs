//! Displacement, compression ratio and piston speed against published values. Each check names its source.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;

use ask::{ask, ask_in, check_value, inch, keys};
use reckon::{RefusalCode, Unit};

#[track_caller]
fn check(arguments: &str, key: &str, unit: Unit, expected: f64, tolerance: f64) {
    let answer = ask("displacement", arguments).unwrap();
    check_value(arguments, &answer, key, unit, expected, tolerance);
}

/// Source: published engine specifications, bore × stroke × cylinders in mm against whole cm³ (rounding rule: 40 CFR
/// 86.419-78(a)(1), nominal dimensions to the whole cm³).
#[test]
fn published_engine_specifications() {
    for (bore, stroke, cylinders, cm3) in [
        ("77.0 mm", "64.0 mm", 4, 1192.0),
        ("75.0 mm", "64.0 mm", 4, 1131.0),
        ("90.47 mm", "88.9 mm", 4, 2286.0),
        ("67 mm", "70 mm", 3, 740.0),
        ("67 mm", "70 mm", 4, 987.0),
        ("80 mm", "61.5 mm", 2, 618.0),
    ] {
        let arguments = format!("bore={bore}; stroke={stroke}; cylinders={cylinders}");
        check(
            &arguments,
            "displacement_nominal",
            Unit::CubicCentimetre,
            cm3,
            0.0,
        );
    }
    // The same specification names 139.5 in³.
    let arguments = "bore=90.47 mm; stroke=88.9 mm; cylinders=4";
    check(arguments, "displacement", Unit::CubicInch, 139.5, 0.05);
    // 1 in³ = 16.387064 cm³ exactly (NIST SP 811): both units of one answer agree.
    let answer = ask("displacement", arguments).unwrap();
    check_value(
        arguments,
        &answer,
        "displacement_other",
        Unit::CubicCentimetre,
        2285.9,
        0.05,
    );
    // US Army TM 5-3895-383-24: 105.025 × 127 mm, 4 cylinders, 4.40 L.
    check(
        "bore=105.025 mm; stroke=127 mm; cylinders=4",
        "displacement",
        Unit::Litre,
        4.40,
        0.005,
    );
}

/// Source: derived from CR = (Vs + Vc)/Vc.
#[test]
fn compression_ratios() {
    let arguments = "bore=85.5 mm; stroke=69 mm; cylinders=4; chamber=50 cm³; deck=1.5 mm";
    check(arguments, "swept", Unit::CubicCentimetre, 396.16, 0.005);
    check(arguments, "compression_ratio", Unit::One, 7.759, 0.0005);
    let flat = "bore=80 mm; stroke=80 mm; cylinders=4; chamber=40 cc; gasket_bore=81 mm; gasket_thickness=1.2 mm; deck=0.5 mm";
    check(
        &format!("{flat}; dish=6 cc"),
        "compression_ratio",
        Unit::One,
        8.352,
        0.0005,
    );
    check(flat, "compression_ratio", Unit::One, 9.258, 0.0005);
    check(
        &format!("{flat}; dome=4 cc"),
        "compression_ratio",
        Unit::One,
        9.997,
        0.0005,
    );
    // A piston that stands proud takes room away: with h = −0.5 mm the ratio is higher than with the face flush.
    let proud = ask("displacement", &flat.replace("deck=0.5", "deck=−0.5")).unwrap();
    let flush = ask("displacement", &flat.replace("deck=0.5", "deck=0")).unwrap();
    let ratio = |answer| ask::value_in(answer, "compression_ratio", Unit::One);
    assert!(ratio(&proud) > ratio(&flush));
}

/// The inverse answers put back in give what was wanted (derived).
#[test]
fn inverse_answers_come_back() {
    let base = "bore=80 mm; stroke=80 mm; cylinders=4; gasket_thickness=1.2 mm; deck=0.5 mm";
    let wanted = ask(
        "displacement",
        &format!("{base}; chamber=40 cc; wanted_ratio=9.5; face_area=5000 mm²"),
    )
    .unwrap();
    let chamber = ask::value_in(&wanted, "chamber_wanted", Unit::CubicCentimetre);
    check(
        &format!("{base}; chamber={chamber:.9} cc"),
        "compression_ratio",
        Unit::One,
        9.5,
        1e-6,
    );
    let off = ask::value_in(&wanted, "machine_off", Unit::Millimetre);
    assert!(
        (off * 5000.0 / 1000.0 - (40.0 - chamber)).abs() < 1e-9,
        "depth × area is what goes"
    );
    assert!(!wanted.conditions.iter().any(|note| note.key == "face_area"));

    // A lower ratio than there is: the chamber grows, and nothing is machined off.
    let lower = ask("displacement", &format!("{base}; chamber=40 cc; wanted_ratio=8")).unwrap();
    assert!(ask::value_in(&lower, "chamber_change", Unit::CubicCentimetre) < 0.0);
    assert!(!keys(&lower).contains(&"machine_off"));

    // 1192 cm³ of 64 mm stroke and four cylinders is a bore of 77.0 mm (published specification above).
    let arguments = "bore=75 mm; stroke=64 mm; cylinders=4; wanted_displacement=1192 cm³";
    check(arguments, "bore_wanted", Unit::Millimetre, 77.0, 0.005);
    check(arguments, "bore_change", Unit::Millimetre, 2.0, 0.005);
}

/// Source: derived, 2·S·n: 69 mm at 4000 rpm is 9.20 m/s.
#[test]
fn mean_piston_speed() {
    let arguments = "bore=85.5 mm; stroke=69 mm; cylinders=4; rpm=4000 rpm";
    check(arguments, "piston_speed", Unit::MetrePerSecond, 9.20, 0.0005);
}

#[test]
fn oversizes_follow_the_keepers_units() {
    let arguments = "bore=77 mm; stroke=64 mm; cylinders=4";
    // π/4 · 77.5² · 64 · 4 by hand.
    check(
        arguments,
        "oversize_0_50_mm",
        Unit::CubicCentimetre,
        1207.63,
        0.01,
    );
    let inches = ask_in("displacement", arguments, &inch()).unwrap();
    assert!(keys(&inches).contains(&"oversize_0_030_in") && !keys(&inches).contains(&"oversize_0_50_mm"));
    assert_eq!(inches.values[0].text, "72.746 in³");
    assert_eq!(
        ask("displacement", arguments).unwrap().values[0].text,
        "1192.1 cm³"
    );
}

#[track_caller]
fn refused(arguments: &str, code: RefusalCode, argument: &str, says: &str) {
    ask::refused("displacement", arguments, code, argument, says);
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    let base = "bore=80 mm; stroke=80 mm; cylinders=4";
    for (more, code, argument, says) in [
        (
            "chamber=10 cc; dome=12 cc",
            RefusalCode::Impossible,
            "chamber",
            "more than nought",
        ),
        ("chamber=4 cc", RefusalCode::OutOfRange, "chamber", "from 3 to 25"),
        (
            "chamber=900 cc",
            RefusalCode::OutOfRange,
            "chamber",
            "from 3 to 25",
        ),
        ("dish=6 cc", RefusalCode::Missing, "chamber", "is needed"),
        (
            "wanted_ratio=20; deck=20 mm",
            RefusalCode::Impossible,
            "wanted_ratio",
            "No chamber",
        ),
        (
            "wanted_displacement=100000 cc",
            RefusalCode::OutOfRange,
            "wanted_displacement",
            "250",
        ),
        ("chamber=40", RefusalCode::Unclear, "chamber", "Which unit?"),
        ("cylinders=2.5", RefusalCode::OutOfRange, "cylinders", "whole"),
        (
            "colour=red",
            RefusalCode::UnknownArgument,
            "colour",
            "no argument",
        ),
    ] {
        refused(&format!("{base}; {more}"), code, argument, says);
    }
    refused(
        "stroke=80 mm; cylinders=4",
        RefusalCode::Missing,
        "bore",
        "77.0 mm",
    );
}
