//! Property classes and grades of bolts: proof, yield and tensile stress.
//!
//! Never guesses a class from a head's marks.

use super::{Form, Thread};
use crate::calculation::Choice;
use crate::quantity::Pressure;

/// The strength of a bolt of one class at one diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Class {
    /// Proof stress.
    pub proof: Pressure,
    /// Yield stress: Rp0.2, or the yield strength of SAE J429.
    pub yields: Pressure,
    /// Tensile strength.
    pub tensile: Pressure,
}

/// The classes, as choices of an argument.
pub const CLASS_CHOICES: &[Choice] = &[
    Choice {
        name: "8.8",
        words: "property class 8.8 (ISO 898-1)",
    },
    Choice {
        name: "10.9",
        words: "property class 10.9 (ISO 898-1)",
    },
    Choice {
        name: "12.9",
        words: "property class 12.9 (ISO 898-1)",
    },
    Choice {
        name: "grade_2",
        words: "grade 2 (SAE J429)",
    },
    Choice {
        name: "grade_5",
        words: "grade 5 (SAE J429)",
    },
    Choice {
        name: "grade_8",
        words: "grade 8 (SAE J429)",
    },
];

impl Class {
    /// The strength of class `name` for `thread`; `None` where the class is not made in that form or size.
    ///
    /// Sources: ISO 898-1 (proof stresses from memory; they reproduce its proof loads; yield stresses as used by VDI 2230-1);
    /// SAE J429.
    pub fn of(name: &str, thread: &Thread) -> Option<Self> {
        let mpa = |proof, yields, tensile| Self {
            proof: Pressure::from_mpa(proof),
            yields: Pressure::from_mpa(yields),
            tensile: Pressure::from_mpa(tensile),
        };
        let kpsi = |proof: f64, yields: f64, tensile: f64| Self {
            proof: Pressure::from_psi(proof * 1_000.0),
            yields: Pressure::from_psi(yields * 1_000.0),
            tensile: Pressure::from_psi(tensile * 1_000.0),
        };
        let (mm, inch) = (thread.nominal().in_mm(), thread.nominal().in_inch());
        // A hair's breadth for floats at the ends of the bands.
        let upto = |value: f64, end: f64| value <= end + 1e-9;
        match (thread.form(), name) {
            (Form::Metric, "8.8") if upto(mm, 16.0) => Some(mpa(580.0, 640.0, 800.0)),
            (Form::Metric, "8.8") => Some(mpa(600.0, 660.0, 830.0)),
            (Form::Metric, "10.9") => Some(mpa(830.0, 940.0, 1_040.0)),
            (Form::Metric, "12.9") => Some(mpa(970.0, 1_100.0, 1_220.0)),
            // Every grade of SAE J429 begins at 1/4 in.
            (Form::Unified, _) if inch < 0.25 - 1e-9 => None,
            (Form::Unified, "grade_2") if upto(inch, 0.75) => Some(kpsi(55.0, 57.0, 74.0)),
            (Form::Unified, "grade_2") if upto(inch, 1.5) => Some(kpsi(33.0, 36.0, 60.0)),
            (Form::Unified, "grade_5") if upto(inch, 1.0) => Some(kpsi(85.0, 92.0, 120.0)),
            (Form::Unified, "grade_5") if upto(inch, 1.5) => Some(kpsi(74.0, 81.0, 105.0)),
            (Form::Unified, "grade_8") if upto(inch, 1.5) => Some(kpsi(120.0, 130.0, 150.0)),
            _ => None,
        }
    }
}
