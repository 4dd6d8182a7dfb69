//! The fuse for a load, held against what its wire carries.
//!
//! Never names a fuse above what the wire carries.

use super::{Argument, Calculation, Danger, Given, Place, Want};
use crate::answer::{Refusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::electric::{CABLES, FUSES};
use crate::quantity::{Area, Current, Kind, Power, Voltage};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "fuse",
    title: "Fuse",
    place: Place::Electrics,
    about: "The fuse for a load, and whether its wire bears it.",
    arguments: &[
        Argument::new("power", "P", "the power of the load", Want::Quantity(Kind::Power))
            .within(0.1, 5_000.0)
            .such_as("55 W", "55 W"),
        Argument::new(
            "current",
            "I",
            "the current, in place of the power",
            Want::Quantity(Kind::Current),
        )
        .within(0.01, 80.0)
        .such_as("4.6 A", "4.6 A"),
        Argument::new(
            "voltage",
            "U",
            "the voltage of the system",
            Want::Quantity(Kind::Voltage),
        )
        .within(1.0, 60.0)
        .or("12 V")
        .such_as("12 V", "12 V"),
        Argument::new(
            "area",
            "A",
            "the thinnest wire behind the fuse",
            Want::Quantity(Kind::Area),
        )
        .within(0.05, 120.0)
        .such_as("1.5 mm²", "1.5 mm²"),
    ],
    dangers: &[Danger::Electrical],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let current = match (given.get::<Current>("current"), given.get::<Power>("power")) {
        (Some(current), _) => current,
        (None, Some(power)) => Current::from_a(power.in_w() / given.need::<Voltage>("voltage")?.in_v()),
        (None, None) => {
            return Err(Refusal::of(
                RefusalCode::Missing,
                "power",
                "The power of the load is needed, or the current.",
            ));
        }
    };
    let wanted = current.in_a() * 1.25;
    let Some(fuse) = FUSES.iter().find(|fuse| **fuse + 1e-9 >= wanted) else {
        return Err(Refusal::of(
            RefusalCode::OutOfRange,
            "power",
            format!(
                "No blade fuse is so large: {wanted:.0} A are needed. Part the load, each with its own fuse."
            ),
        ));
    };
    sheet.value("fuse", "fuse", Current::from_a(*fuse));
    sheet.value("current", "current of the load", current);
    sheet.value("wanted", "the fuse must be at least", Current::from_a(wanted));
    match given.get::<Area>("area") {
        Some(area) => wire(sheet, *fuse, area)?,
        None => sheet.warning(
            "wire",
            "Give the thinnest wire behind the fuse: the fuse must not be above what it carries.",
        ),
    }
    sheet.formula("fuse", "fuse", "the next size ≥ 1.25 · I, I = P / U");
    sheet.source(
        "fuse",
        "next size from 1.25 times the current, never above what the wire carries",
        Standing::CommonPractice,
    );
    sheet.source(
        "sizes",
        "ISO 8820-3: sizes of blade fuses, written down from memory",
        Standing::FromMemory,
    );
    sheet.condition(
        "steady",
        "For a steady load; motors and lamps draw several times as much when they start.",
    );
    sheet.condition("protects", "The fuse protects the wire, not the lamp: near the battery, and never a larger one because it blows.");
    Ok(())
}

fn wire(sheet: &mut Sheet, fuse: f64, area: Area) -> Result<(), Refusal> {
    let thinner = CABLES
        .iter()
        .rev()
        .find(|cable| cable.area_mm2 <= area.in_mm2() + 1e-9);
    let Some(carries) = thinner.and_then(|cable| cable.carries) else {
        return Err(Refusal::of(
            RefusalCode::OutOfRange,
            "area",
            "A wire thinner than 0.5 mm² is not fused by rule of thumb: ask its maker.",
        ));
    };
    sheet.value(
        "carries",
        "the wire carries, in a bundle",
        Current::from_a(carries),
    );
    sheet.source(
        "carries",
        "what a bundled wire carries: IEC 60364-5-52, method A1, written down from memory; below 1.5 mm² common practice",
        Standing::FromMemory,
    );
    let (word, words) = if fuse > carries {
        (
            VerdictWord::AboveLimits,
            "The fuse is above what the wire carries: take a thicker wire, not this fuse.",
        )
    } else {
        (
            VerdictWord::InLimits,
            "The wire carries more than the fuse lets through.",
        )
    };
    sheet.verdict("fuse", word, words.to_owned());
    Ok(())
}
