//! Which thread is this, judged by the tables of bd-warehouse: every ISO, Unified and pipe size in them must be known for what it is,
//! from its own nominal measures and through a caliper's error.
//!
//! Never takes a size from the tables into the program: they only ask.

use std::collections::BTreeSet;

use rand::Rng;
use reckon::Length;
use reckon::fastener::{Family, Likeness, identify, thread_sizes};
use serde_json::Value;

use crate::{dice, judged};

/// Sizes in the tables that are no threads, each with the reason.
const EXEMPT: &[(&str, &str)] = &[(
    "M3-0.45",
    "ISO 261 has M3 with 0.5 and 0.35 only; the row of the nut table is a slip for M3-0.5",
)];

/// The calculation takes diameters up to this, in mm: beyond it there is nothing on a car to identify.
const WIDEST: f64 = 65.0;

/// A caliper's error, in mm.
const ERROR: f64 = 0.05;

/// A size of the tables.
struct Asked {
    family: String,
    name: String,
    major: f64,
    pitch: Option<f64>,
}

fn asked() -> Vec<Asked> {
    judged("threads.py", &[])
        .lines()
        .map(|line| {
            let size: Value = serde_json::from_str(line).unwrap();
            Asked {
                family: size["family"].as_str().unwrap().to_owned(),
                name: size["name"].as_str().unwrap().to_owned(),
                major: size["major"].as_f64().unwrap(),
                pitch: size["pitch"].as_f64(),
            }
        })
        .filter(|size| size.major <= WIDEST)
        .collect()
}

impl Asked {
    /// Is this size the one that was asked for?
    fn is(&self, family: Family, major: Length, pitch: Option<Length>) -> bool {
        let families: &[Family] = match self.family.as_str() {
            "iso" => &[Family::MetricCoarse, Family::MetricFine, Family::MetricRare],
            "unified" => &[Family::Unc, Family::Unf, Family::Unef, Family::Uns],
            _ => &[Family::Bsp],
        };
        families.contains(&family)
            && (major.in_mm() - self.major).abs() < 1e-6
            && pitch.is_none_or(|pitch| self.pitch.is_some_and(|own| (pitch.in_mm() - own).abs() < 1e-6))
    }

    fn found_in<'a>(&self, found: &'a [Likeness]) -> Option<(usize, &'a Likeness)> {
        found.iter().enumerate().find(|(_, likeness)| {
            let size = &likeness.size;
            self.is(size.family, size.major, Some(size.pitch))
        })
    }

    fn exempt(&self) -> bool {
        EXEMPT.iter().any(|(name, _)| *name == self.name)
    }
}

fn names(found: &[Likeness]) -> Vec<String> {
    found
        .iter()
        .take(4)
        .map(|likeness| likeness.size.name())
        .collect()
}

#[test]
fn every_size_of_bd_warehouse_is_known_from_its_nominal_measures() {
    let (mut judged, mut families) = (0, BTreeSet::new());
    let all = asked();
    for (name, reason) in EXEMPT {
        assert!(
            all.iter().any(|size| size.name == *name),
            "{name} is not there: {reason}"
        );
    }
    for size in all.iter().filter(|size| !size.exempt()) {
        let Some(pitch) = size.pitch else {
            // The clearance table has no pitches: that there is a thread of that diameter is all it can ask.
            let known = thread_sizes().any(|known| size.is(known.family, known.major, None));
            assert!(known, "no thread of the diameter of {}", size.name);
            continue;
        };
        let found = identify(Length::from_mm(size.major), Length::from_mm(pitch), false);
        let Some((_, own)) = size.found_in(&found) else {
            panic!("{} is not found: {:?}", size.name, names(&found))
        };
        assert!(
            own.unlike <= found[0].unlike + 1e-9,
            "{}: {:?} are likelier",
            size.name,
            names(&found)
        );
        judged += 1;
        families.insert(size.family.clone());
    }
    println!("{judged} sizes");
    assert!(judged > 130 && families.len() == 3, "{judged} {families:?}");
}

#[test]
fn a_calipers_error_leaves_every_size_of_bd_warehouse_among_the_first_three() {
    let mut dice = dice();
    let mut judged = 0;
    for size in asked().iter().filter(|size| !size.exempt()) {
        let Some(pitch) = size.pitch else { continue };
        for _ in 0..100 {
            let error = dice.random_range(-ERROR..=ERROR);
            let found = identify(Length::from_mm(size.major + error), Length::from_mm(pitch), false);
            let place = size.found_in(&found).map(|(place, _)| place);
            assert!(
                place.is_some_and(|place| place < 3),
                "{} measured {error:+.4} mm off: {:?}",
                size.name,
                names(&found)
            );
            judged += 1;
        }
    }
    println!("{judged} measured");
    assert!(judged > 13_000, "{judged}");
}
