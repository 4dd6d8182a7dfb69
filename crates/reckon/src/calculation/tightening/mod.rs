//! In which order to tighten a ring or a rectangle of bolts, and in which stages.
//!
//! Never overrules the order in the car's own manual, and never shows a torque without its lubrication.

mod plan;

pub use plan::{Bolts, Plan, Stage, plan, read_stages};

use super::{Argument, BenchPlace, Calculation, Choice, Given, Want, same};
use crate::answer::{Line, ReckonRefusal, RefusalCode, Sheet, Standing, line, raw_cell};
use crate::quantity::{Kind, Torque, Unit};

const SHAPES: &[Choice] = &[
    Choice {
        name: "circle",
        words: "bolts in a ring, numbered one after the other round it",
    },
    Choice {
        name: "rectangle",
        words: "bolts in rows, like a cylinder head, numbered along each row",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "tightening",
    title: "Tightening order and stages",
    place: BenchPlace::Fasteners,
    about: "The order in which to tighten the bolts of a ring or a rectangle, the torque at each stage, and the way back.",
    arguments: &[
        Argument::new("shape", "", "how the bolts lie", Want::Choice(SHAPES))
            .required()
            .such_as("circle", "rectangle"),
        plan::BOLTS,
        plan::ROWS,
        plan::COLUMNS,
        plan::TORQUE,
        plan::STAGES,
    ],
    dangers: plan::DANGERS,
    contradictions: &[same("bolts", "columns", Kind::Number, 0.0, |given| {
        Some((
            given.number("bolts")?,
            given.number("rows")? * given.number("columns")?,
        ))
    })],
    run,
};

fn ordinal(n: usize) -> String {
    let end = match (n % 10, n % 100) {
        (1, other) if other != 11 => "st",
        (2, other) if other != 12 => "nd",
        (3, other) if other != 13 => "rd",
        _ => "th",
    };
    format!("{n}{end}")
}

/// As many places of an order as a headline has room for on a phone; the table has all of them.
const IN_SIGHT: usize = 16;

/// The order in a line: `1-5-3-7-2-6-4-8`; of a long one the beginning.
fn in_short(order: &[i32]) -> String {
    let places: Vec<String> = order.iter().take(IN_SIGHT).map(i32::to_string).collect();
    let rest = if order.len() > IN_SIGHT { "-…" } else { "" };
    format!("{}{rest}", places.join("-"))
}

/// How the bolts lie, and what is known of that order.
fn bolts(given: &Given, sheet: &mut Sheet) -> Result<Bolts, ReckonRefusal> {
    let whole = |name: &str, words: &str| match given.number(name) {
        Some(number) => Ok(number as i32),
        None => Err(ReckonRefusal::of(RefusalCode::Missing, name, words)),
    };
    if given.choice("shape") == Some("rectangle") {
        let rows = whole("rows", "The number of rows is needed.")?;
        let columns = whole("columns", "The number of bolts in each row is needed.")?;
        sheet.formula(
            "rectangle",
            "rectangle",
            "from the centre outwards, from side to side and across",
        );
        sheet.source(
            "rectangle",
            "from the centre outwards, alternating sides; loosen in reverse",
            Standing::FromMemory,
        );
        return Ok(Bolts::Rows { rows, columns });
    }
    let bolts = whole("bolts", "The number of bolts is needed.")?;
    sheet.formula(
        "circle",
        "ring",
        if bolts % 4 == 2 {
            "opposite pairs, each begun about a quarter of the round from the last"
        } else {
            "opposite pairs, each four at right angles where four divides N, then half the angle"
        },
    );
    let (words, standing) = match bolts {
        8 | 16 => (
            "ASME PCC-1, legacy cross-pattern, as printed for so many bolts",
            Standing::Published,
        ),
        4 | 12 | 20 | 24 => (
            "ASME PCC-1, legacy cross-pattern for so many bolts, as others reprint it; not held against the standard itself",
            Standing::FromMemory,
        ),
        28 | 32 => (
            "ASME PCC-1, legacy cross-pattern for so many bolts, written down from memory",
            Standing::FromMemory,
        ),
        _ => (
            "opposite pairs, and never two neighbours one after the other, after the patterns that ASME PCC-1 prints for other numbers of bolts",
            Standing::Derived,
        ),
    };
    sheet.source("circle", words, standing);
    sheet.source(
        "stages",
        "ASME PCC-1: stages of about 30, 60 and 100 %, and a last round",
        Standing::Published,
    );
    Ok(Bolts::Ring(bolts))
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let bolts = bolts(given, sheet)?;
    let plan = plan(bolts, given.measure("torque"), &given.exact_list("stages"))?;
    let order = &plan.order;
    // The headline is the order itself: it is what stays in sight at the car.
    let (key, words) = (
        "bolts",
        format!("order of the {} bolts, in each stage", order.len()),
    );
    sheet.told(key, words, order.len(), in_short(order));
    sheet.count("stages", "stages, with the last round", plan.stages.len());
    let steps: Vec<Line> = order
        .iter()
        .enumerate()
        .map(|(at, bolt)| {
            line(
                format!("{}: bolt {bolt}", ordinal(at + 1)),
                "",
                vec![
                    raw_cell("turn", "turn", at as f64 + 1.0, Unit::One),
                    raw_cell("bolt", "bolt", f64::from(*bolt), Unit::One),
                ],
            )
        })
        .collect();
    sheet.table("order", "the order, in each stage", steps);
    let last = plan.stages.len();
    let passes: Vec<Line> = (1_usize..)
        .zip(&plan.stages)
        .map(|(at, stage)| {
            let part = stage.percent();
            let mut values = vec![raw_cell("part", "part of the last torque", part, Unit::Percent)];
            let mut words = if at == last {
                "last round: the full torque, one bolt after the other round, until none turns".to_owned()
            } else {
                format!("stage {at}: {part:.0} % in the order")
            };
            if let Some(torque) = stage.torque.as_ref().map(Torque::from_exact) {
                values.push(sheet.cell("torque", "torque", torque));
                if at < last {
                    words = format!("{words}, {}", sheet.text(torque));
                }
            }
            line(words, "", values)
        })
        .collect();
    sheet.table("stages", "the stages", passes);
    for condition in plan.conditions {
        sheet.condition(condition.key, condition.words);
    }
    Ok(())
}
