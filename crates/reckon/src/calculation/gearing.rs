//! Road speed and engine speed through the gears.
//!
//! Never says what an engine may turn.

use std::f64::consts::PI;

use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Kind, Length, Speed, Turning};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "gearing",
    title: "Gearing",
    place: BenchPlace::Gearing,
    about: "The engine's turning speed at a road speed, or the road speed at a turning speed.",
    arguments: &[
        Argument::new("diameter", "D", "the outer diameter of the driven tyres", LENGTH)
            .required()
            .within(200.0, 1_500.0)
            .such_as("610 mm", "24 in"),
        Argument::new("axle", "", "the ratio of the axle, to 1", Want::Number)
            .required()
            .within(1.0, 12.0)
            .such_as("4.1", "4.1"),
        Argument::new("gear", "", "the ratio of the gear, to 1", Want::Number)
            .within(0.4, 8.0)
            .or("1")
            .such_as("1", "1"),
        Argument::new("speed", "v", "the road speed", Want::Quantity(Kind::Speed))
            .within(0.1, 120.0)
            .such_as("100 km/h", "60 mph"),
        Argument::new(
            "rpm",
            "n",
            "the engine's turning speed",
            Want::Quantity(Kind::Turning),
        )
        .within(1.0, 20_000.0)
        .such_as("4000 rpm", "4000 rpm"),
    ],
    dangers: &[Danger::Wheels],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let diameter: Length = given.need("diameter")?;
    let ratio = given.need_number("axle")? * given.need_number("gear")?;
    let round = diameter.in_m() * PI;
    let (speed, turning) = (given.get::<Speed>("speed"), given.get::<Turning>("rpm"));
    if let Some(speed) = speed {
        sheet.value(
            "rpm",
            "turning speed of the engine",
            Turning::from_rpm(speed.in_m_s() / round * ratio * 60.0),
        );
    }
    if let Some(turning) = turning {
        sheet.value(
            "speed",
            "road speed",
            Speed::from_m_s(turning.in_turn_s() / ratio * round),
        );
    }
    if speed.is_none() && turning.is_none() {
        return Err(ReckonRefusal::of(
            RefusalCode::NothingToReckon,
            "",
            "Give a road speed or a turning speed.",
        ));
    }
    sheet.value(
        "speed_per_1000",
        "road speed at 1000 rpm",
        Speed::from_m_s(1_000.0 / 60.0 / ratio * round),
    );
    sheet.number("ratio", "ratio of gear and axle together", ratio);
    sheet.formula(
        "rpm",
        "turning speed",
        "n = v · ratio / (π · D); in mph and inches: mph · ratio · 336.135 / D",
    );
    sheet.source("rpm", "follows from the circumference", Standing::Derived);
    sheet.condition(
        "rolling",
        "A loaded tyre rolls about 3 % shorter than its outer diameter; nothing slips.",
    );
    Ok(())
}
