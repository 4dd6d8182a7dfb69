//! Which shims from the stock make the pack that is wanted: every pack that can be made, the nearest first, ties told.
//!
//! Never takes a shim that the stock does not have.

use super::{
    Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, LENGTHS, Want, in_order, same, verdict,
};
use crate::answer::{AT_20_C, Line, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord, line};
use crate::pack::{MOST_PIECES, MOST_SIZES, Pack, packs};
use crate::quantity::{Kind, Length};

const REPEATS: &[Choice] = &[
    Choice {
        name: "counted",
        words: "only as many of each as counted in the stock",
    },
    Choice {
        name: "any",
        words: "any number of each: they can be bought",
    },
];

/// How many packs are listed.
const LISTED: usize = 12;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "shim_pack",
    title: "Shim pack",
    place: BenchPlace::BottomEnd,
    about: "Which shims from the stock give the end play or the thickness wanted, the nearest first.",
    arguments: &[
        Argument::new("stock", "s", "the shims there are", LENGTHS)
            .required()
            .within(0.005, 20.0)
            .such_as("0.24x2, 0.30, 0.32, 0.36 mm", "0.003x4, 0.005x2, 0.010 in"),
        Argument::new(
            "thickness",
            "t",
            "the thickness wanted, where it is known",
            LENGTH,
        )
        .within(0.005, 100.0)
        .such_as("1.15 mm", "0.0455 in"),
        Argument::new(
            "measured",
            "m",
            "the end play or gap as measured without the pack",
            LENGTH,
        )
        .within(0.0, 100.0)
        .such_as("1.04 mm", "0.041 in"),
        Argument::new("wanted", "e", "the end play wanted", LENGTH)
            .within(-5.0, 10.0)
            .such_as("0.14 mm", "0.0055 in"),
        Argument::new(
            "low",
            "emin",
            "the least end play in the car's own manual",
            LENGTH,
        )
        .within(-5.0, 10.0)
        .such_as("0.07 mm", "0.003 in"),
        Argument::new(
            "high",
            "emax",
            "the most end play in the car's own manual",
            LENGTH,
        )
        .within(-5.0, 10.0)
        .such_as("0.19 mm", "0.0075 in"),
        Argument::new(
            "gasket",
            "g",
            "the gasket that will be under it, squeezed",
            LENGTH,
        )
        .within(0.0, 10.0)
        .or("0 mm")
        .such_as("0.25 mm", "0.010 in"),
        Argument::new("least_shims", "", "shims in the pack, at least", Want::Whole)
            .within(1.0, MOST_PIECES as f64)
            .or("1")
            .such_as("3", "3"),
        Argument::new("most_shims", "", "shims in the pack, at most", Want::Whole)
            .within(1.0, MOST_PIECES as f64)
            .or("4")
            .such_as("3", "3"),
        Argument::new("repeats", "", "how often each may be used", Want::Choice(REPEATS))
            .or("counted")
            .such_as("counted", "any"),
    ],
    dangers: &[Danger::Steering],
    contradictions: &[
        in_order("low", "high"),
        in_order("low", "wanted"),
        in_order("wanted", "high"),
        in_order("least_shims", "most_shims"),
        // The thickness that is wanted, and the one that the end play asks for.
        same("measured", "thickness", Kind::Length, 0.01, |given| {
            let thickness = given.get::<Length>("thickness")?.in_mm();
            let play = given.get::<Length>("measured")? + given.get::<Length>("gasket").unwrap_or_default();
            let wanted = |name| given.get::<Length>(name).map(Length::in_mm);
            let (low, high) = match wanted("wanted") {
                Some(wanted) => (wanted, wanted),
                None => (wanted("low")?, wanted("high")?),
            };
            let (thinnest, thickest) = (play.in_mm() - high, play.in_mm() - low);
            let asked = if thinnest <= thickest {
                thickness.clamp(thinnest, thickest)
            } else {
                thickness
            };
            Some((asked, thickness))
        }),
    ],
    run,
};

/// The thickness wanted, and the end play without any pack where that is known.
fn target(given: &Given, sheet: &mut Sheet) -> Result<(Length, Option<Length>), ReckonRefusal> {
    if let Some(thickness) = given.get::<Length>("thickness") {
        return Ok((thickness, None));
    }
    let Some(measured) = given.get::<Length>("measured") else {
        return Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "measured",
            "The end play without the pack is needed, or the thickness wanted.",
        ));
    };
    let middle = match (given.get::<Length>("low"), given.get::<Length>("high")) {
        (Some(low), Some(high)) => Some((low + high) / 2.0),
        _ => None,
    };
    let Some(wanted) = given.get::<Length>("wanted").or(middle) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "wanted",
            "The end play wanted is needed, or the least and the most of it.",
        ));
    };
    // The gasket holds the cover off, so there is as much more to fill.
    let play = measured + given.get::<Length>("gasket").unwrap_or_default();
    sheet.formula("pack", "thickness of the pack", "t = m + g − e");
    let thickness = play - wanted;
    if thickness.in_mm() <= 0.0 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "measured",
            "There is less end play than wanted already: no pack can add to it.",
        ));
    }
    Ok((thickness, Some(play)))
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (target, play) = target(given, sheet)?;
    let (least, most) = (
        given.need_number("least_shims")? as usize,
        given.need_number("most_shims")? as usize,
    );
    let any = given.choice("repeats") == Some("any");
    let mut stock = given.counted::<Length>("stock");
    if any {
        for (_, count) in &mut stock {
            *count = MOST_PIECES as u32;
        }
    }
    let mut sizes: Vec<i64> = stock
        .iter()
        .map(|(size, _)| (size.in_mm() * 1e6).round() as i64)
        .collect();
    sizes.sort_unstable();
    sizes.dedup();
    if sizes.len() > MOST_SIZES {
        return Err(ReckonRefusal::of(
            RefusalCode::OutOfRange,
            "stock",
            format!("At most {MOST_SIZES} different thicknesses are looked through."),
        ));
    }
    let found = packs(&stock, target, least..=most, LISTED);
    let Some(best) = found.best.first() else {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "stock",
            format!("The stock has fewer than {least} shims."),
        ));
    };
    sheet.value("pack", "thickness of the best pack", best.total);
    sheet.value("wanted", "thickness wanted", target);
    sheet.value("over", "thicker than wanted by (minus: thinner)", best.over);
    if let Some(play) = play {
        sheet.value("end_play", "end play with the best pack", play - best.total);
        judge(given, sheet, play - best.total);
    }
    sheet.count("shims", "shims in the best pack", best.pieces.len());
    sheet.count("ties", "packs as near as the best, itself among them", found.tied);
    let lines = found
        .best
        .iter()
        .enumerate()
        .map(|(at, pack)| {
            let line = told(sheet, pack, best, at, play);
            let out = play.and_then(|play| outside(given, play - pack.total));
            match out {
                Some(out) => Line {
                    why: format!("{}; out of limits: {out}", line.why).into(),
                    ..line
                },
                None => line,
            }
        })
        .collect();
    sheet.choices("packs", "packs that can be made, the nearest first", lines);
    sheet.source(
        "pack",
        "every pack that the stock allows, by distance, then fewest thicknesses, then fewest shims",
        Standing::Derived,
    );
    sheet.source(
        "fewest",
        "fewest different thicknesses first",
        Standing::CommonPractice,
    );
    sheet.condition(
        "measure_each",
        "Measure every shim: the mark on it is not its thickness. Clean, flat, no burr, and the play measured again when it is in.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}

/// How an end play is outside the limits given.
fn outside(given: &Given, play: Length) -> Option<&'static str> {
    let nm = |length: Length| (length.in_mm() * 1e6).round() as i64;
    match (given.get::<Length>("low"), given.get::<Length>("high")) {
        (Some(low), _) if nm(play) < nm(low) => Some("too little end play"),
        (_, Some(high)) if nm(play) > nm(high) => Some("too much end play"),
        _ => None,
    }
}

fn judge(given: &Given, sheet: &mut Sheet, play: Length) {
    let (low, high) = (given.get::<Length>("low"), given.get::<Length>("high"));
    if low.is_none() && high.is_none() {
        return;
    }
    let nm = |length: Length| (length.in_mm() * 1e6).round() as i64;
    let unchecked = verdict::unchecked(low.is_some(), high.is_some());
    let (word, words) = match (low, high) {
        (Some(low), _) if nm(play) < nm(low) => (
            VerdictWord::BelowLimits,
            "Even the nearest pack leaves too little end play: other thicknesses are needed.",
        ),
        (_, Some(high)) if nm(play) > nm(high) => (
            VerdictWord::AboveLimits,
            "Even the nearest pack leaves too much end play: other thicknesses are needed.",
        ),
        _ => (VerdictWord::InLimits, "In limits with the best pack."),
    };
    let unchecked = if word == VerdictWord::InLimits {
        unchecked
    } else {
        ""
    };
    sheet.verdict("end_play", word, format!("{words}{unchecked}"));
    sheet.source(
        "manual",
        "the limits given, from the car's own manual",
        Standing::Given,
    );
}

fn told(sheet: &Sheet, pack: &Pack, best: &Pack, at: usize, play: Option<Length>) -> Line {
    let pieces: Vec<String> = pack.pieces.iter().map(|piece| sheet.text(*piece)).collect();
    let mut words = format!("{} = {}", pieces.join(" + "), sheet.text(pack.total));
    if let Some(play) = play {
        words = format!("{words}: end play {}", sheet.text(play - pack.total));
    }
    let off = |pack: &Pack| (pack.over.in_mm().abs() * 1e6).round() as i64;
    let thicknesses = match pack.kinds {
        1 => "one thickness".to_owned(),
        kinds => format!("{kinds} thicknesses"),
    };
    let why = if at == 0 {
        format!("nearest: {thicknesses}, {} shims", pack.pieces.len())
    } else if off(pack) == off(best) {
        format!(
            "as near as the first, with {thicknesses} and {} shims",
            pack.pieces.len()
        )
    } else {
        let side = if pack.over.in_mm() < 0.0 {
            "thinner"
        } else {
            "thicker"
        };
        let over = Length::from_mm(pack.over.in_mm().abs());
        format!("{} {side} than wanted", sheet.text(over))
    };
    let mut values: Vec<_> = pack
        .pieces
        .iter()
        .map(|piece| sheet.cell("shim", "shim", *piece))
        .collect();
    values.push(sheet.cell("total", "together", pack.total));
    values.push(sheet.cell("over", "thicker than wanted by", pack.over));
    if let Some(play) = play {
        values.push(sheet.cell("end_play", "end play", play - pack.total));
    }
    line(words, why, values)
}
