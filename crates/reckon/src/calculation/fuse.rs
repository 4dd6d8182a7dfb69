//! The fuse for a load, of the shape that the car's box takes, held against what its wire carries.
//!
//! Never names a fuse that carries more than the wire does, and never guesses what a glass fuse's mark means.

use super::wire::{RATINGS_ARE, RATINGS_FROM};
use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, Want, same};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::electric::{CABLES, FUSES, GLASS_BLOWS, GLASS_CARRIES, TORPEDO, awg_area};
use crate::quantity::{Area, Current, Kind, Power, Voltage};

const SHAPES: &[Choice] = &[
    Choice {
        name: "blade",
        words: "a blade fuse, with two flat pins",
    },
    Choice {
        name: "glass",
        words: "a glass tube with metal caps",
    },
    Choice {
        name: "torpedo",
        words: "a ceramic or plastic stick with pointed ends, the strip outside",
    },
];

const MARKS: &[Choice] = &[
    Choice {
        name: "blows",
        words: "what blows it: it carries half of that, as many British cars mean it",
    },
    Choice {
        name: "carries",
        words: "what it carries, as most other countries mean it",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "fuse",
    title: "Fuse",
    place: BenchPlace::Electrics,
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
        Argument::new("shape", "", "the shape of the fuse", Want::Choice(SHAPES))
            .or("blade")
            .such_as("blade", "glass"),
        Argument::new(
            "marked",
            "",
            "what the figure on a glass fuse means",
            Want::Choice(MARKS),
        )
        .such_as("blows", "carries"),
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
        .such_as("2.5 mm²", "2.5 mm²"),
        Argument::new("gauge", "", "that wire as an AWG number", Want::Gauge)
            .within(-3.0, 30.0)
            .such_as("13", "13"),
    ],
    dangers: &[Danger::Electrical],
    contradictions: &[
        same("power", "current", Kind::Current, 0.1, |given| {
            let volts = given.get::<Voltage>("voltage")?.in_v();
            let (power, current): (Power, Current) = (given.get("power")?, given.get("current")?);
            Some((power.in_w() / volts, current.in_a()))
        }),
        same("area", "gauge", Kind::Area, 0.05, |given| {
            let area: Area = given.get("area")?;
            Some((area.in_mm2(), awg_area(given.number("gauge")?).in_mm2()))
        }),
    ],
    run,
};

/// The fuses of one shape: what they are called, their marks, and what each carries as a part of its mark.
struct Made {
    called: &'static str,
    marks: &'static [f64],
    carries: f64,
    source: &'static str,
}

const BLADE: Made = Made {
    called: "blade fuse",
    marks: FUSES,
    carries: 1.0,
    source: "ISO 8820-3: sizes of blade fuses, marked by what they carry; written down from memory",
};
const GLASS: Made = Made {
    called: "glass fuse",
    marks: GLASS_CARRIES,
    carries: 1.0,
    source: "SAE J554 and IEC 60127: glass fuses, marked by what they carry; sizes written down from memory",
};
const GLASS_BY_BLOWING: Made = Made {
    called: "glass fuse",
    marks: GLASS_BLOWS,
    carries: 0.5,
    source: "glass fuses marked by what blows them carry about half; sizes written down from memory",
};
const TORPEDOES: Made = Made {
    called: "torpedo fuse",
    marks: TORPEDO,
    carries: 1.0,
    source: "DIN 72581: sizes of torpedo fuses, marked by what they carry; written down from memory",
};

fn made(given: &Given) -> Result<Made, ReckonRefusal> {
    match (given.choice("shape"), given.choice("marked")) {
        (Some("torpedo"), _) => Ok(TORPEDOES),
        (Some("glass"), Some("blows")) => Ok(GLASS_BY_BLOWING),
        (Some("glass"), Some(_)) => Ok(GLASS),
        (Some("glass"), None) => Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "marked",
            "Some countries mark a glass fuse by what blows it, others by what it carries, and one is twice the other. Which is meant? \
             The slip of paper in the glass, the box's lid or the car's book says so.",
        )),
        _ => Ok(BLADE),
    }
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let current = match (given.get::<Current>("current"), given.get::<Power>("power")) {
        (Some(current), _) => current,
        (None, Some(power)) => Current::from_a(power.in_w() / given.need::<Voltage>("voltage")?.in_v()),
        (None, None) => {
            return Err(ReckonRefusal::of(
                RefusalCode::Missing,
                "power",
                "The power of the load is needed, or the current.",
            ));
        }
    };
    let made = made(given)?;
    let wanted = current.in_a() * 1.25;
    let carries = |mark: f64| mark * made.carries;
    let Some(mark) = made
        .marks
        .iter()
        .copied()
        .find(|mark| carries(*mark) + 1e-9 >= wanted)
    else {
        return Err(ReckonRefusal::of(
            RefusalCode::OutOfRange,
            "power",
            format!(
                "No {} is so large: {wanted:.0} A are needed. Part the load into circuits, each with its own wire and fuse.",
                made.called
            ),
        ));
    };
    if made.carries < 1.0 {
        sheet.value("fuse", "fuse, marked by what blows it", Current::from_a(mark));
        sheet.value("fuse_carries", "it carries", Current::from_a(carries(mark)));
        sheet.warning(
            "marked",
            format!(
                "One that is marked {} by what it carries, as other countries mark them, lets twice as much through: in its place the wire burns first.",
                sheet.text(Current::from_a(mark))
            ),
        );
    } else if made.called == GLASS.called {
        sheet.value("fuse", "fuse, marked by what it carries", Current::from_a(mark));
        sheet.value("fuse_blows", "it blows at about", Current::from_a(mark * 2.0));
    } else {
        sheet.value("fuse", "fuse", Current::from_a(mark));
    }
    sheet.value("current", "current of the load", current);
    sheet.value("wanted", "the fuse must carry at least", Current::from_a(wanted));
    let gauge = given.number("gauge");
    if gauge.is_some() {
        sheet.source("gauge", "ASTM B258: area of an AWG number", Standing::Published);
    }
    match given.get::<Area>("area").or(gauge.map(awg_area)) {
        Some(area) => wire(sheet, carries(mark), area)?,
        None => sheet.warning(
            "wire",
            "Give the thinnest wire behind the fuse: the fuse must not be above what it carries.",
        ),
    }
    sheet.formula("fuse", "fuse", "the next size that carries ≥ 1.25 · I, I = P / U");
    sheet.source(
        "fuse",
        "next size from 1.25 times the current, never above what the wire carries",
        Standing::CommonPractice,
    );
    sheet.source("sizes", made.source, Standing::FromMemory);
    sheet.condition(
        "shape",
        format!(
            "For a {}: the figure on another shape of fuse may mean something else.",
            made.called
        ),
    );
    sheet.condition(
        "steady",
        "For a steady load; motors and lamps draw several times as much when they start.",
    );
    sheet.condition("protects", "The fuse protects the wire, not the lamp: near the battery, and never a larger one because it blows.");
    Ok(())
}

fn wire(sheet: &mut Sheet, fuse: f64, area: Area) -> Result<(), ReckonRefusal> {
    let thinner = CABLES
        .iter()
        .rev()
        .find(|cable| cable.area_mm2 <= area.in_mm2() + 1e-9);
    let Some(carries) = thinner.and_then(|cable| cable.carries) else {
        return Err(ReckonRefusal::of(
            RefusalCode::OutOfRange,
            "area",
            "A wire thinner than 0.5 mm² is not fused by rule of thumb: ask its maker.",
        ));
    };
    sheet.value("carries", "the wire carries, closed in", Current::from_a(carries));
    sheet.source("carries", RATINGS_FROM, Standing::FromMemory);
    sheet.condition("ratings", RATINGS_ARE);
    let (word, words) = if fuse > carries {
        sheet.warning("too_thin", "The wire may burn before this fuse blows.");
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
