//! Ignition, electrics, brakes, tyres, gearing, fluids, paint, heat and fits. Each check names its source.
//!
//! Length: one row of published values after another; parted, a section and its source would be harder to find.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;
mod seed;

use ask::{ask, ask_in, check_value, inch, refused, value_in};
use proptest::prelude::*;
use reckon::electric::{CABLES, FUSES, awg_area, awg_diameter, solid_resistance};
use reckon::fits::{hole, shaft, tolerance_um};
use reckon::{Length, RefusalCode, Unit, VerdictWord};

#[track_caller]
fn check(name: &str, arguments: &str, key: &str, unit: Unit, expected: f64, tolerance: f64) {
    let answer = ask(name, arguments).unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"));
    check_value(arguments, &answer, key, unit, expected, tolerance);
}

#[track_caller]
fn warned(name: &str, arguments: &str, key: &str) -> bool {
    ask(name, arguments)
        .unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"))
        .warnings
        .iter()
        .any(|w| w.key == key)
}

#[track_caller]
fn word(name: &str, arguments: &str) -> VerdictWord {
    ask(name, arguments)
        .unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"))
        .verdicts[0]
        .word
}

/// A percentage is kept as the number before the sign.
const PERCENT: Unit = Unit::Percent;

/// Derived: 4 cylinders 45° 50 %, 50° 56 %; 6 cylinders 35° 58 %; 5000 rpm, 4 cylinders: 166.7 sparks a second, 6.0 ms (the last three
/// also as printed in teaching texts on contact-breaker ignition).
#[test]
fn dwell_and_sparks() {
    for (cylinders, dwell, percent) in [(4, 45, 50.0), (4, 50, 56.0), (6, 35, 58.0)] {
        let arguments = format!("cylinders={cylinders}; dwell={dwell} deg");
        check("dwell", &arguments, "dwell_percent", PERCENT, percent, 0.5);
        check(
            "dwell",
            &arguments,
            "dwell_crank",
            Unit::Degree,
            f64::from(dwell) * 2.0,
            1e-9,
        );
    }
    check(
        "dwell",
        "cylinders=4; rpm=5000 rpm",
        "sparks",
        Unit::One,
        166.7,
        0.05,
    );
    check(
        "dwell",
        "cylinders=4; rpm=5000 rpm",
        "between",
        Unit::Millisecond,
        6.0,
        0.001,
    );
    check(
        "dwell",
        "cylinders=4; rpm=5000 rpm; dwell=60 deg",
        "closed",
        Unit::Millisecond,
        4.0,
        0.001,
    );
    check(
        "dwell",
        "cylinders=6; rpm=5000 rpm",
        "between",
        Unit::Millisecond,
        4.0,
        0.001,
    );
    check(
        "dwell",
        "cylinders=4; percent=50 %",
        "dwell",
        Unit::Degree,
        45.0,
        1e-9,
    );
    let limits = "cylinders=4; least=47 deg; most=53 deg; dwell=";
    assert_eq!(
        word("dwell", &format!("{limits}46 deg")),
        VerdictWord::BelowLimits
    );
    assert_eq!(word("dwell", &format!("{limits}50 deg")), VerdictWord::InLimits);
    assert_eq!(
        word("dwell", &format!("{limits}54 deg")),
        VerdictWord::AboveLimits
    );
    refused(
        "dwell",
        "cylinders=4; dwell=90 deg",
        RefusalCode::Impossible,
        "dwell",
        "has 90°",
    );
    refused(
        "dwell",
        "cylinders=4",
        RefusalCode::NothingToReckon,
        "",
        "turning speed",
    );
}

/// Source: US Army Ordnance Center and School, subcourse OD1003, lesson 3, learning event 1: of a four-stroke six three cylinders fire in each
/// turn of the crank, so that at 4000 rpm the ignition delivers 12 000 sparks a minute, which is 200 a second.
/// Source: US Army TM 5-4210-230-14&P-1, distributor operation test 4 b: the flashes lie 45° apart on a distributor for eight cylinders and
/// 90° apart on one for four. Source: US Army TM 9-8000, p. 2-18: of four cylinders one begins its power stroke every 180° of the crank.
#[test]
fn ignition_as_manuals_print_it() {
    let six = "cylinders=6; rpm=4000 rpm";
    check("dwell", six, "sparks", Unit::One, 12_000.0 / 60.0, 1e-9);
    check("dwell", six, "between", Unit::Millisecond, 5.0, 1e-9);
    for (cylinders, apart) in [(8, 45.0), (4, 90.0)] {
        let arguments = format!("cylinders={cylinders}; dwell=30 deg");
        check("dwell", &arguments, "each", Unit::Degree, apart, 1e-9);
        // All of it closed would be 100 %: what is printed is what a dwell is a part of.
        check(
            "dwell",
            &arguments,
            "dwell_percent",
            PERCENT,
            30.0 / apart * 100.0,
            1e-9,
        );
        check("dwell", &arguments, "open", Unit::Degree, apart - 30.0, 1e-9);
    }
    let four = "cylinders=4; rpm=1000 rpm";
    check("dwell", four, "each_crank", Unit::Degree, 180.0, 1e-9);
    let answer = ask("dwell", six).unwrap();
    for named in ["OD1003", "TM 5-4210-230-14&P-1", "TM 9-8000"] {
        let published = |source: &reckon::Source| {
            source.words.contains(named) && source.standing == reckon::Standing::Published
        };
        assert!(
            answer.sources.iter().any(published),
            "{named}: {:?}",
            answer.sources
        );
    }
}

/// Derived: 170 mm, 10° gives 14.84 mm; opposite, 267.0 mm round the rim. Common practice: that mark as an aid for valves.
#[test]
fn rim_marks() {
    check(
        "rim_mark",
        "diameter=170 mm; angle=10 deg",
        "arc",
        Unit::Millimetre,
        14.84,
        0.005,
    );
    check(
        "rim_mark",
        "diameter=170 mm; angle=10 deg",
        "opposite",
        Unit::Millimetre,
        267.0,
        0.05,
    );
    check(
        "rim_mark",
        "diameter=170 mm; angle=5 deg; turn=distributor",
        "arc",
        Unit::Millimetre,
        14.84,
        0.005,
    );
    check(
        "rim_mark",
        "diameter=170 mm; angle=180 deg",
        "straight",
        Unit::Millimetre,
        170.0,
        1e-9,
    );
}

/// Source: IEC 60228 class 5: 2.5 mm² 7.98 Ω/km; 5 m there and 5 m back, 10 A: 0.798 V.
#[test]
fn wires() {
    let arguments = "current=10 A; length=5 m; back=wire; area=2.5 mm²";
    check("wire", arguments, "drop", Unit::Volt, 0.798, 0.0005);
    check(
        "wire",
        &arguments.replace("back=wire", "back=chassis"),
        "drop",
        Unit::Volt,
        0.399,
        0.0005,
    );
    // Source: IEC 60028: 0.00393 a kelvin.
    check(
        "wire",
        &format!("{arguments}; insulation=cross_linked; temperature=70 °C"),
        "drop",
        Unit::Volt,
        0.798 * 1.1965,
        0.0005,
    );
    for (area, ohm) in [
        (0.5, 39.0),
        (1.0, 19.5),
        (1.5, 13.3),
        (2.5, 7.98),
        (4.0, 4.95),
        (6.0, 3.30),
        (10.0, 1.91),
        (16.0, 1.21),
    ] {
        check(
            "wire",
            &format!("current=1 A; length=1 m; back=chassis; area={area} mm²"),
            "ohm_per_km",
            Unit::One,
            ohm,
            1e-9,
        );
    }
    // Allowed 0.36 V: 6 mm² loses 0.33 V, 4 mm² 0.495 V.
    check("wire", arguments, "smallest", Unit::SquareMillimetre, 6.0, 1e-9);
    assert!(warned("wire", arguments, "drop"));
    // A short wire loses next to nothing, and still must carry its current.
    let short = "current=30 A; length=100 mm; back=chassis; area=1 mm²";
    check("wire", short, "smallest", Unit::SquareMillimetre, 6.0, 1e-9);
    assert!(warned("wire", short, "too_thin") && !warned("wire", short, "drop"));
    assert!(warned("wire", "current=400 A; length=10 m; back=wire", "none"));
    refused(
        "wire",
        "current=1 A; length=1 m; back=wire; area=1 mm²; gauge=14",
        RefusalCode::Impossible,
        "gauge",
        "contradict each other",
    );
    for pair in CABLES.windows(2) {
        assert!(
            pair[0].area_mm2 < pair[1].area_mm2
                && pair[0].ohm_per_km > pair[1].ohm_per_km
                && pair[0].carries < pair[1].carries
        );
    }
}

/// Source: ASTM B258: 12 AWG 80.808 mil, 1.588 Ω/1000 ft; 14 AWG 64.084 mil, 2.525 Ω/1000 ft.
#[test]
fn american_gauges() {
    for (gauge, mil, ohm) in [(12.0, 80.808, 1.588), (14.0, 64.084, 2.525)] {
        assert!((awg_diameter(gauge).in_thou() - mil).abs() < 0.001, "{gauge}");
        assert!(
            (solid_resistance(awg_area(gauge)) * 0.304_8 - ohm).abs() < 0.001,
            "{gauge}"
        );
        let arguments = format!("current=1 A; length=1000 in; back=chassis; gauge={gauge}");
        check("wire", &arguments, "gauge_diameter", Unit::Thou, mil, 0.001);
    }
}

/// Common practice: 55 W at 12 V asks for 5.73 A, a fuse of 7.5 A; never above what the wire carries.
#[test]
fn fuses() {
    check("fuse", "power=55 W", "wanted", Unit::Ampere, 5.73, 0.005);
    check("fuse", "power=55 W", "fuse", Unit::Ampere, 7.5, 1e-9);
    assert!(warned("fuse", "power=55 W", "wire"));
    assert_eq!(word("fuse", "power=55 W; area=1 mm²"), VerdictWord::InLimits);
    assert_eq!(word("fuse", "power=55 W; area=0.5 mm²"), VerdictWord::AboveLimits);
    assert_eq!(
        word("fuse", "current=20 A; area=2.5 mm²"),
        VerdictWord::AboveLimits
    );
    refused(
        "fuse",
        "power=5000 W",
        RefusalCode::OutOfRange,
        "power",
        "No blade fuse",
    );
    refused(
        "fuse",
        "power=55 W; area=0.2 mm²",
        RefusalCode::OutOfRange,
        "area",
        "thinner than 0.5",
    );
    assert!(FUSES.windows(2).all(|pair| pair[0] < pair[1]));
}

/// Derived (Ohm): 12 to 6 V: R = 6/I, P = 6·I, rated for twice.
#[test]
fn dropping_resistors() {
    let arguments = "supply=12 V; wanted=6 V; current=2 A";
    check("resistor", arguments, "resistance", Unit::Ohm, 3.0, 1e-9);
    check("resistor", arguments, "power", Unit::Watt, 12.0, 1e-9);
    check("resistor", arguments, "rated", Unit::Watt, 24.0, 1e-9);
    refused(
        "resistor",
        "supply=6 V; wanted=12 V; current=1 A",
        RefusalCode::Impossible,
        "wanted",
        "only lowers",
    );
}

/// Derived: 50 lbf, pedal 10 in to 1.25 in, master 1 in: 509.3 psi; the force ratio is the square of the bores'.
#[test]
fn brake_hydraulics() {
    let arguments = "foot=50 lbf; pedal_long=10 in; pedal_short=1.25 in; master=1 in; wheel=0.875 in";
    let answer = ask_in("hydraulics", arguments, &inch()).unwrap();
    check_value(arguments, &answer, "pressure", Unit::Psi, 509.3, 0.05);
    check_value(arguments, &answer, "force_ratio", Unit::One, 0.765_625, 1e-9);
    check_value(
        arguments,
        &answer,
        "wheel_force",
        Unit::PoundForce,
        400.0 * 0.765_625,
        1e-6,
    );
}

/// Common practice: refinish +1.52 mm, discard +2.28 mm; the mark cast in the drum wins.
#[test]
fn drums() {
    let new = "new=228.6 mm; measured=";
    check(
        "drum",
        &format!("{new}229 mm"),
        "refinish",
        Unit::Millimetre,
        230.12,
        1e-9,
    );
    check(
        "drum",
        &format!("{new}229 mm"),
        "discard",
        Unit::Millimetre,
        230.88,
        1e-9,
    );
    assert_eq!(
        word("drum", &format!("{new}230.87 mm; cast=230.88 mm")),
        VerdictWord::InLimits
    );
    // By the rule of thumb alone none is in limits.
    assert_eq!(
        word("drum", &format!("{new}230.87 mm")),
        VerdictWord::TooCloseToCall
    );
    assert_eq!(
        word("drum", &format!("{new}230.88 mm")),
        VerdictWord::TooCloseToCall
    );
    assert_eq!(word("drum", &format!("{new}230.89 mm")), VerdictWord::AboveLimits);
    assert_eq!(
        word("drum", &format!("{new}230.5 mm; cast=230.1 mm")),
        VerdictWord::AboveLimits
    );
    assert!(warned("drum", &format!("{new}229.4 mm; other=229.0 mm"), "apart"));
    assert!(!warned(
        "drum",
        &format!("{new}229.4 mm; other=229.2 mm"),
        "apart"
    ));
    refused(
        "drum",
        "new=228.6 mm; measured=220 mm",
        RefusalCode::Impossible,
        "measured",
        "does not shrink",
    );
}

/// Derived from the marking: 195/65R15 634.5, 205/55R16 631.9, 185/70R14 614.6 mm.
#[test]
fn tyres() {
    for (size, mm) in [
        ("195/65R15", 634.5),
        ("205/55 R 16", 631.9),
        ("185/70R14", 614.6),
        ("185/70 HR 14", 614.6),
        ("P185/70R14 88H", 614.6),
    ] {
        check(
            "tyre",
            &format!("size={size}"),
            "diameter",
            Unit::Millimetre,
            mm,
            0.05,
        );
    }
    // From memory: with no aspect printed, about 82 %.
    check(
        "tyre",
        "size=165R13",
        "diameter",
        Unit::Millimetre,
        330.2 + 2.0 * 165.0 * 0.82,
        0.05,
    );
    assert!(warned("tyre", "size=165R13", "no_aspect"));
    check(
        "tyre",
        "size=185/70R14; other=195/65R15",
        "faster",
        PERCENT,
        (634.5 / 614.6 - 1.0) * 100.0,
        0.01,
    );
    assert!(warned("tyre", "size=185/70R14; other=195/65R15", "faster"));
    for odd in ["tyre", "185/700R14", "5.20-13", "R", "185/70R99"] {
        refused(
            "tyre",
            &format!("size={odd}"),
            RefusalCode::Unclear,
            "size",
            "measure the diameter",
        );
    }
    refused(
        "tyre",
        "other=185/70R14",
        RefusalCode::Missing,
        "size",
        "diameter",
    );
}

/// Derived: rpm = mph · ratio · 336.135 / D in inches; and back.
#[test]
fn gears() {
    let arguments = "diameter=24 in; axle=4.1; speed=60 mph";
    check(
        "gearing",
        arguments,
        "rpm",
        Unit::Rpm,
        60.0 * 4.1 * 336.135 / 24.0,
        0.02,
    );
    check(
        "gearing",
        "diameter=24 in; axle=4.1; rpm=3445.38 rpm",
        "speed",
        Unit::MilePerHour,
        60.0,
        0.001,
    );
    refused(
        "gearing",
        "diameter=24 in; axle=4.1",
        RefusalCode::NothingToReckon,
        "",
        "road speed",
    );
}

/// Source: UN R39: 0 ≤ V1 − V2 ≤ 0.1·V2 + 4: 50 may show 59, 70 may show 81 km/h.
#[test]
fn speedometers() {
    for (truly, most) in [(50.0, 59.0), (70.0, 81.0)] {
        check(
            "speedometer",
            &format!("true_speed={truly} km/h"),
            "most",
            Unit::KilometrePerHour,
            most,
            1e-9,
        );
        let shows = |shown: f64| {
            word(
                "speedometer",
                &format!("true_speed={truly} km/h; shown={shown} km/h"),
            )
        };
        assert_eq!(shows(truly - 0.1), VerdictWord::BelowLimits);
        assert_eq!(shows(truly), VerdictWord::InLimits);
        assert_eq!(shows(most), VerdictWord::InLimits);
        assert_eq!(shows(most + 0.1), VerdictWord::AboveLimits);
    }
}

/// Derived: 8 L at 33 % to 50 % with concentrate: 2.03 L.
#[test]
fn coolants() {
    check(
        "coolant",
        "capacity=8 L; present=33 %; wanted=50 %",
        "drain",
        Unit::Litre,
        2.03,
        0.005,
    );
    check(
        "coolant",
        "capacity=8 L; present=50 %; wanted=33 %; refill=0 %",
        "drain",
        Unit::Litre,
        2.72,
        0.005,
    );
    check(
        "coolant",
        "capacity=8 L; present=50 %; wanted=50 %; refill=50 %",
        "drain",
        Unit::Litre,
        0.0,
        1e-12,
    );
    refused(
        "coolant",
        "capacity=8 L; present=50 %; wanted=33 %",
        RefusalCode::Impossible,
        "refill",
        "never reached",
    );
}

/// Source: US Army TM 9-6115-464-12 (and TM 5-6115-400-12 alike), table 2-1, note 1: 60 % by volume is 4.8 pints of glycol in each gallon of
/// solution; a gallon has 8 pints. Note 3: one part of glycol to two parts of water is what a tester is tried with.
/// Source: US Army Ordnance Center and School, subcourse OD1001, lesson 5, learning event 2: 40 % of water and 60 % of glycol.
#[test]
fn coolant_as_manuals_print_it() {
    // Out of plain water: as much is drained and filled up as the mixture then has of concentrate.
    let arguments = "capacity=1 US gal; present=0 %; wanted=60 %";
    let pint = |key: &str| {
        let answer = ask_in("coolant", arguments, &inch()).unwrap();
        value_in(&answer, key, Unit::GallonUs) * 8.0
    };
    assert!(
        (pint("concentrate") - 4.8).abs() < 1e-9,
        "{}",
        pint("concentrate")
    );
    assert!((pint("drain") - 4.8).abs() < 1e-9, "{}", pint("drain"));
    // Out of plain glycol the water: 40 % of the whole.
    let water = "capacity=10 L; present=100 %; wanted=60 %; refill=0 %";
    check("coolant", water, "drain", Unit::Litre, 4.0, 1e-9);
    // One part to two parts, of three in all.
    let tester = "capacity=3 L; present=0 %; wanted=33.333333333 %";
    check("coolant", tester, "concentrate", Unit::Litre, 1.0, 1e-6);
    let answer = ask("coolant", arguments).unwrap();
    assert!(answer.sources.iter().any(|source| {
        source.words.contains("TM 9-6115-464-12") && source.standing == reckon::Standing::Published
    }));
}

/// Source: UFC 3-190-06 (MIL-HDBK-1110), 2.1.5 Spreading Rate: a US gallon at 1 mil wet covers 1600 ft²; of 100 % solids 1600, 800, 400 ft² at
/// 1, 2, 4 mil dry, of 50 % solids 400, 200 ft² at 2, 4 mil; dry = wet × percent solids by volume / 100. Rounded there from 1604, so 0.3 %.
/// The same table prints 600 ft² for 50 % at 1 mil: a slip for 800, the half of 1600.
#[test]
fn paint_as_the_manual_prints_it() {
    for (solids, mil, square_feet) in [
        (100, 1, 1_600.0),
        (100, 2, 800.0),
        (100, 4, 400.0),
        (50, 1, 800.0),
        (50, 2, 400.0),
        (50, 4, 200.0),
    ] {
        let arguments = format!("solids={solids} %; dry={mil} thou");
        let answer = ask_in("paint", &arguments, &inch()).unwrap();
        check_value(
            &arguments,
            &answer,
            "coverage",
            Unit::One,
            square_feet,
            square_feet * 0.003,
        );
        let wet = value_in(&answer, "wet", Unit::Thou);
        assert!((wet * f64::from(solids) / 100.0 - f64::from(mil)).abs() < 1e-9);
    }
    let answer = ask("paint", "solids=50 %; dry=50 µm").unwrap();
    assert!(answer.sources.iter().any(|source| {
        source.words.contains("UFC 3-190-06") && source.standing == reckon::Standing::Published
    }));
}

/// Source: the coverage constant of painters' handbooks, 1604 ft² a US gallon at 1 mil: 65 % at 5 mil is 208.5; with 65 %, 125 µm 5.2 m²/L.
#[test]
fn paint_goes_far() {
    check(
        "paint",
        "solids=65 %; dry=125 µm",
        "coverage",
        Unit::One,
        5.2,
        0.005,
    );
    check(
        "paint",
        "solids=50 %; dry=50 µm",
        "coverage",
        Unit::One,
        10.0,
        1e-9,
    );
    check(
        "paint",
        "solids=65 %; dry=50 µm",
        "wet",
        Unit::Micrometre,
        76.9,
        0.05,
    );
    let inches = ask_in("paint", "solids=100 %; dry=1 thou", &inch()).unwrap();
    check_value("1 mil", &inches, "coverage", Unit::One, 1_604.0, 0.5);
    let five = ask_in("paint", "solids=65 %; dry=5 thou", &inch()).unwrap();
    check_value("5 mil", &five, "coverage", Unit::One, 208.52, 0.05);
    // Common practice: spray loses half, a brush 15 %.
    check(
        "paint",
        "solids=50 %; dry=50 µm; area=4 m²; coats=2",
        "buy",
        Unit::Litre,
        1.6,
        1e-9,
    );
    check(
        "paint",
        "solids=50 %; dry=50 µm; area=4 m²; method=brush",
        "buy",
        Unit::Litre,
        0.4 / 0.85,
        1e-9,
    );
}

/// Derived: 4:1:1 of 1.2 L is 0.8, 0.2, 0.2 L.
#[test]
fn paint_in_parts() {
    let answer = ask("paint", "parts=4, 1, 1; mixed=1.2 L").unwrap();
    let volumes: Vec<f64> = answer.tables[0]
        .lines
        .iter()
        .map(|line| line.values[1].value)
        .collect();
    for (found, wanted) in volumes.iter().zip([0.8, 0.2, 0.2]) {
        assert!((found - wanted).abs() < 1e-9);
    }
    refused(
        "paint",
        "parts=4, 1, 1",
        RefusalCode::Missing,
        "mixed",
        "How much",
    );
    refused("paint", "solids=50 %", RefusalCode::Missing, "solids", "together");
    refused("paint", "coats=2", RefusalCode::NothingToReckon, "", "solids");
}

/// Derived with handbook coefficients: 38 µm on 30 mm of steel takes 110 K. Bearings: 120 and 80 °C by mounting guides.
#[test]
fn heat() {
    let arguments = "diameter=30 mm; material=steel; interference=18 µm; clearance=20 µm";
    check(
        "heat_fit",
        arguments,
        "warmer",
        Unit::Kelvin,
        110.0 + 273.15 - 273.15,
        0.2,
    );
    check("heat_fit", arguments, "heat_to", Unit::Celsius, 130.1, 0.1);
    assert!(warned(
        "heat_fit",
        &format!("{arguments}; part=open_bearing"),
        "too_hot"
    ));
    assert!(!warned(
        "heat_fit",
        &format!("{arguments}; part=other"),
        "too_hot"
    ));
    assert!(warned(
        "heat_fit",
        "diameter=30 mm; material=steel; hot=90 °C; part=sealed_bearing",
        "too_hot"
    ));
    for (material, part) in [
        ("steel", 11.5),
        ("iron", 11.4),
        ("aluminium", 21.5),
        ("magnesium", 26.0),
        ("bronze", 18.0),
    ] {
        let arguments = format!("diameter=100 mm; material={material}; hot=120 °C");
        check(
            "heat_fit",
            &arguments,
            "grows",
            Unit::Micrometre,
            part * 10.0,
            1e-6,
        );
    }
    refused(
        "heat_fit",
        "diameter=30 mm; material=steel",
        RefusalCode::NothingToReckon,
        "",
        "how hot",
    );
    refused(
        "heat_fit",
        "diameter=5 mm; material=steel; interference=0.1 mm",
        RefusalCode::Impossible,
        "interference",
        "alone does not",
    );
}

/// Source: ISO 286: 50 mm H8/f7 +39/0, −25/−50; 25 mm H7/h6 plays 0 to 34 µm; H7 21, 25, 30 µm; 30 mm is of 18 to 30.
#[test]
fn fits() {
    let um = Unit::Micrometre;
    for (key, value) in [
        ("hole_upper", 39.0),
        ("hole_lower", 0.0),
        ("shaft_upper", -25.0),
        ("shaft_lower", -50.0),
        ("play_least", 25.0),
        ("play_most", 89.0),
    ] {
        check(
            "iso_fit",
            "nominal=50 mm; hole=H8; shaft=f7",
            key,
            um,
            value,
            1e-6,
        );
    }
    check(
        "iso_fit",
        "nominal=25 mm; hole=H7; shaft=h6",
        "play_least",
        um,
        0.0,
        1e-6,
    );
    check(
        "iso_fit",
        "nominal=25 mm; hole=H7; shaft=h6",
        "play_most",
        um,
        34.0,
        1e-6,
    );
    for (nominal, tolerance) in [
        (25.0, 21.0),
        (30.0, 21.0),
        (30.001, 25.0),
        (50.0, 25.0),
        (80.0, 30.0),
    ] {
        assert_eq!(
            tolerance_um(Length::from_mm(nominal), 7),
            Some(tolerance),
            "{nominal}"
        );
    }
    assert_eq!(
        word("iso_fit", "nominal=25 mm; hole=H7; shaft=k6"),
        VerdictWord::TooCloseToCall
    );
    assert_eq!(tolerance_um(Length::from_mm(501.0), 7), None);
    assert!(hole(Length::from_mm(25.0), "J7").is_none() && shaft(Length::from_mm(25.0), "q6").is_none());
    refused(
        "iso_fit",
        "nominal=25 mm",
        RefusalCode::NothingToReckon,
        "",
        "class",
    );
}

/// Source: ISO 286-1: i = 0.45·∛D + 0.001·D with D the geometric mean of the band; IT6 10 i, IT7 16 i, IT8 25 i. The tables round it.
#[test]
fn tables_follow_the_formula() {
    let ends = [
        18.0_f64, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0,
    ];
    for pair in ends.windows(2) {
        let mean = (pair[0] * pair[1]).sqrt();
        let i = 0.45 * libm::cbrt(mean) + 0.001 * mean;
        for (grade, times) in [(6, 10.0), (7, 16.0), (8, 25.0), (9, 40.0)] {
            let table = tolerance_um(Length::from_mm(pair[1]), grade).unwrap();
            assert!(
                (table - times * i).abs() <= 0.02 * table + 0.5,
                "IT{grade} to {}: {table} and {}",
                pair[1],
                times * i
            );
        }
        // Fundamental deviations of f and g: 5.5·D^0.41 and 2.5·D^0.34.
        let zone = |name| shaft(Length::from_mm(pair[1]), name).unwrap();
        assert!(
            (-zone("f7").upper_um - 5.5 * libm::pow(mean, 0.41)).abs() < 1.0,
            "f to {}",
            pair[1]
        );
        assert!(
            (-zone("g6").upper_um - 2.5 * libm::pow(mean, 0.34)).abs() < 1.0,
            "g to {}",
            pair[1]
        );
        // n: 5·D^0.34.
        assert!(
            (zone("n6").lower_um - 5.0 * libm::pow(mean, 0.34)).abs() < 1.5,
            "n to {}",
            pair[1]
        );
    }
}

proptest! {
    #![proptest_config(seed::cases(800))]

    /// Where physics says more, it is more.
    #[test]
    fn monotonic(amount in 1.0..40.0_f64, more in 1.01..2.0_f64) {
        let value = |name: &str, arguments: String, key: &str, unit: Unit| value_in(&ask(name, &arguments).unwrap(), key, unit);
        let drop = |amps: f64| value("wire", format!("current={amps} A; length=3 m; back=wire; area=4 mm²"), "drop", Unit::Volt);
        prop_assert!(drop(amount * more) > drop(amount));
        let bore = |mm: f64| value("displacement", format!("bore={mm} mm; stroke=70 mm; cylinders=4"), "displacement", Unit::CubicCentimetre);
        prop_assert!(bore((40.0 + amount) * more) > bore(40.0 + amount));
        let rpm = |speed: f64| value("gearing", format!("diameter=600 mm; axle=4; speed={speed} m/s"), "rpm", Unit::Rpm);
        prop_assert!(rpm(amount * more) > rpm(amount));
        let pressure = |foot: f64| value("hydraulics", format!("foot={foot} N; pedal_long=250 mm; pedal_short=50 mm; master=20 mm"), "pressure", Unit::Bar);
        prop_assert!(pressure(amount * more) > pressure(amount));
        let coverage = |dry: f64| value("paint", format!("solids=50 %; dry={dry} µm"), "coverage", Unit::One);
        prop_assert!(coverage((5.0 + amount) * more) < coverage(5.0 + amount));
        let warmer = |d: f64| value("heat_fit", format!("diameter={d} mm; material=steel; interference=10 µm"), "warmer", Unit::Kelvin);
        prop_assert!(warmer((10.0 + amount) * more) < warmer(10.0 + amount));
    }

    /// There and back: a wanted ratio's chamber gives that ratio, and a wanted displacement's bore that displacement.
    #[test]
    fn displacement_inverses(bore in 50.0..110.0_f64, stroke in 50.0..110.0_f64, ratio in 6.0..12.0_f64) {
        let engine = format!("bore={bore} mm; stroke={stroke} mm; cylinders=4");
        let wanted = ask("displacement", &format!("{engine}; wanted_ratio={ratio}")).unwrap();
        let chamber = value_in(&wanted, "chamber_wanted", Unit::CubicCentimetre);
        let back = ask("displacement", &format!("{engine}; chamber={chamber:.9} cc")).unwrap();
        prop_assert!((value_in(&back, "compression_ratio", Unit::One) - ratio).abs() < 1e-6);
        let total = value_in(&back, "displacement", Unit::CubicCentimetre);
        let again = ask("displacement", &format!("bore=60 mm; stroke={stroke} mm; cylinders=4; wanted_displacement={total:.9} cc")).unwrap();
        prop_assert!((value_in(&again, "bore_wanted", Unit::Millimetre) - bore).abs() < 1e-6);
    }
}
