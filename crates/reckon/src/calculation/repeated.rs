//! Repeated readings of one thing: their mean, their spread, and how well the mean is known.
//!
//! Never throws a reading out, and never takes readings that do not differ for readings without an uncertainty.

use super::{Argument, BenchPlace, Calculation, Given, LENGTHS, Want, verdict};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Length, Unit};
use crate::uncertainty::{Contribution, INSTRUMENT_CHOICES, InstrumentKind, Repeated, combine};

/// A float's error, in mm.
const SAME: f64 = 1e-9;
/// A reading so many times as far off as the others usually are, and never less than this many mm, is asked about; so are two readings
/// that are further apart than the last, in mm. Common practice, no source.
const TIMES_OFF: f64 = 10.0;
const LEAST_OFF: f64 = 0.05;
const APART: f64 = 0.5;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "repeated",
    title: "Repeated readings",
    place: BenchPlace::Readings,
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

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let readings: Vec<f64> = given
        .list::<Length>("readings")
        .into_iter()
        .map(Length::in_mm)
        .collect();
    let Some(repeated) = Repeated::of(&readings) else {
        return Err(ReckonRefusal::of(
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
    let spread = repeated.deviation > SAME;
    if spread || instrument.is_some() {
        let expanded = Length::from_mm(combined.uncertainty().expanded());
        sheet.value_in(
            "expanded",
            "expanded uncertainty of the mean (95 %)",
            expanded,
            fine,
        );
    }
    slip(sheet, &readings);
    no_spread(sheet, spread, instrument.is_some());
    sheet.value_in(
        "deviation",
        "standard deviation of one reading, s",
        Length::from_mm(repeated.deviation),
        fine,
    );
    if spread {
        sheet.value_in(
            "mean_deviation",
            "standard deviation of the mean, s/√n",
            Length::from_mm(repeated.mean_deviation),
            fine,
        );
    }
    sheet.count("count", "readings", repeated.count);
    if spread || instrument.is_some() {
        sheet.number("coverage", "coverage factor", combined.coverage);
    }
    if let Some(freedom) = combined.freedom.filter(|_| spread) {
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

/// Readings that do not differ: the step hides the spread.
fn no_spread(sheet: &mut Sheet, spread: bool, instrument: bool) {
    if spread {
        return;
    }
    if instrument {
        sheet.condition(
            "no_spread",
            "The readings do not differ, so the instrument's own error is the whole of it: repeating showed no more.",
        );
    } else {
        sheet.warning(
            "no_spread",
            "The readings do not differ: that does not make them exact, for the instrument's step hides what is less. Its own error is the whole of the uncertainty: name the instrument.",
        );
    }
}

/// Asks about a reading that is far from all the others.
fn slip(sheet: &mut Sheet, readings: &[f64]) {
    let mut sorted = readings.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle_of = |sorted: &[f64]| sorted.get(sorted.len() / 2).copied().unwrap_or_default();
    let middle = middle_of(&sorted);
    let mut off: Vec<(f64, f64)> = readings
        .iter()
        .map(|reading| ((reading - middle).abs(), *reading))
        .collect();
    off.sort_by(|one, other| one.0.total_cmp(&other.0));
    let Some((farthest, reading)) = off.pop() else {
        return;
    };
    let words = if off.len() == 1 {
        (farthest > APART + SAME)
            .then(|| "These two are far apart for readings of one point: is one of them a slip?".to_owned())
    } else {
        let usual: Vec<f64> = off.iter().map(|(off, _)| *off).collect();
        let most = (middle_of(&usual) * TIMES_OFF).max(LEAST_OFF);
        (farthest > most + SAME).then(|| {
            format!(
                "{} is far from all the others: is it a slip? Read that point again; nothing was left out.",
                sheet.text(Length::from_mm(reading))
            )
        })
    };
    if let Some(words) = words {
        sheet.warning("slip", words);
        sheet.source(
            "slip",
            "a reading ten times as far off as the others usually are is asked about",
            Standing::CommonPractice,
        );
    }
}
