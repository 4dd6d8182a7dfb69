//! What one calculation is: its name, where it belongs on the Bench, what it takes, what can hurt, and how it is run.
//!
//! Never lists the calculations there are: each is a constant of its own file.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::argument::Argument;
use super::contradiction::Contradiction;
use super::danger::Danger;
use super::given::Given;
use crate::answer::{ReckonRefusal, Sheet};

/// Where on the car a calculation belongs.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
#[ts(rename = "BenchPlace")]
#[schemars(rename = "BenchPlace")]
pub enum BenchPlace {
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

impl BenchPlace {
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
    pub place: BenchPlace,
    /// What it answers, in one sentence.
    pub about: &'static str,
    /// What it takes, in the order of the form.
    pub arguments: &'static [Argument],
    /// What can hurt someone where this is used: each brings its caution to every answer.
    pub dangers: &'static [Danger],
    /// Which of its arguments can contradict each other.
    pub(crate) contradictions: &'static [Contradiction],
    pub(crate) run: fn(&Given, &mut Sheet) -> Result<(), ReckonRefusal>,
}

impl Calculation {
    /// The pairs of its arguments that are refused where they contradict each other.
    pub fn can_contradict(&self) -> impl Iterator<Item = (&'static str, &'static str)> {
        self.contradictions.iter().map(Contradiction::pair)
    }
}
