//! A valve-lash shim: the one that brings the lash to what is wanted, and the nearest that is stocked.
//!
//! Never mixes a cold figure with a hot one: it asks which it is, and says so. Never takes a lash of nought for a measure, nor one that is no
//! more than a feeler is known to, and never offers a shim that leaves none.

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, LENGTHS, Want, verdict};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord, line};
use crate::quantity::Length;
use crate::uncertainty::InstrumentKind;

/// By how much, in mm, a lash comes out tighter than wanted where shims are made in steps. Common practice, no source.
const STEP: f64 = 0.05;

/// What comes of a valve with no lash.
const HELD_OPEN: &str = "A valve that is held open burns, and may meet the piston: do not turn the engine by its starter before there is lash.";

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
    place: BenchPlace::HeadAndValves,
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
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (shim, measured, wanted): (Length, Length, Length) = (
        given.need("shim")?,
        given.need("measured")?,
        given.need("wanted")?,
    );
    let needed = shim + measured - wanted;
    if needed.in_mm() <= 0.0 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "wanted",
            "No shim is so thin; are the lashes changed over?",
        ));
    }
    // Nought is no measure: the valve is shut with no play, or the shim holds it open by nobody knows how much. Nor is what a feeler
    // cannot tell from nought.
    let feeler = InstrumentKind::named("feeler");
    let known_to = feeler.map_or(Length::default(), InstrumentKind::expanded);
    let nought = measured <= known_to;
    if nought {
        none_left(sheet, needed, measured, known_to);
        if let Some(feeler) = feeler.filter(|_| measured.in_mm() > 1e-9) {
            verdict::used(sheet, feeler, &[measured]);
        }
    } else {
        if is_tight(measured, wanted) {
            tight(sheet, wanted - measured);
        }
        sheet.value("shim", "shim for the lash wanted", needed);
    }
    sheet.formula("lash", "new shim", "new = s + m − w");
    sheet.source("lash", "follows from the three measures", Standing::Derived);
    from_stock(sheet, given.list("stock"), needed, wanted, nought);
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

/// No lash at all: what is reckoned is only what the shim must be thinner than.
fn none_left(sheet: &mut Sheet, needed: Length, measured: Length, known_to: Length) {
    let none = if measured.in_mm() <= 1e-9 {
        "No lash: the valve may be held open, by how much is not known.".to_owned()
    } else {
        format!(
            "The lash may be none: {} is no more than a feeler is known to (±{}), so the valve may be held open.",
            sheet.text(measured),
            sheet.text(known_to)
        )
    };
    sheet.verdict(
        "lash",
        VerdictWord::BelowLimits,
        format!(
            "{none} Put a much thinner shim in, well under {}, and measure again.",
            sheet.text(needed)
        ),
    );
    sheet.warning("held_open", HELD_OPEN);
    sheet.value("shim", "the shim must be thinner than", needed);
    sheet.value(
        "to_measure",
        "put in to measure with, about",
        much_thinner(needed),
    );
    sheet.source(
        "much_thinner",
        "half a millimetre thinner to measure with",
        Standing::CommonPractice,
    );
}

/// A lash that is one, and too little.
fn tight(sheet: &mut Sheet, less: Length) {
    sheet.verdict(
        "lash",
        VerdictWord::BelowLimits,
        format!("Tight: {} less lash than wanted, as it stands.", sheet.text(less)),
    );
    sheet.warning(
        "held_open",
        "So tight, the valve may be held open as the engine warms, and burn: do not run it before the shim is changed.",
    );
    sheet.source(
        "too_tight",
        "too tight: more than 0.05 mm under the lash wanted, or less than half of it",
        Standing::CommonPractice,
    );
}

/// A shim to measure with: half a millimetre thinner, and never thinner than half of what it must be thinner than.
fn much_thinner(bound: Length) -> Length {
    Length::from_mm((bound.in_mm() - 0.5).max(bound.in_mm() / 2.0))
}

/// Whether a lash is tighter than wanted by more than a step of shims gives, or less than half of it.
fn is_tight(lash: Length, wanted: Length) -> bool {
    (wanted - lash).in_mm() > STEP + 1e-9 || (wanted.in_mm() / 2.0 - lash.in_mm()) > 1e-9
}

/// What the stock has for it, the nearest first, and never one that leaves no lash; with no lash measured, only what is thinner than
/// the bound, the thinnest first.
fn from_stock(sheet: &mut Sheet, mut stock: Vec<Length>, needed: Length, wanted: Length, nought: bool) {
    let off = |shim: &Length| ((*shim - needed).in_mm().abs() * 1e6).round() as i64;
    let some = !stock.is_empty();
    if nought {
        stock.retain(|shim| (*shim - needed).in_mm() < -1e-9);
    } else {
        stock.retain(|shim| (wanted + needed - *shim).in_mm() > 1e-9);
        if some && stock.is_empty() {
            sheet.warning(
                "none_fits",
                format!(
                    "None in the stock fits: each would leave no lash and hold the valve open. {HELD_OPEN}"
                ),
            );
        }
    }
    stock.sort_by(|one, other| {
        let by_size = one.in_mm().total_cmp(&other.in_mm());
        // Of two as near, the thinner, which is the looser: a valve that is held open burns.
        if nought {
            by_size
        } else {
            off(one).cmp(&off(other)).then(by_size)
        }
    });
    if let Some(nearest) = stock.first().copied().filter(|_| !nought) {
        sheet.value("nearest", "nearest in the stock", nearest);
        let lash = wanted + needed - nearest;
        sheet.value("lash_nearest", "lash with the nearest", lash);
        if is_tight(lash, wanted) {
            sheet.warning(
                "held_open",
                format!(
                    "The nearest in the stock leaves {} less lash than wanted: as it warms and beds in, the valve may be held open. {HELD_OPEN}",
                    sheet.text(wanted - lash)
                ),
            );
            sheet.source(
                "too_tight",
                "too tight: more than 0.05 mm under the lash wanted, or less than half of it",
                Standing::CommonPractice,
            );
        }
    }
    stock.dedup();
    let lines = stock.iter().take(5).map(|shim| {
        let lash = wanted + needed - *shim;
        let (told, why) = match (nought, lash >= wanted) {
            (true, _) => (
                format!("{}: lash {} or less", sheet.text(*shim), sheet.text(lash)),
                "to measure with",
            ),
            (false, tight) => (
                format!("{}: lash {}", sheet.text(*shim), sheet.text(lash)),
                if tight {
                    "no tighter than wanted"
                } else {
                    "tighter than wanted"
                },
            ),
        };
        let values = vec![
            sheet.cell("shim", "shim", *shim),
            sheet.cell("lash", if nought { "lash at most" } else { "lash" }, lash),
        ];
        line(told, why, values)
    });
    let lines: Vec<_> = lines.collect();
    if !lines.is_empty() && nought {
        sheet.table("stock", "thinner shims in the stock, to measure with", lines);
    } else if !lines.is_empty() {
        sheet.choices("stock", "shims in the stock, the nearest first", lines);
    }
}
