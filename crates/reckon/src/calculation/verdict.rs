//! Is a reading in limits with this instrument? In, out, or too close to call, and which instrument would decide.
//!
//! Never calls a reading that its instrument cannot carry.

use super::{Argument, BenchPlace, Calculation, Danger, Given, LENGTH, Want, in_order};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::quantity::{Length, Unit, is_nought, or_less, shown};
use crate::uncertainty::{
    INSTRUMENT_CHOICES, InstrumentKind, Judgement, Limits, Uncertainty, deciding_instrument, judge,
};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "verdict",
    title: "In limits?",
    place: BenchPlace::Readings,
    about: "Whether a reading is in limits, out of limits or too close to call with its instrument, and what would decide.",
    arguments: &[
        Argument::new("reading", "y", "the reading", LENGTH)
            .required()
            .within(-10_000.0, 10_000.0)
            .such_as("50.012 mm", "1.9690 in"),
        Argument::new("low", "TL", "the lower limit", LENGTH)
            .within(-10_000.0, 10_000.0)
            .such_as("49.98 mm", "1.9677 in"),
        Argument::new("high", "TU", "the upper limit", LENGTH)
            .within(-10_000.0, 10_000.0)
            .such_as("50.02 mm", "1.9693 in"),
        Argument::new(
            "instrument",
            "",
            "what it was measured with",
            Want::Choice(INSTRUMENT_CHOICES),
        )
        .such_as("micrometer", "micrometer"),
        Argument::new(
            "uncertainty",
            "U",
            "the expanded uncertainty of the reading (about 95 %), where it is known",
            LENGTH,
        )
        .within(0.0, 100.0)
        .usually(0.0, 1.0)
        .such_as("0.005 mm", "0.0002 in"),
        Argument::new(
            "coverage",
            "k",
            "the coverage factor of that uncertainty",
            Want::Number,
        )
        .within(1.0, 4.0)
        .or("2")
        .such_as("2", "2"),
        Argument::new(
            "least",
            "",
            "the least that the instrument measures, where it is known",
            LENGTH,
        )
        .within(-10_000.0, 10_000.0)
        .such_as("25 mm", "1 in"),
        Argument::new(
            "most",
            "",
            "the most that the instrument measures, where it is known",
            LENGTH,
        )
        .within(-10_000.0, 10_000.0)
        .such_as("50 mm", "2 in"),
    ],
    dangers: &[Danger::Steering],
    contradictions: &[in_order("low", "high"), in_order("least", "most")],
    run,
};

/// The uncertainty as given, or of the instrument; and says where it is from. `None` where neither was given.
pub(super) fn uncertainty(given: &Given, sheet: &mut Sheet) -> Option<Uncertainty> {
    let coverage = given.number("coverage").unwrap_or(2.0);
    if let Some(expanded) = given.get::<Length>("uncertainty") {
        sheet.source(
            "uncertainty",
            "the uncertainty given: from a certificate or the keeper's own checks",
            Standing::Given,
        );
        return Some(Uncertainty::expanded_by(expanded.in_mm(), coverage));
    }
    let kind = InstrumentKind::named(given.choice("instrument")?)?;
    used(sheet, kind, &[given.get::<Length>("reading").unwrap_or_default()]);
    sheet.condition(
        "instrument",
        "The instrument is in good order, was set or checked lately, and is used with care; a certificate's figure is better.",
    );
    Some(kind.uncertainty_mm())
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let reading: Length = given.need("reading")?;
    let (low, high) = (given.get::<Length>("low"), given.get::<Length>("high"));
    // Limits that are changed over were refused already, so there are none.
    let Some(limits) = Limits::new(low.map(Length::in_mm), high.map(Length::in_mm)) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "high",
            "A limit is needed: the lower, the upper, or both.",
        ));
    };
    some_uncertainty(given, "uncertainty")?;
    let Some(uncertainty) = uncertainty(given, sheet) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "instrument",
            "What it was measured with is needed, or the uncertainty of the reading.",
        ));
    };
    own_range(given, sheet, reading);
    let judged = judge(reading.in_mm(), limits, uncertainty);
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    say(
        sheet,
        ("reading", ""),
        "",
        unchecked(low.is_some(), high.is_some()),
        &judged,
    );
    sheet.raw(
        "probability",
        "probability that the true value is in limits",
        judged.probability * 100.0,
        Unit::Percent,
    );
    sheet.value_in(
        "inside_by",
        "inside the nearer limit by (minus: outside)",
        Length::from_mm(judged.inside_by),
        fine,
    );
    sheet.value_in(
        "expanded",
        "expanded uncertainty of the reading",
        Length::from_mm(uncertainty.expanded()),
        fine,
    );
    let tells = |mm: f64| !is_nought(&shown(fine.from_base(mm), fine));
    if let Some(decides) = judged.decides.filter(|decides| tells(*decides)) {
        sheet.value_in(
            "decides",
            "expanded uncertainty that decides this reading",
            Length::from_mm(decides),
            fine,
        );
    }
    sheet.formula(
        "probability",
        "probability of conformance",
        "p = Φ((TU − y)/u) − Φ((TL − y)/u), u = U/k",
    );
    sources(sheet);
    sheet.condition(AT_20_C.0, AT_20_C.1);
    Ok(())
}

/// Refuses an uncertainty of nought: with it every reading would be called (JCGM 100, 0.2).
pub(super) fn some_uncertainty(given: &Given, name: &'static str) -> Result<(), ReckonRefusal> {
    match given.get::<Length>(name) {
        Some(nought) if nought.in_mm() <= 0.0 => Err(ReckonRefusal::of(
            RefusalCode::OutOfRange,
            name,
            "No reading is without uncertainty: give the certificate's figure, or leave it out and name the instrument.",
        )),
        _ => Ok(()),
    }
}

/// Warns of a reading outside the range that the keeper's own instrument is stated to have.
fn own_range(given: &Given, sheet: &mut Sheet, reading: Length) {
    let (least, most) = (given.get::<Length>("least"), given.get::<Length>("most"));
    let below = least.filter(|least| (*least - reading).in_mm() > 1e-9);
    let above = most.filter(|most| (reading - *most).in_mm() > 1e-9);
    let end = match (below, above) {
        (Some(least), _) => format!("measures from {} on", sheet.text(least)),
        (None, Some(most)) => format!("measures up to {}", sheet.text(most)),
        (None, None) => return,
    };
    sheet.warning(
        "outside_range",
        format!(
            "{} is outside the instrument's range, which {end}: was it another one?",
            sheet.text(reading)
        ),
    );
}

/// Says where the figures of an instrument are from, and warns of readings that it does not reach.
pub(super) fn used(sheet: &mut Sheet, kind: &'static InstrumentKind, readings: &[Length]) {
    sheet.source(kind.name, kind.source, kind.standing);
    let outside = readings.iter().find(|reading| !kind.measures(**reading));
    if let (Some(outside), Some((least, most))) = (outside, kind.range_mm) {
        sheet.warning(
            "outside_range",
            format!(
                "{} is outside what the instrument measures ({}, {} to {}): was it another one?",
                sheet.text(*outside),
                kind.words,
                sheet.text(Length::from_mm(least)),
                sheet.text(Length::from_mm(most))
            ),
        );
    }
}

/// Where the verdicts come from.
pub(super) fn sources(sheet: &mut Sheet) {
    sheet.source(
        "jcgm_106",
        "JCGM 106:2012: probability of conformance",
        Standing::Published,
    );
    sheet.source(
        "iso_14253",
        "ISO 14253-1:2017: 95 %, a guard band of 1.645 u at one limit",
        Standing::Published,
    );
    sheet.condition(
        "tolerance",
        "In limits is said only where the tolerance is at least twice the expanded uncertainty.",
    );
}

/// Which limit nothing was held against, said behind a verdict that is in limits: what was not given was not checked.
pub(super) fn unchecked(low: bool, high: bool) -> &'static str {
    match (low, high) {
        (true, false) => " No upper limit was given, so that one was not checked.",
        (false, true) => " No lower limit was given, so that one was not checked.",
        _ => "",
    }
}

/// Writes a judgement of a length down: `of` what it is, as a sentence begins, with `remedy` behind it where it is out of limits, and what
/// was not checked where it is in.
pub(super) fn say(
    sheet: &mut Sheet,
    (key, of): (&'static str, &str),
    remedy: &str,
    unchecked: &str,
    judged: &Judgement,
) {
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    let by = |mm: f64| or_less(shown(fine.from_base(mm.abs()), fine));
    // An uncertainty that is shown as nought is one that nobody has.
    let decides = judged
        .decides
        .filter(|decides| !is_nought(&shown(fine.from_base(*decides), fine)));
    let words = match judged.word {
        VerdictWord::InLimits if judged.inside_by == 0.0 => {
            format!("In limits: it stands on the limit.{unchecked}")
        }
        VerdictWord::InLimits => format!("In limits, by {}.{unchecked}", by(judged.inside_by)),
        VerdictWord::BelowLimits => format!("Out of limits: below by {}. {remedy}", by(judged.inside_by)),
        VerdictWord::AboveLimits => format!("Out of limits: above by {}. {remedy}", by(judged.inside_by)),
        VerdictWord::TooCloseToCall => {
            let coarse = if judged.too_coarse {
                "The tolerance is less than twice the uncertainty. "
            } else {
                ""
            };
            match decides {
                None => format!(
                    "Too close to call: it stands on the limit. {coarse}Measure again, or ask what the limit means."
                ),
                Some(decides) => {
                    let with = match deciding_instrument(Length::from_mm(decides)) {
                        Some(kind) => format!(
                            "With an uncertainty like that of this it would be decided: {}.",
                            kind.words
                        ),
                        None => {
                            "No instrument listed here is so fine: repeat the reading, or have it measured."
                                .to_owned()
                        }
                    };
                    format!(
                        "Too close to call with this instrument. {coarse}An uncertainty of {} or less would decide. {with}",
                        by(decides)
                    )
                }
            }
        }
    };
    sheet.verdict(key, judged.word, format!("{of}{}", words.trim_end()));
}
