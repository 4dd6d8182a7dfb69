//! Which feeler leaves make up a thickness, and how well the stack is known.
//!
//! Never hides that a stack of leaves adds up its errors.

use super::{Argument, BenchPlace, Calculation, Given, LENGTH, LENGTHS};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing, line};
use crate::pack::packs;
use crate::quantity::{Length, Unit};

/// What a leaf may be out by, either way.
const LEAF: f64 = 0.000_35;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "feelers",
    title: "Feeler stack",
    place: BenchPlace::Readings,
    about: "Which feeler leaves make up a gap, at most two where they can, and how well the stack is known.",
    arguments: &[
        Argument::new("gap", "g", "the gap to be made up", LENGTH)
            .required()
            .within(0.02, 10.0)
            .such_as("0.35 mm", "0.014 in"),
        Argument::new("leaves", "", "the leaves of the set", LENGTHS)
            .within(0.01, 5.0)
            .such_as(
                "0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50 mm",
                "0.002, 0.003, 0.004, 0.006, 0.008, 0.010 in",
            ),
    ],
    dangers: &[],
    contradictions: &[],
    run,
};

fn usual(inch: bool) -> Vec<Length> {
    if inch {
        [
            2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 15.0, 20.0, 25.0,
        ]
        .map(Length::from_thou)
        .to_vec()
    } else {
        [
            0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90, 1.00,
        ]
        .map(Length::from_mm)
        .to_vec()
    }
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let gap: Length = given.need("gap")?;
    let mut leaves = given.counted::<Length>("leaves");
    if leaves.is_empty() {
        leaves = usual(sheet.inch()).into_iter().map(|leaf| (leaf, 1)).collect();
        sheet.condition("set", "No leaves were given: a usual set is taken, one of each.");
        sheet.source("set", "a usual set of thirteen leaves", Standing::CommonPractice);
    }
    // One or two leaves where they come as near as three can.
    let mut found = packs(&leaves, gap, 1..=2, 6);
    let three = packs(&leaves, gap, 3..=3, 3);
    let off = |over: Length| (over.in_mm().abs() * 1e6).round() as i64;
    let nearer = match (found.best.first(), three.best.first()) {
        (Some(two), Some(three)) => off(three.over) < off(two.over),
        (None, Some(_)) => true,
        _ => false,
    };
    if nearer {
        sheet.warning(
            "three",
            "Only three leaves come nearest: each leaf adds its error.",
        );
        let mut best = three.best;
        best.append(&mut found.best);
        found.best = best;
    }
    // Fewer leaves first among the equally near: a leaf more is an error more.
    found.best.sort_by_key(|pack| (off(pack.over), pack.pieces.len()));
    let Some(best) = found.best.first() else {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "leaves",
            "There are too many leaves to look through; give at most 24.",
        ));
    };
    let leaf = Length::from_inch(LEAF);
    sheet.value("stack", "thickness of the best stack", best.total);
    sheet.value("over", "thicker than the gap by (minus: thinner)", best.over);
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    sheet.value_in(
        "tolerance",
        "the stack may be out by, either way",
        leaf * best.pieces.len() as f64,
        fine,
    );
    let lines = found.best.iter().map(|pack| {
        let pieces: Vec<String> = pack.pieces.iter().map(|piece| sheet.text(*piece)).collect();
        let count = pack.pieces.len();
        let why = match off(pack.over) {
            0 => format!("exact, {count} {}", if count == 1 { "leaf" } else { "leaves" }),
            _ => format!("{} off", sheet.text(Length::from_mm(pack.over.in_mm().abs()))),
        };
        let mut values: Vec<_> = pack
            .pieces
            .iter()
            .map(|piece| sheet.cell("leaf", "leaf", *piece))
            .collect();
        values.push(sheet.cell("total", "together", pack.total));
        line(
            format!("{} = {}", pieces.join(" + "), sheet.text(pack.total)),
            why,
            values,
        )
    });
    let lines = lines.collect();
    sheet.choices("stacks", "stacks, the nearest first", lines);
    sheet.formula("tolerance", "tolerance of a stack", "± n · 0.00035 in");
    sheet.source(
        "leaf",
        "a leaf is good to ±0.00035 in; at most two leaves",
        Standing::CommonPractice,
    );
    sheet.condition(
        "clean",
        "Leaves clean and oiled, not bent; the stack drags lightly and goes in squarely.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}
