//! In which order to tighten a ring or a rectangle of bolts, and in which stages.
//!
//! Never overrules the order in the car's own manual, and never shows a torque without its lubrication.

use super::{Argument, Calculation, Choice, Danger, Given, Place, Want, same};
use crate::answer::{Line, Refusal, RefusalCode, Sheet, Standing, line, raw_cell};
use crate::pattern::{circle, rectangle};
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
    place: Place::Fasteners,
    about: "The order in which to tighten the bolts of a ring or a rectangle, the torque at each stage, and the way back.",
    arguments: &[
        Argument::new("shape", "", "how the bolts lie", Want::Choice(SHAPES))
            .required()
            .such_as("circle", "rectangle"),
        Argument::new("bolts", "N", "the number of bolts in the ring", Want::Whole)
            .within(3.0, 48.0)
            .such_as("8", "8"),
        Argument::new("rows", "", "rows of bolts in the rectangle", Want::Whole)
            .within(1.0, 6.0)
            .such_as("2", "2"),
        Argument::new("columns", "", "bolts in each row", Want::Whole)
            .within(1.0, 12.0)
            .such_as("4", "4"),
        Argument::new("torque", "T", "the last torque", Want::Quantity(Kind::Torque))
            .within(0.05, 3_000.0)
            .usually(1.0, 500.0)
            .such_as("60 N·m", "44 lbf·ft"),
        Argument::new(
            "stages",
            "",
            "the stages, as parts of the last torque",
            Want::List(Kind::Number),
        )
        .within(0.01, 1.0)
        .or("30, 60, 100 %")
        .such_as("30, 60, 100 %", "50, 100 %"),
    ],
    dangers: &[Danger::Torque, Danger::Yield],
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
fn in_short(order: &[usize]) -> String {
    let places: Vec<String> = order
        .iter()
        .take(IN_SIGHT)
        .map(|bolt| (bolt + 1).to_string())
        .collect();
    let rest = if order.len() > IN_SIGHT { "-…" } else { "" };
    format!("{}{rest}", places.join("-"))
}

fn order(given: &Given, sheet: &mut Sheet) -> Result<Vec<usize>, Refusal> {
    let whole = |name: &str, words: &str| match given.number(name) {
        Some(number) => Ok(number as usize),
        None => Err(Refusal::of(RefusalCode::Missing, name, words)),
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
        return Ok(rectangle(rows, columns));
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
    if bolts % 2 == 1 {
        sheet.condition(
            "odd",
            "An odd number has no opposite bolts: the nearest to opposite comes next.",
        );
    }
    Ok(circle(bolts))
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let order = order(given, sheet)?;
    let stages: Vec<f64> = given
        .list::<crate::quantity::Ratio>("stages")
        .into_iter()
        .map(crate::quantity::Ratio::value)
        .collect();
    let rising = stages
        .iter()
        .zip(stages.iter().skip(1))
        .all(|(one, next)| one < next);
    if !rising || stages.last().is_none_or(|last| (last - 1.0).abs() > 1e-9) {
        return Err(Refusal::of(
            RefusalCode::Impossible,
            "stages",
            "The stages must rise, and the last must be 100 %.",
        ));
    }
    // The headline is the order itself: it is what stays in sight at the car.
    let (key, words) = (
        "bolts",
        format!("order of the {} bolts, in each stage", order.len()),
    );
    sheet.told(key, words, order.len(), in_short(&order));
    sheet.count("stages", "stages, with the last round", stages.len() + 1);
    let steps: Vec<Line> = order
        .iter()
        .enumerate()
        .map(|(at, bolt)| {
            line(
                format!("{}: bolt {}", ordinal(at + 1), bolt + 1),
                "",
                vec![
                    raw_cell("turn", "turn", at as f64 + 1.0, Unit::One),
                    raw_cell("bolt", "bolt", *bolt as f64 + 1.0, Unit::One),
                ],
            )
        })
        .collect();
    sheet.table("order", "the order, in each stage", steps);
    let torque = given.get::<Torque>("torque");
    let mut passes: Vec<Line> = stages
        .iter()
        .enumerate()
        .map(|(at, part)| {
            let mut values = vec![raw_cell(
                "part",
                "part of the last torque",
                part * 100.0,
                Unit::Percent,
            )];
            let mut words = format!("stage {}: {:.0} % in the order", at + 1, part * 100.0);
            if let Some(torque) = torque {
                values.push(sheet.cell("torque", "torque", torque * *part));
                words = format!("{words}, {}", sheet.text(torque * *part));
            }
            line(words, "", values)
        })
        .collect();
    let mut values = vec![raw_cell("part", "part of the last torque", 100.0, Unit::Percent)];
    if let Some(torque) = torque {
        values.push(sheet.cell("torque", "torque", torque));
    }
    passes.push(line(
        "last round: the full torque, one bolt after the other round, until none turns",
        "",
        values,
    ));
    sheet.table("stages", "the stages", passes);
    let back: Vec<String> = order.iter().rev().map(|bolt| (bolt + 1).to_string()).collect();
    sheet.condition(
        "loosen",
        format!(
            "Loosen in the reverse order, a little at a time: {}.",
            back.join("-")
        ),
    );
    holds_for(sheet);
    Ok(())
}

/// What any tightening holds for.
fn holds_for(sheet: &mut Sheet) {
    sheet.condition(
        "lubrication",
        "A torque holds only for the lubrication it was given for: oil on a thread meant dry stretches the bolt much further.",
    );
    sheet.condition(
        "grade",
        "The bolts are of the grade and size meant, clean and whole.",
    );
    sheet.condition(
        "source",
        "Write down where the torque and the order come from: book, edition and page.",
    );
    sheet.condition(
        "manual_order",
        "Where the car's own manual gives an order or angles, that is the order.",
    );
}
