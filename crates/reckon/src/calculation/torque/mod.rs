//! Fastener torque: the manual's figure in other units and with an adapter, torque from a preload, preload at 90 % of yield
//! for a bolt's size and class, and the preload that a torque gives.
//!
//! Never shows a torque without its lubrication, grade and source, and never picks a class or a friction for the person. Never
//! leaves a preload without holding it against what the bolt bears.

mod bolt;
mod load;
mod manual;

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, Want, in_band, same};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet};
use crate::fastener::CLASS_CHOICES;
use crate::quantity::{Kind, Length, Torque};

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

pub(super) const CALCULATION: Calculation = Calculation {
    name: "torque",
    title: "Fastener torque",
    place: BenchPlace::Fasteners,
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
    dangers: &[Danger::Torque, Danger::Yield],
    contradictions: &[
        // A bolt measures a little under its nominal size.
        same("thread", "diameter", Kind::Length, 0.04, |given| {
            let diameter: Length = given.get("diameter")?;
            Some((given.thread("thread")?.nominal().in_mm(), diameter.in_mm()))
        }),
        in_band("lubrication", "factor", Kind::Number, 0.0, |given| {
            let (low, high) = bolt::band(given)?;
            Some((low, high, given.number("factor")?))
        }),
        in_band(
            "lubrication",
            "friction",
            Kind::Number,
            bolt::ONE_BOLT,
            bolt::lubrication_and_friction,
        ),
        in_band(
            "lubrication",
            "friction_thread",
            Kind::Number,
            bolt::ONE_BOLT,
            bolt::lubrication_and_friction,
        ),
        same(
            "factor",
            "friction",
            Kind::Number,
            bolt::ONE_BOLT,
            bolt::factor_and_friction,
        ),
        same(
            "factor",
            "friction_thread",
            Kind::Number,
            bolt::ONE_BOLT,
            bolt::factor_and_friction,
        ),
    ],
    run,
};

/// Said where neither a torque nor a preload follows.
const NOTHING_YET: &str = "No torque or preload follows yet.";

fn nothing() -> ReckonRefusal {
    ReckonRefusal::of(
        RefusalCode::NothingToReckon,
        "",
        "Nothing follows from that yet. Give a torque; or a preload with a nut factor or lubrication and a diameter or thread; \
         or a thread with its class and a friction.",
    )
}

/// What is still missing for a torque or for what it pulls with, beside what was given; nothing where all is there, or nothing at all.
fn missing(given: &Given) -> Option<ReckonRefusal> {
    let any = |names: &[&str]| names.iter().any(|name| given.has(name));
    let rubs = any(&[
        "lubrication",
        "factor",
        "friction",
        "friction_thread",
        "friction_head",
    ]);
    let begun = any(&["class", "preload", "thread", "diameter", "lubrication", "factor"]);
    let mut lacking = Vec::new();
    if given.has("class") && !given.has("thread") {
        lacking.push((
            "thread",
            "the thread, for a class says nothing of a bare diameter",
        ));
    }
    if !any(&["torque", "preload"]) {
        lacking.push(("torque", "a torque or a preload"));
    }
    if !given.has("class") && !any(&["thread", "diameter"]) {
        lacking.push(("thread", "a thread or a diameter"));
    }
    if !rubs {
        lacking.push((
            "factor",
            "the lubrication, a nut factor, or with a metric thread a friction",
        ));
    }
    let (first, _) = lacking.first().filter(|_| begun)?;
    let lacks: Vec<&str> = lacking.iter().map(|(_, words)| *words).collect();
    let class = if given.has("class") {
        ""
    } else {
        " With the bolt's class or grade as well, it is held against what the bolt bears."
    };
    let words = format!("{NOTHING_YET} Still missing: {}.{class}", lacks.join("; and "));
    Some(ReckonRefusal::of(RefusalCode::Missing, first, words))
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let torque = given.get::<Torque>("torque");
    let mut answered = manual::adapter(given, sheet, torque)?;
    // The manual's own figure stands before anything that is reckoned from the bolt, so that it is never read for less.
    if let Some(torque) = torque {
        manual::conversions(given, sheet, torque);
        answered = true;
    }
    let mut preloads = Vec::new();
    let by_preload = bolt::by_preload(given, sheet, &mut preloads)?;
    if given.has("preload") && !by_preload {
        return Err(missing(given).unwrap_or_else(nothing));
    }
    answered |= by_preload;
    answered |= bolt::by_class(given, sheet, torque, &mut preloads)?;
    load::judge(given, sheet, &preloads);
    bolt::friction_unused(given, sheet);
    if let (Some(torque), Some(diameter), true) = (torque, bolt::diameter(given), preloads.is_empty())
        && !load::best_case(given, sheet, torque, diameter)
    {
        sheet.warning(
            "not_held",
            "How it is lubricated is not said, so what the torque pulls with is not reckoned, nor held against what the bolt bears.",
        );
    }
    if !answered {
        return Err(missing(given).unwrap_or_else(nothing));
    }
    if let Some(still) = missing(given).filter(|_| given.has("lubrication") || given.has("factor")) {
        let words = still.problems.into_iter().map(|problem| problem.words);
        let words = words.collect::<Vec<_>>().join(" ");
        if preloads.is_empty() {
            sheet.warning("no_torque", words);
        } else {
            sheet.warning("not_all", words.replacen(NOTHING_YET, "", 1).trim().to_owned());
        }
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
    Ok(())
}
