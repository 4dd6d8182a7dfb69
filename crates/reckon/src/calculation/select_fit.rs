//! Pistons to bores, shells to journals, pins to rods: which goes to which so that the clearances differ least.
//!
//! Never makes a pair outside the limits as long as all can be inside.

use super::{Argument, BenchPlace, Calculation, Given, LENGTH, LENGTHS, in_order, verdict};
use crate::answer::{
    AT_20_C, Line, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord, line, raw_cell,
};
use crate::assignment::{MOST, least_cost, least_spread};
use crate::quantity::{Length, Unit};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "select_fit",
    title: "Select fit",
    place: BenchPlace::BoresAndPistons,
    about: "Which piston goes to which bore (or shell to journal, pin to rod) so that the clearances are most alike.",
    arguments: &[
        Argument::new(
            "bores",
            "B",
            "the outer parts: bores, shells or eyes, in order",
            LENGTHS,
        )
        .required()
        .within(1.0, 500.0)
        .such_as(
            "77.020, 77.031, 77.024, 77.027 mm",
            "3.0323, 3.0327, 3.0324, 3.0326 in",
        ),
        Argument::new(
            "inners",
            "d",
            "the inner parts: pistons, journals or pins, in order; spare ones may be among them",
            LENGTHS,
        )
        .required()
        .within(1.0, 500.0)
        .such_as(
            "76.975, 76.983, 76.971, 76.979 mm",
            "3.0305, 3.0308, 3.0304, 3.0307 in",
        ),
        Argument::new(
            "low",
            "cmin",
            "the least clearance in the car's own manual",
            LENGTH,
        )
        .within(-0.5, 5.0)
        .such_as("0.03 mm", "0.0012 in"),
        Argument::new(
            "high",
            "cmax",
            "the most clearance in the car's own manual",
            LENGTH,
        )
        .within(-0.5, 5.0)
        .such_as("0.07 mm", "0.0028 in"),
    ],
    dangers: &[],
    contradictions: &[in_order("low", "high")],
    run,
};

fn nanometres(length: Length) -> i64 {
    (length.in_mm() * 1e6).round() as i64
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (bores, inners) = (given.list::<Length>("bores"), given.list::<Length>("inners"));
    let (low, high) = (given.get::<Length>("low"), given.get::<Length>("high"));
    if inners.len() < bores.len() || inners.len() > MOST {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "inners",
            format!(
                "There are {} bores and {} inner parts: at least one for each bore, and at most {MOST}.",
                bores.len(),
                inners.len()
            ),
        ));
    }
    let clearances: Vec<Vec<i64>> = bores
        .iter()
        .map(|bore| {
            inners
                .iter()
                .map(|inner| nanometres(*bore) - nanometres(*inner))
                .collect()
        })
        .collect();
    let at = |bore: usize, inner: usize| {
        clearances
            .get(bore)
            .and_then(|row| row.get(inner))
            .copied()
            .unwrap_or(0)
    };
    let (least, most) = (
        low.map_or(i64::MIN, nanometres),
        high.map_or(i64::MAX, nanometres),
    );
    // Among equal spreads, the middle of the limits is nearest; with no limits, the middle of all.
    let aim = match (low, high) {
        (Some(low), Some(high)) => nanometres((low + high) / 2.0),
        _ => {
            let all: Vec<i64> = clearances.iter().flatten().copied().collect();
            all.iter().sum::<i64>() / i64::try_from(all.len().max(1)).unwrap_or(1)
        }
    };
    let (rows, columns) = (bores.len(), inners.len());
    let Some((chosen, all_in)) = pairing((rows, columns), &at, (least, most), aim) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "bores",
            format!("At most {MOST} bores are fitted."),
        ));
    };
    let picked: Vec<i64> = chosen
        .iter()
        .enumerate()
        .map(|(bore, inner)| at(bore, *inner))
        .collect();
    let length = |nm: i64| Length::from_mm(nm as f64 / 1e6);
    let (first, last) = (
        picked.iter().min().copied().unwrap_or(0),
        picked.iter().max().copied().unwrap_or(0),
    );
    sheet.value("spread", "spread of the clearances", length(last - first));
    sheet.value("least", "least clearance", length(first));
    sheet.value("most", "most clearance", length(last));
    let as_they_lie: Vec<i64> = (0..rows).map(|bore| at(bore, bore)).collect();
    let lie = as_they_lie.iter().max().copied().unwrap_or(0) - as_they_lie.iter().min().copied().unwrap_or(0);
    sheet.value(
        "spread_as_they_lie",
        "spread if each went to the bore of its own number",
        length(lie),
    );
    if low.is_some() || high.is_some() {
        judge(given, sheet, &picked, (least, most), all_in);
    }
    let lines = chosen
        .iter()
        .enumerate()
        .map(|(bore, inner)| pair(sheet, &chosen, bore, *inner, &at))
        .collect();
    sheet.table("pairs", "which goes to which", lines);
    rests_on(sheet);
    Ok(())
}

/// Which inner part goes to each bore, and whether all are within limits so: the narrowest spread that is; else as few
/// outside as may be, and those as little as may be.
fn pairing(
    (rows, columns): (usize, usize),
    at: &impl Fn(usize, usize) -> i64,
    (least, most): (i64, i64),
    aim: i64,
) -> Option<(Vec<usize>, bool)> {
    let inside = |bore: usize, inner: usize| {
        let clearance = at(bore, inner);
        (least..=most).contains(&clearance).then_some(clearance)
    };
    // In micrometres, squared: evenly off is better than one far off.
    let beside = |bore: usize, inner: usize| {
        let off = (at(bore, inner) - aim) / 1_000;
        off.saturating_mul(off)
    };
    if let Some(fitting) = least_spread(rows, columns, inside, beside) {
        return Some((fitting, true));
    }
    let outside = |bore: usize, inner: usize| {
        let clearance = at(bore, inner);
        let off = i128::from(
            clearance
                .saturating_sub(most)
                .max(least.saturating_sub(clearance))
                .max(0),
        );
        let count = if off > 0 { 1_i128 << 90 } else { 0 };
        count + (off << 40) + i128::from(beside(bore, inner))
    };
    least_cost(rows, columns, outside).map(|chosen| (chosen, false))
}

/// How many pairs are outside the limits, and whether none need be.
fn judge(given: &Given, sheet: &mut Sheet, picked: &[i64], (least, most): (i64, i64), all_in: bool) {
    let last = picked.iter().max().copied().unwrap_or(0);
    let out = picked
        .iter()
        .filter(|clearance| !(least..=most).contains(*clearance))
        .count();
    sheet.count("outside", "pairs outside the limits", out);
    let (word, words) = if all_in {
        let unchecked = verdict::unchecked(given.has("low"), given.has("high"));
        (
            VerdictWord::InLimits,
            format!("Every pair is in limits.{unchecked}"),
        )
    } else if last > most {
        (
            VerdictWord::AboveLimits,
            format!("No way to pair them brings all into limits; {out} stay outside."),
        )
    } else {
        (
            VerdictWord::BelowLimits,
            format!("No way to pair them brings all into limits; {out} stay outside."),
        )
    };
    sheet.verdict("clearance", word, words);
    sheet.source(
        "manual",
        "the limits given, from the car's own manual",
        Standing::Given,
    );
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet) {
    sheet.formula(
        "spread",
        "spread",
        "the most less the least of c = B − d over the pairs",
    );
    sheet.source(
        "select_fit",
        "the narrowest span of clearances that gives every bore its own; among those, nearest to the middle of the limits",
        Standing::Derived,
    );
    sheet.condition("measured_alike", "All were measured with the same instruments on the same day: the spread is only as good as the readings.");
    sheet.condition(
        "weights",
        "Pistons that change places are weighed again: balance may ask for the other order.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
}

fn pair(
    sheet: &Sheet,
    chosen: &[usize],
    bore: usize,
    inner: usize,
    at: &impl Fn(usize, usize) -> i64,
) -> Line {
    let clearance = Length::from_mm(at(bore, inner) as f64 / 1e6);
    // Another pair that could change over and leave the same clearances.
    let twin = chosen.iter().copied().enumerate().find(|(other, theirs)| {
        *other != bore && at(bore, *theirs) == at(*other, *theirs) && at(*other, inner) == at(bore, inner)
    });
    let why = match twin {
        Some((other, _)) => format!("may change with bore {}: the same clearances", other + 1),
        None => String::new(),
    };
    line(
        format!(
            "bore {}: inner part {}, clearance {}",
            bore + 1,
            inner + 1,
            sheet.text(clearance)
        ),
        why,
        vec![
            raw_cell("bore", "bore", bore as f64 + 1.0, Unit::One),
            raw_cell("inner", "inner part", inner as f64 + 1.0, Unit::One),
            sheet.cell("clearance", "clearance", clearance),
        ],
    )
}
