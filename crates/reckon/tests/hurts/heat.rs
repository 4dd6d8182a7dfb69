//! Parts that are heated or cooled to fit.

use crate::ask::{check_value, refused};
use crate::{all_words, answered, verdict, warned};
use reckon::{RefusalCode, Unit, VerdictWord};

/// Derived from handbook coefficients (steel 11.5, cast aluminium 21.5, a kelvin and million): ΔD = α·D·ΔT for each part from 20 °C.
#[test]
fn a_cooled_part_shrinks_by_its_own_metal() {
    // A steel bearing of 62 mm at −20 °C into aluminium, 40 µm and 20 µm of room: it shrinks 11.5·62·40·10⁻⁶ = 28.52 µm, so the case
    // must grow 31.48 µm, 23.62 K. By the case's own metal, as it was reckoned before, it would be 18.6 K too little.
    let arguments = "diameter=62 mm; material=aluminium; other_material=steel; interference=40 µm; clearance=20 µm; room=-20 °C";
    let answer = answered("heat_fit", arguments);
    check_value(arguments, &answer, "heat_to", Unit::Celsius, 43.616, 0.01);
    check_value(arguments, &answer, "other_grows", Unit::Micrometre, -28.52, 0.01);
    // Bronze in steel, both at room temperature: as one metal.
    let alone = "diameter=30 mm; material=steel; interference=18 µm; clearance=20 µm";
    for other in ["steel", "bronze", "iron"] {
        let arguments = format!("{alone}; other_material={other}");
        check_value(
            &arguments,
            &answered("heat_fit", &arguments),
            "heat_to",
            Unit::Celsius,
            130.14,
            0.01,
        );
    }
}

/// Derived: 62 mm of aluminium at 80 °C grows 21.5·62·60·10⁻⁶ = 79.98 µm; of 82 µm interference and 20 µm of room 22.02 µm are lacking.
#[test]
fn what_is_not_enough_is_said() {
    use VerdictWord::{BelowLimits, InLimits};
    let fit = "diameter=62 mm; material=aluminium; clearance=20 µm; hot=80 °C; interference=";
    verdict(
        "heat_fit",
        &format!("{fit}82 µm"),
        "fit",
        BelowLimits,
        "Not enough: 22",
    );
    verdict(
        "heat_fit",
        &format!("{fit}82 µm"),
        "fit",
        BelowLimits,
        "too tight to go in",
    );
    verdict(
        "heat_fit",
        &format!("{fit}70 µm"),
        "fit",
        BelowLimits,
        "Not enough: 10",
    );
    verdict("heat_fit", &format!("{fit}40 µm"), "fit", InLimits, "Enough");
    // Cold enough by itself: 11.5·30·80·10⁻⁶ = 27.6 µm, for 5 and 10.
    verdict(
        "heat_fit",
        "diameter=30 mm; material=steel; interference=5 µm; clearance=10 µm; room=-60 °C",
        "fit",
        InLimits,
        "No heat is needed",
    );
}

/// Bearings: mounting guides, 120 and 80 °C. Common practice, no source: 150 °C for light castings and parts whose tempering is not
/// known, 120 °C for plated ones.
#[test]
fn what_is_heated_has_its_ceiling() {
    for (part, most) in [
        ("open_bearing", 120),
        ("sealed_bearing", 80),
        ("casting", 150),
        ("tempered", 150),
        ("plated", 120),
    ] {
        let at = |hot: i32| {
            answered(
                "heat_fit",
                &format!("diameter=30 mm; material=steel; part={part}; hot={hot} °C"),
            )
        };
        assert!(
            warned(&at(most + 1), "too_hot") && !warned(&at(most), "too_hot"),
            "{part}"
        );
    }
    // Cast aluminium and magnesium are castings, said or not.
    for material in ["aluminium", "magnesium"] {
        let hot = answered(
            "heat_fit",
            &format!("diameter=30 mm; material={material}; hot=180 °C"),
        );
        assert!(warned(&hot, "too_hot"), "{material}");
    }
    let unsaid = answered("heat_fit", "diameter=30 mm; material=steel; hot=180 °C");
    assert!(warned(&unsaid, "ceiling"));
    assert!(
        all_words(&answered("heat_fit", "diameter=30 mm; material=steel; hot=90 °C"))
            .contains("each bear only so much")
    );
}

/// Derived: 20 °C + (interference + 0.02 mm)/(α · D); the ceilings are those of bearing guides (a sealed one 80 °C) and common practice
/// (a casting 150 °C).
#[test]
fn the_ceiling_holds_for_what_it_is_to_be_heated_to() {
    for (arguments, too_hot) in [
        // 20 + 0.22/(30 · 21.5e-6) = 361 °C, though 149 °C is what is asked about.
        (
            "diameter=30 mm; material=aluminium; interference=0.2 mm; hot=149 °C; part=casting",
            true,
        ),
        // 20 + 0.03/(25 · 11.5e-6) = 124 °C.
        (
            "diameter=25 mm; material=steel; interference=0.01 mm; part=sealed_bearing; hot=80 °C",
            true,
        ),
        (
            "diameter=25 mm; material=steel; interference=0.01 mm; part=sealed_bearing",
            true,
        ),
        // 20 + 0.03/(60 · 11.5e-6) = 63 °C.
        (
            "diameter=60 mm; material=steel; interference=0.01 mm; part=sealed_bearing; hot=70 °C",
            false,
        ),
        (
            "diameter=60 mm; material=steel; interference=0.01 mm; part=sealed_bearing; hot=90 °C",
            true,
        ),
    ] {
        let answer = answered("heat_fit", arguments);
        assert_eq!(warned(&answer, "too_hot"), too_hot, "{arguments}");
    }
    // Where it is not said what the part is: 20 + 0.1/(30 · 11.5e-6) = 310 °C.
    let unknown = "diameter=30 mm; material=steel; interference=0.08 mm; hot=100 °C";
    assert!(warned(&answered("heat_fit", unknown), "ceiling"));
}

/// Dry ice (−78 °C) and liquid nitrogen (−196 °C) burn the skin and drive out the air: the usual caution. From −25 °C on, which no
/// household freezer reaches; common practice, no source.
#[test]
fn deep_cold_carries_its_caution() {
    let fit = "diameter=62 mm; material=aluminium; interference=40 µm";
    let cold = |rest: &str| {
        let answer = answered("heat_fit", &format!("{fit}; {rest}"));
        let note = answer.cautions.iter().find(|note| note.key == "deep_cold");
        note.map(|note| note.words.to_string())
    };
    for rest in ["room=-78 °C", "room=-30 °C", "hot=-60 °C", "room=-109 °F"] {
        let words = cold(rest).unwrap_or_else(|| panic!("{rest}"));
        for says in ["dry ice", "liquid nitrogen", "gloves", "air"] {
            assert!(words.to_lowercase().contains(says), "{rest}: {words}");
        }
    }
    assert_eq!(cold("room=20 °C"), None);
    assert_eq!(cold("room=-18 °C"), None);
    // Where the answer itself sends one to cool a part, the caution goes with it.
    let hot = answered(
        "heat_fit",
        "diameter=30 mm; material=steel; part=plated; hot=180 °C",
    );
    assert!(warned(&hot, "too_hot") && hot.cautions.iter().any(|note| note.key == "deep_cold"));
    // Colder than −100 °C is refused, and why is said.
    refused(
        "heat_fit",
        &format!("{fit}; room=-196 °C"),
        RefusalCode::OutOfRange,
        "room",
        "-100 °C",
    );
}

/// How hot it is made is what one does, so it stands first; by how much that is warmer than the other part comes behind it.
#[test]
fn how_hot_stands_before_the_difference() {
    let answer = answered(
        "heat_fit",
        "diameter=30 mm; material=steel; interference=60 µm; clearance=20 µm",
    );
    assert_eq!(answer.values[0].key, "heat_to");
    assert!(answer.values.iter().any(|value| value.key == "warmer"));
}
