//! The size of a tyre from what is moulded on it, and what another size does to the speedometer.
//!
//! Never says that a tyre may be fitted: the papers and the rim do.

use std::f64::consts::PI;

use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want, same};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Kind, Length, Unit};
use crate::typed::parse_number;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "tyre",
    title: "Tyre size",
    place: BenchPlace::BrakesAndWheels,
    about: "The diameter and circumference of a tyre from its size, and what another does to the speedometer.",
    arguments: &[
        Argument::new("size", "", "the size on the tyre", Want::Text(24)).such_as("185/70R14", "185/70R14"),
        Argument::new(
            "diameter",
            "D",
            "the diameter as measured, in place of the size",
            LENGTH,
        )
        .within(200.0, 1_500.0)
        .such_as("614 mm", "24.2 in"),
        Argument::new(
            "other",
            "",
            "the size of another tyre, to compare",
            Want::Text(24),
        )
        .such_as("195/65R15", "195/65R15"),
        Argument::new(
            "other_diameter",
            "",
            "the diameter of the other tyre as measured",
            LENGTH,
        )
        .within(200.0, 1_500.0)
        .such_as("634 mm", "25 in"),
    ],
    dangers: &[Danger::Wheels, Danger::Lifting],
    contradictions: &[
        same("size", "diameter", Kind::Length, WORN, |given| {
            by_size_and_by_measure(given, "size", "diameter")
        }),
        same("other", "other_diameter", Kind::Length, WORN, |given| {
            by_size_and_by_measure(given, "other", "other_diameter")
        }),
    ],
    run,
};

/// A tyre may measure so much less or more than its size says, as a part of it: makes, wear and a height that is not printed.
/// Common practice, no source.
const WORN: f64 = 0.05;

/// The diameter that a size comes to, in mm.
fn diameter_of((width, aspect, rim): (f64, Option<f64>, f64)) -> f64 {
    25.4 * rim + 2.0 * width * aspect.unwrap_or(NO_ASPECT)
}

/// The diameter by the size and as measured, where both can be read.
fn by_size_and_by_measure(given: &Given, by_size: &str, by_diameter: &str) -> Option<(f64, f64)> {
    let size = size(given.text(by_size)?)?;
    Some((diameter_of(size), given.get::<Length>(by_diameter)?.in_mm()))
}

/// A size that prints no aspect is about this high over its width; from memory.
const NO_ASPECT: f64 = 0.82;

/// Width in mm, height over width where printed, rim in inches.
fn size(text: &str) -> Option<(f64, Option<f64>, f64)> {
    let folded: String = text
        .to_uppercase()
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect();
    let folded = folded.strip_prefix('P').unwrap_or(&folded);
    let number = |text: &str| parse_number(text).ok().map(|exact| exact.to_f64());
    // Behind the width: letters of construction and speed, then the rim; a load index behind that is left out.
    let rim_at = folded.rfind(['R', '-', 'B', 'D'])?;
    let (front, rim) = folded.split_at(rim_at);
    let rim: String = rim
        .chars()
        .skip(1)
        .take_while(|c| c.is_ascii_digit() || *c == '.')
        .take(4)
        .collect();
    let rim = number(rim.get(..2).filter(|_| !rim.contains('.')).unwrap_or(&rim))?;
    let front = front.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let (width, aspect) = match front.split_once('/') {
        Some((width, aspect)) => (number(width)?, Some(number(aspect)? / 100.0)),
        None => (number(front)?, None),
    };
    let sane = (100.0..=400.0).contains(&width)
        && (8.0..=26.0).contains(&rim)
        && aspect.is_none_or(|a| (0.25..=1.0).contains(&a));
    sane.then_some((width, aspect, rim))
}

/// The outer diameter, from what was measured or from the size.
fn outer(
    given: &Given,
    sheet: &mut Sheet,
    by_size: &str,
    by_diameter: &str,
) -> Result<Option<Length>, ReckonRefusal> {
    if let Some(diameter) = given.get::<Length>(by_diameter) {
        return Ok(Some(diameter));
    }
    let Some(text) = given.text(by_size) else {
        return Ok(None);
    };
    let Some((width, aspect, rim)) = size(text) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Unclear,
            by_size,
            format!(
                "“{text}” is not read as a size: type it like 185/70R14 or 165R13; for others measure the diameter."
            ),
        ));
    };
    if aspect.is_none() {
        sheet.warning(
            "no_aspect",
            "No height is printed on it: about 82 % of the width is taken. Measure the diameter.",
        );
        sheet.source(
            "no_aspect",
            "a tyre with no aspect printed is about 80 to 82 % as high as wide",
            Standing::FromMemory,
        );
    }
    Ok(Some(Length::from_mm(diameter_of((width, aspect, rim)))))
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let Some(diameter) = outer(given, sheet, "size", "diameter")? else {
        return Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "size",
            "The size on the tyre is needed, or its diameter.",
        ));
    };
    sheet.value("diameter", "outer diameter", diameter);
    sheet.value("circumference", "circumference", diameter * PI);
    let (unit, far) = if sheet.inch() {
        ("mile", 1_609_344.0)
    } else {
        ("km", 1_000_000.0)
    };
    sheet.number("turns", format!("turns a {unit}"), far / (diameter.in_mm() * PI));
    if let Some(other) = outer(given, sheet, "other", "other_diameter")? {
        let percent = (other / diameter - 1.0) * 100.0;
        sheet.value("other_diameter", "outer diameter of the other", other);
        sheet.raw(
            "faster",
            "with the other the car is faster than shown by (minus: slower)",
            percent,
            Unit::Percent,
        );
        if percent > 0.0 {
            sheet.warning(
                "faster",
                "With the other tyre the speedometer shows too little: it must be set anew.",
            );
        }
        sheet.formula("faster", "change of speed", "other / D − 1");
    }
    sheet.formula(
        "diameter",
        "outer diameter",
        "D = 25.4 · rim + 2 · width · aspect / 100",
    );
    sheet.source(
        "diameter",
        "follows from the size as moulded (the marking of UN R30 and of tyre standards)",
        Standing::Derived,
    );
    sheet.condition("rolling", "A loaded tyre rolls a little shorter, about 3 %; makes differ by 2 % or so. Measure a turn on the floor.");
    sheet.condition(
        "papers",
        "The papers, the rim's width, the load and the speed rating decide what may be fitted.",
    );
    Ok(())
}
