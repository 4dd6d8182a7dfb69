//! Check values that no other test asserts, section by section (A displacement … L vehicle number), each with its source; and the
//! ranges outside which an argument is refused.
//!
//! The other files hold the rest of each section: `displacement`, `ring_gap`, `wear_and_fit`, `torque`, `fasteners`, `uncertainty` and
//! `round_the_car`.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;

use ask::{ask, ask_in, check_value, inch, value_in};
use reckon::electric::solid_resistance;
use reckon::fastener::{Class, Family, Thread, thread_sizes};
use reckon::uncertainty::InstrumentKind;
use reckon::{Answer, Area, Expect, Standing, Unit, calculation, parse};

#[track_caller]
fn check(name: &str, arguments: &str, key: &str, unit: Unit, expected: f64, tolerance: f64) {
    let answer = ask(name, arguments).unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"));
    check_value(arguments, &answer, key, unit, expected, tolerance);
}

/// Is a source that says this named, and does it weigh as much?
#[track_caller]
fn names(answer: &Answer, says: &str, standing: Standing) {
    let named = answer
        .sources
        .iter()
        .any(|source| source.words.contains(says) && source.standing == standing);
    assert!(named, "no {says}, {standing:?}: {:?}", answer.sources);
}

/// Outside these, in base units (mm, mm², mm³, °, V, A), an argument is refused. What lies behind each is common practice: what is
/// outside is a slip sooner than an engine. B gap and k; D diameter, friction and nut factor; G rim; H voltage, current, area, length.
#[test]
fn what_is_refused() {
    for (name, arguments, low, high) in [
        ("displacement", "bore stroke", 20.0, 250.0),
        ("displacement", "cylinders", 1.0, 16.0),
        ("displacement", "wanted_ratio", 3.0, 25.0),
        ("ring_gap", "gap", 0.0, 3.0),
        ("ring_gap", "low high", 0.05, 3.0),
        ("torque", "diameter", 1.0, 100.0),
        ("torque", "friction friction_thread friction_head", 0.04, 0.4),
        ("torque", "factor", 0.05, 0.5),
        ("rim_mark", "diameter", 50.0, 500.0),
        ("wire", "voltage", 1.0, 60.0),
        ("wire", "current", 0.01, 500.0),
        ("wire", "area", 0.05, 120.0),
        ("fuse", "voltage", 1.0, 60.0),
        ("fuse", "area", 0.05, 120.0),
        ("resistor", "supply wanted", 1.0, 60.0),
        ("resistor", "current", 0.01, 500.0),
    ] {
        for argument in arguments.split(' ') {
            let found = calculation(name)
                .unwrap()
                .arguments
                .iter()
                .find(|one| one.name == argument)
                .unwrap();
            let range = found
                .reject
                .unwrap_or_else(|| panic!("{name} {argument}: no range"));
            assert_eq!((range.low, range.high), (low, high), "{name} {argument}");
        }
    }
    // Ends that stand alone: k at most 0.01, a wire of 30 m at most, more than nought of clearance volume.
    let most = |name: &str, argument: &str| {
        let arguments = calculation(name).unwrap().arguments;
        arguments
            .iter()
            .find(|one| one.name == argument)
            .unwrap()
            .reject
            .unwrap()
            .high
    };
    assert_eq!(
        (most("ring_gap", "factor"), most("wire", "length")),
        (0.01, 30_000.0)
    );
    assert!(
        ask(
            "displacement",
            "bore=80 mm; stroke=80 mm; cylinders=4; chamber=12 cc; dome=12 cc"
        )
        .is_err()
    );
}

/// A. Source: NIST SP 811, B.8: an inch is 25.4 mm exactly, so 1 in³ = 16.387064 cm³ exactly.
#[test]
fn a_cubic_inch() {
    assert_eq!(parse("1 in³", Expect::volume()).unwrap().value(), 16.387_064);
    // Source: 40 CFR 86.419-78(a)(1): nominal dimensions, whole cm³; half a cm³ goes up. 61.803 × 100 × 1 is 300.00 cm³.
    let answer = ask("displacement", "bore=80 mm; stroke=61.5 mm; cylinders=2").unwrap();
    names(&answer, "40 CFR 86.419-78(a)(1)", Standing::Published);
}

/// B. From memory (machinists' handbooks): 0.003 to 0.004 in of least gap per in of bore; the least that is named here lies inside. What
/// manuals print is in `ring_gap`.
#[test]
fn the_least_ring_gap_of_handbooks() {
    for bore in [3.0, 4.0] {
        let answer = ask_in("ring_gap", &format!("bore={bore} in; use=minimum"), &inch()).unwrap();
        let gap = value_in(&answer, "gap_low", Unit::Inch);
        assert!((0.003 * bore..=0.004 * bore).contains(&gap), "{bore}: {gap}");
    }
    // Common practice: a leaf is good to ±0.00035 in, two to twice that.
    check(
        "feelers",
        "gap=0.30 mm; leaves=0.30 mm",
        "tolerance",
        Unit::Inch,
        0.000_35,
        1e-12,
    );
}

/// C. Common practice: oversizes of 0.25, 0.50, 0.75, 1.00 mm and of 0.010, 0.020, 0.030, 0.040, 0.060 in; about 45° between the marks.
#[test]
fn oversizes_and_marks() {
    let sizes = |answer: &Answer, unit: Unit| -> Vec<f64> {
        let lines = &answer
            .tables
            .iter()
            .find(|table| table.key == "oversizes")
            .unwrap()
            .lines;
        lines
            .iter()
            .map(|line| {
                let cell = &line.values[0];
                assert_eq!(
                    (cell.key.as_ref(), cell.unit.as_ref()),
                    ("oversize", unit.symbol())
                );
                (cell.value * 1e6).round() / 1e6
            })
            .collect()
    };
    let metric = ask("wear", "grid=85.52 mm; nominal=85.5 mm").unwrap();
    assert_eq!(sizes(&metric, Unit::Millimetre), [0.25, 0.50, 0.75, 1.00]);
    let inches = ask_in("wear", "grid=4.001 in; nominal=4 in", &inch()).unwrap();
    assert_eq!(sizes(&inches, Unit::Inch), [0.010, 0.020, 0.030, 0.040, 0.060]);
    // The smallest that is at least widest − nominal + clean-up, at both sides of each size.
    for (clean_up, oversize) in [("0.230", 0.25), ("0.231", 0.50), ("0.480", 0.50), ("0.481", 0.75)] {
        let arguments = format!("grid=85.52 mm; nominal=85.5 mm; clean_up={clean_up} mm");
        check("wear", &arguments, "oversize", Unit::Millimetre, oversize, 1e-9);
    }
    let hone = ask("hone", "bore=77 mm; turning=200 rpm; stroke=120 mm; cycles=60").unwrap();
    names(&hone, "45°", Standing::CommonPractice);
    // Derived: strokes or cycles; one cycle is two strokes.
    let asked = "bore=4.000 in; turning=200 rpm; stroke=6 in; cycles=60; wanted=31.97 deg";
    let answer = ask("hone", asked).unwrap();
    let (cycles, strokes) = (
        value_in(&answer, "cycles_wanted", Unit::One),
        value_in(&answer, "strokes_wanted", Unit::One),
    );
    assert!((strokes - 2.0 * cycles).abs() < 1e-9);
}

/// D. Proof stresses from memory (they reproduce ISO 898-1's proof loads); Rp0.2 as in VDI 2230-1; grades by SAE J429, in kpsi.
#[test]
fn strengths() {
    let class = |name: &str, thread: &str| Class::of(name, &Thread::read(thread).unwrap()).unwrap();
    for (name, thread, proof, yields) in [
        ("8.8", "M16", 580.0, 640.0),
        ("8.8", "M18", 600.0, 660.0),
        ("10.9", "M10", 830.0, 940.0),
        ("10.9", "M20", 830.0, 940.0),
        ("12.9", "M10", 970.0, 1_100.0),
    ] {
        let found = class(name, thread);
        assert!((found.proof.in_mpa() - proof).abs() < 1e-9, "{name} {thread}");
        assert!((found.yields.in_mpa() - yields).abs() < 1e-9, "{name} {thread}");
    }
    for (name, thread, stresses) in [
        ("grade_2", "1/4-20", [55.0, 57.0, 74.0]),
        ("grade_2", "3/4-10", [55.0, 57.0, 74.0]),
        ("grade_2", "7/8-9", [33.0, 36.0, 60.0]),
        ("grade_5", "1/4-20", [85.0, 92.0, 120.0]),
        ("grade_5", "1-8", [85.0, 92.0, 120.0]),
        ("grade_5", "1 1/8-7", [74.0, 81.0, 105.0]),
        ("grade_8", "1/4-20", [120.0, 130.0, 150.0]),
        ("grade_8", "1 1/2-6", [120.0, 130.0, 150.0]),
    ] {
        let found = class(name, thread);
        for (stress, kpsi) in [found.proof, found.yields, found.tensile].iter().zip(stresses) {
            assert!(
                (stress.in_psi() - kpsi * 1_000.0).abs() < 1e-6,
                "{name} {thread}: {kpsi}"
            );
        }
    }
    // Source: ISO 898-1, the rest of its table of proof loads of class 8.8, N (from memory): M12 48 900, M16 91 000.
    for (thread, newton) in [("M12", 48_900.0), ("M16", 91_000.0)] {
        let arguments = format!("thread={thread}; class=8.8");
        check(
            "torque",
            &arguments,
            "proof_load",
            Unit::Newton,
            newton,
            newton * 0.007,
        );
    }
    // Source: US Army TM 9-6115-604-34: two diameters deep in aluminium; from memory 2 to 2.5, or an insert, in magnesium.
    let answer = ask("thread_strip", "thread=M8; engagement=10 mm").unwrap();
    check_value("M8", &answer, "deep_aluminium", Unit::Millimetre, 16.0, 1e-9);
    names(&answer, "US Army TM 9-6115-604-34", Standing::Published);
    names(
        &answer,
        "2 to 2.5 diameters, or an insert, in magnesium",
        Standing::FromMemory,
    );
    // Source: ISO 724: the other diameters of M8 and M6 follow, d3 of M8 is 6.466 and of M6 4.773 (from memory).
    for (thread, d3) in [("M8", 6.466), ("M6", 4.773)] {
        assert!(
            (Thread::read(thread).unwrap().root_diameter().in_mm() - d3).abs() < 0.000_6,
            "{thread}"
        );
    }
}

/// E. Sources: BS 84 (Whitworth and BSF, threads per inch), BS 93 (BA), the flank angles by the standard of each family.
#[test]
fn british_threads() {
    let of = |family: Family, name: &str| {
        thread_sizes()
            .find(|size| size.family == family && size.name() == name)
            .unwrap_or_else(|| panic!("no {name}"))
    };
    for (family, words, rows) in [
        (
            Family::Bsw,
            "BSW",
            [("1/4", 20), ("5/16", 18), ("3/8", 16), ("1/2", 12)],
        ),
        (
            Family::Bsf,
            "BSF",
            [("1/4", 26), ("5/16", 22), ("3/8", 20), ("1/2", 16)],
        ),
    ] {
        for (label, per_inch) in rows {
            let size = of(family, &format!("{label} {words} ({per_inch} per inch)"));
            assert!((size.pitch.in_inch() * f64::from(per_inch) - 1.0).abs() < 1e-9);
        }
    }
    for (number, diameter, pitch) in [(0, 6.0, 1.00), (2, 4.7, 0.81), (4, 3.6, 0.66), (8, 2.2, 0.43)] {
        let size = of(Family::Ba, &format!("{number} BA"));
        assert!((size.major.in_mm() - diameter).abs() < 1e-9 && (size.pitch.in_mm() - pitch).abs() < 1e-9);
    }
    for family in Family::ALL {
        let angle = match family {
            Family::Bsw | Family::Bsf | Family::Bsp => 55.0,
            Family::Ba => 47.5,
            Family::MetricCoarse | Family::MetricFine | Family::MetricRare => 60.0,
            Family::Unc | Family::Unf | Family::Unef | Family::Uns | Family::Npt => 60.0,
        };
        assert_eq!(family.flank_angle(), angle, "{family:?}");
        let said = if angle == 47.5 {
            "47.5°".to_owned()
        } else {
            format!("{angle:.0}°")
        };
        assert!(family.tell().contains(&said), "{family:?}: {}", family.tell());
    }
}

/// F. Sources: DIN 863 (micrometer ±4 µm), DIN 862 (caliper ±50 µm); a leaf ±9 µm common practice; dial bore gauge ±3 to 5 µm and dial
/// indicator ±10 µm from memory.
#[test]
fn instruments() {
    for (name, low, high, standing) in [
        ("micrometer", 4.0, 4.0, Standing::Published),
        ("caliper", 50.0, 50.0, Standing::Published),
        ("feeler", 9.0, 9.0, Standing::CommonPractice),
        ("bore_gauge", 3.0, 5.0, Standing::FromMemory),
        ("dial", 10.0, 10.0, Standing::FromMemory),
    ] {
        let kind = InstrumentKind::named(name).unwrap();
        assert!((low..=high).contains(&kind.limit_um), "{name}: {}", kind.limit_um);
        assert_eq!(kind.standing, standing, "{name}");
        // Limits as a/√3, the step as 0.29 of it (JCGM 100).
        let standard = kind.uncertainty_mm().standard * 1_000.0;
        let expected = (kind.limit_um * kind.limit_um / 3.0 + kind.step_um * kind.step_um / 12.0).sqrt();
        assert!((standard - expected).abs() < 1e-9, "{name}");
    }
}

/// G. Common practice: dwell is set before timing, and a mark opposite the firing mark is an aid for valves only; crank and distributor
/// degrees stand side by side.
#[test]
fn ignition_says_what_to_do_first() {
    let answer = ask("dwell", "cylinders=4; dwell=50 deg").unwrap();
    let says = |what: &str| {
        answer
            .conditions
            .iter()
            .any(|condition| condition.words.contains(what))
    };
    assert!(
        says("Set dwell first, timing after") && says("not turned into a dwell"),
        "{:?}",
        answer.conditions
    );
    let rim = ask("rim_mark", "diameter=170 mm; angle=10 deg").unwrap();
    check_value("10°", &rim, "crank", Unit::Degree, 10.0, 1e-9);
    check_value("10°", &rim, "distributor", Unit::Degree, 5.0, 1e-9);
    // Derived: an eight has 45° for each cylinder, so 30° is 66.7 %.
    check(
        "dwell",
        "cylinders=8; dwell=30 deg",
        "dwell_percent",
        Unit::Percent,
        66.67,
        0.005,
    );
}

/// H. Source: IEC 60028: annealed copper at 20 °C, 0.017241 Ω·mm²/m.
#[test]
fn copper() {
    assert!((solid_resistance(Area::from_mm2(1.0)) - 17.241).abs() < 1e-9);
    // Source: ASTM B258, from memory: 10 AWG 101.9 mil, 18 AWG 40.3 mil.
    for (gauge, mil) in [(10, 101.9), (18, 40.3)] {
        let arguments = format!("current=1 A; length=1 m; back=chassis; gauge={gauge}");
        check("wire", &arguments, "gauge_diameter", Unit::Thou, mil, 0.05);
    }
    // Common practice: a resistor is rated for twice its loss, and is not for a load that varies.
    let answer = ask("resistor", "supply=12 V; wanted=6 V; current=2 A").unwrap();
    assert!(
        answer
            .conditions
            .iter()
            .any(|condition| condition.words.contains("vary") || condition.words.contains("steady"))
    );
}

/// I. From memory: with no aspect printed, 80 to 82 % of the width, and a measurement is asked for. Derived: the force ratio is the square.
#[test]
fn wheels() {
    for width in [145.0, 165.0, 185.0] {
        let found = value_in(
            &ask("tyre", &format!("size={width}R13")).unwrap(),
            "diameter",
            Unit::Millimetre,
        );
        let height = (found - 330.2) / 2.0 / width;
        assert!((0.80..=0.82 + 1e-9).contains(&height), "{width}: {height}");
    }
    let arguments = "foot=50 lbf; pedal_long=10 in; pedal_short=1.25 in; master=1 in; wheel=2 in";
    let answer = ask_in("hydraulics", arguments, &inch()).unwrap();
    check_value(arguments, &answer, "force_ratio", Unit::One, 4.0, 1e-9);
    let drum = ask("drum", "new=228.6 mm; measured=229.4 mm").unwrap();
    let words: Vec<&str> = drum
        .conditions
        .iter()
        .chain(&drum.cautions)
        .map(|note| note.words.as_ref())
        .collect();
    for said in ["cast", "disc", "axle"] {
        assert!(
            words.iter().any(|words| words.contains(said)),
            "{said}: {words:?}"
        );
    }
}

/// J. Common practice: a brush or a roller loses 10 to 15 %, a spray gun half.
#[test]
fn losses_of_paint() {
    let buy = |method: &str| {
        let arguments = format!("solids=50 %; dry=50 µm; area=10 m²; method={method}");
        value_in(&ask("paint", &arguments).unwrap(), "buy", Unit::Litre)
    };
    // 10 m² at 10 m²/L is 1 L with no loss.
    for (method, least, most) in [("brush", 0.10, 0.15), ("spray", 0.5, 0.5)] {
        let loss = 1.0 - 1.0 / buy(method);
        assert!((least - 1e-9..=most + 1e-9).contains(&loss), "{method}: {loss}");
    }
    // Freeze points differ between products: none is named.
    let coolant = ask("coolant", "capacity=8 L; present=33 %; wanted=50 %").unwrap();
    assert!(
        coolant.values.iter().all(|value| !value.unit.contains('°')),
        "{:?}",
        coolant.values
    );
}

/// K. Source: guides of bearing makers' trade: 120 °C for open, 80 °C for sealed bearings, never a flame.
#[test]
fn heating_bearings() {
    for (part, hot, warned) in [
        ("open_bearing", 120, false),
        ("open_bearing", 121, true),
        ("sealed_bearing", 80, false),
        ("sealed_bearing", 81, true),
    ] {
        let arguments = format!("diameter=30 mm; material=steel; hot={hot} °C; part={part}");
        let answer = ask("heat_fit", &arguments).unwrap();
        assert_eq!(
            answer.warnings.iter().any(|note| note.key == "too_hot"),
            warned,
            "{arguments}"
        );
        assert!(
            answer
                .cautions
                .iter()
                .any(|note| note.words.contains("never a naked flame"))
        );
    }
}

/// L. Source: 49 CFR 565.15, tables of weights and of the values of letters: each character counts as they say.
#[test]
fn check_digits_by_the_tables() {
    const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
    const LETTERS: [(char, u32); 23] = [
        ('A', 1),
        ('B', 2),
        ('C', 3),
        ('D', 4),
        ('E', 5),
        ('F', 6),
        ('G', 7),
        ('H', 8),
        ('J', 1),
        ('K', 2),
        ('L', 3),
        ('M', 4),
        ('N', 5),
        ('P', 7),
        ('R', 9),
        ('S', 2),
        ('T', 3),
        ('U', 4),
        ('V', 5),
        ('W', 6),
        ('X', 7),
        ('Y', 8),
        ('Z', 9),
    ];
    let digits = ('0'..='9').zip(0..);
    for (letter, value) in LETTERS.into_iter().chain(digits) {
        for (place, weight) in WEIGHTS.iter().enumerate() {
            let mut number = ['1'; 17];
            number[place] = letter;
            // All ones come to 89; this character stands in for one of them.
            let sum = 89 - weight + weight * value;
            let text: String = number.iter().collect();
            let arguments = format!("number={text}");
            check(
                "vehicle_number",
                &arguments,
                "check",
                Unit::One,
                f64::from(sum % 11),
                0.0,
            );
        }
    }
}
