//! A brake drum against its limits: as cast on the drum, or by rule of thumb. With both drums of an axle, the pair is judged.
//!
//! Never for discs, never names a size above the mark that is cast in the drum, and never calls a drum in limits by a measure or a mark
//! that cannot be.

use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, in_order, near};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::quantity::{Kind, Length};

/// Over the new diameter: refinish at most, discard above. Common practice (0.060 and 0.090 in).
const REFINISH: f64 = 1.52;
const DISCARD: f64 = 2.28;
/// Two drums of an axle that differ by more are not alike. Common practice.
const ALIKE: f64 = 0.25;
/// Marks stand 1.5 to 2.3 mm above new, about 3 mm on heavy drums (0.120 in); one that is higher by more than this is a slip or is cast
/// in another drum. Common practice, no source.
const MARK: f64 = 4.0;
/// What a new drum and a measure of it may be under the nominal size (0.005 in). Common practice, no source.
const UNDER_NEW: f64 = 0.13;
/// A float's error, in mm.
const SAME: f64 = 1e-9;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "drum",
    title: "Brake drum",
    place: BenchPlace::BrakesAndWheels,
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
    contradictions: &[in_order("new", "cast"), near("new", "cast", Kind::Length, MARK)],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (new, measured): (Length, Length) = (given.need("new")?, given.need("measured")?);
    let other = given.get::<Length>("other");
    for (name, drum) in [("measured", Some(measured)), ("other", other)] {
        let worn = drum.map_or(0.0, |drum| (drum - new).in_mm());
        if !(-1.0..=10.0).contains(&worn) {
            return Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                name,
                "A drum does not shrink, nor wear by more than 10 mm: is one of the two a slip?",
            ));
        }
    }
    let discard = discard(given, sheet, new);
    let marked = given.has("cast");
    // Turning stops short of the mark by what is left for wear, as the rule has it.
    let refinish = Length::from_mm((discard.in_mm() - (DISCARD - REFINISH)).max(new.in_mm()));
    // Of a pair the more worn one is what counts, so it stands first.
    let first = (
        "worn",
        "worn by, on the diameter",
        "smaller than new by, on the diameter",
        measured,
    );
    match other {
        Some(other) if other > measured => {
            worn(
                sheet,
                new,
                (
                    "worn_other",
                    "the other drum is worn by, on the diameter",
                    "the other drum is smaller than new by",
                    other,
                ),
            );
            worn(
                sheet,
                new,
                (
                    "worn",
                    "this one is worn by",
                    "this one is smaller than new by",
                    measured,
                ),
            );
        }
        Some(other) => {
            worn(sheet, new, first);
            worn(
                sheet,
                new,
                (
                    "worn_other",
                    "the other drum is worn by",
                    "the other drum is smaller than new by",
                    other,
                ),
            );
        }
        None => worn(sheet, new, first),
    }
    sheet.value("refinish", "may be turned to at most", refinish);
    sheet.value("discard", "must go above", discard);
    let smallest = other.filter(|other| *other < measured).unwrap_or(measured);
    match other {
        _ if (new - smallest).in_mm() > UNDER_NEW + SAME => smaller(sheet, new - smallest, other.is_some()),
        Some(other) => pair(sheet, measured, other, (refinish, discard), marked),
        None => single(sheet, measured, (refinish, discard), marked),
    }
    rests_on(sheet);
    Ok(())
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet) {
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
}

/// Above which diameter the drum goes: by the mark that is cast in it, or by the rule where none was given.
fn discard(given: &Given, sheet: &mut Sheet, new: Length) -> Length {
    match given.get::<Length>("cast") {
        Some(cast) => {
            sheet.source("cast", "the mark cast in the drum", Standing::Given);
            let above = cast - new;
            if above.in_mm() > DISCARD + ALIKE {
                sheet.warning(
                    "mark",
                    format!(
                        "The mark is {} above new, where about {} is usual: clean it and read it again, and see that the size when new is this drum's.",
                        sheet.text(above),
                        sheet.text(Length::from_mm(DISCARD))
                    ),
                );
            }
            cast
        }
        None => {
            sheet.warning(
                "no_mark",
                "No mark was given: the greatest diameter is cast or stamped in the drum, and only it holds. Clean the drum and find it before anything is turned or run by this rule of thumb.",
            );
            new + Length::from_mm(DISCARD)
        }
    }
}

/// By how much a drum is worn, or smaller than when it was new.
fn worn(
    sheet: &mut Sheet,
    new: Length,
    (key, worn, smaller, drum): (&'static str, &'static str, &'static str, Length),
) {
    if drum < new {
        sheet.value(key, smaller, new - drum);
    } else {
        sheet.value(key, worn, drum - new);
    }
}

/// Smaller than new, which no wear makes it: nothing follows, and nothing is turned by it.
fn smaller(sheet: &mut Sheet, by: Length, pair: bool) {
    let which = if pair { "one of the two is" } else { "it is" };
    sheet.verdict(
        "drum",
        VerdictWord::BelowLimits,
        format!(
            "Not judged: {which} smaller than new by {}, and a drum does not shrink. Clean it and measure again, and see that the size when new is this drum's.",
            sheet.text(by)
        ),
    );
    sheet.warning(
        "smaller",
        "A drum smaller than new was measured over rust, dirt or a ridge, was read wrong, or is not the drum that was meant: turn nothing, and fit nothing, by these limits.",
    );
}

/// Does it stand at the limit itself, but for a float's error?
fn at(drum: Length, limit: Length) -> bool {
    (drum - limit).in_mm().abs() <= SAME
}

fn above(drum: Length, most: Length) -> bool {
    (drum - most).in_mm() > SAME
}

/// A drum under its limits: in limits by its own mark, and by a rule of thumb only told what that says.
fn under(marked: bool, words: &str) -> (VerdictWord, String) {
    if marked {
        return (VerdictWord::InLimits, words.to_owned());
    }
    let first = words.chars().next().map(|first| first.to_lowercase().to_string());
    let rest: String = words.chars().skip(1).collect();
    (
        VerdictWord::TooCloseToCall,
        format!(
            "Too close to call without the mark that is cast in the drum. By rule of thumb, {}{rest}",
            first.unwrap_or_default()
        ),
    )
}

/// One drum by itself, against what it may be turned to and what it must go above.
fn single(sheet: &mut Sheet, measured: Length, (refinish, discard): (Length, Length), marked: bool) {
    let (word, words) = if above(measured, discard) {
        (
            VerdictWord::AboveLimits,
            "Worn out: above the greatest diameter. Replace it, with its fellow.".to_owned(),
        )
    } else if at(measured, discard) {
        (
            VerdictWord::TooCloseToCall,
            "Too close to call: it stands at the greatest diameter itself, and nothing is left to wear. Replace it as if it were worn out, with its fellow.".to_owned(),
        )
    } else if above(measured, refinish) {
        under(
            marked,
            "It may still run as it is, but may not be turned any more.",
        )
    } else if at(measured, refinish) {
        under(
            marked,
            "It is at the limit for turning: it may still run as it is, but nothing is left to turn off it.",
        )
    } else {
        sheet.value(
            "left_to_turn",
            "left to turn off, on the diameter",
            refinish - measured,
        );
        under(
            marked,
            if marked {
                "In limits; it may be turned if it is scored or oval."
            } else {
                "It may still run, and be turned if it is scored or oval."
            },
        )
    };
    sheet.verdict("drum", word, words);
}

/// Both drums of an axle: the larger one decides, and where they differ too much the smaller one is turned to it, as long as
/// that may be done.
fn pair(
    sheet: &mut Sheet,
    measured: Length,
    other: Length,
    (refinish, discard): (Length, Length),
    marked: bool,
) {
    let larger = if other > measured { other } else { measured };
    let apart = Length::from_mm((other - measured).in_mm().abs());
    let alike = apart.in_mm() <= ALIKE + SAME;
    sheet.value("apart", "the two drums of the axle differ by", apart);
    let (word, words) = if above(larger, discard) {
        let which = match (above(measured, discard), above(other, discard)) {
            (true, true) => "both drums are",
            (true, false) => "the first drum is",
            _ => "the other drum is",
        };
        let words = format!("Worn out: {which} above the greatest diameter. Replace both, as a pair.");
        (VerdictWord::AboveLimits, words)
    } else if at(larger, discard) {
        let words = "Too close to call: the larger one stands at the greatest diameter itself, and nothing is left to wear. Replace both as if it were worn out, as a pair.";
        (VerdictWord::TooCloseToCall, words.to_owned())
    } else if !alike && above(larger, refinish) {
        let words = format!(
            "Not alike by {}, and the smaller one may not be turned to {}: at most {} is allowed. Replace both, as a pair.",
            sheet.text(apart),
            sheet.text(larger),
            sheet.text(refinish)
        );
        (VerdictWord::AboveLimits, words)
    } else if !alike {
        let words = format!(
            "Not alike by {}: turn both to {}, the larger one, and to {} at the very most.",
            sheet.text(apart),
            sheet.text(larger),
            sheet.text(refinish)
        );
        sheet.value("turn_to", "turn both to", larger);
        (VerdictWord::AboveLimits, words)
    } else if above(larger, refinish) {
        under(
            marked,
            "Both may still run as they are, but may not be turned any more.",
        )
    } else if at(larger, refinish) {
        under(
            marked,
            "At the limit for turning: both may still run as they are, but nothing is left to turn off them.",
        )
    } else {
        sheet.value(
            "left_to_turn",
            "left to turn off, on the diameter",
            refinish - larger,
        );
        let words = if marked {
            "Both in limits and alike; they may be turned, both to one size, if they are scored or oval."
        } else {
            "Both may still run and are alike; they may be turned, both to one size, if they are scored or oval."
        };
        under(marked, words)
    };
    sheet.verdict("drum", word, words);
    if !alike {
        sheet.warning(
            "apart",
            "The drums of an axle must be alike, or the car pulls to one side when it brakes.",
        );
    }
}
