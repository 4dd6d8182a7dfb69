//! A brake drum against its limits: as cast on the drum, or by rule of thumb, and both drums of an axle together.
//!
//! Never for discs, and never above the mark that is cast in the drum.

use super::{Argument, Calculation, Danger, Given, LENGTH, Place};
use crate::answer::{AT_20_C, Refusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::quantity::Length;

/// Over the new diameter: refinish at most, discard above. Common practice (0.060 and 0.090 in).
const REFINISH: f64 = 1.52;
const DISCARD: f64 = 2.28;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "drum",
    title: "Brake drum",
    place: Place::BrakesAndWheels,
    about: "Whether a worn drum may be used, may be turned, or must go; and its fellow on the axle.",
    arguments: &[
        Argument::new("new", "D", "the diameter of the drum when new", LENGTH)
            .required()
            .within(100.0, 500.0)
            .such_as("228.6 mm", "9.000 in"),
        Argument::new("measured", "d", "the drum at its widest, below any ridge", LENGTH)
            .required()
            .within(100.0, 510.0)
            .such_as("229.4 mm", "9.031 in"),
        Argument::new("other", "", "the other drum of the axle", LENGTH)
            .within(100.0, 510.0)
            .such_as("229.2 mm", "9.024 in"),
        Argument::new(
            "cast",
            "",
            "the greatest diameter that is cast or stamped in the drum",
            LENGTH,
        )
        .within(100.0, 510.0)
        .such_as("230.1 mm", "9.060 in"),
    ],
    dangers: &[Danger::Brakes, Danger::Lifting],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let (new, measured): (Length, Length) = (given.need("new")?, given.need("measured")?);
    let worn = measured - new;
    if worn.in_mm() < -1.0 || worn.in_mm() > 10.0 {
        return Err(Refusal::of(
            RefusalCode::Impossible,
            "measured",
            "A drum does not shrink, nor wear by more than 10 mm: is one of the two a slip?",
        ));
    }
    let by_rule = new + Length::from_mm(DISCARD);
    let discard = match given.get::<Length>("cast") {
        Some(cast) if cast < new => {
            return Err(Refusal::of(
                RefusalCode::Impossible,
                "cast",
                "The mark cannot be less than the new diameter.",
            ));
        }
        Some(cast) => {
            sheet.source("cast", "the mark cast in the drum", Standing::Given);
            cast
        }
        None => by_rule,
    };
    // Turning stops short of the mark by what is left for wear, as the rule has it.
    let refinish = Length::from_mm((discard.in_mm() - (DISCARD - REFINISH)).max(new.in_mm()));
    sheet.value("worn", "worn by, on the diameter", worn);
    sheet.value("refinish", "may be turned to at most", refinish);
    sheet.value("discard", "must go above", discard);
    let same = 1e-9;
    let (word, words) = if (measured - discard).in_mm() > same {
        (
            VerdictWord::AboveLimits,
            "Worn out: above the greatest diameter. Replace it, with its fellow.",
        )
    } else if (measured - refinish).in_mm() > same {
        (
            VerdictWord::InLimits,
            "May still run as it is, but may not be turned any more.",
        )
    } else {
        (
            VerdictWord::InLimits,
            "In limits; it may be turned if it is scored or oval.",
        )
    };
    sheet.verdict("drum", word, words.to_owned());
    if let Some(other) = given.get::<Length>("other") {
        let apart = Length::from_mm((other - measured).in_mm().abs());
        sheet.value("apart", "the two drums of the axle differ by", apart);
        if apart.in_mm() > 0.25 {
            sheet.warning("apart", "The drums of an axle must be alike: turn both to the larger one, or the car pulls to one side.");
        }
    }
    sheet.formula(
        "rule",
        "limits of a drum",
        "discard: the mark cast, or D + 2.28 mm; turn to 0.76 mm below that",
    );
    sheet.source(
        "rule",
        "refinish to +0.060 in (1.52 mm), discard above +0.090 in (2.28 mm)",
        Standing::CommonPractice,
    );
    sheet.source(
        "alike",
        "both drums of an axle alike, within 0.25 mm",
        Standing::CommonPractice,
    );
    sheet.condition(
        "axle",
        "Both drums of an axle are alike: what is taken off one is taken off the other.",
    );
    sheet.condition("cast_wins", "The mark cast in the drum wins over any rule; a drum with a crack or a blue spot goes whatever it measures.");
    sheet.condition(
        "not_discs",
        "For drums only: a disc has a least thickness of its own.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}
