//! A dropping resistor: what it must be so that a part for a lower voltage runs on a higher one.
//!
//! Never for a load that varies: with another current it drops another voltage.

use super::{Argument, BenchPlace, Calculation, Danger, Given, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Current, Kind, Power, Resistance, Voltage};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "resistor",
    title: "Dropping resistor",
    place: BenchPlace::Electrics,
    about: "The resistor, and its power, for a part of a lower voltage on a higher one.",
    arguments: &[
        Argument::new(
            "supply",
            "U",
            "the voltage of the system",
            Want::Quantity(Kind::Voltage),
        )
        .required()
        .within(1.0, 60.0)
        .such_as("12 V", "12 V"),
        Argument::new(
            "wanted",
            "u",
            "the voltage of the part",
            Want::Quantity(Kind::Voltage),
        )
        .required()
        .within(1.0, 60.0)
        .such_as("6 V", "6 V"),
        Argument::new(
            "current",
            "I",
            "the current of the part, steady",
            Want::Quantity(Kind::Current),
        )
        .required()
        .within(0.01, 500.0)
        .usually(0.01, 10.0)
        .such_as("2 A", "2 A"),
    ],
    dangers: &[Danger::Electrical],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (supply, wanted): (Voltage, Voltage) = (given.need("supply")?, given.need("wanted")?);
    let current: Current = given.need("current")?;
    let drop = supply - wanted;
    if drop.in_v() <= 0.0 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "wanted",
            "A resistor only lowers a voltage; are they changed over?",
        ));
    }
    let power = Power::from_w(drop.in_v() * current.in_a());
    sheet.value(
        "resistance",
        "resistor",
        Resistance::from_ohm(drop.in_v() / current.in_a()),
    );
    sheet.value("power", "it turns into heat", power);
    sheet.value("rated", "rated for at least", power * 2.0);
    sheet.value("drop", "it drops", drop);
    sheet.formula(
        "resistor",
        "dropping resistor",
        "R = (U − u) / I; P = (U − u) · I; rated ≥ 2 · P",
    );
    sheet.source("resistor", "Ohm's law", Standing::Derived);
    sheet.source("rated", "rated for twice the heat", Standing::CommonPractice);
    sheet.condition(
        "steady",
        "Only for a steady current: not for motors, wipers, radios, gauges or lamps that dim.",
    );
    sheet.condition(
        "hot",
        "It gets hot enough to burn: away from wires, paint and fuel, on metal, with its own fuse.",
    );
    Ok(())
}
