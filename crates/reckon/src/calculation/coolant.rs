//! How much coolant to drain and fill up with concentrate for a stronger mixture.
//!
//! Never says down to what cold a mixture bears: products differ.

use super::{Argument, BenchPlace, Calculation, Danger, Given, VOLUME, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Unit, Volume};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "coolant",
    title: "Coolant mixture",
    place: BenchPlace::FluidsAndPaint,
    about: "How much to drain and to fill up with, so that the coolant has the strength wanted.",
    arguments: &[
        Argument::new("capacity", "C", "what the system holds", VOLUME)
            .required()
            .within(500.0, 100_000.0)
            .such_as("8 L", "2 US gal"),
        Argument::new("present", "P1", "the part of concentrate in it now", Want::Number)
            .required()
            .within(0.0, 1.0)
            .such_as("33 %", "33 %"),
        Argument::new("wanted", "P2", "the part of concentrate wanted", Want::Number)
            .required()
            .within(0.0, 1.0)
            .usually(0.25, 0.6)
            .such_as("50 %", "50 %"),
        Argument::new(
            "refill",
            "R",
            "the part of concentrate in what is filled up with (0: water)",
            Want::Number,
        )
        .within(0.0, 1.0)
        .or("100 %")
        .such_as("100 %", "100 %"),
    ],
    dangers: &[Danger::Coolant],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let capacity: Volume = given.need("capacity")?;
    let (present, wanted, refill) = (
        given.need_number("present")?,
        given.need_number("wanted")?,
        given.need_number("refill")?,
    );
    // From present towards refill: wanted must lie between them.
    let part = if (wanted - present).abs() < 1e-12 {
        0.0
    } else {
        (wanted - present) / (refill - present)
    };
    if !(0.0..=1.0).contains(&part) {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "refill",
            "With that to fill up with the strength wanted is never reached: it must lie between what is in it and what goes in.",
        ));
    }
    let unit = if sheet.inch() { Unit::GallonUs } else { Unit::Litre };
    sheet.value_in("drain", "drain, and fill up with as much", capacity * part, unit);
    sheet.value_in(
        "concentrate",
        "concentrate in the whole then",
        capacity * wanted,
        unit,
    );
    sheet.formula("drain", "to drain", "D = C · (P2 − P1) / (R − P1)");
    sheet.source(
        "drain",
        "follows from what is drained and what goes in",
        Standing::Derived,
    );
    sheet.source(
        "concentrate",
        "US Army TM 9-6115-464-12, table 2-1, note 1: 60 % by volume is 4.8 pints of glycol in a gallon of solution",
        Standing::Published,
    );
    sheet.condition(
        "mixed",
        "The system is well mixed and full; what stays in block and heater counts in C.",
    );
    sheet.condition("product", "What cold a mixture bears differs between products: the container's own table, or a tester for that product.");
    Ok(())
}
