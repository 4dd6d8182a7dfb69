//! What a bolt of each class and grade carries: stress area, proof, yield and breaking load.
//!
//! Never reads a class off a bolt: only its own head or paper says it.

use super::{Argument, BenchPlace, Calculation, Danger, Given, Want};
use crate::answer::{AT_20_C, Line, ReckonRefusal, RefusalCode, Sheet, Standing, line, raw_cell};
use crate::fastener::{CLASS_CHOICES, Class, Form, Thread};
use crate::quantity::{Pressure, Unit};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "bolt_strength",
    title: "Bolt strength",
    place: BenchPlace::Fasteners,
    about: "The stress area of a thread and the proof, yield and breaking load of each class or grade it is made in.",
    arguments: &[Argument::new("thread", "", "the thread", Want::Thread)
        .required()
        .such_as("M10x1.25", "3/8-24")],
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
    let area = thread.stress_area();
    let unit = sheet.pick(Unit::SquareMillimetre, Unit::SquareInch);
    sheet.value_in("stress_area", "stress area", area, unit);
    sheet.value("pitch_diameter", "pitch diameter d2", thread.pitch_diameter());
    sheet.value(
        "root_diameter",
        "root diameter of the bolt d3",
        thread.root_diameter(),
    );
    sheet.value(
        "nut_minor_diameter",
        "minor diameter of the nut D1",
        thread.nut_minor_diameter(),
    );
    let force = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    let lines: Vec<Line> = CLASS_CHOICES
        .iter()
        .filter_map(|choice| Class::of(choice.name, thread).map(|class| (choice, class)))
        .map(|(choice, class)| {
            let cell = |key: &'static str, words: &'static str, stress: Pressure| {
                raw_cell(key, words, force.from_base((stress * area).in_base()), force)
            };
            let values = vec![
                cell("proof", "proof load", class.proof),
                cell("yield", "load at yield", class.yields),
                cell("breaking", "breaking load", class.tensile),
            ];
            let told: Vec<String> = values
                .iter()
                .map(|value| format!("{} {}", value.words, value.text))
                .collect();
            line(format!("{}: {}", choice.words, told.join(", ")), "", values)
        })
        .collect();
    if lines.is_empty() {
        sheet.warning(
            "none",
            "No class of ISO 898-1 or SAE J429 known here is made in this thread.",
        );
    }
    sheet.table("classes", "what each class carries", lines);
    rests_on(sheet, thread);
    Ok(())
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet, thread: &Thread) {
    sheet.formula(
        "stress_area",
        "stress area",
        match thread.form() {
            Form::Metric => "As = π/4 · ((d2 + d3)/2)²",
            Form::Unified => "As = 0.7854 · (D − 0.9743/n)²",
        },
    );
    let (words, standing) = match thread.form() {
        Form::Metric => (
            "ISO 898-1, proof stresses written down from memory; they reproduce its proof loads",
            Standing::FromMemory,
        ),
        Form::Unified => ("SAE J429, proof, yield and tensile strength", Standing::Published),
    };
    sheet.source("strength", words, standing);
    sheet.source(
        "threads",
        "ISO 724 (diameters), ISO 898-1 (stress area of metric threads), ASME B1.1 (Unified threads)",
        Standing::Published,
    );
    sheet.condition(
        "class",
        "Only where the bolt's own head or paper says its class, and it is whole and never stretched.",
    );
    sheet.condition(
        "lubrication",
        "What torque reaches such a load depends on the lubrication: see the torque's own answer.",
    );
    if thread.coarse_by_default() {
        sheet.condition(
            "coarse",
            format!("With no pitch written, {} is coarse; measure it.", thread.name()),
        );
    }
    sheet.condition(AT_20_C.0, AT_20_C.1);
}
