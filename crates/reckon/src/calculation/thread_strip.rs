//! When does a thread strip? The area that shears in the tapped part, and how deep a bolt must go so that it breaks first.
//!
//! Never takes a casting to be as strong as its bolt.

use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::fastener::{CLASS_CHOICES, Class, Form, Thread, internal_shear_area};
use crate::quantity::{Area, Kind, Length, Pressure, Unit};

/// Shear strength over tensile strength of ductile metals, 1/√3.
const SHEAR: f64 = 0.577;
/// How much stronger than its class's least tensile strength a bolt may be (VDI 2230-1, from memory).
const STRONGEST: f64 = 1.2;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "thread_strip",
    title: "Thread stripping",
    place: BenchPlace::Fasteners,
    about: "The area that shears when a tapped thread strips, and how deep a bolt must go so that the bolt breaks first.",
    arguments: &[
        Argument::new("thread", "", "the thread", Want::Thread)
            .required()
            .such_as("M8", "1/4-20"),
        Argument::new("engagement", "Le", "how long the threads engage", LENGTH)
            .required()
            .within(0.5, 200.0)
            .such_as("16 mm", "0.5 in"),
        Argument::new(
            "bolt_least",
            "Ds",
            "the least major diameter of the bolt, where it is known",
            LENGTH,
        )
        .within(0.5, 100.0)
        .such_as("7.76 mm", "0.2408 in"),
        Argument::new(
            "nut_pitch_most",
            "En",
            "the most pitch diameter of the tapped thread, where it is known",
            LENGTH,
        )
        .within(0.5, 100.0)
        .such_as("7.348 mm", "0.2224 in"),
        Argument::new(
            "class",
            "",
            "the property class or grade of the bolt",
            Want::Choice(CLASS_CHOICES),
        )
        .such_as("8.8", "grade_5"),
        Argument::new(
            "strength",
            "Rm",
            "the tensile strength of the tapped part",
            Want::Quantity(Kind::Pressure),
        )
        .within(30_000.0, 2_000_000.0)
        .such_as("200 MPa", "29000 psi"),
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
    let engagement: Length = given.need("engagement")?;
    let bolt = given
        .get::<Length>("bolt_least")
        .unwrap_or_else(|| thread.least_major());
    let nut = given
        .get::<Length>("nut_pitch_most")
        .unwrap_or_else(|| thread.most_nut_pitch_diameter());
    let per_length = internal_shear_area(thread, Length::from_mm(1.0), bolt, nut);
    if per_length.in_mm2() <= 0.0 || bolt > thread.nominal() * 1.02 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "bolt_least",
            format!(
                "Those diameters are not of {}: the threads would not engage.",
                thread.name()
            ),
        ));
    }
    let area = Area::from_mm2(per_length.in_mm2() * engagement.in_mm());
    let unit = sheet.pick(Unit::SquareMillimetre, Unit::SquareInch);
    sheet.value_in("shear_area", "area that shears in the tapped part", area, unit);
    sheet.value_in(
        "stress_area",
        "stress area of the bolt",
        thread.stress_area(),
        unit,
    );
    sheet.number(
        "engagement_diameters",
        "engagement, in diameters",
        engagement / thread.nominal(),
    );
    strength(given, sheet, thread, per_length, engagement)?;
    if !given.has("bolt_least") || !given.has("nut_pitch_most") {
        sheet.condition(
            "tolerance",
            match thread.form() {
                Form::Metric => "The worst of a 6g bolt in a 6H thread is taken.",
                Form::Unified => "The worst of a 2A bolt in a 2B thread is taken.",
            },
        );
        sheet.source("tolerance", match thread.form() {
            Form::Metric => "ISO 965-1, tables of the tolerances written down from memory; by its formulas where a pitch is not in them",
            Form::Unified => "ASME B1.1, formulas of the tolerances written down from memory; they reproduce FED-STD-H28/2's diameters",
        }, Standing::FromMemory);
    }
    rests_on(sheet, thread);
    Ok(())
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet, thread: &Thread) {
    sheet.formula(
        "shear_area",
        "area that shears",
        "An = π · Le/P · Ds · [P/2 + 0.57735 · (Ds − En)]",
    );
    sheet.source(
        "shear_area",
        "FED-STD-H28/2: shear area of an internal thread",
        Standing::Published,
    );
    sheet.source(
        "aluminium",
        "US Army TM 9-6115-604-34: two diameters deep in aluminium",
        Standing::Published,
    );
    sheet.source(
        "magnesium",
        "2 to 2.5 diameters, or an insert, in magnesium",
        Standing::FromMemory,
    );
    sheet.value(
        "deep_aluminium",
        "usual depth in aluminium: two diameters",
        thread.nominal() * 2.0,
    );
    sheet.condition(
        "whole_threads",
        "Only whole, sound threads count: leave out the chamfer, the point and what is pulled already.",
    );
    sheet.condition(
        "lubrication",
        "What the bolt pulls with depends on its lubrication and torque: see the torque's own answer.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
}

/// Whether the bolt or the thread gives first, and the depth at which they are even.
fn strength(
    given: &Given,
    sheet: &mut Sheet,
    thread: &Thread,
    per_length: Area,
    engagement: Length,
) -> Result<(), ReckonRefusal> {
    let (Some(name), Some(tapped)) = (given.choice("class"), given.get::<Pressure>("strength")) else {
        return Ok(());
    };
    let Some(class) = Class::of(name, thread) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "class",
            format!("{} is not made in class {name}.", thread.name()),
        ));
    };
    let breaks = class.tensile * thread.stress_area();
    let strips = tapped * SHEAR * Area::from_mm2(per_length.in_mm2() * engagement.in_mm());
    // A bolt of the class may be stronger than the class's least, and the thread must outlast that one.
    let breaks_at_most = breaks * STRONGEST;
    let even = engagement * (breaks_at_most / strips);
    let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    sheet.value_in("strips_at", "the tapped thread strips at about", strips, unit);
    sheet.value_in(
        "breaks_at",
        "the weakest bolt of the class breaks at about",
        breaks,
        unit,
    );
    sheet.value_in(
        "breaks_at_most",
        "the strongest bolt of the class breaks at about",
        breaks_at_most,
        unit,
    );
    sheet.value(
        "deep_enough",
        "deep enough that even the strongest bolt of the class breaks first",
        even,
    );
    if strips < breaks {
        sheet.warning(
            "strips_first",
            format!(
                "The thread strips before the bolt breaks: go {} deep or more, or fit an insert.",
                sheet.text(even)
            ),
        );
    } else if strips / breaks_at_most < 1.0 - 1e-9 {
        sheet.warning(
            "may_strip_first",
            format!(
                "A bolt that is stronger than its class's least may strip the thread before it breaks: go {} deep or more, or fit an insert.",
                sheet.text(even)
            ),
        );
    }
    sheet.source(
        "strongest",
        "VDI 2230-1: a bolt's tensile strength is up to about 1.2 times its class's least",
        Standing::FromMemory,
    );
    sheet.formula("strips", "strength of a thread", "F = 0.577 · Rm · An");
    sheet.source(
        "strips",
        "shear strength 0.577 of tensile strength, for ductile metals",
        Standing::CommonPractice,
    );
    sheet.condition(
        "cast_iron",
        "Cast iron and old die castings are brittle and uneven: go deeper than the sum says.",
    );
    Ok(())
}
