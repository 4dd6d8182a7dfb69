//! Which thread is this? Every family that a measured thread may belong to, the likest first, and how to tell them apart.
//!
//! Never settles between families that measure alike: it says what to look at.

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, Want, same};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing, line, raw_cell};
use crate::fastener::{Likeness, identify};
use crate::quantity::{Kind, Length, Unit};

const SIDES: &[Choice] = &[
    Choice {
        name: "outside",
        words: "a bolt or stud: measured over the crests",
    },
    Choice {
        name: "inside",
        words: "a nut or hole: measured between the crests",
    },
];

/// How many candidates are listed.
const LISTED: usize = 8;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "thread_identify",
    title: "Which thread is this?",
    place: BenchPlace::Threads,
    about: "Which threads a measured diameter and pitch may be, the likest first, and how to tell them apart.",
    arguments: &[
        Argument::new(
            "diameter",
            "d",
            "the diameter over the crests, by caliper",
            LENGTH,
        )
        .required()
        .within(0.7, 65.0)
        .such_as("6.0 mm", "0.250 in"),
        Argument::new("pitch", "P", "the pitch, by gauge or over many threads", LENGTH)
            .within(0.15, 7.0)
            .such_as("1.00 mm", "0.050 in"),
        Argument::new(
            "per_inch",
            "n",
            "threads per inch, in place of the pitch",
            Want::Number,
        )
        .within(4.0, 100.0)
        .such_as("25.4", "20"),
        Argument::new("side", "", "what was measured", Want::Choice(SIDES))
            .or("outside")
            .such_as("outside", "inside"),
    ],
    dangers: &[Danger::Torque],
    contradictions: &[same("pitch", "per_inch", Kind::Length, 0.01, |given| {
        let pitch: Length = given.get("pitch")?;
        Some((pitch.in_mm(), 25.4 / given.number("per_inch")?))
    })],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let diameter: Length = given.need("diameter")?;
    let pitch = match (given.get::<Length>("pitch"), given.number("per_inch")) {
        (Some(pitch), _) => pitch,
        (None, Some(per_inch)) => Length::from_inch(1.0 / per_inch),
        (None, None) => {
            return Err(ReckonRefusal::of(
                RefusalCode::Missing,
                "pitch",
                "The pitch is needed, or the threads per inch: the diameter alone does not tell.",
            ));
        }
    };
    let inside = given.choice("side") == Some("inside");
    let found = identify(diameter, pitch, inside);
    sheet.count("candidates", "threads that it may be", found.len());
    sheet.value_in("pitch", "pitch", pitch, Unit::Millimetre);
    sheet.number("per_inch", "threads per inch", 25.4 / pitch.in_mm());
    if found.is_empty() {
        sheet.warning("none", "No thread of the families known here measures like that: measure again, the pitch over ten threads or more.");
    }
    let lines = found
        .iter()
        .take(LISTED)
        .map(|likeness| told(sheet, likeness))
        .collect();
    sheet.choices("candidates", "what it may be, the likest first", lines);
    sheet.formula(
        "likeness",
        "likeness",
        "pitch first, then whether the diameter lies where a sound thread of that size measures",
    );
    sheet.source(
        "tables",
        "ISO 261, ASME B1.1, BS 84, BS 93, ISO 228-1 and ASME B1.20.1: sizes written down from memory",
        Standing::FromMemory,
    );
    sheet.source(
        "under",
        "ISO 965-1: an external 6g thread measures under its nominal diameter",
        Standing::Published,
    );
    sheet.condition("wear", "A stretched bolt has a longer pitch, a worn or painted one another diameter: measure a clean, sound length.");
    sheet.condition(
        "gauge",
        "A thread gauge against the light settles it: 60° metric and Unified, 55° Whitworth and pipe, 47.5° BA. Never force one into another.",
    );
    Ok(())
}

fn told(sheet: &Sheet, likeness: &Likeness) -> crate::answer::Line {
    let family = likeness.size.family;
    let mut why = match (likeness.pitch_off * 100.0, likeness.diameter_off.in_mm()) {
        (pitch, outside) if pitch < 0.05 && outside < 0.000_5 => "pitch and diameter agree".to_owned(),
        (pitch, outside) if outside < 0.000_5 => format!("diameter agrees, pitch {pitch:.1} % off"),
        (pitch, _) => format!(
            "pitch {pitch:.1} % off, diameter {} outside",
            sheet.text(likeness.diameter_off)
        ),
    };
    why = format!("{why}; {}", family.tell());
    line(
        format!(
            "{}: {}, {}° flanks",
            likeness.size.name(),
            family.words(),
            family.flank_angle()
        ),
        why,
        vec![
            sheet.cell("major", "nominal diameter", likeness.size.major),
            raw_cell("pitch", "pitch", likeness.size.pitch.in_mm(), Unit::Millimetre),
            raw_cell(
                "per_inch",
                "threads per inch",
                25.4 / likeness.size.pitch.in_mm(),
                Unit::One,
            ),
            raw_cell(
                "flank_angle",
                "angle between the flanks",
                family.flank_angle(),
                Unit::Degree,
            ),
            raw_cell(
                "unlike",
                "how unlike; 0 is as like as can be",
                likeness.unlike,
                Unit::One,
            ),
        ],
    )
}
