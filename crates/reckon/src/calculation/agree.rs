//! Do two readings of one point agree? The normalised error En.
//!
//! Never says which of the two is right.

use super::{Argument, BenchPlace, Calculation, Given, LENGTH, Want, verdict};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::quantity::{Length, Unit};
use crate::uncertainty::{INSTRUMENT_CHOICES, InstrumentKind, en};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "agree",
    title: "Do two readings agree?",
    place: BenchPlace::Readings,
    about: "Whether two keepers' readings of one point differ by more than their instruments explain.",
    arguments: &[
        Argument::new("first", "x1", "the first reading", LENGTH)
            .required()
            .within(-10_000.0, 10_000.0)
            .such_as("50.012 mm", "1.9690 in"),
        Argument::new("second", "x2", "the second reading", LENGTH)
            .required()
            .within(-10_000.0, 10_000.0)
            .such_as("50.031 mm", "1.9697 in"),
        Argument::new(
            "first_instrument",
            "",
            "what the first was measured with",
            Want::Choice(INSTRUMENT_CHOICES),
        )
        .such_as("micrometer", "micrometer"),
        Argument::new(
            "second_instrument",
            "",
            "what the second was measured with",
            Want::Choice(INSTRUMENT_CHOICES),
        )
        .such_as("caliper", "caliper"),
        Argument::new(
            "first_uncertainty",
            "U1",
            "the expanded uncertainty of the first, where it is known",
            LENGTH,
        )
        .within(0.000_1, 100.0)
        .such_as("0.005 mm", "0.0002 in"),
        Argument::new(
            "second_uncertainty",
            "U2",
            "the expanded uncertainty of the second, where it is known",
            LENGTH,
        )
        .within(0.000_1, 100.0)
        .such_as("0.005 mm", "0.0002 in"),
    ],
    dangers: &[],
    contradictions: &[],
    run,
};

fn expanded(
    given: &Given,
    sheet: &mut Sheet,
    typed: &str,
    instrument: &str,
    reading: Length,
) -> Result<Length, ReckonRefusal> {
    if let Some(expanded) = given.get(typed) {
        return Ok(expanded);
    }
    match given.choice(instrument).and_then(InstrumentKind::named) {
        Some(kind) => {
            verdict::used(sheet, kind, &[reading]);
            Ok(kind.expanded())
        }
        None => Err(ReckonRefusal::of(
            RefusalCode::Missing,
            instrument,
            "What each reading was measured with is needed, or its uncertainty.",
        )),
    }
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (first, second): (Length, Length) = (given.need("first")?, given.need("second")?);
    let one = expanded(
        given,
        sheet,
        "first_uncertainty",
        "first_instrument",
        given.need("first")?,
    )?;
    let two = expanded(
        given,
        sheet,
        "second_uncertainty",
        "second_instrument",
        given.need("second")?,
    )?;
    let error = en(first.in_mm(), one.in_mm(), second.in_mm(), two.in_mm());
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    let (word, words) = if error > 1.0 {
        (
            VerdictWord::AboveLimits,
            "They disagree: more than the instruments explain. Measure again, together.",
        )
    } else {
        (
            VerdictWord::InLimits,
            "They agree: no further apart than the instruments explain.",
        )
    };
    sheet.verdict("agree", word, words.to_owned());
    sheet.number("en", "normalised error En", error);
    let apart = Length::from_mm((first - second).in_mm().abs());
    sheet.value_in("apart", "apart by", apart, fine);
    sheet.value_in(
        "explained",
        "the instruments explain",
        Length::from_mm(libm::hypot(one.in_mm(), two.in_mm())),
        fine,
    );
    sheet.formula("en", "normalised error", "En = |x1 − x2| / √(U1² + U2²)");
    sheet.source(
        "iso_17043",
        "ISO/IEC 17043: En > 1 is a disagreement",
        Standing::Published,
    );
    sheet.condition(
        "one_point",
        "Both are of the same point, direction and temperature.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}
