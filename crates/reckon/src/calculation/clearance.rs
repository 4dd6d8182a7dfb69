//! The clearance between a bore and what runs in it, with the uncertainty of both readings, and the usual oil clearance.
//!
//! Never judges by a rule of thumb: only limits that were given are judged by.

use super::{Argument, BenchPlace, Calculation, Given, LENGTH, Want, in_order, verdict};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Length, Unit};
use crate::uncertainty::{
    Contribution, INSTRUMENT_CHOICES, InstrumentKind, Limits, Uncertainty, combine, judge,
};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "clearance",
    title: "Running clearance",
    place: BenchPlace::BottomEnd,
    about: "The clearance of a piston in its bore or a journal in its shell, how well it is known, and whether it is in limits.",
    arguments: &[
        Argument::new(
            "bore",
            "B",
            "the smallest bore, or the shell closed to its torque",
            LENGTH,
        )
        .required()
        .within(1.0, 500.0)
        .such_as("77.020 mm", "3.0323 in"),
        Argument::new(
            "inner",
            "d",
            "the piston at its gauge point, or the journal at its largest",
            LENGTH,
        )
        .required()
        .within(1.0, 500.0)
        .such_as("76.975 mm", "3.0305 in"),
        Argument::new(
            "low",
            "cmin",
            "the least clearance in the car's own manual",
            LENGTH,
        )
        .within(-0.5, 5.0)
        .such_as("0.03 mm", "0.0012 in"),
        Argument::new(
            "high",
            "cmax",
            "the most clearance in the car's own manual",
            LENGTH,
        )
        .within(-0.5, 5.0)
        .such_as("0.07 mm", "0.0028 in"),
        Argument::new(
            "bore_instrument",
            "",
            "what the bore was measured with",
            Want::Choice(INSTRUMENT_CHOICES),
        )
        .such_as("bore_gauge", "bore_gauge"),
        Argument::new(
            "inner_instrument",
            "",
            "what the inner part was measured with",
            Want::Choice(INSTRUMENT_CHOICES),
        )
        .such_as("micrometer_100", "micrometer_100"),
    ],
    dangers: &[],
    contradictions: &[in_order("low", "high")],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (bore, inner): (Length, Length) = (given.need("bore")?, given.need("inner")?);
    let clearance = bore - inner;
    if clearance.in_mm().abs() > 10.0 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "inner",
            "These two are not a pair: they are more than 10 mm apart.",
        ));
    }
    sheet.value("clearance", "clearance (minus: interference)", clearance);
    sheet.formula("clearance", "clearance", "c = B − d, u = √(u1² + u2²)");
    sheet.source("clearance", "follows from the two readings", Standing::Derived);
    let instruments: Vec<(&'static InstrumentKind, Length)> =
        [("bore_instrument", bore), ("inner_instrument", inner)]
            .into_iter()
            .filter_map(|(name, size)| Some((InstrumentKind::named(given.choice(name)?)?, size)))
            .collect();
    let uncertainty = match instruments.as_slice() {
        [one, two] => {
            for (kind, size) in &instruments {
                verdict::used(sheet, kind, &[*size]);
            }
            let parts = [one, two].map(|(kind, _)| Contribution::standard(kind.uncertainty_mm().standard));
            let together = combine(&parts).uncertainty();
            let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
            sheet.value_in(
                "expanded",
                "expanded uncertainty of the clearance",
                Length::from_mm(together.expanded()),
                fine,
            );
            sheet.source(
                "jcgm_100",
                "JCGM 100:2008, 5.1.2: uncertainties of two readings combined",
                Standing::Published,
            );
            Some(together)
        }
        _ => None,
    };
    let rule = inner * 0.001;
    sheet.value(
        "oil_clearance",
        "oil clearance of a journal of this size, by rule of thumb",
        rule,
    );
    sheet.source(
        "oil_clearance",
        "oil clearance of 0.001 in per in of journal",
        Standing::CommonPractice,
    );
    limits(given, sheet, clearance, uncertainty)?;
    sheet.condition(
        "where",
        "A piston is measured at its gauge point, across the pin; a shell with its cap torqued; the bore where it is smallest.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}

fn limits(
    given: &Given,
    sheet: &mut Sheet,
    clearance: Length,
    uncertainty: Option<Uncertainty>,
) -> Result<(), ReckonRefusal> {
    let (low, high) = (given.get::<Length>("low"), given.get::<Length>("high"));
    // Limits that are changed over were refused already, so there are none.
    let Some(limits) = Limits::new(low.map(Length::in_mm), high.map(Length::in_mm)) else {
        return Ok(());
    };
    sheet.source(
        "manual",
        "the limits given, from the car's own manual",
        Standing::Given,
    );
    let judged = judge(
        clearance.in_mm(),
        limits,
        uncertainty.unwrap_or(Uncertainty::NONE),
    );
    let unchecked = verdict::unchecked(low.is_some(), high.is_some());
    verdict::say(sheet, ("clearance", ""), "", unchecked, &judged);
    if uncertainty.is_none() {
        sheet.warning(
            "instruments",
            "Without both instruments the verdict takes the readings as they stand.",
        );
    } else {
        verdict::sources(sheet);
    }
    Ok(())
}
