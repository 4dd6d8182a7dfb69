//! Select fit, ring plan and the assignment behind them, judged by scipy's linear_sum_assignment.
//!
//! scipy finds the least sum, not the least spread: the oracle asks it, for each window of clearances, whether an assignment inside
//! costs nothing, and takes the narrowest window that does. Plans may differ where they are equally good; what they cost may not.

use rand::Rng;
use rand_chacha::ChaCha8Rng;
use reckon::Unit;
use reckon::assignment::least_cost;
use serde_json::{Value, json};

use crate::bench::{answer, column, list, mm, value};
use crate::{agrees, dice};

/// Whole nanometres of a length in mm.
fn nanometres(mm: f64) -> i64 {
    (mm * 1e6).round() as i64
}

/// Counted from nought.
fn indices(counted_from_one: &[f64]) -> Vec<usize> {
    counted_from_one.iter().map(|at| *at as usize - 1).collect()
}

/// `base` and up to `spread` more, in steps.
fn sizes(dice: &mut ChaCha8Rng, count: usize, base: i64, spread: i64, step: i64) -> Vec<i64> {
    (0..count)
        .map(|_| base + dice.random_range(0..=spread / step) * step)
        .collect()
}

#[test]
fn scipy_finds_no_lesser_cost() {
    let mut dice = dice();
    let cases: Vec<Value> = (0..600)
        .map(|_| {
            let columns = dice.random_range(1..=32_usize);
            let rows = dice.random_range(1..=columns);
            let most = 10_i64.pow(dice.random_range(1..=9));
            let costs: Vec<Vec<i64>> = (0..rows)
                .map(|_| (0..columns).map(|_| dice.random_range(0..most)).collect())
                .collect();
            let chosen = least_cost(rows, columns, |row, column| i128::from(costs[row][column])).unwrap();
            json!({ "kind": "cost", "costs": costs, "chosen": chosen })
        })
        .collect();
    let wrong = json!({ "kind": "cost", "costs": [[1, 2], [1, 3]], "chosen": [0, 1] });
    agrees("assignment.py", &cases, &wrong);
}

#[test]
fn scipy_finds_no_narrower_select_fit() {
    let mut dice = dice();
    let mut fitting = 0;
    let cases: Vec<Value> = (0..600)
        .map(|at| {
            let rows = dice.random_range(1..=12_usize);
            let columns = rows + dice.random_range(0..=3);
            // Coarse steps make ties, fine ones do not.
            let step = [1_000, 5_000, 10][at % 3];
            let bores = sizes(&mut dice, rows, 77_000_000, 60_000, step);
            let inners = sizes(&mut dice, columns, 76_940_000, 40_000, step);
            let low = dice
                .random_bool(0.7)
                .then(|| 2_000 * dice.random_range(0..30_i64));
            let high = dice
                .random_bool(0.7)
                .then(|| low.unwrap_or(30_000) + 2_000 * dice.random_range(5..40_i64));
            let mut typed = vec![("bores", list(&bores)), ("inners", list(&inners))];
            typed.extend(low.map(|low| ("low", mm(low))));
            typed.extend(high.map(|high| ("high", mm(high))));
            let answer = answer("select_fit", &typed);
            let out = answer
                .values
                .iter()
                .find(|value| value.key == "outside")
                .map_or(0.0, |value| value.value);
            fitting += usize::from(out == 0.0);
            json!({
                "kind": "select_fit", "bores": bores, "inners": inners, "low": low, "high": high,
                "spread": nanometres(value(&answer, "spread", Unit::Millimetre)),
                "chosen": indices(&column(&answer, "pairs", "inner")),
            })
        })
        .collect();
    println!("{fitting} of {} fit", cases.len());
    assert!(fitting > 100 && cases.len() - fitting > 50);
    let wrong = json!({
        "kind": "select_fit", "bores": [77_000_000, 77_010_000], "inners": [76_950_000, 76_960_000],
        "low": null, "high": null, "spread": 20_000, "chosen": [1, 0],
    });
    agrees("assignment.py", &cases, &wrong);
}

#[test]
fn scipy_finds_no_ring_plan_with_less_filing() {
    let mut dice = dice();
    let (mut wide, mut filed) = (0, 0);
    let cases: Vec<Value> = (0..600)
        .map(|at| {
            let rows = dice.random_range(1..=8_usize);
            let columns = rows + dice.random_range(0..=4);
            let step = [10_000, 1_000, 10][at % 3];
            let bores = sizes(&mut dice, rows, 77_000_000, 60_000, step);
            let gaps = sizes(&mut dice, columns, 150_000, 350_000, step);
            let gauge = if dice.random_bool(0.5) {
                bores[0]
            } else {
                77_010_000
            };
            let low = 250_000 + 10_000 * dice.random_range(0..10_i64);
            let high = low + 10_000 * dice.random_range(1..20_i64);
            let kind = ["top", "second", "oil"][at % 3];
            let typed = [
                ("bores", list(&bores)),
                ("gauge", mm(gauge)),
                (kind, list(&gaps)),
                ("low", mm(low)),
                ("high", mm(high)),
            ];
            let answer = answer("ring_plan", &typed);
            let too_wide = value(&answer, "too_wide", Unit::One);
            let file = nanometres(value(&answer, "file_total", Unit::Millimetre));
            wide += usize::from(too_wide > 0.0);
            filed += usize::from(file > 0);
            json!({
                "kind": "ring_plan", "bores": bores, "gauge": gauge, "gaps": gaps, "low": low, "high": high,
                "too_wide": too_wide, "file": file, "chosen": indices(&column(&answer, "plan", "ring")),
            })
        })
        .collect();
    println!("{wide} of {} have a ring too wide, {filed} file", cases.len());
    assert!(wide > 30 && filed > 200);
    let wrong = json!({
        "kind": "ring_plan", "bores": [77_020_000, 77_000_000], "gauge": 77_000_000, "gaps": [300_000, 240_000],
        "low": 300_000, "high": 450_000, "too_wide": 0, "file": 60_000, "chosen": [0, 1],
    });
    agrees("assignment.py", &cases, &wrong);
}
