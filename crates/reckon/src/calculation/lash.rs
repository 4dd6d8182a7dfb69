//! A valve-lash shim: the one that brings the lash to what is wanted, and the nearest that is stocked.
//!
//! Never mixes a cold figure with a hot one: it asks which it is, and says so.

use super::{Argument, Calculation, Choice, Danger, Given, LENGTH, LENGTHS, Place, Want};
use crate::answer::{AT_20_C, Refusal, RefusalCode, Sheet, Standing, line};
use crate::quantity::Length;

const STATES: &[Choice] = &[
    Choice {
        name: "cold",
        words: "cold engine",
    },
    Choice {
        name: "hot",
        words: "hot engine",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "lash",
    title: "Valve-lash shim",
    place: Place::HeadAndValves,
    about: "The shim that brings a valve's lash to what is wanted, and the nearest one in the stock.",
    arguments: &[
        Argument::new("shim", "s", "the shim that is in", LENGTH)
            .required()
            .within(0.5, 10.0)
            .such_as("2.65 mm", "0.104 in"),
        Argument::new("measured", "m", "the lash as measured", LENGTH)
            .required()
            .within(0.0, 3.0)
            .usually(0.0, 1.0)
            .such_as("0.32 mm", "0.0126 in"),
        Argument::new("wanted", "w", "the lash wanted", LENGTH)
            .required()
            .within(0.01, 2.0)
            .usually(0.05, 0.6)
            .such_as("0.20 mm", "0.008 in"),
        Argument::new(
            "state",
            "",
            "the engine when it was measured, as the wanted lash is given for",
            Want::Choice(STATES),
        )
        .required()
        .such_as("cold", "cold"),
        Argument::new("stock", "", "the shims there are", LENGTHS)
            .within(0.5, 10.0)
            .such_as("2.70, 2.75, 2.80 mm", "0.106, 0.108, 0.110 in"),
    ],
    dangers: &[Danger::Ignition],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let (shim, measured, wanted): (Length, Length, Length) = (
        given.need("shim")?,
        given.need("measured")?,
        given.need("wanted")?,
    );
    let needed = shim + measured - wanted;
    if needed.in_mm() <= 0.0 {
        return Err(Refusal::of(
            RefusalCode::Impossible,
            "wanted",
            "No shim is so thin; are the lashes changed over?",
        ));
    }
    sheet.value("shim", "shim for the lash wanted", needed);
    sheet.formula("lash", "new shim", "new = s + m − w");
    sheet.source("lash", "follows from the three measures", Standing::Derived);
    let mut stock = given.list::<Length>("stock");
    stock.sort_by(|one, other| {
        let off = |shim: &Length| ((*shim - needed).in_mm().abs() * 1e6).round() as i64;
        // Of two as near, the thinner: a valve that is held open burns.
        (off(one), one.in_mm())
            .partial_cmp(&(off(other), other.in_mm()))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    if let Some(nearest) = stock.first().copied() {
        sheet.value("nearest", "nearest in the stock", nearest);
        sheet.value("lash_nearest", "lash with the nearest", wanted + needed - nearest);
    }
    stock.dedup();
    let lines = stock.iter().take(5).map(|shim| {
        let lash = wanted + needed - *shim;
        let why = if lash >= wanted {
            "no tighter than wanted"
        } else {
            "tighter than wanted"
        };
        let values = vec![
            sheet.cell("shim", "shim", *shim),
            sheet.cell("lash", "lash", lash),
        ];
        line(
            format!("{}: lash {}", sheet.text(*shim), sheet.text(lash)),
            why,
            values,
        )
    });
    let lines: Vec<_> = lines.collect();
    if !lines.is_empty() {
        sheet.choices("stock", "shims in the stock, the nearest first", lines);
    }
    let state = given.choice("state").unwrap_or("cold");
    sheet.condition(
        "state",
        format!("For a {state} engine: measured {state}, and the wanted lash given {state}."),
    );
    sheet.condition(
        "base_circle",
        "Measured with the cam's back to the follower, valve fully shut.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}
