//! The bolt's side of a torque: preload from torque and torque from preload, by nut factor and by friction, and what a
//! class can take.
//!
//! Never picks a class or a friction for the person.

use super::load::{Preload, SCATTER, told};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::calculation::Given;
use crate::fastener::{
    Class, Form, Friction, Head, Thread, nut_factor_torque, preload_at_yield, split_torque, torque_factor,
    vdi_torque,
};
use crate::quantity::{Force, Length, Torque, Unit};

/// The part of yield that VDI 2230 tightens to.
const PART_OF_YIELD: f64 = 0.9;
/// A nut factor and a friction of one bolt differ by no more than this, as a part of the larger. Common practice, no source.
pub(super) const ONE_BOLT: f64 = 1.0 / 3.0;

/// The diameter, from the thread or by itself.
pub(super) fn diameter(given: &Given) -> Option<Length> {
    given
        .thread("thread")
        .map(Thread::nominal)
        .or_else(|| given.get("diameter"))
}

/// The nut factor and how it came about; the person's own number first. None where a friction is given that can be used: it says more
/// than a word of lubrication, and two torques for one bolt would be one too many.
fn nut_factor(given: &Given, sheet: &mut Sheet) -> Option<f64> {
    if friction_counts(given) {
        if given.has("lubrication") || given.has("factor") {
            sheet.condition(
                "friction_counts",
                "The friction given counts; the nut factor or lubrication beside it was only held against it.",
            );
        }
        return None;
    }
    let factor = given
        .number("factor")
        .or_else(|| match given.choice("lubrication") {
            Some("dry") => Some(0.20),
            Some(_) => Some(0.15),
            None => None,
        })?;
    sheet.source(
        "nut_factor",
        "K about 0.20 dry, 0.15 oiled",
        Standing::CommonPractice,
    );
    sheet.condition(
        "nut_factor",
        format!("Nut factor K = {factor}: {}.", lubrication(given)),
    );
    Some(factor)
}

fn lubrication(given: &Given) -> &'static str {
    match given.choice("lubrication") {
        Some("dry") => "dry and clean",
        Some(_) => "lightly oiled",
        None => "for the lubrication it was measured with",
    }
}

/// T = K·D·F, and the same by split friction where the thread and the friction are known.
pub(super) fn by_preload(
    given: &Given,
    sheet: &mut Sheet,
    preloads: &mut Vec<Preload>,
) -> Result<bool, ReckonRefusal> {
    let Some(preload) = given.get::<Force>("preload") else {
        return Ok(false);
    };
    preloads.push(Preload {
        key: "preload",
        words: "the preload wanted",
        force: preload,
    });
    // What the bolt bears of it can be told without a torque.
    let mut answered = given.has("class") && given.has("thread");
    if let (Some(diameter), Some(factor)) = (diameter(given), nut_factor(given, sheet)) {
        let torque = nut_factor_torque(factor, diameter, preload);
        sheet.value(
            "torque_by_nut_factor",
            "torque for the preload, by nut factor",
            torque,
        );
        sheet.formula("nut_factor", "torque by nut factor", "T = K · D · F");
        scatter(sheet);
        answered = true;
    }
    if let (Some(thread), Some(friction)) = (given.thread("thread"), friction(given)?) {
        let head = head(given, sheet, thread)?;
        let torque = split_torque(preload, thread, friction, head);
        sheet.value(
            "torque_by_friction",
            "torque for the preload, by friction",
            torque,
        );
        split_notes(sheet, friction);
        answered = true;
    }
    Ok(answered)
}

fn scatter(sheet: &mut Sheet) {
    sheet.condition(
        "scatter",
        "Tightened by torque, the preload comes out within about ±25 % of this.",
    );
    sheet.source(
        "scatter",
        "scatter of preload about ±25 % when tightened by torque",
        Standing::CommonPractice,
    );
}

fn split_notes(sheet: &mut Sheet, friction: Friction) {
    sheet.formula(
        "split",
        "torque by friction",
        "T = F · (P / 2π + μt · d2 / (2 · cos 30°) + μh · (dw + dh) / 4)",
    );
    sheet.source(
        "threads",
        "ISO 724 (diameters), ISO 898-1 (stress area of metric threads), ASME B1.1 (Unified threads)",
        Standing::Published,
    );
    sheet.condition(
        "friction",
        format!(
            "Friction {} in the thread and {} under the head: a guess unless measured.",
            friction.thread, friction.head
        ),
    );
    scatter(sheet);
}

/// The friction given, one for both or one each.
fn friction(given: &Given) -> Result<Option<Friction>, ReckonRefusal> {
    let both = given.number("friction");
    let (thread, head) = (
        given.number("friction_thread").or(both),
        given.number("friction_head").or(both),
    );
    match (thread, head) {
        (Some(thread), Some(head)) => Ok(Some(Friction { thread, head })),
        (None, None) => Ok(None),
        (Some(_), None) => Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "friction_head",
            "The friction under the head is needed too.",
        )),
        (None, Some(_)) => Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "friction_thread",
            "The friction in the thread is needed too.",
        )),
    }
}

/// Is there a friction, for the thread and under the head, and a thread to reckon with it?
fn friction_counts(given: &Given) -> bool {
    given.has("thread") && friction(given).is_ok_and(|friction| friction.is_some())
}

/// Says that a friction was given of which nothing is made.
pub(super) fn friction_unused(given: &Given, sheet: &mut Sheet) {
    let some = ["friction", "friction_thread", "friction_head"];
    if !given.has("thread") && some.iter().any(|name| given.has(name)) {
        sheet.warning(
            "friction_unused",
            "The friction is not used: it needs the thread, and not its diameter alone.",
        );
    }
}

/// What K may be for the lubrication that was given, and the K that the friction given comes to, to three places.
pub(super) fn lubrication_and_friction(given: &Given) -> Option<(f64, f64, f64)> {
    let (low, high) = band(given)?;
    Some((low, high, factor_of_friction(given)?))
}

/// From what to what the nut factor is, dry and oiled. Common practice, no source.
pub(super) fn band(given: &Given) -> Option<(f64, f64)> {
    Some(match given.choice("lubrication")? {
        "dry" => (0.17, 0.5),
        _ => (0.05, 0.18),
    })
}

/// The nut factor that was given, and the one that the friction given comes to, to three places; nothing where either cannot be had.
pub(super) fn factor_and_friction(given: &Given) -> Option<(f64, f64)> {
    Some((given.number("factor")?, factor_of_friction(given)?))
}

fn factor_of_friction(given: &Given) -> Option<f64> {
    let thread = given.thread("thread")?;
    let friction = friction(given).ok().flatten()?;
    let usual = Head::hexagon(thread);
    let head = Head {
        outer: given.get("head_diameter").or(usual.map(|head| head.outer))?,
        hole: given.get("hole").or(usual.map(|head| head.hole))?,
    };
    let by_friction = torque_factor(thread, friction, head) / thread.nominal();
    Some((by_friction * 1e3).round() / 1e3)
}

/// Where the head bears: as given, or the usual hexagon.
fn head(given: &Given, sheet: &mut Sheet, thread: &Thread) -> Result<Head, ReckonRefusal> {
    let (outer, hole) = (given.get::<Length>("head_diameter"), given.get::<Length>("hole"));
    let usual = Head::hexagon(thread);
    let (Some(outer), Some(hole)) = (
        outer.or(usual.map(|head| head.outer)),
        hole.or(usual.map(|head| head.hole)),
    ) else {
        let words = format!(
            "For {} no usual head is known here: give dw and dh, the face that bears and its hole.",
            thread.name()
        );
        return Err(ReckonRefusal::of(RefusalCode::Missing, "head_diameter", words));
    };
    if outer <= hole || hole < thread.nominal() * 0.9 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "head_diameter",
            "The face that bears must be wider than its hole, and the hole no less than the bolt.",
        ));
    }
    if !given.has("head_diameter") || !given.has("hole") {
        sheet.condition(
            "head",
            format!(
                "A plain hexagon over a medium hole is taken: dw {}, dh {}.",
                sheet.text(outer),
                sheet.text(hole)
            ),
        );
        sheet.source("head", "ISO 4014 (dw) and ISO 273 (dh)", Standing::FromMemory);
    }
    Ok(Head { outer, hole })
}

/// What the thread and class can take, and what the given torque does to them.
pub(super) fn by_class(
    given: &Given,
    sheet: &mut Sheet,
    torque: Option<Torque>,
    preloads: &mut Vec<Preload>,
) -> Result<bool, ReckonRefusal> {
    let Some(thread) = given.thread("thread") else {
        return match (given.choice("class"), torque, given.get::<Length>("diameter")) {
            (Some(_), Some(_), _) => Err(ReckonRefusal::of(
                RefusalCode::Missing,
                "thread",
                "The thread is needed to say what a class can take.",
            )),
            (None, Some(torque), Some(diameter)) => Ok(preload_of(given, sheet, torque, diameter, preloads)),
            _ => Ok(false),
        };
    };
    if thread.coarse_by_default() {
        sheet.condition(
            "coarse",
            format!("With no pitch written, {} is coarse; measure it.", thread.name()),
        );
    }
    if thread.form() == Form::Unified {
        sheet.condition(
            "unified",
            "The thread is taken to be Unified, 60°; a Whitworth thread is not.",
        );
    }
    sheet.source(
        "threads",
        "ISO 724 (diameters), ISO 898-1 (stress area of metric threads), ASME B1.1 (Unified threads)",
        Standing::Published,
    );
    let friction = friction(given)?;
    let limit = class_limits(given, sheet, thread, friction)?;
    let area = sheet.pick(Unit::SquareMillimetre, Unit::SquareInch);
    sheet.value_in(
        "stress_area",
        "stress area of the thread",
        thread.stress_area(),
        area,
    );
    if let Some(torque) = torque {
        preload_of(given, sheet, torque, thread.nominal(), preloads);
        if let Some(friction) = friction {
            let preload = torque / torque_factor(thread, friction, head(given, sheet, thread)?);
            let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
            sheet.value_in(
                "preload_by_friction",
                "preload that the torque gives, by friction",
                preload,
                unit,
            );
            preloads.push(Preload {
                key: "preload_by_friction",
                words: "the preload by friction",
                force: preload,
            });
            split_notes(sheet, friction);
        }
    }
    // Typed or reckoned from the torque, it is the same bolt that bears it.
    let over = |limit: &Force| preloads.iter().any(|preload| preload.force / *limit > 1.0 + 1e-9);
    if let Some(limit) = limit.filter(over) {
        sheet.warning(
            "over_yield",
            format!(
                "That is more preload than 90 % of yield allows ({}).",
                told(sheet, limit)
            ),
        );
    }
    Ok(true)
}

/// F = T/(K·D). True where it was answered.
fn preload_of(
    given: &Given,
    sheet: &mut Sheet,
    torque: Torque,
    diameter: Length,
    preloads: &mut Vec<Preload>,
) -> bool {
    let Some(factor) = nut_factor(given, sheet) else {
        return false;
    };
    let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    let preload = torque / (diameter * factor);
    preloads.push(Preload {
        key: "preload_by_nut_factor",
        words: "the preload by nut factor",
        force: preload,
    });
    sheet.value_in(
        "preload_by_nut_factor",
        "preload that the torque gives, by nut factor",
        preload,
        unit,
    );
    sheet.value_in(
        "preload_least",
        "preload at the low end of the scatter",
        preload * (1.0 - SCATTER),
        unit,
    );
    sheet.value_in(
        "preload_most",
        "preload at the high end of the scatter",
        preload * (1.0 + SCATTER),
        unit,
    );
    sheet.formula("nut_factor", "torque by nut factor", "T = K · D · F");
    scatter(sheet);
    true
}

/// Why a thread is not made in a class.
fn not_made(name: &str, thread: &Thread) -> String {
    let why = match (thread.form(), name.strip_prefix("grade_")) {
        (Form::Metric, Some(grade)) => format!(
            "SAE J429 grade {grade} is for inch threads; metric bolts are of a class of ISO 898-1, like 8.8"
        ),
        (Form::Unified, Some(grade)) if thread.nominal().in_inch() < 0.25 => {
            format!("SAE J429 grade {grade} begins at 1/4 in, so this screw has no grade to be held against")
        }
        (Form::Unified, Some(grade)) => format!("SAE J429 grade {grade} ends at 1 1/2 in"),
        (_, None) => format!(
            "class {name} of ISO 898-1 is for metric threads; inch bolts are of a grade of SAE J429, of 1/4 to 1 1/2 in"
        ),
    };
    format!("{} is not made so: {why}.", thread.name())
}

/// The preload at 90 % of yield, which is handed back, and the torque that makes it.
fn at_yield(
    given: &Given,
    sheet: &mut Sheet,
    thread: &Thread,
    class: &Class,
    friction: Friction,
) -> Result<Force, ReckonRefusal> {
    let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    let head = head(given, sheet, thread)?;
    let preload = preload_at_yield(PART_OF_YIELD, class, thread, friction.thread);
    let torque = vdi_torque(preload, thread, friction, head);
    sheet.value("torque_at_yield", "torque at 90 % of yield", torque);
    sheet.value_in("preload_at_yield", "preload at 90 % of yield", preload, unit);
    sheet.formula(
        "preload_at_yield",
        "preload at 90 % of yield",
        "F = 0.9 · Rp0.2 · As / √(1 + 3 · (1.5 · (d2/d0) · (P/(π·d2) + 1.155·μt))²)",
    );
    sheet.formula(
        "vdi_torque",
        "tightening torque",
        "M = F · (0.16 · P + 0.58 · d2 · μt + (dw + dh)/4 · μh)",
    );
    let (words, standing) = match thread.form() {
        Form::Metric => (
            "VDI 2230-1:2001, preload and torque at 90 % of yield; older tables run lower",
            Standing::Published,
        ),
        Form::Unified => (
            "the formula of VDI 2230-1 with SAE J429 yield strength: carried over, not tabled there",
            Standing::Derived,
        ),
    };
    sheet.source("vdi_2230", words, standing);
    sheet.condition(
        "friction",
        format!(
            "Friction {} in the thread and {} under the head: a guess unless measured.",
            friction.thread, friction.head
        ),
    );
    sheet.condition(
        "strong_enough",
        "The thread it goes into must be stronger than the bolt: in aluminium about two diameters deep.",
    );
    sheet.source(
        "engagement",
        "US Army TM 9-6115-604-34: two diameters deep in aluminium",
        Standing::Published,
    );
    sheet.caution((
        "most_not_wanted",
        "That is the most the bolt takes, not what the joint wants: gaskets, soft castings and studs want less.",
    ));
    Ok(preload)
}

/// Proof load of the class, and where friction is known the preload and torque at 90 % of yield. The preload is handed back.
fn class_limits(
    given: &Given,
    sheet: &mut Sheet,
    thread: &Thread,
    friction: Option<Friction>,
) -> Result<Option<Force>, ReckonRefusal> {
    let Some(name) = given.choice("class") else {
        return Ok(None);
    };
    let Some(class) = Class::of(name, thread) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "class",
            not_made(name, thread),
        ));
    };
    let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    let limit = match friction {
        Some(friction) => Some(at_yield(given, sheet, thread, &class, friction)?),
        None => None,
    };
    sheet.value_in(
        "proof_load",
        "proof load of the bolt",
        class.proof * thread.stress_area(),
        unit,
    );
    sheet.value_in(
        "breaking_load",
        "breaking load of the bolt",
        class.tensile * thread.stress_area(),
        unit,
    );
    sheet.condition(
        "class",
        format!("Class {name}: only where the bolt's own head or paper says so."),
    );
    let (words, standing) = match thread.form() {
        Form::Metric => (
            "ISO 898-1, proof stresses written down from memory; they reproduce its proof loads",
            Standing::FromMemory,
        ),
        Form::Unified => ("SAE J429, proof, yield and tensile strength", Standing::Published),
    };
    sheet.source("strength", words, standing);
    Ok(limit)
}
