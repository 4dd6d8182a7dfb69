//! What can hurt someone where an answer is used, each with its caution. A calculation names its dangers once, and every
//! answer of it carries the words.
//!
//! Never says that anything is safe.

use crate::answer::{MANUAL_WINS, NOT_FITNESS};

/// A danger, and with it the caution that every answer carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Danger {
    /// A torque, or the strength of a bolt or thread.
    Torque,
    /// A bolt that may have been tightened to yield.
    Yield,
    /// Brakes and clutch hydraulics.
    Brakes,
    /// Wheels and tyres, and what carries them.
    Wheels,
    /// Steering and suspension: play, shims and readings there.
    Steering,
    /// Anything under a raised car.
    Lifting,
    /// Springs, presses, circlips.
    Springs,
    /// The car's wiring and battery.
    Electrical,
    /// The ignition: high tension and a running engine.
    Ignition,
    /// Paint and thinner.
    Paint,
    /// Coolant.
    Coolant,
    /// Heating parts.
    Heat,
    /// Grinding, honing and filing.
    Abrasive,
}

impl Danger {
    /// Every danger.
    pub const ALL: &'static [Self] = &[
        Self::Torque,
        Self::Yield,
        Self::Brakes,
        Self::Wheels,
        Self::Steering,
        Self::Lifting,
        Self::Springs,
        Self::Electrical,
        Self::Ignition,
        Self::Paint,
        Self::Coolant,
        Self::Heat,
        Self::Abrasive,
    ];

    /// Key and sentence.
    pub fn caution(self) -> (&'static str, &'static str) {
        match self {
            Self::Torque => (
                "safety_parts",
                "Brakes, steering, suspension, wheels, seat belts and lifting: only the maker's figure, and local law and licensed \
                 practice come first.",
            ),
            Self::Yield => (
                "torque_to_yield",
                "A bolt tightened to yield or by angle is stretched for good: never use it again.",
            ),
            Self::Brakes => (
                "brakes",
                "Brakes are a matter of life: this is for the record only; local law and licensed practice come first, and a licensed \
                 person inspects them before road use. Old brake and clutch dust may be asbestos: never blow it out or sand it.",
            ),
            Self::Wheels => (
                "wheels",
                "Wheels and tyres: only sizes, loads and pressures that the car's papers allow; local law and licensed practice come first.",
            ),
            Self::Steering => (
                "steering",
                "Steering, suspension, wheel bearings and brakes: this is for the record only; only the maker's figure, local law and \
                 licensed practice come first, and a licensed person inspects them before road use.",
            ),
            Self::Lifting => (
                "lifting",
                "Never get under a car that stands on a jack alone: level hard ground, stands under strong points, wheels chocked. Local \
                 law and licensed practice come first.",
            ),
            Self::Springs => (
                "springs",
                "A compressed spring, a circlip or a part under a press can fly out: the right tool, goggles, and nobody in its way.",
            ),
            Self::Electrical => (
                "electrical",
                "Take the earth lead off the battery first and put it on last, and mind which terminal is earth on this car. A wire \
                 without the right fuse can burn the car: local law and licensed practice come first.",
            ),
            Self::Ignition => (
                "ignition",
                "The ignition's high tension can kill, and a running engine catches hands, hair and sleeves: ignition off and key out \
                 before touching; run it in the open air only.",
            ),
            Self::Paint => (
                "paint",
                "Two-pack paint with isocyanate needs air-fed breathing apparatus and is not a home-garage job; solvents burn and \
                 poison. Follow the paint's own sheet; local law and licensed practice come first.",
            ),
            Self::Coolant => (
                "coolant",
                "Coolant poisons people and animals, and a hot system scalds: let it cool, catch every drop, and hand it in as local \
                 law says. Keep to the kind that the car's metals and the coolant's own sheet allow.",
            ),
            Self::Heat => (
                "heat",
                "Hot parts burn and oil smokes and catches: an oven, a hot plate or an induction heater, never a naked flame on a \
                 bearing or on magnesium; gloves, and no water on a magnesium fire.",
            ),
            Self::Abrasive => (
                "abrasive",
                "Goggles on; abrasive left in an engine wears it out: wash with hot soapy water until a white cloth stays white.",
            ),
        }
    }
}

/// What to mind in any case where these dangers are: theirs, and those of every answer. Key and sentence.
pub(crate) fn cautions(dangers: &[Danger]) -> impl Iterator<Item = (&'static str, &'static str)> {
    let own = dangers.iter().map(|danger| danger.caution());
    own.chain([MANUAL_WINS, NOT_FITNESS])
}
