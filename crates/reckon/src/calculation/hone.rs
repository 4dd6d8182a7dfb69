//! The angle that honing marks cross at, and the strokes that a wanted angle takes.
//!
//! Never takes a stroke for a cycle: a cycle is one stroke down and one up.

use std::f64::consts::PI;

use super::{ANGLE, Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Angle, Kind, Length, Turning};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "hone",
    title: "Honing angle",
    place: BenchPlace::BoresAndPistons,
    about: "The angle at which the honing marks cross, and how fast to stroke for the angle wanted.",
    arguments: &[
        Argument::new("bore", "D", "the bore", LENGTH)
            .required()
            .within(20.0, 250.0)
            .such_as("77 mm", "4.000 in"),
        Argument::new(
            "turning",
            "n",
            "the turning speed of the hone",
            Want::Quantity(Kind::Turning),
        )
        .required()
        .within(10.0, 1_000.0)
        .usually(50.0, 500.0)
        .such_as("200 rpm", "200 rpm"),
        Argument::new("stroke", "L", "the length of one stroke of the hone", LENGTH)
            .required()
            .within(10.0, 500.0)
            .such_as("120 mm", "6 in"),
        Argument::new(
            "cycles",
            "c",
            "cycles a minute: down and up again is one",
            Want::Number,
        )
        .within(1.0, 300.0)
        .such_as("60", "60"),
        Argument::new("wanted", "θ", "the angle wanted, between the marks", ANGLE)
            .within(5.0, 120.0)
            .or("45 °")
            .such_as("45 °", "45 °"),
    ],
    dangers: &[Danger::Abrasive],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (bore, stroke): (Length, Length) = (given.need("bore")?, given.need("stroke")?);
    let turning: Turning = given.need("turning")?;
    let wanted: Angle = given.need("wanted")?;
    // Both in mm a minute.
    let round = PI * bore.in_mm() * turning.in_rpm();
    if let Some(cycles) = given.number("cycles") {
        let along = 2.0 * stroke.in_mm() * cycles;
        let angle = 2.0 * libm::atan(along / round) * 180.0 / PI;
        sheet.value("angle", "the marks cross at", Angle::from_deg(angle));
    }
    let along = libm::tan(wanted.in_deg() / 2.0 * PI / 180.0) * round;
    let cycles = along / (2.0 * stroke.in_mm());
    if cycles > 1_000.0 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "wanted",
            "No one strokes so fast: turn slower.",
        ));
    }
    sheet.number("cycles_wanted", "cycles a minute for the angle wanted", cycles);
    sheet.number(
        "strokes_wanted",
        "strokes a minute for the angle wanted, up and down counted each",
        cycles * 2.0,
    );
    sheet.formula("angle", "honing angle", "θ = 2 · atan(2 · L · c / (π · D · n))");
    sheet.source("angle", "follows from the two speeds", Standing::Derived);
    sheet.source("usual", "about 45° between the marks", Standing::CommonPractice);
    sheet.condition(
        "cycles",
        "A cycle is one stroke down and one up; a counter of strokes counts two.",
    );
    sheet.condition("ring_maker", "The ring maker's own angle and stone win.");
    Ok(())
}
