//! Brake and clutch hydraulics: the pressure from a pedal, and what the cylinders make of it.
//!
//! Never says that a change of cylinders is safe: it alters the balance between the axles.

use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want, in_order};
use crate::answer::{AT_20_C, ReckonRefusal, Sheet, Standing};
use crate::quantity::{Force, Kind, Length, Pressure, Size, Unit, shown};

/// No hydraulic brake of a car works above this, in bar. Common practice, no source.
const MOST_BAR: f64 = 200.0;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "hydraulics",
    title: "Brake hydraulics",
    place: BenchPlace::BrakesAndWheels,
    about: "The pressure that a foot makes in the pipes, and the force and travel at a wheel cylinder.",
    arguments: &[
        Argument::new(
            "foot",
            "F",
            "the force of the foot on the pedal",
            Want::Quantity(Kind::Force),
        )
        .required()
        .within(1.0, 2_000.0)
        .usually(20.0, 700.0)
        .such_as("220 N", "50 lbf"),
        Argument::new("pedal_long", "a", "from the pedal's pivot to the foot", LENGTH)
            .required()
            .within(20.0, 800.0)
            .such_as("250 mm", "10 in"),
        Argument::new("pedal_short", "b", "from the pivot to the pushrod", LENGTH)
            .required()
            .within(5.0, 400.0)
            .such_as("31 mm", "1.25 in"),
        Argument::new("master", "D", "the bore of the master cylinder", LENGTH)
            .required()
            .within(8.0, 60.0)
            .such_as("25.4 mm", "1 in"),
        Argument::new(
            "wheel",
            "d",
            "the bore of a wheel cylinder or caliper piston",
            LENGTH,
        )
        .within(8.0, 100.0)
        .such_as("22.2 mm", "0.875 in"),
    ],
    dangers: &[Danger::Brakes, Danger::Lifting],
    // A pedal gains force; one that loses it has its lengths changed over.
    contradictions: &[in_order("pedal_short", "pedal_long")],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let foot: Force = given.need("foot")?;
    let ratio = given.need::<Length>("pedal_long")? / given.need::<Length>("pedal_short")?;
    let master: Length = given.need("master")?;
    let rod = foot * ratio;
    // N/mm² is MPa.
    let pressure = Pressure::from_mpa(rod.in_n() / master.circle().in_mm2());
    let unit = sheet.pick(Unit::Bar, Unit::Psi);
    sheet.value_in("pressure", "pressure in the pipes", pressure, unit);
    if Unit::Bar.from_base(pressure.base()) > MOST_BAR {
        sheet.warning(
            "pressure",
            format!(
                "That is more than any hydraulic brake of a car works at, about {}: is a bore, a length or the force a slip? Pipes, hoses and seals may burst.",
                shown(unit.from_base(Unit::Bar.to_base(MOST_BAR)), unit)
            ),
        );
        sheet.source(
            "most",
            "brakes of cars work under about 200 bar",
            Standing::CommonPractice,
        );
    }
    sheet.number("pedal_ratio", "ratio of the pedal, to 1", ratio);
    sheet.value("rod", "force on the pushrod", rod);
    if let Some(wheel) = given.get::<Length>("wheel") {
        let step = wheel / master;
        sheet.value(
            "wheel_force",
            "force of one wheel piston",
            pressure * wheel.circle(),
        );
        sheet.number(
            "force_ratio",
            "force of a wheel piston over the pushrod's, to 1",
            step * step,
        );
        sheet.number(
            "travel_ratio",
            "travel of the master for one of that piston, to 1",
            step * step,
        );
        sheet.formula("force_ratio", "force ratio", "(d / D)²");
    }
    sheet.formula("pressure", "pressure", "p = F · a / b / (π/4 · D²)");
    sheet.source("pressure", "force over area (Pascal's law)", Standing::Derived);
    sheet.condition(
        "no_servo",
        "No servo, no friction, no springs: the real pressure is lower without and higher with a servo.",
    );
    sheet.condition(
        "grade",
        "Cylinders, hoses and fluid of the kind the car was made for; all pistons of an axle alike.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}
