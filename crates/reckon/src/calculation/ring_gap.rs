//! The end gap of a piston ring: what is wanted, what it is elsewhere in a worn bore, whether it is in limits, how much to
//! file, and what the next oversize would do.
//!
//! Never overrules a limit that was given: a rule of thumb speaks only where the manual does not. Never takes a gap of nought for a
//! measure, nor lets one pass that may be none, and never sends anyone for an oversize that would be out of limits as well.

use std::f64::consts::PI;

use super::{
    Argument, BenchPlace, Calculation, Choice, Given, LENGTH, Want, in_band, in_order, in_order_unless, same,
};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::quantity::{Kind, Length, Unit, or_less};
use crate::uncertainty::{InstrumentKind, ONE_SIDED};

/// Gaps wanted outside this, in mm, are slips, and so is a measured one above it. What is measured below it is less than the thinnest leaf
/// of a usual set, and may be none.
pub(super) const GAP: (f64, f64) = (0.05, 3.0);
/// Two measures of one bore differ by no more than this, as a part of it: wear and rebores together. Common practice, no source.
const WORN: f64 = 0.025;
/// Lengths nearer than this, in mm, are the same: a float's error, far below any feeler leaf.
const SAME: f64 = 1e-9;
/// A gap nearer to a limit than this, in mm, stands on it: less than half of the last figure that is shown, and far below what a file takes
/// or a leaf tells.
const SHOWN: f64 = 0.000_49;
/// What comes of ends that butt.
const BUTTS: &str = "A ring whose ends butt breaks, or scores the bore: never run it so.";

const USES: &[Choice] = &[
    Choice {
        name: "minimum",
        words: "the least by the rule of thumb: 0.0035 of the bore",
    },
    Choice {
        name: "road",
        words: "road use: 0.0040 to 0.0045 of the bore",
    },
    Choice {
        name: "boost",
        words: "moderate boost: 0.0050 of the bore",
    },
    Choice {
        name: "hard",
        words: "hard use: 0.0055 to 0.0065 of the bore",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "ring_gap",
    title: "Ring gap",
    place: BenchPlace::BoresAndPistons,
    about: "The end gap a ring should have, whether it has it, and how much to file.",
    arguments: &[
        Argument::new("bore", "B", "the bore", LENGTH)
            .required()
            .within(20.0, 250.0)
            .usually(40.0, 140.0)
            .such_as("77.0 mm", "3.031 in"),
        Argument::new(
            "gap",
            "g",
            "the gap as measured, the ring square in the bore; 0 where its ends butt",
            LENGTH,
        )
        .within(0.0, GAP.1)
        .such_as("0.22 mm", "0.009 in"),
        Argument::new("low", "gmin", "the least gap in the car's own manual", LENGTH)
            .within(GAP.0, GAP.1)
            .such_as("0.30 mm", "0.012 in"),
        Argument::new("high", "gmax", "the most gap in the car's own manual", LENGTH)
            .within(GAP.0, GAP.1)
            .such_as("0.45 mm", "0.018 in"),
        Argument::new(
            "use",
            "",
            "the use, where the manual gives no gap",
            Want::Choice(USES),
        )
        .or("road")
        .such_as("road", "road"),
        Argument::new(
            "factor",
            "k",
            "the gap as a part of the bore, in place of the use",
            Want::Number,
        )
        .within(0.001, 0.01)
        .usually(0.003, 0.0065)
        .such_as("0.004", "0.004"),
        Argument::new("bore_at_gap", "B0", "the bore where the gap was measured", LENGTH)
            .within(20.0, 250.0)
            .such_as("77.02 mm", "3.032 in"),
        Argument::new("bore_widest", "B1", "the bore where it is most worn", LENGTH)
            .within(20.0, 250.0)
            .such_as("77.10 mm", "3.035 in"),
    ],
    dangers: &[],
    contradictions: &[
        in_order("low", "high"),
        same("bore", "bore_at_gap", Kind::Length, WORN, |given| {
            two_lengths(given, "bore", "bore_at_gap")
        }),
        same("bore", "bore_widest", Kind::Length, WORN, |given| {
            two_lengths(given, "bore", "bore_widest")
        }),
        in_order_unless("bore", "bore_widest", "bore_at_gap"),
        in_order("bore_at_gap", "bore_widest"),
        // A factor that is not the use's own is another use.
        in_band("use", "factor", Kind::Number, 0.02, |given| {
            let (low, high) = factors(given.choice("use")?);
            Some((low, high.unwrap_or(low), given.number("factor")?))
        }),
    ],
    run,
};

/// The gap that is `factor` of the bore.
fn gap_of_bore(bore: Length, factor: f64) -> Length {
    bore * factor
}

/// How much a ring's gap opens where the bore is wider by `wider`: π·ΔB.
fn gap_opens(wider: Length) -> Length {
    wider * PI
}

/// What is wanted: from, and to where there is an upper end.
struct Wanted {
    low: Length,
    high: Option<Length>,
}

/// The range of k for a use; an upper end only where practice names one.
fn factors(name: &str) -> (f64, Option<f64>) {
    match name {
        "minimum" => (0.0035, None),
        "boost" => (0.0050, None),
        "hard" => (0.0055, Some(0.0065)),
        _ => (0.0040, Some(0.0045)),
    }
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let bore: Length = given.need("bore")?;
    let wanted = wanted(given, sheet, bore)?;
    sheet.value("gap_low", "gap wanted, at least", wanted.low);
    if let Some(high) = wanted.high {
        sheet.value("gap_high", "gap wanted, at most", high);
    }
    let gap = given.get::<Length>("gap");
    match gap {
        None => {}
        Some(gap) if gap.in_mm() <= SAME => to_be_filed(sheet),
        Some(gap) => {
            if gap.in_mm() < GAP.0 {
                sheet.warning(
                    "butts",
                    format!("So narrow a gap may be none: a feeler leaf is good to ±{} and the thinnest of a usual set is {}. {BUTTS}",
                        sheet.text(Length::from_inch(0.00035)),
                        sheet.text(Length::from_mm(GAP.0))
                    ),
                );
                sheet.source(
                    "narrow",
                    "a usual set of leaves begins at 0.05 mm (0.002 in)",
                    Standing::CommonPractice,
                );
            }
            let least = in_least_bore(given, sheet, bore, gap);
            near_limit(given, sheet, least);
            judge(sheet, least, &wanted);
        }
    }
    // Of ends that butt nothing follows for another place.
    let gap = gap.filter(|gap| gap.in_mm() > SAME);
    worn(given, sheet, bore, gap, &wanted)?;
    sheet.condition(
        "square",
        "The ring is pushed square with a piston; in a worn bore a new ring is measured where the wear is least, near the bottom.",
    );
    sheet.source(
        "square",
        "square the ring with a piston",
        Standing::CommonPractice,
    );
    sheet.condition(
        "feelers",
        format!(
            "Use at most two feeler leaves: each is good to ±{}, and a stack adds them up.",
            sheet.text(Length::from_inch(0.00035))
        ),
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    sheet.caution((
        "file_little",
        "File one end only, square, a little at a time, and take the burr off; what is filed away does not come back.",
    ));
    Ok(())
}

fn wanted(given: &Given, sheet: &mut Sheet, bore: Length) -> Result<Wanted, ReckonRefusal> {
    let (low, high) = (given.get::<Length>("low"), given.get::<Length>("high"));
    if low.is_some() || high.is_some() {
        sheet.source(
            "manual",
            "the limits given, from the car's own manual",
            Standing::Given,
        );
    }
    if let Some(low) = low {
        return Ok(Wanted { low, high });
    }
    let (factor, upper) = match given.number("factor") {
        Some(factor) => (factor, None),
        None => factors(given.choice("use").unwrap_or("road")),
    };
    sheet.formula("gap", "gap of the bore", "g = k · B");
    sheet.source(
        "factor",
        "k: 0.0035 least, 0.0040 to 0.0045 road, 0.0050 moderate boost, 0.0055 to 0.0065 hard use",
        Standing::CommonPractice,
    );
    sheet.source(
        "factor_printed",
        "US Army TM 5-3825-225-14&P, 1-24 and 1-26 (bore 3.125 in, gap 0.009 to 0.014 in) and TM 10-3930-653-14&P (bore 87.2 mm, gap 0.25 to 0.40 mm): 0.0029 to 0.0046 of the bore; a manual may ask for less than the rule of thumb",
        Standing::Published,
    );
    let low = gap_of_bore(bore, factor);
    if !(GAP.0..=GAP.1).contains(&low.in_mm()) {
        let words = format!(
            "A gap must be from {} to {}; this comes to {}.",
            sheet.text(Length::from_mm(GAP.0)),
            sheet.text(Length::from_mm(GAP.1)),
            sheet.text(low)
        );
        return Err(ReckonRefusal::of(RefusalCode::OutOfRange, "factor", words));
    }
    let high = high.or_else(|| upper.map(|upper| gap_of_bore(bore, upper)));
    match high {
        Some(high) if high < low => Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "high",
            format!(
                "The rule of thumb asks for at least {}, more than the most given; give the least too.",
                sheet.text(low)
            ),
        )),
        high => Ok(Wanted { low, high }),
    }
}

/// The ends butt: how far they would overlap nobody can measure.
fn to_be_filed(sheet: &mut Sheet) {
    sheet.verdict(
        "gap",
        VerdictWord::BelowLimits,
        "Still to be filed: its ends butt, so how much is not known yet. File until a leaf goes in, and measure."
            .to_owned(),
    );
    sheet.warning("butts", BUTTS);
}

/// The gap where the bore is least: measured in a wider place it closes by π·ΔB, and there its ends may butt.
fn in_least_bore(given: &Given, sheet: &mut Sheet, bore: Length, gap: Length) -> Length {
    let at_gap = given.get::<Length>("bore_at_gap").unwrap_or(bore);
    let wider = at_gap - bore;
    if wider.in_mm() <= SAME {
        return gap;
    }
    let least = gap - gap_opens(wider);
    sheet.value("gap_least_bore", "gap where the bore is least", least);
    sheet.formula("least_bore", "gap where the bore is least", "g − π · (B0 − B)");
    sheet.source(
        "least_bore",
        "the ring's round is π times the bore: in a narrower place its gap closes by π times the difference",
        Standing::Derived,
    );
    sheet.condition(
        "least_bore",
        "The gap is judged where the bore is least, not where it was measured.",
    );
    // Less than any gap that is taken for a measure: the bores' own uncertainty closes it.
    if least.in_mm() < GAP.0 {
        sheet.warning(
            "butts",
            format!("Where the bore is least the ends may butt. {BUTTS}",),
        );
    }
    least
}

/// A gap is read off a leaf, and the verdict takes it as it stands: where the leaf's own error could turn it, that is said. By the guard
/// band of ISO 14253-1, as readings are judged. A rule of thumb is no such limit.
fn near_limit(given: &Given, sheet: &mut Sheet, gap: Length) {
    sheet.condition(
        "as_it_stands",
        "The gap is judged as it stands, without an instrument: a leaf's own error is not in the verdict.",
    );
    let Some(leaf) = InstrumentKind::named("feeler") else {
        return;
    };
    let guard = leaf.uncertainty_mm().standard * ONE_SIDED;
    let near = |limit: Length| (gap - limit).in_mm().abs() < guard;
    let mut limits = ["low", "high"]
        .into_iter()
        .filter_map(|name| given.get::<Length>(name));
    if limits.any(near) {
        sheet.warning(
            "near_limit",
            format!(
                "So near to a limit a feeler leaf does not decide: it is known to ±{}. Measure again with another leaf.",
                sheet.text(leaf.expanded())
            ),
        );
        sheet.source("leaf", leaf.source, leaf.standing);
    }
}

/// In limits, or how much to file, or the next oversize.
fn judge(sheet: &mut Sheet, gap: Length, wanted: &Wanted) {
    let tells = |length: Length| length.in_mm() > SHOWN;
    let too_wide = wanted.high.filter(|high| tells(gap - *high));
    if tells(wanted.low - gap) {
        let least = wanted.low - gap;
        // By a leaf that hardly goes in nobody knows how much.
        let again = if gap.in_mm() < GAP.0 {
            " File a little, and measure again."
        } else {
            ""
        };
        sheet.value("file_least", "file at least", least);
        let mut words = format!("Too narrow. File {} more.", or_less(sheet.text(least)));
        if let Some(high) = wanted.high {
            let most = high - gap;
            sheet.value("file_most", "file at most", most);
            words = format!(
                "Too narrow. File {} more, and not over {}.",
                or_less(sheet.text(least)),
                sheet.text(most)
            );
        }
        sheet.verdict("gap", VerdictWord::BelowLimits, format!("{words}{again}"));
    } else if let Some(high) = too_wide {
        let over = gap - high;
        sheet.value("over", "too wide by", over);
        let remedy = next_oversize(sheet, gap, high, wanted);
        sheet.verdict(
            "gap",
            VerdictWord::AboveLimits,
            format!("Too wide by {}. {remedy}", or_less(sheet.text(over))),
        );
    } else {
        let words = match wanted.high {
            Some(_) => "In limits. Nothing to file.",
            None => {
                "Not under the least: nothing to file. No most gap was given, so whether it is too wide was not checked."
            }
        };
        sheet.verdict("gap", VerdictWord::InLimits, words.to_owned());
    }
}

/// A ring of the next oversize is longer round by π times the step. What it would do, in words: it is named only where it would
/// be in limits, as it is or filed.
fn next_oversize(sheet: &mut Sheet, gap: Length, high: Length, wanted: &Wanted) -> String {
    let step = if sheet.inch() {
        Length::from_inch(0.010)
    } else {
        Length::from_mm(0.25)
    };
    let there = gap - gap_opens(step);
    let file = wanted.low - there;
    let size = sheet.text(step);
    sheet.formula("next_oversize", "gap with the next oversize", "g − π · oversize");
    sheet.source(
        "next_oversize",
        "the same ring, longer round by π times the oversize",
        Standing::Derived,
    );
    if (there - high).in_mm() > SAME {
        return format!(
            "The next oversize, {size}, would be too wide as well, by {}: measure the bore, and see that the ring is made for it.",
            sheet.text(there - high)
        );
    }
    if file.in_mm() > SAME {
        sheet.value(
            "file_next_oversize",
            format!("with a ring {size} oversize, file at least"),
            file,
        );
    } else {
        sheet.value(
            "gap_next_oversize",
            format!("gap with a ring {size} oversize"),
            there,
        );
        return format!("The next oversize of ring, {size}, is in limits as it is.");
    }
    "Try the next oversize of ring, filed to fit.".to_owned()
}

/// Two lengths, where both were given.
fn two_lengths(given: &Given, one: &str, other: &str) -> Option<(f64, f64)> {
    Some((
        given.get::<Length>(one)?.in_mm(),
        given.get::<Length>(other)?.in_mm(),
    ))
}

fn worn(
    given: &Given,
    sheet: &mut Sheet,
    bore: Length,
    gap: Option<Length>,
    wanted: &Wanted,
) -> Result<(), ReckonRefusal> {
    let at_gap = given.get::<Length>("bore_at_gap").unwrap_or(bore);
    // Measured where it is narrower than the bore, the bore itself is the wider place.
    let wider = Some(bore).filter(|bore| (*bore - at_gap).in_mm() > SAME);
    let Some(widest) = given.get::<Length>("bore_widest").or(wider) else {
        return Ok(());
    };
    let opens = gap_opens(widest - at_gap);
    sheet.value("gap_opens", "the gap opens, at the widest place, by", opens);
    sheet.formula("worn_bore", "gap in a worn bore", "g1 = g + π · (B1 − B0)");
    sheet.source(
        "worn_bore",
        "US Army TM 10-3930-653-14&P: in a worn bore measure where the wear is least, near the bottom",
        Standing::Published,
    );
    sheet.source(
        "gap_opens",
        "US Army TM 5-3825-225-14&P, 1-26: 0.003 in of gap for each 0.001 in of bore, which is π to one figure",
        Standing::Published,
    );
    let there = gap.unwrap_or(wanted.low) + opens;
    let words = if gap.is_some() {
        "gap at the widest place"
    } else {
        "gap at the widest place, for the least gap wanted"
    };
    sheet.value("gap_widest", words, there);
    if let Some(high) = wanted.high
        && (there - high).in_mm() > SAME
    {
        sheet.warning(
            "worn_bore",
            format!(
                "At the widest place the gap is {}, over {}: measure the bore's wear.",
                sheet.text(there),
                sheet.text(high)
            ),
        );
    }
    let unit = sheet.pick(Unit::Millimetre, Unit::Inch);
    sheet.value_in(
        "bore_wear",
        "wider than where the gap was measured by",
        widest - at_gap,
        unit,
    );
    Ok(())
}
