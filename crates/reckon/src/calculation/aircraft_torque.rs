//! The torque table of FAA AC 43.13-1B for aircraft hardware in tension: a look-up, for comparison.
//!
//! Never carried over to other bolts: the car's own manual gives the car's torques.

use super::{Argument, Calculation, Danger, Given, Place, Want};
use crate::answer::{Refusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Torque, Unit};

/// Thread, recommended from and to, most allowed, in lbf·in; and is the row taken from the published table (the others are from
/// memory)?
const ROWS: &[(&str, f64, f64, f64, bool)] = &[
    ("8-36", 12.0, 15.0, 20.0, false),
    ("10-32", 20.0, 25.0, 40.0, true),
    ("1/4-28", 50.0, 70.0, 100.0, true),
    ("5/16-24", 100.0, 140.0, 225.0, true),
    ("3/8-24", 160.0, 190.0, 390.0, true),
    ("7/16-20", 450.0, 500.0, 840.0, false),
    ("1/2-20", 480.0, 690.0, 1_100.0, false),
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "aircraft_torque",
    title: "Aircraft hardware torque",
    place: Place::Fasteners,
    about: "The torque range of a published table for dry aircraft nuts in tension, for comparison with a manual's figure.",
    arguments: &[
        Argument::new("thread", "", "the thread: fine Unified", Want::Thread)
            .required()
            .such_as("1/4-28", "1/4-28"),
    ],
    dangers: &[Danger::Torque],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let name = given
        .thread("thread")
        .map(|thread| thread.name().to_owned())
        .unwrap_or_default();
    let Some((_, low, high, most, checked)) = ROWS.iter().find(|row| row.0 == name) else {
        let names: Vec<&str> = ROWS.iter().map(|row| row.0).collect();
        return Err(Refusal::of(
            RefusalCode::Impossible,
            "thread",
            format!("The table has {}; {name} is not in it.", names.join(", ")),
        ));
    };
    let unit = sheet.pick(Unit::NewtonMetre, Unit::PoundForceInch);
    sheet.value_in("torque_low", "torque, from", Torque::from_lbf_in(*low), unit);
    sheet.value_in("torque_high", "torque, to", Torque::from_lbf_in(*high), unit);
    sheet.value_in("torque_most", "never more than", Torque::from_lbf_in(*most), unit);
    sheet.formula("table", "table", "a look-up, no formula");
    let (words, standing) = if *checked {
        (
            "FAA AC 43.13-1B, table 7-1: fine threads, tension nuts",
            Standing::Published,
        )
    } else {
        (
            "FAA AC 43.13-1B, table 7-1: this row written down from memory",
            Standing::FromMemory,
        )
    };
    sheet.source("ac_43_13", words, standing);
    sheet.condition("lubrication", "Clean and dry threads, no oil.");
    sheet.condition(
        "grade",
        "Aircraft bolts and tension nuts of the table's standards only; not car bolts, not shear nuts.",
    );
    sheet.condition("drag", "The nut's own drag is measured and added.");
    Ok(())
}
