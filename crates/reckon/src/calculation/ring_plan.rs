//! Which ring goes to which bore, and how much to file from each, with the least filing in all.
//!
//! Never plans a ring into a bore where its gap is too wide, as long as another plan has fewer such. Never calls a gap in limits that
//! no ring has, and never takes a gap of nought for a measure.

use std::f64::consts::PI;

use super::{
    Argument, BenchPlace, Calculation, Contradiction, Danger, Given, LENGTH, LENGTHS, Want, in_order,
    in_order_unless, same,
};
use crate::answer::{AT_20_C, Line, ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord, line};
use crate::assignment::{MOST, least_cost};
use crate::quantity::{Kind, Length, Unit};

/// The three kinds of rings, with the arguments that belong to each.
const KINDS: [(&str, &str, &str, &str); 3] = [
    ("top", "top ring", "low", "high"),
    ("second", "second ring", "low_second", "high_second"),
    ("oil", "oil ring", "low_oil", "high_oil"),
];

/// No ring has a wider gap, in mm; where the manual gives no most, this is what is too wide.
const WIDEST: f64 = 3.0;

/// Bores of one engine differ by no more than this, as a part of them: wear and rebores together. Common practice, no source.
const WORN: f64 = 0.025;

const CONTRADICTIONS: &[Contradiction] = &[
    same("bores", "bores", Kind::Length, WORN, |given| {
        let bores = given.list::<Length>("bores").into_iter().map(Length::in_mm);
        Some(
            bores.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), bore| {
                (low.min(bore), high.max(bore))
            }),
        )
    }),
    same("bores", "gauge", Kind::Length, WORN, |given| {
        let first = given.list::<Length>("bores").first().copied()?;
        Some((first.in_mm(), given.get::<Length>("gauge")?.in_mm()))
    }),
    in_order("low", "high"),
    in_order("low_second", "high_second"),
    in_order_unless("low", "high_second", "low_second"),
    in_order_unless("low_second", "high", "high_second"),
    in_order("low_oil", "high_oil"),
    in_order_unless("low", "high_oil", "low_oil"),
    in_order_unless("low_oil", "high", "high_oil"),
];

const fn gap(name: &'static str, letter: &'static str, words: &'static str) -> Argument {
    Argument::new(name, letter, words, LENGTH)
        .within(0.05, 3.0)
        .such_as("0.30 mm", "0.012 in")
}

const fn gaps(name: &'static str, words: &'static str) -> Argument {
    Argument::new(name, "g", words, LENGTHS)
        .within(0.0, 5.0)
        .such_as("0.21, 0.24, 0.19, 0.26 mm", "0.008, 0.009, 0.007, 0.010 in")
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "ring_plan",
    title: "Ring plan",
    place: BenchPlace::BoresAndPistons,
    about: "Which ring goes to which bore and how much to file from each, with the least filing in all.",
    arguments: &[
        Argument::new(
            "bores",
            "B",
            "the bores where they are least worn, in the order of the cylinders",
            LENGTHS,
        )
        .required()
        .within(20.0, 250.0)
        .such_as("77.02, 77.03, 77.02, 77.05 mm", "3.032, 3.033, 3.032, 3.034 in"),
        Argument::new(
            "gauge",
            "Bg",
            "the bore in which the gaps were measured; left out: each ring in the first bore",
            LENGTH,
        )
        .within(20.0, 250.0)
        .such_as("77.02 mm", "3.032 in"),
        gaps(
            "top",
            "the gaps of the top rings, as measured, in the order of the rings",
        ),
        gaps("second", "the gaps of the second rings"),
        gaps("oil", "the gaps of the oil rings"),
        gap("low", "gmin", "the least gap in the car's own manual"),
        gap("high", "gmax", "the most gap in the car's own manual"),
        gap(
            "low_second",
            "",
            "the least gap of the second ring, where it differs",
        ),
        gap(
            "high_second",
            "",
            "the most gap of the second ring, where it differs",
        ),
        gap("low_oil", "", "the least gap of the oil ring, where it differs"),
        gap("high_oil", "", "the most gap of the oil ring, where it differs"),
        Argument::new(
            "factor",
            "k",
            "the gap as a part of the bore, where the manual gives none",
            Want::Number,
        )
        .within(0.001, 0.01)
        .usually(0.003, 0.0065)
        .or("0.004")
        .such_as("0.004", "0.004"),
    ],
    dangers: &[Danger::Abrasive],
    contradictions: CONTRADICTIONS,
    run,
};

/// One ring in one bore.
#[derive(Clone, Copy)]
struct Fit {
    /// Its gap there.
    gap: Length,
    /// What to file off.
    file: Length,
    /// Wider than the most by, where it is.
    over: Option<Length>,
    /// Its ends butted where it was measured, or may have, since no leaf goes in: nobody knows by how much, so it is filed before
    /// anything is known.
    butts: bool,
    /// They butted: there was no gap at all.
    nought: bool,
}

fn nanometres(length: Length) -> i128 {
    (length.in_mm() * 1e6).round() as i128
}

impl Fit {
    /// First no ring too wide, then the least filing, then each gap as near to the least wanted as may be.
    fn cost(self, low: Length) -> i128 {
        let wide = self.over.map_or(0, |over| 1_000_000_000_000 + nanometres(over));
        let file = nanometres(self.file);
        let beside = ((self.gap - low).in_mm() * 1e3).round() as i128;
        (wide * 10_000_000_000 + file) * 1_000_000_000_000 + beside * beside
    }
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let bores = given.list::<Length>("bores");
    if bores.len() > MOST {
        return Err(ReckonRefusal::of(
            RefusalCode::OutOfRange,
            "bores",
            format!("At most {MOST} bores are planned."),
        ));
    }
    let first = bores.first().copied().unwrap_or_default();
    let gauge = given.get::<Length>("gauge").unwrap_or(first);
    let mut plan = Plan::default();
    for (name, words, low, high) in KINDS {
        let rings = given.list::<Length>(name);
        if !rings.is_empty() {
            let wanted = Wanted::of(given, sheet, low, high)?;
            plan.kind(sheet, name, words, &bores, gauge, &rings, wanted)?;
        }
    }
    if plan.lines.is_empty() {
        return Err(ReckonRefusal::of(
            RefusalCode::Missing,
            "top",
            "The gaps of the rings are needed: top, second or oil.",
        ));
    }
    sheet.value("file_total", "to file in all", plan.file);
    sheet.value(
        "file_as_they_lie",
        "to file in all if each ring went to the bore of its own number",
        plan.as_they_lie,
    );
    sheet.count(
        "too_wide",
        "rings that are too wide wherever they go",
        plan.too_wide,
    );
    let verdict = if plan.too_wide > 0 {
        (
            VerdictWord::AboveLimits,
            if plan.beyond_oversize {
                "Some rings are too wide in this plan, and the next oversize would be so too: measure the bores, and see that the rings are made for them."
            } else {
                "Some rings are too wide in this plan: try the next oversize for those, filed to fit."
            },
        )
    } else {
        (
            VerdictWord::InLimits,
            match (plan.butting, plan.no_most) {
                (0, false) => "Every ring can be brought into limits by filing.",
                (0, true) => {
                    "No ring is below its least once it is filed. No most gap was given, so none is held against one."
                }
                _ => {
                    "Every ring can be filed to its least; those whose ends butt, or may, are filed first, and measured then."
                }
            },
        )
    };
    if plan.butting > 0 {
        sheet.warning(
            "butts",
            "A gap of nought, or under 0.05 mm where no leaf of a usual set goes in, is no measure: the ends butt or may, and more is to be filed than is said here. File until a leaf goes in, measure, and plan again.",
        );
    }
    sheet.verdict("plan", verdict.0, verdict.1.to_owned());
    sheet.table("plan", "which ring to which bore", plan.lines);
    rests_on(sheet);
    Ok(())
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet) {
    sheet.formula(
        "gap_there",
        "gap of a ring in another bore",
        "g there = g + π · (B − Bg)",
    );
    sheet.formula(
        "file",
        "to file",
        "gmin − g there, where that is more than nought",
    );
    sheet.source(
        "plan",
        "an assignment at the least cost: no ring too wide, then the least filing, then gaps nearest to the least wanted",
        Standing::Derived,
    );
    sheet.source(
        "worn_bore",
        "US Army TM 10-3930-653-14&P: in a worn bore measure where the wear is least, near the bottom",
        Standing::Published,
    );
    sheet.condition("square", "Each ring is pushed square with a piston for measuring, and measured again in its own bore before and after filing.");
    sheet.condition(
        "mark",
        "Bag each ring with the number of its bore: from now on they are not alike.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);
    sheet.caution((
        "file_little",
        "File one end only, square, a little at a time, and take the burr off; what is filed away does not come back.",
    ));
}

/// What gap is wanted.
#[derive(Clone, Copy)]
struct Wanted {
    low: Option<Length>,
    high: Option<Length>,
    factor: f64,
}

impl Wanted {
    fn of(given: &Given, sheet: &mut Sheet, low: &str, high: &str) -> Result<Self, ReckonRefusal> {
        let wanted = Self {
            low: given.get(low).or_else(|| given.get("low")),
            high: given.get(high).or_else(|| given.get("high")),
            factor: given.need_number("factor")?,
        };
        if wanted.low.is_some() || wanted.high.is_some() {
            sheet.source(
                "manual",
                "the limits given, from the car's own manual",
                Standing::Given,
            );
        }
        if wanted.low.is_none() {
            sheet.source(
                "factor",
                "the gap as a part of the bore: 0.0040 to 0.0045 for road use",
                Standing::CommonPractice,
            );
        }
        Ok(wanted)
    }

    /// The least gap in this bore.
    fn least(self, bore: Length) -> Length {
        self.low.unwrap_or(bore * self.factor)
    }

    fn fit(self, ring: Length, bore: Length, gauge: Length) -> Fit {
        let gap = ring + (bore - gauge) * PI;
        let short = self.least(bore) - gap;
        let most = self.high.unwrap_or(Length::from_mm(WIDEST));
        let over = Some(gap - most);
        Fit {
            butts: ring.in_mm() < super::ring_gap::GAP.0,
            nought: nanometres(ring) == 0,
            gap,
            file: if nanometres(short) > 0 {
                short
            } else {
                Length::default()
            },
            over: over.filter(|over| nanometres(*over) > 0),
        }
    }
}

#[derive(Default)]
struct Plan {
    lines: Vec<Line>,
    file: Length,
    as_they_lie: Length,
    too_wide: usize,
    butting: usize,
    /// Too wide by more than a ring of the next oversize is longer round.
    beyond_oversize: bool,
    no_most: bool,
}

impl Plan {
    /// Plans the rings of one kind.
    #[expect(
        clippy::too_many_arguments,
        reason = "one kind of ring is all of these, and nothing else needs them together"
    )]
    fn kind(
        &mut self,
        sheet: &Sheet,
        name: &str,
        words: &'static str,
        bores: &[Length],
        gauge: Length,
        rings: &[Length],
        wanted: Wanted,
    ) -> Result<(), ReckonRefusal> {
        self.no_most |= wanted.high.is_none();
        let fits: Vec<Vec<Fit>> = bores
            .iter()
            .map(|bore| rings.iter().map(|ring| wanted.fit(*ring, *bore, gauge)).collect())
            .collect();
        let at = |bore: usize, ring: usize| fits.get(bore).and_then(|row| row.get(ring)).copied();
        let cost = |bore: usize, ring: usize| match (at(bore, ring), bores.get(bore)) {
            (Some(fit), Some(size)) => fit.cost(wanted.least(*size)),
            _ => 0,
        };
        let Some(chosen) = least_cost(bores.len(), rings.len(), cost) else {
            return Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                name,
                format!(
                    "There are {} bores and {} rings ({words}): at least one for each bore, and at most {MOST}.",
                    bores.len(),
                    rings.len()
                ),
            ));
        };
        for (bore, ring) in chosen.iter().copied().enumerate() {
            let Some(fit) = at(bore, ring) else { continue };
            self.file = self.file + fit.file;
            self.as_they_lie = self.as_they_lie + at(bore, bore).map_or(Length::default(), |fit| fit.file);
            self.too_wide += usize::from(fit.over.is_some());
            self.butting += usize::from(fit.butts);
            let step = if sheet.inch() {
                Length::from_inch(0.010)
            } else {
                Length::from_mm(0.25)
            };
            self.beyond_oversize |= fit.over.is_some_and(|over| nanometres(over - step * PI) > 0);
            // Another ring that could change places with this one and cost no more.
            let twin = chosen.iter().copied().enumerate().find(|(other, theirs)| {
                *other != bore
                    && cost(bore, ring) + cost(*other, *theirs) == cost(bore, *theirs) + cost(*other, ring)
            });
            let why = match twin {
                Some((other, _)) => format!("may change with bore {}: no more filing", other + 1),
                None => String::new(),
            };
            let mut said = format!(
                "bore {}: {words} {}, gap there {}",
                bore + 1,
                ring + 1,
                sheet.text(fit.gap)
            );
            said = match fit.over {
                Some(over) => format!("{said}, too wide by {}", sheet.text(over)),
                None if fit.nought => format!("{said} or less, still to be filed: its ends butt"),
                None if fit.butts => format!("{said} or less, still to be filed: its ends may butt"),
                None if fit.file > Length::default() => format!("{said}, file {}", sheet.text(fit.file)),
                None => format!("{said}, nothing to file"),
            };
            let mut values = vec![
                crate::answer::raw_cell("bore", "bore", bore as f64 + 1.0, Unit::One),
                crate::answer::raw_cell("ring", words, ring as f64 + 1.0, Unit::One),
                sheet.cell("gap", "gap there", fit.gap),
                sheet.cell("file", "to file", fit.file),
            ];
            if let Some(over) = fit.over {
                values.push(sheet.cell("over", "too wide by", over));
            }
            self.lines.push(line(said, why, values));
        }
        Ok(())
    }
}
