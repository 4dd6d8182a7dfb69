//! A speedometer against UN R39: it may show more than the true speed, within bounds, and never less.
//!
//! Never turns a reading into a permission: the law of the place decides.

use super::{Argument, BenchPlace, Calculation, Danger, Given, Want};
use crate::answer::{ReckonRefusal, Sheet, Standing, VerdictWord};
use crate::quantity::{Kind, Speed};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "speedometer",
    title: "Speedometer",
    place: BenchPlace::Gearing,
    about: "Whether what a speedometer shows at a true speed is within UN R39, and what it may show.",
    arguments: &[
        Argument::new("true_speed", "V2", "the true speed", Want::Quantity(Kind::Speed))
            .required()
            .within(1.0, 120.0)
            .such_as("50 km/h", "30 mph"),
        Argument::new(
            "shown",
            "V1",
            "what the speedometer shows then",
            Want::Quantity(Kind::Speed),
        )
        .within(0.0, 150.0)
        .such_as("54 km/h", "33 mph"),
    ],
    dangers: &[Danger::Wheels],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let truly: Speed = given.need("true_speed")?;
    let most = Speed::from_km_h(truly.in_km_h() * 1.1 + 4.0);
    sheet.value("most", "it may show at most", most);
    sheet.value("least", "it must show at least", truly);
    if let Some(shown) = given.get::<Speed>("shown") {
        let percent = (shown / truly - 1.0) * 100.0;
        let same = 1e-9;
        let (word, words) = if (truly - shown).in_km_h() > same {
            (
                VerdictWord::BelowLimits,
                "It shows too little: that is never allowed.",
            )
        } else if (shown - most).in_km_h() > same {
            (VerdictWord::AboveLimits, "It shows too much.")
        } else {
            (VerdictWord::InLimits, "In limits of UN R39.")
        };
        sheet.verdict("speedometer", word, words.to_owned());
        sheet.raw(
            "over",
            "it shows more by",
            percent,
            crate::quantity::Unit::Percent,
        );
    }
    sheet.formula("bounds", "bounds", "0 ≤ V1 − V2 ≤ 0.1 · V2 + 4 km/h");
    sheet.source(
        "un_r39",
        "UN Regulation No. 39, speedometer equipment",
        Standing::Published,
    );
    sheet.condition(
        "old",
        "The regulation is for cars of its time; an older car follows the law it was registered under.",
    );
    sheet.condition(
        "measured",
        "The true speed is measured, by satellite or over a known distance; tyres as they run.",
    );
    Ok(())
}
