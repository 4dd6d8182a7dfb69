//! Several uncertainties of one result put together, like a clearance from two readings.
//!
//! Never takes them as dependent: what moves together must be added by hand first.

use super::{Argument, BenchPlace, Calculation, Choice, Given, LENGTHS, Want};
use crate::answer::{ReckonRefusal, Sheet, Standing};
use crate::quantity::{Length, Unit};
use crate::uncertainty::{Contribution, combine};

const LAWS: &[Choice] = &[
    Choice {
        name: "standard",
        words: "standard uncertainties, as they are",
    },
    Choice {
        name: "limits",
        words: "limits ±a, anywhere inside alike: a/√3",
    },
    Choice {
        name: "triangular",
        words: "limits ±a, likelier in the middle: a/√6",
    },
    Choice {
        name: "steps",
        words: "steps of reading: 0.29 of each",
    },
    Choice {
        name: "expanded",
        words: "expanded uncertainties at about 95 %: half of each",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "combined",
    title: "Uncertainties together",
    place: BenchPlace::Readings,
    about: "How uncertain a result is that comes from several readings, such as a clearance from a bore and a piston.",
    arguments: &[
        Argument::new("parts", "u", "the uncertainties", LENGTHS)
            .required()
            .within(0.0, 100.0)
            .such_as("5, 3 µm", "0.2, 0.1 thou"),
        Argument::new("law", "", "what they are", Want::Choice(LAWS))
            .or("standard")
            .such_as("standard", "limits"),
    ],
    dangers: &[],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let law = given.choice("law").unwrap_or("standard");
    let parts: Vec<Contribution> = given
        .list::<Length>("parts")
        .into_iter()
        .map(|part| {
            let mm = part.in_mm();
            match law {
                "limits" => Contribution::rectangular(mm),
                "triangular" => Contribution::triangular(mm),
                "steps" => Contribution::resolution(mm),
                "expanded" => Contribution::standard(mm / 2.0),
                _ => Contribution::standard(mm),
            }
        })
        .collect();
    let combined = combine(&parts);
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    let standard = Length::from_mm(combined.standard);
    sheet.value_in("standard", "combined standard uncertainty", standard, fine);
    sheet.value_in("expanded", "expanded uncertainty (k = 2)", standard * 2.0, fine);
    sheet.formula(
        "combined",
        "combined uncertainty",
        "uc² = Σ u²; ±a: a/√3 or a/√6; step: 0.29 δ",
    );
    sheet.source("jcgm_100", "JCGM 100:2008, 4.3 and 5.1.2", Standing::Published);
    sheet.condition(
        "independent",
        "The parts are independent and each counts in full; two readings set with one gauge share its error.",
    );
    Ok(())
}
