//! The contact breaker: dwell in degrees and per cent, sparks and the time between them.
//!
//! Never turns a gap into a dwell: that takes the maker's own pairs.

use super::{ANGLE, Argument, BenchPlace, Calculation, Danger, Given, Want, in_order, same, verdict};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Angle, Kind, Time, Turning, Unit};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "dwell",
    title: "Dwell and sparks",
    place: BenchPlace::Ignition,
    about: "Contact-breaker dwell in degrees and per cent, and how many sparks the engine asks for.",
    arguments: &[
        Argument::new(
            "cylinders",
            "N",
            "the number of cylinders (lobes of the cam)",
            Want::Whole,
        )
        .required()
        .within(1.0, 12.0)
        .such_as("4", "4"),
        Argument::new("dwell", "γ", "the dwell in distributor degrees", ANGLE)
            .within(1.0, 360.0)
            .such_as("50 °", "50 °"),
        Argument::new(
            "percent",
            "",
            "the dwell in per cent, in place of degrees",
            Want::Number,
        )
        .within(0.05, 0.95)
        .such_as("56 %", "56 %"),
        Argument::new(
            "least",
            "",
            "the least dwell in the car's own manual, distributor degrees",
            ANGLE,
        )
        .within(1.0, 360.0)
        .such_as("47 °", "47 °"),
        Argument::new(
            "most",
            "",
            "the most dwell in the car's own manual, distributor degrees",
            ANGLE,
        )
        .within(1.0, 360.0)
        .such_as("53 °", "53 °"),
        Argument::new(
            "rpm",
            "n",
            "the engine's turning speed",
            Want::Quantity(Kind::Turning),
        )
        .within(50.0, 15_000.0)
        .usually(300.0, 8_000.0)
        .such_as("5000 rpm", "5000 rpm"),
    ],
    dangers: &[Danger::Ignition],
    contradictions: &[
        same("dwell", "percent", Kind::Angle, 0.03, |given| {
            let between = 360.0 / given.number("cylinders")?;
            let dwell: Angle = given.get("dwell")?;
            Some((dwell.in_deg(), given.number("percent")? * between))
        }),
        in_order("least", "most"),
    ],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let cylinders = given.need_number("cylinders")?;
    let between = 360.0 / cylinders;
    let dwell = given
        .get::<Angle>("dwell")
        .map(Angle::in_deg)
        .or_else(|| given.number("percent").map(|part| part * between));
    let turning = given.get::<Turning>("rpm");
    if dwell.is_none() && turning.is_none() {
        return Err(ReckonRefusal::of(
            RefusalCode::NothingToReckon,
            "",
            "Nothing follows from that yet. Give a dwell in degrees or per cent, or a turning speed.",
        ));
    }
    if let Some(dwell) = dwell {
        if dwell >= between {
            return Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                "dwell",
                format!(
                    "With {cylinders} cylinders each has {between:.0}° of the distributor; the points must open in that."
                ),
            ));
        }
        sheet.raw("dwell_percent", "dwell", dwell / between * 100.0, Unit::Percent);
        sheet.value("dwell", "dwell in distributor degrees", Angle::from_deg(dwell));
        sheet.value(
            "dwell_crank",
            "the same in crank degrees",
            Angle::from_deg(dwell * 2.0),
        );
        sheet.value(
            "open",
            "open for, in distributor degrees",
            Angle::from_deg(between - dwell),
        );
        judge(given, sheet, dwell)?;
        sheet.formula("dwell", "dwell in per cent", "dwell % = γ · N / 360 · 100");
    }
    if let Some(turning) = turning {
        let sparks = turning.in_turn_s() * cylinders / 2.0;
        sheet.number("sparks", "sparks a second", sparks);
        sheet.value_in(
            "between",
            "time between sparks",
            Time::from_s(1.0 / sparks),
            Unit::Millisecond,
        );
        if let Some(dwell) = dwell {
            let closed = Time::from_s(dwell / between / sparks);
            sheet.value_in(
                "closed",
                "the points are closed for, each time",
                closed,
                Unit::Millisecond,
            );
        }
        sheet.formula(
            "sparks",
            "sparks",
            "sparks a second = n / 60 · N / 2, a four-stroke with one coil",
        );
        sheet.source(
            "sparks",
            "US Army Ordnance Center and School, subcourse OD1003, lesson 3: half the cylinders fire in each turn of the crank; six at 4000 rpm make 12 000 sparks a minute",
            Standing::Published,
        );
    }
    sheet.value(
        "each",
        "each cylinder has, of the distributor",
        Angle::from_deg(between),
    );
    sheet.value(
        "each_crank",
        "the crank turns between sparks by",
        Angle::from_deg(between * 2.0),
    );
    rests_on(sheet);
    Ok(())
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet) {
    sheet.source(
        "dwell",
        "follows from the cam: 360° of the distributor for N sparks",
        Standing::Derived,
    );
    sheet.source(
        "each",
        "US Army TM 5-4210-230-14&P-1, distributor operation test: 90° of the distributor for each of four cylinders, 45° for each of eight; TM 9-8000, p. 2-18: the crank turns 180° between the power strokes of four",
        Standing::Published,
    );
    sheet.source(
        "order",
        "dwell before timing: a wider gap is less dwell and opens earlier",
        Standing::CommonPractice,
    );
    sheet.condition(
        "order",
        "Set dwell first, timing after: a wider gap is less dwell and opens the points earlier.",
    );
    sheet.condition(
        "no_gap",
        "A gap is not turned into a dwell without the maker's own pairs of figures.",
    );
}

fn judge(given: &Given, sheet: &mut Sheet, dwell: f64) -> Result<(), ReckonRefusal> {
    use crate::answer::VerdictWord::{AboveLimits, BelowLimits, InLimits};
    let (least, most) = (
        given.get::<Angle>("least").map(Angle::in_deg),
        given.get::<Angle>("most").map(Angle::in_deg),
    );
    let (word, words) = match (least, most) {
        (None, None) => return Ok(()),
        (Some(least), _) if dwell < least - 1e-9 => {
            (BelowLimits, "Too little dwell: close the gap a little.")
        }
        (_, Some(most)) if dwell > most + 1e-9 => (AboveLimits, "Too much dwell: open the gap a little."),
        _ => (InLimits, "In limits."),
    };
    let unchecked = match word {
        InLimits => verdict::unchecked(least.is_some(), most.is_some()),
        _ => "",
    };
    sheet.verdict("dwell", word, format!("{words}{unchecked}"));
    sheet.source(
        "manual",
        "the limits given, from the car's own manual",
        Standing::Given,
    );
    Ok(())
}
