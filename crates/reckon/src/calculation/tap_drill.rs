//! The drill before a tap, and how much thread a drill leaves.
//!
//! Never picks a drill for a thread that carries a car's weight: more than the usual thread adds little, less may strip.

use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::fastener::{Form, Thread};
use crate::quantity::{Length, Unit};

/// Diameter, pitch and drill in mm where ISO 2306 prints another drill than d − P; from memory.
const PRINTED: &[(f64, f64, f64)] = &[
    (4.5, 0.75, 3.7),
    (6.0, 0.75, 5.2),
    (8.0, 1.25, 6.8),
    (8.0, 0.75, 7.2),
    (9.0, 1.25, 7.8),
    (10.0, 1.25, 8.8),
    (10.0, 0.75, 9.2),
    (12.0, 1.75, 10.2),
    (12.0, 1.25, 10.8),
    (14.0, 1.25, 12.8),
];

/// The drill that the standard prints, where it is not d − P.
fn printed_drill(thread: &Thread) -> Option<Length> {
    if thread.form() != Form::Metric {
        return None;
    }
    let (nominal, pitch) = (thread.nominal().in_mm(), thread.pitch().in_mm());
    let alike = |one: f64, other: f64| (one - other).abs() < 1e-9;
    let mut rows = PRINTED.iter();
    let (_, _, drill) = rows.find(|(d, p, _)| alike(*d, nominal) && alike(*p, pitch))?;
    Some(Length::from_mm(*drill))
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "tap_drill",
    title: "Tapping drill",
    place: BenchPlace::Threads,
    about: "The drill for a thread, and the part of a full thread that a drill leaves.",
    arguments: &[
        Argument::new("thread", "", "the thread", Want::Thread)
            .required()
            .such_as("M8", "1/4-20"),
        Argument::new("drill", "", "the drill there is", LENGTH)
            .within(0.5, 100.0)
            .such_as("6.8 mm", "0.201 in"),
    ],
    dangers: &[Danger::Torque],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let Some(thread) = given.thread("thread") else {
        return Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "thread",
            "The thread is needed.",
        ));
    };
    let (nominal, pitch) = (thread.nominal(), thread.pitch());
    let reckoned = nominal - pitch;
    let printed = printed_drill(thread);
    let usual = printed.unwrap_or(reckoned);
    let per_cent = |drill: Length| 76.98 * ((nominal - drill) / pitch);
    sheet.value("drill", "usual drill", usual);
    if printed.is_some() {
        sheet.value("d_minus_p", "drill by d − P", reckoned);
        sheet.source(
            "printed",
            "ISO 2306: drills before tapping, where they are not d − P; written down from memory",
            Standing::FromMemory,
        );
    }
    sheet.raw(
        "thread_percent",
        "thread with the usual drill",
        per_cent(usual),
        Unit::Percent,
    );
    if let Some(drill) = given.get::<Length>("drill") {
        let left = per_cent(drill);
        if drill >= nominal || drill < nominal - pitch * 1.3 {
            return Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                "drill",
                format!(
                    "That drill leaves no sound thread for {}: the usual one is {}.",
                    thread.name(),
                    sheet.text(usual)
                ),
            ));
        }
        sheet.raw(
            "thread_percent_drill",
            "thread with that drill",
            left,
            Unit::Percent,
        );
        if !(55.0..=85.0).contains(&left) {
            sheet.warning(
                "thread_percent",
                "Usual is 60 to 80 %: more breaks taps, less strips sooner.",
            );
        }
    }
    sheet.formula(
        "drill",
        "tapping drill",
        "drill about d − P; thread % = 76.98 · (d − drill) / P",
    );
    sheet.source(
        "drill",
        "drill about d − P; thread % from the basic profile of ISO 724",
        Standing::Derived,
    );
    sheet.source("usual", "60 to 80 % of a full thread", Standing::CommonPractice);
    sheet.condition(
        "material",
        "For a hole drilled true and reamed of burrs; soft metal closes in, so try on scrap.",
    );
    if thread.coarse_by_default() {
        sheet.condition(
            "coarse",
            format!("With no pitch written, {} is coarse; measure it.", thread.name()),
        );
    }
    Ok(())
}
