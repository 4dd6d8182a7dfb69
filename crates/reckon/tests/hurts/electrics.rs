//! Wires and fuses: what may burn.

use crate::ask::{check_value, refused};
use crate::{all_words, answered, verdict, warned};
use reckon::{RefusalCode, Unit, VerdictWord};

/// From memory: glass fuses marked by what blows them carry half; torpedo fuses 5, 8, 16, 25 A (DIN 72581), glass ones by what they
/// carry (SAE J554, IEC 60127). Common practice: 1.25 times the current; 55 W at 12 V asks for 5.73 A.
#[test]
fn fuses_of_every_shape() {
    for (arguments, fuse) in [
        ("power=55 W", 7.5),
        ("power=55 W; shape=blade", 7.5),
        ("power=55 W; shape=torpedo", 8.0),
        ("power=55 W; shape=glass; marked=carries", 7.5),
        // Carries 7.5 of 15.
        ("power=55 W; shape=glass; marked=blows", 15.0),
        ("current=13 A; shape=glass; marked=blows", 35.0),
        ("current=13 A; shape=glass; marked=carries", 20.0),
    ] {
        check_value(
            arguments,
            &answered("fuse", arguments),
            "fuse",
            Unit::Ampere,
            fuse,
            1e-9,
        );
    }
    // What the mark means is asked where it is not known, and said where it is.
    refused(
        "fuse",
        "power=55 W; shape=glass",
        RefusalCode::Missing,
        "marked",
        "Which is meant?",
    );
    let blows = answered("fuse", "current=13 A; shape=glass; marked=blows");
    check_value("35 A", &blows, "fuse_carries", Unit::Ampere, 17.5, 1e-9);
    assert!(blows.values[0].words.contains("what blows it") && warned(&blows, "marked"));
    let carries = answered("fuse", "current=13 A; shape=glass; marked=carries");
    assert!(carries.values[0].words.contains("what it carries"));
    // What it carries is held against the wire, not its mark: 17.5 A is within 2.5 mm² (19.5 A), a 20 A one is not.
    let wire = |marked: &str| format!("current=13 A; shape=glass; marked={marked}; area=2.5 mm²");
    verdict(
        "fuse",
        &wire("blows"),
        "fuse",
        VerdictWord::InLimits,
        "carries more",
    );
    verdict(
        "fuse",
        &wire("carries"),
        "fuse",
        VerdictWord::AboveLimits,
        "above",
    );
    refused(
        "fuse",
        "current=40 A; shape=torpedo",
        RefusalCode::OutOfRange,
        "power",
        "No torpedo fuse",
    );
}

/// Source: IEC 60228 class 5, 50, 70 and 95 mm²: 0.386, 0.272, 0.206 Ω/km (from memory). Derived: I·√t/k with k = 115 (IEC 60364-4-43,
/// from memory) and 30 s of cranking (common practice): 400 A asks for 19.05 mm².
#[test]
fn a_starters_wire() {
    for (area, ohm) in [(50.0, 0.386), (70.0, 0.272), (95.0, 0.206)] {
        let arguments = format!("current=1 A; length=1 m; back=chassis; area={area} mm²");
        check_value(
            &arguments,
            &answered("wire", &arguments),
            "ohm_per_km",
            Unit::One,
            ohm,
            1e-9,
        );
    }
    // 400 A over 1.5 m, 0.36 V allowed: 0.6 Ω/km at the most, so 35 mm² (0.554).
    let cable = "current=400 A; length=1.5 m; back=chassis; use=starter";
    check_value(
        cable,
        &answered("wire", cable),
        "smallest",
        Unit::SquareMillimetre,
        35.0,
        1e-9,
    );
    // So short that the drop allows less than half a minute of cranking bears: 25 mm² is the first above 19.05.
    let short = "current=400 A; length=300 mm; back=chassis; use=starter";
    check_value(
        short,
        &answered("wire", short),
        "smallest",
        Unit::SquareMillimetre,
        25.0,
        1e-9,
    );
    assert!(warned(
        &answered("wire", &format!("{short}; area=16 mm²")),
        "too_thin"
    ));
    assert!(!warned(
        &answered("wire", &format!("{short}; area=25 mm²")),
        "too_thin"
    ));
    // A long one: 0.206 Ω/km · 5 m · 400 A = 0.41 V, so up to 95 mm² is looked at and not enough.
    assert!(warned(
        &answered("wire", "current=400 A; length=5 m; back=chassis; use=starter"),
        "none"
    ));
    check_value(
        "95 mm²",
        &answered("wire", "current=400 A; length=4.2 m; back=chassis; use=starter"),
        "smallest",
        Unit::SquareMillimetre,
        95.0,
        1e-9,
    );
    // Without a word of a starter no wire carries that steadily; and whatever is asked, nobody is told to lay wires side by side.
    for arguments in [
        "current=400 A; length=1 m; back=chassis",
        "current=400 A; length=1 m; back=chassis; use=starter",
        "current=400 A; length=30 m; back=chassis; use=starter",
        "current=60 A; length=30 m; back=wire",
    ] {
        let answer = answered("wire", arguments);
        let said = all_words(&answer);
        for wrong in ["or two wires", "with their own fuses", "two wires with"] {
            assert!(!said.contains(wrong), "{arguments}: {said}");
        }
        // What the ratings are of.
        for of in ["steady rating", "PVC", "30 °C", "IEC 60364-5-52"] {
            assert!(said.contains(of), "{arguments}: {of}");
        }
    }
}

/// Source: IEC 60364-5-52, table B.52.14, copper in PVC (70 °C) and cross-linked (90 °C) insulation, around 30 °C; 40, 50 and 60 °C for
/// PVC and 40 °C for cross-linked as they are reprinted, the rest from memory. Without the factor 14.5 A would pass 1.5 mm² at any heat.
#[test]
fn a_warm_wire_carries_less() {
    let carries = |warm: &str, insulation: &str| {
        let arguments =
            format!("current=1 A; length=1 m; back=chassis; temperature={warm}; insulation={insulation}");
        let answer = answered("wire", &arguments);
        let table = answer.tables.iter().find(|table| table.key == "wires").unwrap();
        let line = table
            .lines
            .iter()
            .find(|line| line.words.starts_with("10 mm²"))
            .unwrap();
        let cell = line.values.iter().find(|value| value.key == "carries").unwrap();
        // 10 mm² carries 46 A at 30 °C.
        cell.value / 46.0
    };
    for (warm, pvc, linked) in [
        ("-20 °C", 1.0, 1.0),
        ("20 °C", 1.0, 1.0),
        ("30 °C", 1.0, 1.0),
        ("35 °C", 0.94, 0.96),
        ("40 °C", 0.87, 0.91),
        ("45 °C", 0.79, 0.87),
        ("50 °C", 0.71, 0.82),
        ("55 °C", 0.61, 0.76),
        ("60 °C", 0.50, 0.71),
        ("140 °F", 0.50, 0.71),
    ] {
        assert!(
            (carries(warm, "pvc") - pvc).abs() < 0.005_1,
            "{warm} {}",
            carries(warm, "pvc")
        );
        assert!(
            (carries(warm, "cross_linked") - linked).abs() < 0.005_1,
            "{warm} {}",
            carries(warm, "cross_linked")
        );
    }
    for (warm, linked) in [("65 °C", 0.65), ("70 °C", 0.58), ("75 °C", 0.50), ("80 °C", 0.41)] {
        assert!((carries(warm, "cross_linked") - linked).abs() < 0.005_1, "{warm}");
    }
    // 40 A on 10 mm² is borne at 30 °C and burns at 60 °C, where it carries 23 A.
    let wire =
        |warm: &str| format!("current=40 A; length=300 mm; back=chassis; area=10 mm²; temperature={warm}");
    assert!(!warned(&answered("wire", &wire("30 °C")), "too_thin"));
    assert!(warned(&answered("wire", &wire("60 °C")), "too_thin"));
    assert!(all_words(&answered("wire", &wire("60 °C"))).contains("B.52.14"));
    // The headline stays what was asked.
    assert_eq!(answered("wire", &wire("60 °C")).values[0].key, "drop");
    // Where the insulation bears no more heat, nothing is answered.
    for (warm, insulation) in [
        ("70 °C", "pvc"),
        ("90 °C", "pvc"),
        ("90 °C", "cross_linked"),
        ("150 °C", "cross_linked"),
    ] {
        refused(
            "wire",
            &format!("current=1 A; length=1 m; back=chassis; temperature={warm}; insulation={insulation}"),
            RefusalCode::Impossible,
            "temperature",
            "bears no more than",
        );
    }
    // Never more by heat, and never more than as rated.
    for insulation in ["pvc", "cross_linked"] {
        let mut last = 1.0;
        for warm in -40..69 {
            let now = carries(&format!("{warm} °C"), insulation);
            assert!(now <= last + 1e-12, "{warm} {insulation}");
            last = now;
        }
    }
}

/// Source: ASTM B258: 00, 000 and 0000 are n = −1, −2 and −3 in d = 0.005 · 92^((36 − n)/39) in: 0.3648, 0.4096 and 0.4600 in.
#[test]
fn gauges_above_nought_are_read_by_the_standard() {
    for (gauge, inches) in [
        ("0", 0.3249),
        ("1/0", 0.3249),
        ("00", 0.3648),
        ("2/0", 0.3648),
        ("000", 0.4096),
        ("3/0", 0.4096),
        ("0000", 0.4600),
        ("4/0", 0.4600),
        ("AWG 4/0", 0.4600),
        ("13", 0.0720),
        ("13 AWG", 0.0720),
        ("-3", 0.4600),
    ] {
        let arguments = format!("current=1 A; length=1 m; back=chassis; gauge={gauge}");
        check_value(
            &arguments,
            &answered("wire", &arguments),
            "gauge_diameter",
            Unit::Inch,
            inches,
            0.000_05,
        );
    }
    for wrong in ["5/0", "00000", "0/0", "1/2", "02", "2.5"] {
        let arguments = format!("current=1 A; length=1 m; back=chassis; gauge={wrong}");
        refused("wire", &arguments, RefusalCode::OutOfRange, "gauge", "gauge");
    }
}
