//! The calculations there are, and the one way to have one answered. Command line and screen are both driven from here.
//!
//! A new calculation is one file beside this one and one line in [`calculations`]. Never reads a file, a clock or a record.

mod agree;
mod aircraft_torque;
mod argument;
mod bolt_strength;
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
mod tightening;
mod torque;
mod tyre;
mod vehicle_number;
mod verdict;
mod wear;
mod wire;

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub(crate) use argument::{ANGLE, LENGTH, LENGTHS, VOLUME};
pub use argument::{Argument, Choice, Range, Want};
pub(crate) use contradiction::{Contradiction, in_band, in_order, in_order_unless, near, same};
pub use danger::Danger;
pub use described::{Described, DescribedArgument, DescribedChoice, DescribedRange, describe};
pub(crate) use given::Given;

use crate::answer::{Answer, MANUAL_WINS, NOT_FITNESS, Refusal, RefusalCode, Sheet};

/// The units a keeper prefers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
pub enum Units {
    /// mm, N·m, cm³.
    #[default]
    Metric,
    /// in, lbf·ft, in³.
    Inch,
}

/// What a keeper prefers. It lives on each device, not in the record.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(default)]
#[ts(rename = "ReckonPreferences")]
#[schemars(rename = "ReckonPreferences")]
pub struct Preferences {
    /// Which units answers are in.
    pub units: Units,
    /// Is a bare number taken to be in the argument's unit, because that unit stands beside the field? Otherwise it is
    /// asked about.
    pub bare_numbers: bool,
}

/// Where on the car a calculation belongs.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
#[ts(rename = "BenchPlace")]
#[schemars(rename = "BenchPlace")]
pub enum Place {
    /// Crank, rods, shells.
    BottomEnd,
    /// Bores, pistons, rings.
    BoresAndPistons,
    /// Head and valves.
    HeadAndValves,
    /// Bolts, nuts, studs.
    Fasteners,
    /// Which thread is it.
    Threads,
    /// Ignition and marks.
    Ignition,
    /// Wires, fuses, resistors.
    Electrics,
    /// Brakes and wheels.
    BrakesAndWheels,
    /// Gears and speed.
    Gearing,
    /// Fluids and paint.
    FluidsAndPaint,
    /// Heat and fits.
    HeatAndFits,
    /// Vehicle number.
    VehicleNumber,
    /// How good is this reading.
    Readings,
}

impl Place {
    /// As the Bench heads it.
    pub fn words(self) -> &'static str {
        match self {
            Self::BottomEnd => "bottom end",
            Self::BoresAndPistons => "bores and pistons",
            Self::HeadAndValves => "head and valves",
            Self::Fasteners => "fasteners",
            Self::Threads => "threads",
            Self::Ignition => "ignition",
            Self::Electrics => "electrics",
            Self::BrakesAndWheels => "brakes and wheels",
            Self::Gearing => "gearing",
            Self::FluidsAndPaint => "fluids and paint",
            Self::HeatAndFits => "heat and fits",
            Self::VehicleNumber => "vehicle number",
            Self::Readings => "how good is this reading?",
        }
    }
}

/// One calculation: what it is called, what it takes, and how it is run.
#[derive(Clone, Copy, Debug)]
pub struct Calculation {
    /// Stable name, lower_snake.
    pub name: &'static str,
    /// As shown.
    pub title: &'static str,
    /// Where on the car.
    pub place: Place,
    /// What it answers, in one sentence.
    pub about: &'static str,
    /// What it takes, in the order of the form.
    pub arguments: &'static [Argument],
    /// What can hurt someone where this is used: each brings its caution to every answer.
    pub dangers: &'static [Danger],
    /// Which of its arguments can contradict each other.
    pub(crate) contradictions: &'static [Contradiction],
    pub(crate) run: fn(&Given, &mut Sheet) -> Result<(), Refusal>,
}

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

impl Calculation {
    /// The pairs of its arguments that are refused where they contradict each other.
    pub fn can_contradict(&self) -> impl Iterator<Item = (&'static str, &'static str)> {
        self.contradictions.iter().map(Contradiction::pair)
    }
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
/// [`Refusal`] with every problem found: unknown names, missing or unclear arguments, values out of range.
pub fn reckon(
    name: &str,
    typed: &BTreeMap<String, String>,
    preferences: &Preferences,
) -> Result<Answer, Refusal> {
    let Some(calculation) = calculation(name) else {
        let names: Vec<&str> = calculations()
            .iter()
            .map(|calculation| calculation.name)
            .collect();
        return Err(Refusal::of(
            RefusalCode::UnknownCalculation,
            "",
            format!(
                "There is no calculation “{name}”; there are {}.",
                names.join(", ")
            ),
        ));
    };
    let mut given = Given::read(calculation.arguments, typed, preferences)?;
    contradiction::refuse(calculation, &given, preferences)?;
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
    for danger in calculation.dangers {
        sheet.caution(danger.caution());
    }
    sheet.caution(MANUAL_WINS);
    sheet.caution(NOT_FITNESS);
    sheet.finish(given.into_inputs())
}
