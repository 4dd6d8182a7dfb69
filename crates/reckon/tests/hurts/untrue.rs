//! What an answer says that is not so, or leaves unsaid: packs outside their limits, threads no standard has, and what was typed for nothing.

use reckon::fastener::Thread;
use reckon::{Answer, RefusalCode, Unit};

use crate::ask::{ask, ask_in, check_value, inch, keys, refused};
use crate::{all_words, answered, warned};

#[test]
fn a_play_wanted_outside_its_limits_contradicts_them() {
    let stock = "stock=0.24x2, 0.30, 0.32, 0.36 mm; measured=1.04 mm; low=0.07 mm; high=0.19 mm; wanted=";
    for (wanted, argument) in [("0.25 mm", "high"), ("0.02 mm", "wanted")] {
        refused(
            "shim_pack",
            &format!("{stock}{wanted}"),
            RefusalCode::Impossible,
            argument,
            "contradict each other",
        );
    }
    answered("shim_pack", &format!("{stock}0.14 mm"));
}

/// Derived: 1.04 mm less each pack is the play, and a pack is marked where that is outside 0.07 to 0.19 mm.
#[test]
fn packs_outside_the_limits_are_marked() {
    let answer = answered(
        "shim_pack",
        "stock=0.24x2, 0.30, 0.32, 0.36 mm; measured=1.04 mm; low=0.07 mm; high=0.19 mm; wanted=0.14 mm",
    );
    let mut outside = 0;
    for line in &answer.tables[0].lines {
        let play = line
            .values
            .iter()
            .find(|value| value.key == "end_play")
            .unwrap()
            .value;
        let out = !(0.07 - 1e-9..=0.19 + 1e-9).contains(&play);
        outside += usize::from(out);
        assert_eq!(
            line.why.contains("out of limits"),
            out,
            "{}: {}",
            line.words,
            line.why
        );
    }
    assert!(outside > 0 && outside < answer.tables[0].lines.len());
}

#[test]
fn nothing_is_said_to_be_missing_beside_what_follows() {
    let answer = answered(
        "torque",
        "diameter=8 mm; class=8.8; lubrication=oiled; preload=60 kN",
    );
    assert!(keys(&answer).contains(&"torque_by_nut_factor"));
    let said = all_words(&answer);
    assert!(!said.contains("No torque or preload follows yet"), "{said}");
    assert!(said.contains("Still missing: the thread"), "{said}");
}

/// Source: ISO 286-1: holes are named by capitals, shafts by small letters.
#[test]
fn a_hole_by_a_shafts_letter_is_asked_about() {
    for (arguments, argument, says) in [
        ("nominal=50 mm; hole=h7", "hole", "H7"),
        ("nominal=50 mm; shaft=F7", "shaft", "f7"),
        ("nominal=50 mm; hole=H8; shaft=JS6", "shaft", "js6"),
    ] {
        refused(
            "iso_fit",
            arguments,
            RefusalCode::Unclear,
            argument,
            "holes are named by capitals",
        );
        let refusal = ask("iso_fit", arguments).unwrap_err();
        assert_eq!(refusal.problems[0].candidates[0].text, says);
    }
    answered("iso_fit", "nominal=50 mm; hole=H7; shaft=f7");
}

/// Source: ISO 261 and ASME B1.1, sizes from memory.
#[test]
fn a_pitch_that_no_standard_has_is_asked_about() {
    for (thread, odd) in [
        ("M10x1.7", true),
        ("M10x1.5", false),
        ("M10x1.25", false),
        ("M10", false),
        ("M8x0.9", true),
        ("M40x1.5", false),
        ("M5x0.9", false),
        ("3/8-17", true),
        ("3/8-16", false),
        ("3/8-24", false),
        ("1/4-24", false),
        ("10-32", false),
        ("1 1/2-8", false),
        ("1/2-12", true),
    ] {
        for name in ["bolt_strength", "tap_drill"] {
            let answer = answered(name, &format!("thread={thread}"));
            assert_eq!(warned(&answer, "unusual_thread"), odd, "{name} {thread}");
        }
    }
}

/// Source: ISO 965-2, limits of 6g bolts and 6H nuts, mm (from memory): least major diameter, greatest pitch diameter.
#[test]
fn least_and_most_diameters_are_the_standards() {
    for (thread, bolt, nut) in [
        ("M5", 4.826, 4.605),
        ("M6", 5.794, 5.500),
        ("M8", 7.760, 7.348),
        ("M10", 9.732, 9.206),
        ("M12", 11.701, 11.063),
        ("M16", 15.682, 14.913),
        ("M20", 19.623, 18.600),
        ("M24", 23.577, 22.316),
        ("M10x1.25", 9.760, 9.348),
        ("M8x1", 7.794, 7.500),
        ("M12x1.5", 11.732, 11.216),
    ] {
        let read = Thread::read(thread).unwrap();
        let near = |found: f64, printed: f64| (found - printed).abs() < 0.000_6;
        assert!(
            near(read.least_major().in_mm(), bolt),
            "{thread}: {}",
            read.least_major().in_mm()
        );
        assert!(
            near(read.most_nut_pitch_diameter().in_mm(), nut),
            "{thread}: {}",
            read.most_nut_pitch_diameter().in_mm()
        );
    }
}

/// Source: ISO 2306, drills before tapping (from memory); d − P is named beside it where it is another.
#[test]
fn the_usual_drill_is_as_printed() {
    for (thread, drill, reckoned) in [
        ("M8", 6.8, Some(6.75)),
        ("M12", 10.2, Some(10.25)),
        ("M10", 8.5, None),
        ("M6", 5.0, None),
        ("M10x1.25", 8.8, Some(8.75)),
        ("M12x1.25", 10.8, Some(10.75)),
        ("M14x1.5", 12.5, None),
    ] {
        let answer = answered("tap_drill", &format!("thread={thread}"));
        check_value(thread, &answer, "drill", Unit::Millimetre, drill, 1e-9);
        match reckoned {
            Some(reckoned) => check_value(thread, &answer, "d_minus_p", Unit::Millimetre, reckoned, 1e-9),
            None => assert!(!keys(&answer).contains(&"d_minus_p"), "{thread}"),
        }
    }
}

fn unused(answer: &Answer) -> Vec<String> {
    let notes = answer.warnings.iter().filter(|note| note.key == "not_used");
    notes.map(|note| note.words.to_string()).collect()
}

#[test]
fn what_was_typed_for_nothing_is_said() {
    for (name, arguments, typed) in [
        (
            "wear",
            "grid=85.61, 85.56\n85.57, 85.54 mm; clean_up=0.1 mm",
            "(0.1 mm)",
        ),
        (
            "verdict",
            "reading=50.01 mm; high=50.02 mm; uncertainty=5 µm; instrument=caliper",
            "(caliper)",
        ),
        ("torque", "torque=50 N·m; adapter_angle=30 °", "(30 °)"),
        (
            "shim_pack",
            "stock=0.2, 0.3 mm; thickness=0.5 mm; gasket=0.1 mm",
            "(0.1 mm)",
        ),
        ("paint", "parts=4, 1; mixed=1 L; coats=2", "(2)"),
        ("fuse", "current=5 A; voltage=6 V", "(6 V)"),
    ] {
        let answer = answered(name, arguments);
        let said = unused(&answer);
        assert!(
            said.iter().any(|words| words.contains(typed)),
            "{name} {arguments}: {said:?}"
        );
    }
    for (name, arguments) in [
        ("fuse", "power=55 W; voltage=6 V"),
        ("torque", "torque=50 N·m; thread=M10; class=8.8; lubrication=dry"),
        ("verdict", "reading=50.01 mm; high=50.02 mm; instrument=caliper"),
    ] {
        assert!(
            unused(&answered(name, arguments)).is_empty(),
            "{name} {arguments}"
        );
    }
}

#[test]
fn what_counts_as_nought_is_said() {
    let bare = all_words(&answered(
        "displacement",
        "bore=77 mm; stroke=64 mm; cylinders=4; chamber=35 cm³",
    ));
    assert!(
        bare.contains("Not given, and taken as nought: gasket, deck, dish and dome"),
        "{bare}"
    );
    let some = all_words(&answered(
        "displacement",
        "bore=77 mm; stroke=64 mm; cylinders=4; chamber=35 cm³; gasket_thickness=1 mm; dish=2 cm³",
    ));
    assert!(some.contains("taken as nought: deck and dome"), "{some}");
    let all = all_words(&answered(
        "displacement",
        "bore=77 mm; stroke=64 mm; cylinders=4; chamber=35 cm³; gasket_thickness=1 mm; deck=0 mm; dish=2 cm³; dome=0 cm³",
    ));
    assert!(!all.contains("taken as nought"), "{all}");
}

#[test]
fn nothing_is_filed_by_nought() {
    let answer = answered(
        "ring_gap",
        "bore=77 mm; gap=0.29999 mm; low=0.30 mm; high=0.45 mm",
    );
    assert!(
        !all_words(&answer).contains("0.000 mm"),
        "{}",
        answer.verdicts[0].words
    );
    let inches = ask_in(
        "ring_gap",
        "bore=3.031 in; gap=0.011999 in; low=0.012 in; high=0.018 in",
        &inch(),
    )
    .unwrap();
    assert!(
        !all_words(&inches).contains("File 0.0000"),
        "{}",
        inches.verdicts[0].words
    );
}

#[test]
fn parts_are_read_as_sheets_print_them() {
    for parts in ["4:1:1", "4 : 1 : 1", "4, 1, 1"] {
        let answer = answered("paint", &format!("parts={parts}; mixed=1.2 L"));
        assert_eq!(answer.tables[0].lines.len(), 3, "{parts}");
        check_value(parts, &answer, "first_part", Unit::Litre, 0.8, 1e-9);
    }
    assert_eq!(
        answered("paint", "parts=2:1; mixed=1.2 L").tables[0].lines.len(),
        2
    );
}

/// Source: ASTM B258: AWG 14 is 2.08 mm², AWG 20 0.518 mm².
#[test]
fn a_fuse_takes_a_gauge() {
    let by_area = answered("fuse", "current=5 A; area=2.08 mm²");
    let by_gauge = answered("fuse", "current=5 A; gauge=AWG 14");
    assert_eq!(by_area.verdicts, by_gauge.verdicts);
    assert!(!by_gauge.verdicts.is_empty() && !warned(&by_gauge, "wire"));
    refused(
        "fuse",
        "current=5 A; area=6 mm²; gauge=20",
        RefusalCode::Impossible,
        "gauge",
        "contradict each other",
    );
}
