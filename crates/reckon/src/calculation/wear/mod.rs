//! A bore's wear from a grid of readings: out-of-round, taper, wear, whether they are in limits, and the oversize that cleans up.
//!
//! Out-of-round and taper are differences of diameters, as workshops mean them: not the radial ones of ISO 1101. Never says
//! which limit holds: the limits are the keeper's.

mod bore;

pub use bore::{Bore, CLEAN_UP_MM, Rebore, rebore, usual_oversizes};

use self::bore::SAME;
use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want, verdict};
use crate::answer::{AT_20_C, Line, ReckonRefusal, Sheet, Standing, line, raw_cell};
use crate::quantity::{Length, Unit};
use crate::uncertainty::{INSTRUMENT_CHOICES, InstrumentKind, Limits, Uncertainty, judge};

/// An instrument is so many times finer than the step it decides on. Common practice, no source.
const TEN: f64 = 10.0;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "wear",
    title: "Bore wear and oversize",
    place: BenchPlace::BoresAndPistons,
    about: "Out-of-round, taper and wear of a bore from readings at several heights and directions, and the oversize it needs.",
    arguments: &[
        bore::GRID,
        bore::NOMINAL,
        Argument::new(
            "round_limit",
            "",
            "the most out-of-round in the car's own manual",
            LENGTH,
        )
        .within(0.001, 2.0)
        .such_as("0.05 mm", "0.002 in"),
        Argument::new(
            "taper_limit",
            "",
            "the most taper in the car's own manual",
            LENGTH,
        )
        .within(0.001, 2.0)
        .such_as("0.10 mm", "0.004 in"),
        Argument::new("wear_limit", "", "the most wear in the car's own manual", LENGTH)
            .within(0.001, 3.0)
            .such_as("0.15 mm", "0.006 in"),
        Argument::new(
            "instrument",
            "",
            "what it was measured with",
            Want::Choice(INSTRUMENT_CHOICES),
        )
        .such_as("bore_gauge", "bore_gauge"),
        Argument::new(
            "stroke",
            "S",
            "the stroke, for the rule of thumb on taper",
            LENGTH,
        )
        .within(20.0, 250.0)
        .such_as("69 mm", "2.717 in"),
        bore::CLEAN_UP_BY,
        bore::OVERSIZES,
    ],
    dangers: &[Danger::Abrasive],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let grid = given.grid::<Length>("grid");
    let wear = Bore::of(&grid)?;
    sheet.value("out_of_round", "out-of-round, on the diameter", wear.out_of_round);
    sheet.value("taper", "taper, on the diameter", wear.taper);
    sheet.value("widest", "widest reading", wear.widest);
    sheet.value("narrowest", "narrowest reading", wear.narrowest);
    sheet.count(
        "widest_height",
        "height of the widest reading, counted as typed",
        wear.widest_at.0,
    );
    sheet.count(
        "widest_direction",
        "direction of the widest reading, counted as typed",
        wear.widest_at.1,
    );
    sheet.formula(
        "out_of_round",
        "out-of-round",
        "the most, over the heights, of the spread between directions",
    );
    sheet.formula(
        "taper",
        "taper",
        "the most, over the directions, of the spread between heights",
    );
    sheet.source(
        "grid",
        "follows from the readings; both on the diameter, not the radial ones of ISO 1101",
        Standing::Derived,
    );
    if grid.len() < 3 || grid.first().is_some_and(|row| row.len() < 2) {
        sheet.warning(
            "few",
            "Measure at three heights and in two directions, along the crank and across it, at least.",
        );
    }
    judge_all(given, sheet, &wear);
    if let Some(nominal) = given.get::<Length>("nominal") {
        oversize(given, sheet, &wear, nominal)?;
        if let Some(by) = smaller(given, &wear) {
            not_judged(sheet, by);
        }
    }
    map(given, sheet, &grid, &wear);
    rules(given, sheet, &wear);
    sheet.condition(
        "clean",
        "A clean, dry bore at room temperature, measured below the ridge.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}

/// Every reading in its place, with what is worn there: over the bore as it was made, or over the narrowest reading.
fn map(given: &Given, sheet: &mut Sheet, grid: &[Vec<Length>], wear: &Bore) {
    let nominal = given.get::<Length>("nominal");
    let over = nominal.map_or("the narrowest", |_| "the bore as made");
    let from = nominal.unwrap_or(wear.narrowest);
    let mut lines = Vec::new();
    for (height, row) in (1_usize..).zip(grid) {
        for (direction, reading) in (1_usize..).zip(row) {
            let worn = *reading - from;
            let why = if (height, direction) == wear.widest_at {
                "the widest reading"
            } else {
                ""
            };
            let reading = sheet.cell("reading", "reading", *reading);
            let worn = sheet.cell("worn", "worn", worn);
            let words = format!(
                "height {height}, direction {direction}: {}, {} over {over}",
                reading.text, worn.text
            );
            let values = vec![
                raw_cell("height", "height", height as f64, Unit::One),
                raw_cell("direction", "direction", direction as f64, Unit::One),
                reading,
                worn,
            ];
            lines.push(line(words, why, values));
        }
    }
    sheet.table("map", "the bore, point by point", lines);
}

/// Against the limits that were given, each with the uncertainty of a difference of two readings.
fn judge_all(given: &Given, sheet: &mut Sheet, wear: &Bore) {
    let kind = given.choice("instrument").and_then(InstrumentKind::named);
    let one = kind.map_or(Uncertainty::NONE, InstrumentKind::uncertainty_mm);
    // Of two readings √2 as much; against the nominal size, which is exact, one.
    let two = Uncertainty {
        standard: one.standard * std::f64::consts::SQRT_2,
        ..one
    };
    let smaller = smaller(given, wear);
    let worn = given
        .get::<Length>("nominal")
        .map(|nominal| wear.widest - nominal)
        .filter(|_| smaller.is_none());
    let limits = [
        (
            "round_limit",
            "out_of_round",
            "Out-of-round",
            Some(wear.out_of_round),
            two,
        ),
        ("taper_limit", "taper", "Taper", Some(wear.taper), two),
        ("wear_limit", "wear", "Wear", worn, one),
    ];
    let mut judged_any = false;
    for (argument, key, of, value, uncertainty) in limits {
        let (Some(limit), Some(value)) = (given.get::<Length>(argument), value) else {
            continue;
        };
        if let Some(limits) = Limits::new(None, Some(limit.in_mm())) {
            let judged = judge(value.in_mm(), limits, uncertainty);
            let of = format!("{of}, {}: ", sheet.text(value));
            verdict::say(
                sheet,
                (key, &of),
                "A rebore to the next oversize, or a liner, is the remedy.",
                // Wear has no lower limit that anybody could have left out.
                "",
                &judged,
            );
            judged_any = true;
        }
    }
    if judged_any {
        sheet.source(
            "manual",
            "the limits given, from the car's own manual",
            Standing::Given,
        );
        match kind {
            Some(kind) => {
                verdict::used(sheet, kind, &given.grid("grid").concat());
                verdict::sources(sheet);
            }
            None => sheet.warning(
                "instrument",
                "With no instrument named, the verdicts take the readings as they stand.",
            ),
        }
    }
}

/// To what the instrument is known, as it was named; nought where none was.
fn known_to(given: &Given) -> Length {
    let kind = given.choice("instrument").and_then(InstrumentKind::named);
    kind.map_or(Length::default(), InstrumentKind::expanded)
}

/// By how much the bore reads smaller than it was made, where no wear makes it so.
fn smaller(given: &Given, wear: &Bore) -> Option<Length> {
    wear.smaller_than(given.get::<Length>("nominal")?, known_to(given))
}

/// Smaller than it was made, which no wear makes it: nothing follows, and nothing is bored by it.
fn not_judged(sheet: &mut Sheet, by: Length) {
    sheet.warning(
        "smaller",
        format!(
            "Wear is not judged and no oversize named: the widest reading is smaller than the bore as made by {}, and no bore wears smaller. The nominal bore or the readings are a slip.",
            sheet.text(by)
        ),
    );
    sheet.source(
        "under_made",
        "a new bore is under the size it is made to by 0.02 mm at most",
        Standing::CommonPractice,
    );
}

/// Warns where the readings are too coarse for the step from one oversize to the next.
fn coarse(given: &Given, sheet: &mut Sheet, sizes: &[Length]) {
    let Some(kind) = given.choice("instrument").and_then(InstrumentKind::named) else {
        return;
    };
    let steps = sizes.iter().zip(sizes.iter().skip(1));
    let step = steps
        .map(|(one, next)| (*next - *one).in_mm())
        .filter(|step| *step > SAME)
        .fold(f64::INFINITY, f64::min);
    let step = if step.is_finite() {
        step
    } else {
        sizes.first().map_or(0.0, |size| size.in_mm())
    };
    if kind.expanded().in_mm() > step / TEN + SAME {
        sheet.warning(
            "coarse",
            format!(
                "Too coarse for the oversizes: this is known to ±{} ({}), and they are {} apart. Measure with a bore gauge before anything is bought or bored.",
                sheet.text(kind.expanded()),
                kind.words,
                sheet.text(Length::from_mm(step))
            ),
        );
        sheet.source(
            "coarse",
            "an instrument is ten times finer than the step it decides on",
            Standing::CommonPractice,
        );
    }
}

fn oversizes(given: &Given, inch: bool) -> Vec<Length> {
    let mut sizes = given.list::<Length>("oversizes");
    if sizes.is_empty() {
        sizes = usual_oversizes(inch);
    }
    sizes.sort_by(|one, other| one.in_mm().total_cmp(&other.in_mm()));
    sizes
}

/// The smallest oversize that cleans up everywhere, and what the others would do.
fn oversize(given: &Given, sheet: &mut Sheet, wear: &Bore, nominal: Length) -> Result<(), ReckonRefusal> {
    let sizes = oversizes(given, sheet.inch());
    let clean_up = given.need::<Length>("clean_up")?;
    let Some(rebore) = rebore(wear, nominal, known_to(given), clean_up, &sizes)? else {
        return Ok(());
    };
    sheet.value("wear", "wear at the widest place", rebore.worn);
    sheet.value("needed", "oversize needed to clean up, at least", rebore.needed);
    coarse(given, sheet, &sizes);
    match rebore.oversize {
        Some(size) => {
            sheet.value("oversize", "the smallest oversize that cleans up", size);
            sheet.value(
                "bore_to",
                "bore and hone to, before the piston's clearance",
                nominal + size,
            );
        }
        None => sheet.warning(
            "no_oversize",
            "No oversize listed cleans up: a liner, or a larger piston, is needed.",
        ),
    }
    let lines: Vec<Line> = sizes
        .iter()
        .map(|size| {
            let room = *size - rebore.needed;
            let why = if rebore.cleans_up(*size) {
                format!("cleans up with {} to spare", sheet.text(room))
            } else {
                format!("{} too little", sheet.text(-room))
            };
            let oversize = sheet.cell("oversize", "oversize", *size);
            let bore = sheet.cell("bore", "bore", nominal + *size);
            let spare = sheet.cell("spare", "to spare", room);
            let words = format!("{} oversize: bore {}", oversize.text, bore.text);
            line(words, why, vec![oversize, bore, spare])
        })
        .collect();
    sheet.table("oversizes", "what each oversize does", lines);
    sheet.formula("oversize", "oversize", "the smallest ≥ widest − B0 + a");
    sheet.source(
        "oversizes",
        "oversizes of 0.25, 0.50, 0.75 and 1.00 mm, or 0.010, 0.020, 0.030, 0.040 and 0.060 in; the smallest that cleans up",
        Standing::CommonPractice,
    );
    sheet.condition(
        "piston_first",
        "The pistons are in hand and measured before anything is bored, and each bore is made to its piston.",
    );
    Ok(())
}

/// What a rule of thumb would say, for comparison only.
fn rules(given: &Given, sheet: &mut Sheet, wear: &Bore) {
    let bore = given.get::<Length>("nominal").unwrap_or(wear.narrowest);
    sheet.value(
        "wear_rule",
        "wear allowed by one handbook: 0.001 of the bore",
        bore * 0.001,
    );
    if let Some(stroke) = given.get::<Length>("stroke") {
        sheet.value(
            "taper_rule",
            "taper allowed by the same: 0.0005 of the stroke",
            stroke * 0.000_5,
        );
    }
    sheet.source(
        "rules",
        "US Army TM 10-3930-647-14&P: wear 0.001 in per in of bore, taper 0.0005 in per in of stroke; makers differ widely",
        Standing::Published,
    );
}
