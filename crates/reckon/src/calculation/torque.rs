//! Fastener torque: the manual's figure in other units and with an adapter, torque from a preload, preload at 90 % of yield
//! for a bolt's size and class, and the preload that a torque gives.
//!
//! Never shows a torque without its lubrication, grade and source, and never picks a class or a friction for the person.

use super::{Argument, Calculation, Choice, Given, Place, Want};
use crate::answer::{AT_20_C, MANUAL_WINS, NOT_FITNESS, Refusal, RefusalCode, Sheet, Standing};
use crate::fastener::{
    CLASS_CHOICES, Class, Form, Friction, Head, Thread, nut_factor_torque, preload_at_yield, split_torque,
    torque_factor, vdi_torque, wrench_setting,
};
use crate::quantity::{Angle, Force, Kind, Length, Torque, Unit};

const LENGTH: Want = Want::Quantity(Kind::Length);
const TORQUE: Want = Want::Quantity(Kind::Torque);

const LUBRICATION: &[Choice] = &[
    Choice {
        name: "dry",
        words: "dry and clean: K about 0.20",
    },
    Choice {
        name: "oiled",
        words: "lightly oiled: K about 0.15",
    },
];

/// The part of yield that VDI 2230 tightens to.
const PART_OF_YIELD: f64 = 0.9;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "torque",
    title: "Fastener torque",
    place: Place::Fasteners,
    about: "A torque in other units or with an adapter; the torque for a preload; what a bolt's size and class can take.",
    arguments: &[
        Argument::new("torque", "T", "the torque in the manual", TORQUE)
            .within(0.05, 3_000.0)
            .usually(1.0, 500.0)
            .such_as("54 N·m", "40 lbf·ft"),
        Argument::new(
            "torque_also",
            "T'",
            "the same torque as the manual prints it in other units",
            TORQUE,
        )
        .within(0.05, 3_000.0)
        .such_as("40 lbf·ft", "54 N·m"),
        Argument::new(
            "wrench_length",
            "L",
            "from the wrench's square to the middle of the grip",
            LENGTH,
        )
        .within(50.0, 2_000.0)
        .such_as("400 mm", "16 in"),
        Argument::new(
            "adapter_length",
            "E",
            "from the wrench's square to the fastener, with the adapter",
            LENGTH,
        )
        .within(0.0, 1_000.0)
        .such_as("50 mm", "2 in"),
        Argument::new(
            "adapter_angle",
            "α",
            "the angle of the adapter to the wrench (0: straight out)",
            Want::Quantity(Kind::Angle),
        )
        .within(0.0, 180.0)
        .or("0 °")
        .such_as("0 °", "0 °"),
        Argument::new("thread", "", "the thread", Want::Thread).such_as("M10x1.25", "3/8-24"),
        Argument::new(
            "class",
            "",
            "the property class or grade of the bolt",
            Want::Choice(CLASS_CHOICES),
        )
        .such_as("8.8", "grade_5"),
        Argument::new(
            "diameter",
            "D",
            "the diameter, where the thread is not given",
            LENGTH,
        )
        .within(1.0, 100.0)
        .such_as("10 mm", "0.375 in"),
        Argument::new("preload", "F", "the preload wanted", Want::Quantity(Kind::Force))
            .within(1.0, 2_000_000.0)
            .such_as("25 kN", "5600 lbf"),
        Argument::new("factor", "K", "the nut factor", Want::Number)
            .within(0.05, 0.5)
            .usually(0.1, 0.3)
            .such_as("0.15", "0.15"),
        Argument::new(
            "lubrication",
            "",
            "how it is lubricated, in place of the nut factor",
            Want::Choice(LUBRICATION),
        )
        .such_as("oiled", "oiled"),
        Argument::new(
            "friction",
            "μ",
            "the friction in the thread and under the head",
            Want::Number,
        )
        .within(0.04, 0.4)
        .usually(0.08, 0.2)
        .such_as("0.12", "0.12"),
        Argument::new(
            "friction_thread",
            "μt",
            "the friction in the thread, where it differs",
            Want::Number,
        )
        .within(0.04, 0.4)
        .such_as("0.12", "0.12"),
        Argument::new(
            "friction_head",
            "μh",
            "the friction under the head, where it differs",
            Want::Number,
        )
        .within(0.04, 0.4)
        .such_as("0.14", "0.14"),
        Argument::new(
            "head_diameter",
            "dw",
            "the outer diameter of the face that bears",
            LENGTH,
        )
        .within(1.0, 250.0)
        .such_as("14.63 mm", "0.56 in"),
        Argument::new("hole", "dh", "the hole under the head", LENGTH)
            .within(1.0, 200.0)
            .such_as("11 mm", "0.406 in"),
    ],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let torque = given.get::<Torque>("torque");
    let mut answered = adapter(given, sheet, torque)?;
    answered |= by_preload(given, sheet)?;
    answered |= by_class(given, sheet, torque)?;
    if let Some(torque) = torque {
        conversions(given, sheet, torque);
        answered = true;
    }
    if !answered {
        return Err(Refusal::of(
            RefusalCode::NothingToReckon,
            "",
            "Nothing follows from that yet. Give a torque; or a preload with a nut factor or lubrication and a diameter or thread; \
             or a thread with its class and a friction.",
        ));
    }
    sheet.condition(
        "lubrication",
        "A torque holds only for the lubrication it was given for: oil on a thread meant dry stretches the bolt much further.",
    );
    sheet.condition(
        "grade",
        "The bolt, the nut and the threads they go into are of the grade and size meant, clean and whole.",
    );
    sheet.condition(
        "source",
        "Write down where the figure comes from: book, edition and page.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    sheet.caution(MANUAL_WINS);
    sheet.caution((
        "torque_to_yield",
        "A bolt tightened to yield or by angle is stretched for good: never use it again.",
    ));
    sheet.caution((
        "safety_parts",
        "Brakes, steering, suspension, wheels, seat belts and lifting: only the maker's figure, and local law and licensed \
         practice come first.",
    ));
    sheet.caution(NOT_FITNESS);
    Ok(())
}

/// The manual's torque in the four units that manuals use, and whether its own two figures agree.
fn conversions(given: &Given, sheet: &mut Sheet, torque: Torque) {
    let units = [
        ("torque_n_m", Unit::NewtonMetre),
        ("torque_lbf_ft", Unit::PoundForceFoot),
        ("torque_lbf_in", Unit::PoundForceInch),
        ("torque_kgf_m", Unit::KilogramForceMetre),
    ];
    for (key, unit) in units {
        sheet.value_in(key, &format!("the torque in {}", unit.symbol()), torque, unit);
    }
    sheet.source(
        "units",
        "1 lbf·ft = 1.3558179483314004 N·m, 1 kgf·m = 9.80665 N·m, exact by definition (NIST SP 811, appendix B)",
        Standing::Published,
    );
    if let Some(also) = given.get::<Torque>("torque_also") {
        let percent = (also / torque - 1.0) * 100.0;
        sheet.number(
            "mismatch_percent",
            "the second figure is higher by, in %",
            percent,
        );
        // Rounding to two figures alone gives up to 5 %.
        if percent.abs() > 5.0 {
            sheet.warning(
                "mismatch",
                format!("The manual's two figures differ by {:.0} %: one of them is a slip. Keep both as printed.", percent.abs()),
            );
        }
    }
    let tolerance = if torque.in_n_m() <= 10.0 { 6 } else { 4 };
    sheet.condition(
        "wrench",
        format!("A torque wrench that meets ISO 6789 may still be ±{tolerance} % out here."),
    );
    sheet.source(
        "wrench",
        "ISO 6789: ±6 % up to 10 N·m, ±4 % above",
        Standing::Published,
    );
}

/// What to set on the wrench with an adapter.
fn adapter(given: &Given, sheet: &mut Sheet, torque: Option<Torque>) -> Result<bool, Refusal> {
    let (arm, extension) = (
        given.get::<Length>("wrench_length"),
        given.get::<Length>("adapter_length"),
    );
    let missing = |name: &str, words: &str| Err(Refusal::of(RefusalCode::Missing, name, words));
    let (arm, extension, torque) = match (arm, extension, torque) {
        (None, None, _) => return Ok(false),
        (Some(arm), Some(extension), Some(torque)) => (arm, extension, torque),
        (None, _, _) => {
            return missing(
                "wrench_length",
                "The length of the wrench is needed for an adapter.",
            );
        }
        (_, None, _) => return missing("adapter_length", "The length of the adapter is needed."),
        (_, _, None) => {
            return missing(
                "torque",
                "The torque wanted at the fastener is needed for an adapter.",
            );
        }
    };
    let angle: Angle = given.need("adapter_angle")?;
    let setting = wrench_setting(torque, arm, extension, angle);
    // Turned back by more than the wrench is long, an adapter would have to be pulled the wrong way.
    if setting.in_n_m() <= 0.0 || setting / torque > 10.0 {
        return Err(Refusal::of(
            RefusalCode::Impossible,
            "adapter_angle",
            "With the adapter turned back so far the wrench cannot turn the fastener sensibly.",
        ));
    }
    sheet.value("wrench_setting", "set the wrench to", setting);
    sheet.formula(
        "wrench_setting",
        "wrench with an adapter",
        "set = T · L / (L + E · cos α)",
    );
    sheet.source(
        "wrench_setting",
        "follows from the two arms; at 90° the setting is the torque itself",
        Standing::Derived,
    );
    sheet.condition("grip", "Pull at the middle of the grip: L is measured to there.");
    Ok(true)
}

/// The diameter, from the thread or by itself.
fn diameter(given: &Given) -> Option<Length> {
    given
        .thread("thread")
        .map(Thread::nominal)
        .or_else(|| given.get("diameter"))
}

/// The nut factor and how it came about; the person's own number first.
fn nut_factor(given: &Given, sheet: &mut Sheet) -> Option<f64> {
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
fn by_preload(given: &Given, sheet: &mut Sheet) -> Result<bool, Refusal> {
    let Some(preload) = given.get::<Force>("preload") else {
        return Ok(false);
    };
    let mut answered = false;
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
    if answered {
        Ok(true)
    } else {
        Err(Refusal::of(
            RefusalCode::Missing,
            "factor",
            "For the torque of a preload, give a nut factor or the lubrication with a diameter or thread, or a metric thread with a friction.",
        ))
    }
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
fn friction(given: &Given) -> Result<Option<Friction>, Refusal> {
    let both = given.number("friction");
    let (thread, head) = (
        given.number("friction_thread").or(both),
        given.number("friction_head").or(both),
    );
    match (thread, head) {
        (Some(thread), Some(head)) => Ok(Some(Friction { thread, head })),
        (None, None) => Ok(None),
        (Some(_), None) => Err(Refusal::of(
            RefusalCode::Missing,
            "friction_head",
            "The friction under the head is needed too.",
        )),
        (None, Some(_)) => Err(Refusal::of(
            RefusalCode::Missing,
            "friction_thread",
            "The friction in the thread is needed too.",
        )),
    }
}

/// Where the head bears: as given, or the usual hexagon.
fn head(given: &Given, sheet: &mut Sheet, thread: &Thread) -> Result<Head, Refusal> {
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
        return Err(Refusal::of(RefusalCode::Missing, "head_diameter", words));
    };
    if outer <= hole || hole < thread.nominal() * 0.9 {
        return Err(Refusal::of(
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
fn by_class(given: &Given, sheet: &mut Sheet, torque: Option<Torque>) -> Result<bool, Refusal> {
    let Some(thread) = given.thread("thread") else {
        return match (given.choice("class"), torque, given.get::<Length>("diameter")) {
            (Some(_), _, _) => Err(Refusal::of(
                RefusalCode::Missing,
                "thread",
                "The thread is needed to say what a class can take.",
            )),
            (None, Some(torque), Some(diameter)) => Ok(preload_of(given, sheet, torque, diameter)),
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
        preload_of(given, sheet, torque, thread.nominal());
        if let Some(friction) = friction {
            let preload = torque / torque_factor(thread, friction, head(given, sheet, thread)?);
            let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
            sheet.value_in(
                "preload_by_friction",
                "preload that the torque gives, by friction",
                preload,
                unit,
            );
            split_notes(sheet, friction);
            if let Some(limit) = limit.filter(|limit| preload > *limit) {
                sheet.warning(
                    "over_yield",
                    format!(
                        "The torque gives more preload than 90 % of yield allows ({}).",
                        sheet.text(limit)
                    ),
                );
            }
        }
    }
    Ok(true)
}

/// F = T/(K·D). True where it was answered.
fn preload_of(given: &Given, sheet: &mut Sheet, torque: Torque, diameter: Length) -> bool {
    let Some(factor) = nut_factor(given, sheet) else {
        return false;
    };
    let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    sheet.value_in(
        "preload_by_nut_factor",
        "preload that the torque gives, by nut factor",
        torque / (diameter * factor),
        unit,
    );
    sheet.formula("nut_factor", "torque by nut factor", "T = K · D · F");
    scatter(sheet);
    true
}

/// Proof load of the class, and where friction is known the preload and torque at 90 % of yield. The preload is handed back.
fn class_limits(
    given: &Given,
    sheet: &mut Sheet,
    thread: &Thread,
    friction: Option<Friction>,
) -> Result<Option<Force>, Refusal> {
    let Some(name) = given.choice("class") else {
        return Ok(None);
    };
    let Some(class) = Class::of(name, thread) else {
        let words = format!(
            "{} is not made in class {name}: ISO 898-1 is for metric threads, SAE J429 for inch bolts of 1/4 to 1 1/2 in.",
            thread.name()
        );
        return Err(Refusal::of(RefusalCode::Impossible, "class", words));
    };
    let unit = sheet.pick(Unit::Kilonewton, Unit::PoundForce);
    let mut limit = None;
    if let Some(friction) = friction {
        let head = head(given, sheet, thread)?;
        let preload = preload_at_yield(PART_OF_YIELD, &class, thread, friction.thread);
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
        sheet.caution((
            "most_not_wanted",
            "That is the most the bolt takes, not what the joint wants: gaskets, soft castings and studs want less.",
        ));
        limit = Some(preload);
    }
    sheet.value_in(
        "proof_load",
        "proof load of the bolt",
        class.proof * thread.stress_area(),
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
