//! Where to put a mark on the rim of a pulley or flywheel for an angle.
//!
//! Never moves a maker's mark: it only says where another would be.

use std::f64::consts::PI;

use super::{ANGLE, Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, Want};
use crate::answer::{AT_20_C, ReckonRefusal, Sheet, Standing};
use crate::quantity::{Angle, Length};

const TURNS: &[Choice] = &[
    Choice {
        name: "crank",
        words: "degrees of the crank",
    },
    Choice {
        name: "distributor",
        words: "degrees of the distributor or cam: half as many",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "rim_mark",
    title: "Rim mark",
    place: BenchPlace::Ignition,
    about: "How far round a pulley's rim a mark for an angle lies, and the mark opposite top dead centre for setting valves.",
    arguments: &[
        Argument::new("diameter", "D", "the diameter of the rim", LENGTH)
            .required()
            .within(50.0, 500.0)
            .such_as("170 mm", "6.7 in"),
        Argument::new("angle", "θ", "the angle from top dead centre", ANGLE)
            .required()
            .within(0.0, 360.0)
            .such_as("10 °", "10 °"),
        Argument::new("turn", "", "degrees of what", Want::Choice(TURNS))
            .or("crank")
            .such_as("crank", "distributor"),
    ],
    dangers: &[Danger::Ignition],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let diameter: Length = given.need("diameter")?;
    let angle: Angle = given.need("angle")?;
    let crank = if given.choice("turn") == Some("distributor") {
        angle * 2.0
    } else {
        angle
    };
    let round = |angle: Angle| diameter * (PI * angle.in_deg() / 360.0);
    sheet.value(
        "arc",
        "round the rim from the mark of top dead centre",
        round(crank),
    );
    let straight = diameter * libm::sin(crank.in_deg() / 2.0 * PI / 180.0).abs();
    sheet.value("straight", "the same straight across, for dividers", straight);
    sheet.value(
        "opposite",
        "round the rim to the mark opposite, 180°",
        round(Angle::from_deg(180.0)),
    );
    sheet.value("crank", "angle of the crank", crank);
    sheet.value("distributor", "angle of the distributor or cam", crank / 2.0);
    sheet.formula("arc", "arc", "arc = π · D · θ / 360; straight = D · sin(θ/2)");
    sheet.source("arc", "follows from the circle", Standing::Derived);
    sheet.source(
        "opposite",
        "a mark opposite top dead centre as an aid for setting valves",
        Standing::CommonPractice,
    );
    sheet.condition(
        "tdc",
        "The mark of top dead centre was proved with a stop or an indicator; rubber-ringed pulleys slip.",
    );
    sheet.condition(
        "before",
        "Before top dead centre is against the way the crank turns.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}
