//! The calculations there are, and the one way to have one answered. Command line and screen are both driven from here.
//!
//! A new calculation is one file beside this one and one line in [`calculations`]. Never reads a file, a clock or a record.

mod agree;
mod aircraft_torque;
mod argument;
mod bolt_strength;
mod card;
mod clearance;
mod combined;
mod contradiction;
mod coolant;
mod danger;
mod described;
mod displacement;
mod drum;
mod dwell;
mod feelers;
mod fuse;
mod gearing;
mod given;
mod heat_fit;
mod hone;
mod hydraulics;
mod iso_fit;
mod lash;
mod paint;
mod repeated;
mod resistor;
mod rim_mark;
mod ring_gap;
mod ring_plan;
mod select_fit;
mod shim_pack;
mod speedometer;
mod tap_drill;
mod thread_identify;
mod thread_strip;
pub mod tightening;
mod torque;
mod tyre;
mod vehicle_number;
mod verdict;
pub mod wear;
mod wire;

use std::collections::BTreeMap;

pub(crate) use argument::{ANGLE, LENGTH, LENGTHS, VOLUME};
pub use argument::{Argument, Choice, Range, Want};
pub use card::{BenchPlace, Calculation};
pub(crate) use contradiction::{Contradiction, in_band, in_order, in_order_unless, near, same};
pub use danger::Danger;
pub use described::{Described, DescribedArgument, DescribedChoice, DescribedRange, describe};
pub(crate) use given::Given;

use crate::answer::{Answer, ReckonRefusal, RefusalCode, Sheet};
pub use crate::preferences::{Preferences, Units};

/// Every calculation, in the order of the Bench.
pub fn calculations() -> &'static [Calculation] {
    &[
        displacement::CALCULATION,
        clearance::CALCULATION,
        shim_pack::CALCULATION,
        wear::CALCULATION,
        ring_gap::CALCULATION,
        ring_plan::CALCULATION,
        select_fit::CALCULATION,
        hone::CALCULATION,
        lash::CALCULATION,
        torque::CALCULATION,
        tightening::CALCULATION,
        bolt_strength::CALCULATION,
        thread_strip::CALCULATION,
        aircraft_torque::CALCULATION,
        thread_identify::CALCULATION,
        tap_drill::CALCULATION,
        dwell::CALCULATION,
        rim_mark::CALCULATION,
        wire::CALCULATION,
        fuse::CALCULATION,
        resistor::CALCULATION,
        hydraulics::CALCULATION,
        drum::CALCULATION,
        tyre::CALCULATION,
        gearing::CALCULATION,
        speedometer::CALCULATION,
        coolant::CALCULATION,
        paint::CALCULATION,
        heat_fit::CALCULATION,
        iso_fit::CALCULATION,
        vehicle_number::CALCULATION,
        verdict::CALCULATION,
        repeated::CALCULATION,
        agree::CALCULATION,
        combined::CALCULATION,
        feelers::CALCULATION,
    ]
}

/// The calculation of this name.
pub fn calculation(name: &str) -> Option<&'static Calculation> {
    calculations().iter().find(|calculation| calculation.name == name)
}

/// Answers the calculation `name` for arguments as typed. An argument whose text is empty counts as not given.
///
/// ```
/// use std::collections::BTreeMap;
/// use reckon::{Preferences, reckon};
///
/// let typed = [("bore", "77 mm"), ("gap", "0.21 mm")].map(|(key, text)| (key.to_owned(), text.to_owned()));
/// let answer = reckon("ring_gap", &BTreeMap::from(typed), &Preferences::default()).unwrap();
/// // Not only how wide the gap is, but what to do: by how much to file.
/// let file = answer.values.iter().find(|value| value.key == "file_least").unwrap();
/// assert_eq!(file.text, "0.098 mm");
/// ```
///
/// # Errors
/// [`ReckonRefusal`] with every problem found: unknown names, missing or unclear arguments, values out of range.
pub fn reckon(
    name: &str,
    typed: &BTreeMap<String, String>,
    preferences: &Preferences,
) -> Result<Answer, ReckonRefusal> {
    let Some(calculation) = calculation(name) else {
        let names: Vec<&str> = calculations()
            .iter()
            .map(|calculation| calculation.name)
            .collect();
        return Err(ReckonRefusal::of(
            RefusalCode::UnknownCalculation,
            "",
            format!(
                "There is no calculation “{name}”; there are {}.",
                names.join(", ")
            ),
        ));
    };
    let mut given = Given::read(calculation.arguments, typed, preferences)?;
    contradiction::refuse(calculation.contradictions, &given, preferences)?;
    // What only a contradiction looked at was not used for the answer.
    given.forget_asked();
    let mut sheet = Sheet::new(calculation.name, given.take_warnings(), preferences.units);
    (calculation.run)(&given, &mut sheet)?;
    for unused in given.not_used() {
        sheet.warning(
            "not_used",
            format!("Not used: {unused}. Nothing that follows from the rest needs it."),
        );
    }
    for caution in danger::cautions(calculation.dangers) {
        sheet.caution(caution);
    }
    sheet.finish(given.into_inputs())
}
