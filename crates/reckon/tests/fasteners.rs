//! Thread stripping, strengths, the aircraft table, orders of tightening, thread identification and drills. Each check names its
//! source.
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
use reckon::fastener::{Family, Thread, identify, internal_shear_area, thread_sizes};
use reckon::pattern::{circle, rectangle};
use reckon::{Answer, Length, RefusalCode, Unit};

#[track_caller]
fn check(name: &str, arguments: &str, key: &str, unit: Unit, expected: f64, part: f64) {
    let answer = ask(name, arguments).unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"));
    check_value(arguments, &answer, key, unit, expected, expected.abs() * part);
}

/// Source: FED-STD-H28/2: per inch of engagement 1/4-20 (0.2408, 0.2224) 0.539 in², 3/8-16 (0.3643, 0.3401) 0.828 in².
#[test]
fn stripping_areas() {
    for (thread, bolt, nut, area) in [
        ("1/4-20", 0.2408, 0.2224, 0.539),
        ("3/8-16", 0.3643, 0.3401, 0.828),
    ] {
        let arguments =
            format!("thread={thread}; engagement=1 in; bolt_least={bolt} in; nut_pitch_most={nut} in");
        check(
            "thread_strip",
            &arguments,
            "shear_area",
            Unit::SquareInch,
            area,
            0.005,
        );
        // The tolerances by formula come to the same diameters.
        check(
            "thread_strip",
            &format!("thread={thread}; engagement=1 in"),
            "shear_area",
            Unit::SquareInch,
            area,
            0.005,
        );
        let read = Thread::read(thread).unwrap();
        assert!((read.least_major().in_inch() - bolt).abs() < 0.000_1, "{thread}");
        assert!(
            (read.most_nut_pitch_diameter().in_inch() - nut).abs() < 0.000_1,
            "{thread}"
        );
    }
    // Source: ISO 965-1: an M10 6g bolt is 9.732 mm at least; its table rounds the formula by 3 µm.
    assert!((Thread::read("M10").unwrap().least_major().in_mm() - 9.732).abs() < 0.004);
}

/// Derived, and common practice (shear 0.577 of tensile): at the depth named, bolt and thread are even.
#[test]
fn the_bolt_breaks_first() {
    let arguments = "thread=M8; class=8.8; strength=200 MPa; engagement=";
    let deep = value_in(
        &ask("thread_strip", &format!("{arguments}10 mm")).unwrap(),
        "deep_enough",
        Unit::Millimetre,
    );
    let even = ask("thread_strip", &format!("{arguments}{deep} mm")).unwrap();
    let (strips, breaks) = (
        value_in(&even, "strips_at", Unit::Kilonewton),
        value_in(&even, "breaks_at_most", Unit::Kilonewton),
    );
    assert!((strips - breaks).abs() < 0.01 * breaks);
    let short = ask("thread_strip", &format!("{arguments}{} mm", deep * 0.8)).unwrap();
    assert!(short.warnings.iter().any(|w| w.key == "strips_first"));
    refused(
        "thread_strip",
        "thread=M8; engagement=10 mm; bolt_least=6 mm; nut_pitch_most=7.5 mm",
        RefusalCode::Impossible,
        "bolt_least",
        "would not engage",
    );
}

fn carries(answer: &Answer, class: &str, key: &str) -> f64 {
    let line = answer.tables[0]
        .lines
        .iter()
        .find(|line| line.words.contains(class))
        .unwrap();
    line.values.iter().find(|value| value.key == key).unwrap().value
}

/// Source: ISO 898-1 proof loads in N: M6 8.8 11 600, M8 8.8 21 200, M10 8.8 33 700; areas M6 20.1 … M12 84.3 mm².
#[test]
fn proof_loads() {
    for (thread, area, proof) in [("M6", 20.1, 11.6), ("M8", 36.6, 21.2), ("M10", 58.0, 33.7)] {
        check(
            "bolt_strength",
            &format!("thread={thread}"),
            "stress_area",
            Unit::SquareMillimetre,
            area,
            0.003,
        );
        let found = carries(
            &ask("bolt_strength", &format!("thread={thread}")).unwrap(),
            "class 8.8",
            "proof",
        );
        assert!((found / proof - 1.0).abs() < 0.007, "{thread}: {found}");
    }
    check(
        "bolt_strength",
        "thread=M12",
        "stress_area",
        Unit::SquareMillimetre,
        84.3,
        0.003,
    );
}

/// Source: SAE J429 proof, yield and tensile in kpsi, by the areas of ASME B1.1.
#[test]
fn sae_grades() {
    for (thread, area) in [
        ("1/4-20", 0.0318),
        ("1/4-28", 0.0364),
        ("3/8-16", 0.0775),
        ("3/8-24", 0.0878),
        ("1/2-13", 0.1419),
        ("1/2-20", 0.1599),
    ] {
        let answer = ask_in("bolt_strength", &format!("thread={thread}"), &inch()).unwrap();
        check_value(
            thread,
            &answer,
            "stress_area",
            Unit::SquareInch,
            area,
            area * 0.005,
        );
        for (grade, proof, yields, breaking) in [
            ("grade 2", 55.0, 57.0, 74.0),
            ("grade 5", 85.0, 92.0, 120.0),
            ("grade 8", 120.0, 130.0, 150.0),
        ] {
            for (key, stress) in [("proof", proof), ("yield", yields), ("breaking", breaking)] {
                let found = carries(&answer, grade, key);
                assert!(
                    (found / (stress * 1_000.0 * area) - 1.0).abs() < 0.005,
                    "{thread} {grade} {key}: {found}"
                );
            }
        }
    }
    let above = ask_in("bolt_strength", "thread=7/8-9", &inch()).unwrap();
    let area = value_in(&above, "stress_area", Unit::SquareInch);
    assert!((carries(&above, "grade 2", "proof") / (33_000.0 * area) - 1.0).abs() < 1e-6);
}

/// Source: FAA AC 43.13-1B, table 7-1, in lbf·in; the other rows are from memory and say so.
#[test]
fn aircraft_table() {
    for (thread, low, high, most) in [
        ("10-32", 20.0, 25.0, 40.0),
        ("1/4-28", 50.0, 70.0, 100.0),
        ("5/16-24", 100.0, 140.0, 225.0),
        ("3/8-24", 160.0, 190.0, 390.0),
    ] {
        let arguments = format!("thread={thread}");
        for (key, value) in [("torque_low", low), ("torque_high", high), ("torque_most", most)] {
            check(
                "aircraft_torque",
                &arguments,
                key,
                Unit::PoundForceInch,
                value,
                1e-9,
            );
        }
        assert!(
            ask("aircraft_torque", &arguments)
                .unwrap()
                .sources
                .iter()
                .any(|s| s.standing == reckon::Standing::Published)
        );
    }
    refused(
        "aircraft_torque",
        "thread=M8",
        RefusalCode::Impossible,
        "thread",
        "not in it",
    );
}

#[track_caller]
fn ring(bolts: usize, expected: &str) {
    let order: Vec<String> = circle(bolts).iter().map(|bolt| (bolt + 1).to_string()).collect();
    assert_eq!(order.join("-"), expected);
    let answer = ask(
        "tightening",
        &format!("shape=circle; bolts={bolts}; torque=60 N·m"),
    )
    .unwrap();
    let told: Vec<String> = answer.tables[0]
        .lines
        .iter()
        .map(|line| line.values[1].value.to_string())
        .collect();
    assert_eq!(told.join("-"), expected);
}

/// Source: ASME PCC-1, legacy cross-pattern (four bolts: common practice); stages 30, 60, 100 % and a last round.
#[test]
fn orders_of_tightening() {
    ring(4, "1-3-2-4");
    ring(8, "1-5-3-7-2-6-4-8");
    ring(16, "1-9-5-13-3-11-7-15-2-10-6-14-4-12-8-16");
    let answer = ask("tightening", "shape=circle; bolts=8; torque=60 N·m").unwrap();
    let torques: Vec<f64> = answer.tables[1]
        .lines
        .iter()
        .map(|line| line.values[1].value)
        .collect();
    assert_eq!(torques, [18.0, 36.0, 60.0, 60.0]);
    assert!(
        answer
            .conditions
            .iter()
            .any(|c| c.words.contains("8-4-6-2-7-3-5-1"))
    );
    refused(
        "tightening",
        "shape=circle; bolts=8; stages=60, 30, 100 %",
        RefusalCode::Impossible,
        "stages",
        "must rise",
    );
    refused(
        "tightening",
        "shape=circle; bolts=8; stages=30, 60 %",
        RefusalCode::Impossible,
        "stages",
        "100 %",
    );
    refused(
        "tightening",
        "shape=rectangle; rows=2",
        RefusalCode::Missing,
        "columns",
        "each row",
    );
    refused(
        "tightening",
        "shape=circle",
        RefusalCode::Missing,
        "bolts",
        "number of bolts",
    );
    // The headline is the order itself; a long one shows its beginning, and how many they are.
    for (bolts, shown) in [
        (8, "1-5-3-7-2-6-4-8"),
        (16, "1-9-5-13-3-11-7-15-2-10-6-14-4-12-8-16"),
        (4, "1-3-2-4"),
    ] {
        let answer = ask("tightening", &format!("shape=circle; bolts={bolts}")).unwrap();
        assert_eq!(answer.values[0].text, shown);
        assert!((answer.values[0].value - f64::from(bolts)).abs() < 1e-12);
    }
    let long = ask("tightening", "shape=circle; bolts=20").unwrap();
    assert!(
        long.values[0].text.ends_with("-…") && long.values[0].words.contains("20 bolts"),
        "{:?}",
        long.values[0]
    );
    // From memory: a head of two rows of five starts in the middle and ends at the ends.
    let head = rectangle(2, 5);
    assert_eq!(head[..2], [2, 7]);
    assert!(head[6..].iter().all(|bolt| matches!(bolt % 5, 0 | 4)));
}

#[test]
fn orders_are_permutations_of_opposite_pairs() {
    for bolts in 1..=48 {
        let order = circle(bolts);
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, (0..bolts).collect::<Vec<_>>());
        if bolts % 2 == 0 {
            for pair in order.chunks(2) {
                assert_eq!((pair[0] + bolts / 2) % bolts, pair[1], "{bolts}: {order:?}");
            }
        }
        if bolts % 4 == 0 {
            for four in order.chunks(4) {
                assert_eq!((four[0] + bolts / 4) % bolts, four[2], "{bolts}: {order:?}");
            }
        }
    }
    for rows in 1..=6 {
        for columns in 1..=12 {
            let order = rectangle(rows, columns);
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert_eq!(sorted, (0..rows * columns).collect::<Vec<_>>());
            // Never inwards again, along the rows.
            let out: Vec<usize> = order
                .iter()
                .map(|bolt| (2 * (bolt % columns)).abs_diff(columns - 1))
                .collect();
            assert!(
                out.windows(2).all(|pair| pair[0] <= pair[1]),
                "{rows}×{columns}: {order:?}"
            );
        }
    }
}

fn names(arguments: &str) -> Vec<String> {
    let answer = ask("thread_identify", arguments).unwrap();
    answer.tables[0]
        .lines
        .iter()
        .map(|line| line.words.clone())
        .collect()
}

/// Sources: ISO 261 and BS 93 (6.0 × 1.00 is M6 or 0 BA), ASME B1.1 and BS 84 (6.35 × 1.27 is 1/4 UNC or 1/4 BSW; 1/2 has 13 or 12).
#[test]
fn threads_that_are_alike() {
    let six = names("diameter=6.0 mm; pitch=1.00 mm");
    assert!(
        six[..2].iter().any(|n| n.starts_with("M6×1")) && six[..2].iter().any(|n| n.starts_with("0 BA")),
        "{six:?}"
    );
    let quarter = names("diameter=6.35 mm; pitch=1.27 mm");
    assert!(
        quarter[0].starts_with("1/4-20 UNC") && quarter[1].starts_with("1/4 BSW"),
        "{quarter:?}"
    );
    assert!(quarter[0].contains("60°") && quarter[1].contains("55°"));
    let half = names("diameter=12.6 mm; per_inch=13");
    assert!(
        half[0].starts_with("1/2-13 UNC") && !half.iter().any(|n| n.contains("1/2 BSW")),
        "{half:?}"
    );
    let whitworth = names("diameter=12.6 mm; per_inch=12");
    assert!(whitworth[0].starts_with("1/2 BSW"), "{whitworth:?}");
    // Source: ISO 965-1: M10 6g measures 9.732 to 9.968.
    for measured in ["9.732", "9.85", "9.968"] {
        assert!(names(&format!("diameter={measured} mm; pitch=1.5 mm"))[0].starts_with("M10×1.5"));
    }
    // A hole: 1/4-20 UNC tapped measures 0.196 to 0.207 in over the crests (ASME B1.1, from memory).
    let hole = names("diameter=0.201 in; per_inch=20; side=inside");
    assert!(
        hole.iter().take(2).any(|n| n.starts_with("1/4-20 UNC")),
        "{hole:?}"
    );
    assert!(names("diameter=9.728 mm; per_inch=28")[0].starts_with("G 1/8"));
    assert!(names("diameter=0.400 in; per_inch=27")[0].starts_with("1/8-27 NPT"));
    assert!(
        ask("thread_identify", "diameter=40 mm; pitch=0.2 mm")
            .unwrap()
            .warnings
            .iter()
            .any(|w| w.key == "none")
    );
    refused(
        "thread_identify",
        "diameter=6 mm",
        RefusalCode::Missing,
        "pitch",
        "threads per inch",
    );
}

/// Source: BS 93: p = 0.9^k and D = 6·p^1.2, each to two figures.
#[test]
fn ba_sizes_follow_their_formula() {
    let two = |value: f64| {
        let text = format!("{value:.1e}");
        text.parse::<f64>().unwrap()
    };
    let mut counted = 0;
    for size in thread_sizes().filter(|size| size.family == Family::Ba) {
        let k: i32 = size.name().trim_end_matches(" BA").parse().unwrap();
        let pitch = two(libm::pow(0.9, f64::from(k)));
        assert!(
            (size.pitch.in_mm() - pitch).abs() < 1e-9,
            "{k} BA: {} and {pitch}",
            size.pitch.in_mm()
        );
        // From the pitch before it is rounded: 13 BA is 1.2, not 1.1.
        let diameter = two(6.0 * libm::pow(libm::pow(0.9, f64::from(k)), 1.2));
        assert!(
            (size.major.in_mm() - diameter).abs() < 1e-9,
            "{k} BA: {} and {diameter}",
            size.major.in_mm()
        );
        counted += 1;
    }
    assert_eq!(counted, 17);
}

/// Each size of every family is first, or tied first, from its own nominal measures.
#[test]
fn every_size_knows_itself() {
    for size in thread_sizes() {
        let found = identify(size.major, size.pitch, false);
        let own = found
            .iter()
            .find(|likeness| likeness.size == size)
            .unwrap_or_else(|| panic!("{}", size.name()));
        assert!(
            own.unlike <= found[0].unlike + 1e-9,
            "{}: {} is likelier",
            size.name(),
            found[0].size.name()
        );
        // Tied with others only where these have the same nominal measures to a caliper.
        let place = found.iter().position(|likeness| likeness.size == size).unwrap();
        assert!(
            place < 3,
            "{} is {place}: {:?}",
            size.name(),
            found.iter().take(4).map(|l| l.size.name()).collect::<Vec<_>>()
        );
    }
    assert!(thread_sizes().count() > 240);
}

/// With a caliper's error of up to 0.05 mm the true metric or Unified size is among the first three.
#[test]
fn a_calipers_error_is_borne() {
    let own = |size: &reckon::fastener::ThreadSize| {
        !matches!(
            size.family,
            Family::Bsw | Family::Bsf | Family::Ba | Family::Bsp | Family::Npt
        )
    };
    let mut asked = 0;
    for size in thread_sizes().filter(own) {
        for hundredths in -10..=10 {
            let error = f64::from(hundredths) * 0.005;
            let found = identify(size.major + Length::from_mm(error), size.pitch, false);
            let first: Vec<String> = found
                .iter()
                .take(3)
                .map(|likeness| likeness.size.name())
                .collect();
            assert!(
                first.contains(&size.name()),
                "{} with {error}: {first:?}",
                size.name()
            );
            asked += 1;
        }
    }
    assert!(asked > 3_000, "{asked}");
}

/// Derived from the basic profile of ISO 724: M8 about 6.8, M10 8.5; M8 with 6.8 leaves 73.9 %.
#[test]
fn drills() {
    check("tap_drill", "thread=M8", "drill", Unit::Millimetre, 6.8, 1e-9);
    check("tap_drill", "thread=M10", "drill", Unit::Millimetre, 8.5, 1e-9);
    check(
        "tap_drill",
        "thread=M8; drill=6.8 mm",
        "thread_percent_drill",
        Unit::Percent,
        73.9,
        0.001,
    );
    refused(
        "tap_drill",
        "thread=M8; drill=8 mm",
        RefusalCode::Impossible,
        "drill",
        "no sound thread",
    );
}

/// Common practice: ±25 %.
#[test]
fn preload_scatters() {
    let answer = ask("torque", "torque=50 N·m; thread=M10; factor=0.2").unwrap();
    let preload = value_in(&answer, "preload_by_nut_factor", Unit::Kilonewton);
    assert!((preload - 25.0).abs() < 1e-6);
    check_value("", &answer, "preload_least", Unit::Kilonewton, 18.75, 1e-6);
    check_value("", &answer, "preload_most", Unit::Kilonewton, 31.25, 1e-6);
}

proptest! {
    #![proptest_config(seed::cases(3_000))]

    /// More engagement, a thicker bolt or a tighter nut shears more.
    #[test]
    fn shear_area_grows(engagement in 1.0..50.0_f64, more in 1.01..3.0_f64) {
        let thread = Thread::read("M8").unwrap();
        let area = |engagement: f64, bolt: f64, nut: f64| {
            internal_shear_area(&thread, Length::from_mm(engagement), Length::from_mm(bolt), Length::from_mm(nut)).in_mm2()
        };
        prop_assert!(area(engagement * more, 7.8, 7.3) > area(engagement, 7.8, 7.3));
        prop_assert!(area(engagement, 7.9, 7.3) > area(engagement, 7.8, 7.3));
        prop_assert!(area(engagement, 7.8, 7.4) < area(engagement, 7.8, 7.3));
    }
}
