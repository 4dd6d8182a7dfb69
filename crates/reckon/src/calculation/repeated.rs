//! Repeated readings of one thing: their mean, their spread, and how well the mean is known.
//!
//! Never throws a reading out.

use super::{Argument, Calculation, Given, LENGTHS, Place, Want, verdict};
use crate::answer::{AT_20_C, Refusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Length, Unit};
use crate::uncertainty::{Contribution, INSTRUMENT_CHOICES, InstrumentKind, Repeated, combine};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "repeated",
    title: "Repeated readings",
    place: Place::Readings,
    about: "The mean of repeated readings of one point, their spread, and how well the mean is known.",
    arguments: &[
        Argument::new("readings", "x", "the readings", LENGTHS)
            .required()
            .within(-10_000.0, 10_000.0)
            .such_as("50.012, 50.014, 50.011 mm", "1.9690, 1.9691, 1.9689 in"),
        Argument::new(
            "instrument",
            "",
            "what they were measured with",
            Want::Choice(INSTRUMENT_CHOICES),
        )
        .such_as("micrometer", "micrometer"),
    ],
    dangers: &[],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let readings: Vec<f64> = given
        .list::<Length>("readings")
        .into_iter()
        .map(Length::in_mm)
        .collect();
    let Some(repeated) = Repeated::of(&readings) else {
        return Err(Refusal::of(
            RefusalCode::NothingToReckon,
            "readings",
            "At least two readings are needed.",
        ));
    };
    let instrument = given.choice("instrument").and_then(InstrumentKind::named);
    let mut parts = vec![Contribution::mean_of(&repeated)];
    if let Some(kind) = instrument {
        parts.push(Contribution::standard(kind.uncertainty_mm().standard));
        verdict::used(sheet, kind, &given.list("readings"));
    }
    let combined = combine(&parts);
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    sheet.value("mean", "mean", Length::from_mm(repeated.mean));
    let expanded = Length::from_mm(combined.uncertainty().expanded());
    sheet.value_in(
        "expanded",
        "expanded uncertainty of the mean (95 %)",
        expanded,
        fine,
    );
    sheet.value_in(
        "deviation",
        "standard deviation of one reading, s",
        Length::from_mm(repeated.deviation),
        fine,
    );
    sheet.value_in(
        "mean_deviation",
        "standard deviation of the mean, s/√n",
        Length::from_mm(repeated.mean_deviation),
        fine,
    );
    sheet.count("count", "readings", repeated.count);
    sheet.number("coverage", "coverage factor", combined.coverage);
    if let Some(freedom) = combined.freedom {
        sheet.number("freedom", "effective degrees of freedom", freedom.min(99_999.0));
    }
    sheet.formula(
        "mean",
        "mean and spread",
        "s² = Σ(x − mean)²/(n − 1), u = s/√n, U = k · u",
    );
    sheet.source(
        "jcgm_100",
        "JCGM 100:2008, 4.2 (repeated readings), 5.1 (combined), G.4 (degrees of freedom), table G.2 (coverage)",
        Standing::Published,
    );
    if instrument.is_none() {
        sheet.condition(
            "instrument",
            "The instrument's own error is left out: repeating does not show it.",
        );
    }
    sheet.condition(
        "one_point",
        "All are readings of one point, with one instrument, set anew each time.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}
