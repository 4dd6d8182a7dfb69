//! The preload held against what the bolt bears, however the preload came about: typed, by nut factor or by friction.
//!
//! Never lets a preload pass in silence: under proof, over it by how much, or breaking; and where the bolt's class is not known,
//! that it was held against nothing.

use std::f64::consts::PI;

use crate::answer::{Sheet, VerdictWord};
use crate::calculation::Given;
use crate::fastener::{CLASS_CHOICES, Class, Thread};
use crate::quantity::{Area, Force, Length, Pressure, Torque, Unit, shown};

/// How far the preload scatters either way when tightened by torque.
pub(super) const SCATTER: f64 = 0.25;

/// The strongest class of ISO 898-1, 12.9: no bolt known here bears more.
const STRONGEST_MPA: f64 = 1_220.0;

/// A preload, what it is called, and how it came about.
pub(super) struct Preload {
    pub(super) key: &'static str,
    pub(super) words: &'static str,
    pub(super) force: Force,
}

/// Judges every preload; the class was checked against the thread before.
pub(super) fn judge(given: &Given, sheet: &mut Sheet, preloads: &[Preload]) {
    let thread = given.thread("thread");
    let class = thread.and_then(|thread| Class::of(given.choice("class")?, thread));
    for preload in preloads {
        match (class, thread) {
            (Some(class), Some(thread)) => against_class(sheet, preload, &class, thread),
            _ => against_any(given, sheet, preload, thread),
        }
    }
}

/// The largest nut factor that is reckoned with: no bolt pulls less by a torque than with it.
pub(super) const LARGEST_FACTOR: f64 = 0.5;

/// With nothing said of what rubs, the least that the torque can pull with is held against the bolt. True where even that is too much.
pub(super) fn best_case(given: &Given, sheet: &mut Sheet, torque: Torque, diameter: Length) -> bool {
    let before = sheet.verdicts();
    let preload = Preload {
        key: "preload_best_case",
        words: "the least that the torque pulls with, at the largest nut factor of 0.5,",
        force: torque / (diameter * LARGEST_FACTOR),
    };
    let thread = given.thread("thread");
    let class = thread.and_then(|thread| Class::of(given.choice("class")?, thread));
    match (class, thread) {
        (Some(class), Some(thread)) => {
            let proof = class.proof * thread.stress_area();
            if preload.force / proof > 1.0 + 1e-9 {
                against_class(sheet, &preload, &class, thread);
            }
        }
        _ => {
            if most_borne(given, thread).is_some_and(|most| preload.force / most > 1.0 + 1e-9) {
                against_any(given, sheet, &preload, thread);
            }
        }
    }
    sheet.verdicts() > before
}

/// A force as it is told beside the bolt's loads.
pub(super) fn told(sheet: &Sheet, force: Force) -> String {
    let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    shown(unit.from_base(force.in_base()), unit)
}

fn percent(part: f64) -> String {
    format!("{:.0} %", part * 100.0)
}

fn against_class(sheet: &mut Sheet, preload: &Preload, class: &Class, thread: &Thread) {
    let area = thread.stress_area();
    let (proof, breaking) = (class.proof * area, class.tensile * area);
    let (force, most) = (preload.force, preload.force * (1.0 + SCATTER));
    let words = preload.words;
    // A hair for floats: a preload typed as the proof load itself is not over it.
    let over = |force: Force, limit: Force| force / limit > 1.0 + 1e-9;
    if over(force, breaking) {
        let by = percent(force / breaking - 1.0);
        sheet.verdict(
            preload.key,
            VerdictWord::AboveLimits,
            format!(
                "Breaks: {words} of {} is {by} over the breaking load of {}.",
                told(sheet, force),
                told(sheet, breaking)
            ),
        );
        sheet.warning(
            "breaks",
            "The bolt breaks before it is that tight: never pull it so far, and look where the figure comes from.",
        );
    } else if over(force, proof) {
        let by = percent(force / proof - 1.0);
        let scatter = if over(most, breaking) {
            may_break(sheet);
            format!(" With the scatter it may reach {}, and break.", told(sheet, most))
        } else {
            String::new()
        };
        sheet.verdict(
            preload.key,
            VerdictWord::AboveLimits,
            format!(
                "Over the proof load by {} ({by}): {words} is {}, the bolt is proved to {} and breaks at {}.{scatter}",
                told(sheet, force - proof),
                told(sheet, force),
                told(sheet, proof),
                told(sheet, breaking)
            ),
        );
        sheet.warning(
            "over_proof",
            "Over its proof load a bolt is stretched for good, and may let go later: only where the maker means it so, and never twice.",
        );
    } else {
        let part = percent(force / proof);
        let scatter = if over(most, breaking) {
            may_break(sheet);
            format!(" With the scatter it may reach {}, and break.", told(sheet, most))
        } else if over(most, proof) {
            format!(" With the scatter it may reach {}, over it.", told(sheet, most))
        } else {
            String::new()
        };
        sheet.verdict(
            preload.key,
            VerdictWord::InLimits,
            format!(
                "Under the proof load: {words} of {} is {part} of {}.{scatter}",
                told(sheet, force),
                told(sheet, proof)
            ),
        );
    }
}

/// The bolt bears the preload itself, and not what it scatters to.
fn may_break(sheet: &mut Sheet) {
    sheet.warning(
        "scatter_breaks",
        "At the high end of the scatter the bolt breaks while it is being tightened: ask for the maker's figure, or have its stretch measured as it is tightened; never oil it for the same torque, by which it then pulls harder still.",
    );
}

/// What the strongest bolt of that size bears, whatever its class.
fn most_borne(given: &Given, thread: Option<&Thread>) -> Option<Force> {
    let strongest = thread.and_then(|thread| {
        let classes = CLASS_CHOICES.iter();
        let borne =
            classes.filter_map(|choice| Some(Class::of(choice.name, thread)?.tensile * thread.stress_area()));
        borne.reduce(|one, other| if other > one { other } else { one })
    });
    // Of a bare diameter all of the round counts: more than any thread has.
    let round = || {
        let diameter: Length = given.get("diameter")?;
        let round = Area::from_mm2(PI / 4.0 * diameter.in_mm() * diameter.in_mm());
        Some(Pressure::from_mpa(STRONGEST_MPA) * round)
    };
    strongest.or_else(round)
}

/// With no class, only what no bolt bears can be told; and that nothing else was.
fn against_any(given: &Given, sheet: &mut Sheet, preload: &Preload, thread: Option<&Thread>) {
    match most_borne(given, thread) {
        Some(most) if preload.force / most > 1.0 + 1e-9 => {
            sheet.verdict(
                preload.key,
                VerdictWord::AboveLimits,
                format!(
                    "Breaks: {} of {} is more than the strongest bolt of that size bears, {}.",
                    preload.words,
                    told(sheet, preload.force),
                    told(sheet, most)
                ),
            );
            sheet.warning(
                "breaks",
                "The bolt breaks before it is that tight: never pull it so far, and look where the figure comes from.",
            );
        }
        _ => {
            let words = if thread.is_some() {
                "Not held against what the bolt bears: give its class or grade, as its head or paper says it."
            } else {
                "Not held against what the bolt bears: give its thread, and its class or grade as its head or paper says it."
            };
            sheet.warning("not_held", words);
        }
    }
}
