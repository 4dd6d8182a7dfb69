//! ISO 286 fits: the limits of a hole and a shaft, and what play or interference comes of them.
//!
//! Never picks a fit.

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, Want};
use crate::answer::{AT_20_C, Problem, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::fits::{Zone, hole, shaft};
use crate::quantity::{Length, Unit};
use crate::typed::Candidate;

const HOLES: &[Choice] = &[
    choice("H6", "H6"),
    choice("H7", "H7"),
    choice("H8", "H8"),
    choice("H9", "H9"),
];

const SHAFTS: &[Choice] = &[
    choice("d9", "d9, free running"),
    choice("e8", "e8, easy running"),
    choice("f7", "f7, running"),
    choice("g6", "g6, sliding"),
    choice("h6", "h6, locating"),
    choice("h7", "h7, locating"),
    choice("js6", "js6, light push"),
    choice("k6", "k6, push"),
    choice("m6", "m6, driving"),
    choice("n6", "n6, driving, tight"),
    choice("p6", "p6, press"),
];

const fn choice(name: &'static str, words: &'static str) -> Choice {
    Choice { name, words }
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "iso_fit",
    title: "ISO fit",
    place: BenchPlace::HeatAndFits,
    about: "The limits of an ISO 286 hole and shaft, and the play or interference that comes of them.",
    arguments: &[
        Argument::new("nominal", "D", "the nominal diameter", LENGTH)
            .required()
            .within(0.5, 500.0)
            .such_as("50 mm", "2 in"),
        Argument::new("hole", "", "the hole's tolerance class", Want::Choice(HOLES)).such_as("H8", "H7"),
        Argument::new("shaft", "", "the shaft's tolerance class", Want::Choice(SHAFTS)).such_as("f7", "h6"),
    ],
    dangers: &[Danger::Springs],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    by_its_letter(given)?;
    let nominal: Length = given.need("nominal")?;
    let outside = || {
        ReckonRefusal::of(
            RefusalCode::OutOfRange,
            "nominal",
            "ISO 286 is reckoned here up to 500 mm.",
        )
    };
    let hole = given
        .choice("hole")
        .map(|name| hole(nominal, name).ok_or_else(outside))
        .transpose()?;
    let shaft = given
        .choice("shaft")
        .map(|name| shaft(nominal, name).ok_or_else(outside))
        .transpose()?;
    for (key, words, zone) in [("hole", "hole", hole), ("shaft", "shaft", shaft)] {
        if let Some(zone) = zone {
            limits(sheet, key, words, nominal, zone);
        }
    }
    if hole.is_none() && shaft.is_none() {
        return Err(ReckonRefusal::of(
            RefusalCode::NothingToReckon,
            "",
            "Give the class of the hole, of the shaft, or of both.",
        ));
    }
    if let (Some(hole), Some(shaft)) = (hole, shaft) {
        let (least, most) = (hole.lower_um - shaft.upper_um, hole.upper_um - shaft.lower_um);
        sheet.value_in(
            "play_least",
            "least play (minus: interference)",
            Length::from_um(least),
            Unit::Micrometre,
        );
        sheet.value_in(
            "play_most",
            "most play (minus: interference)",
            Length::from_um(most),
            Unit::Micrometre,
        );
        let (word, words) = if least >= 0.0 {
            (VerdictWord::InLimits, "A clearance fit: it always goes in.")
        } else if most <= 0.0 {
            (
                VerdictWord::InLimits,
                "An interference fit: heat or a press, always.",
            )
        } else {
            (
                VerdictWord::TooCloseToCall,
                "A transition fit: play or interference, as the parts come.",
            )
        };
        sheet.verdict("fit", word, words.to_owned());
    }
    sheet.formula("tolerance", "standard tolerance", "i = 0.45 · ∛D + 0.001 · D µm, D the geometric mean of the band; IT6 10 i, IT7 16 i, IT8 25 i, rounded");
    sheet.source("iso_286", "ISO 286-1 and ISO 286-2, tables written down from memory; the formula reproduces the tolerances above 18 mm", Standing::FromMemory);
    sheet.condition(
        "band",
        "The upper end of a band belongs to it: 30 mm is of 18 to 30.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}

/// Holes are named by capitals and shafts by small letters (ISO 286-1), so one that is typed otherwise may be the other.
fn by_its_letter(given: &Given) -> Result<(), ReckonRefusal> {
    let mut problems = Vec::new();
    for name in ["hole", "shaft"] {
        let (Some(choice), Some(typed)) = (given.choice(name), given.typed(name)) else {
            continue;
        };
        if choice != typed {
            let words = format!(
                "{typed} is no {name}: holes are named by capitals, shafts by small letters. Is {choice} meant, or does it belong to the other?"
            );
            let mut problem = Problem::new(RefusalCode::Unclear, name, words);
            problem.candidates = vec![Candidate::new(choice.to_owned(), format!("a {name}"))];
            problems.push(problem);
        }
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(ReckonRefusal { problems })
    }
}

fn limits(sheet: &mut Sheet, key: &str, words: &str, nominal: Length, zone: Zone) {
    let um = |name: &str, side: &str, value: f64, sheet: &mut Sheet| {
        sheet.value_in(
            format!("{key}_{name}"),
            format!("{words}, {side} deviation"),
            Length::from_um(value),
            Unit::Micrometre,
        );
    };
    um("upper", "upper", zone.upper_um, sheet);
    um("lower", "lower", zone.lower_um, sheet);
    sheet.value(
        format!("{key}_most"),
        format!("{words}, at most"),
        nominal + Length::from_um(zone.upper_um),
    );
    sheet.value(
        format!("{key}_least"),
        format!("{words}, at least"),
        nominal + Length::from_um(zone.lower_um),
    );
}
