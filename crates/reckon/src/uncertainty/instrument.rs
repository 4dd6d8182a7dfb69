//! Kinds of instruments with what may be expected of each: where the record knows no better, from a certificate.
//!
//! Never overrules what a keeper knows of an instrument.

use super::{Contribution, Uncertainty, combine};
use crate::answer::Standing;
use crate::calculation::Choice;
use crate::quantity::Length;

/// A kind of length-measuring instrument in good order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InstrumentKind {
    /// Stable name.
    pub name: &'static str,
    /// What it is, in words.
    pub words: &'static str,
    /// Its readings lie within ± this, in µm, anywhere alike.
    pub limit_um: f64,
    /// It is read to steps of this, in µm.
    pub step_um: f64,
    /// Where the limit is from.
    pub source: &'static str,
    /// How much that weighs.
    pub standing: Standing,
    /// The least and the most that it measures, in mm, where its kind says so.
    pub range_mm: Option<(f64, f64)>,
}

const fn kind(
    name: &'static str,
    words: &'static str,
    limit_um: f64,
    step_um: f64,
    source: &'static str,
    standing: Standing,
) -> InstrumentKind {
    InstrumentKind {
        name,
        words,
        limit_um,
        step_um,
        source,
        standing,
        range_mm: None,
    }
}

const fn from_to(least: f64, most: f64, kind: InstrumentKind) -> InstrumentKind {
    InstrumentKind {
        range_mm: Some((least, most)),
        ..kind
    }
}

/// The kinds, finest first.
const KINDS: &[InstrumentKind] = &[
    from_to(
        0.0,
        50.0,
        kind(
            "micrometer",
            "outside micrometer, up to 50 mm",
            4.0,
            1.0,
            "DIN 863-1: micrometer up to 50 mm, ±4 µm",
            Standing::Published,
        ),
    ),
    kind(
        "bore_gauge",
        "dial bore gauge, set with a micrometer",
        5.0,
        1.0,
        "dial bore gauge ±3 to 5 µm",
        Standing::FromMemory,
    ),
    from_to(
        50.0,
        100.0,
        kind(
            "micrometer_100",
            "outside micrometer, 50 to 100 mm",
            5.0,
            1.0,
            "DIN 863-1: micrometer of 50 to 100 mm, ±5 µm",
            Standing::FromMemory,
        ),
    ),
    // A stack of leaves; thicker gaps are measured otherwise. Common practice, no source.
    from_to(
        0.0,
        5.0,
        kind(
            "feeler",
            "feeler leaf",
            9.0,
            0.0,
            "feeler leaf ±0.00035 in",
            Standing::CommonPractice,
        ),
    ),
    kind(
        "dial",
        "dial indicator, graduated in 0.01 mm",
        10.0,
        5.0,
        "dial indicator ±10 µm, a graduation",
        Standing::FromMemory,
    ),
    kind(
        "caliper",
        "vernier or digital caliper",
        50.0,
        20.0,
        "DIN 862: vernier caliper, ±50 µm",
        Standing::Published,
    ),
    kind(
        "rule",
        "steel rule",
        500.0,
        500.0,
        "a rule read to half a millimetre",
        Standing::CommonPractice,
    ),
];

/// The kinds, as choices of an argument.
pub const INSTRUMENT_CHOICES: &[Choice] = &[
    choice("micrometer", "outside micrometer, up to 50 mm: ±4 µm"),
    choice("bore_gauge", "dial bore gauge, set with a micrometer: ±5 µm"),
    choice("micrometer_100", "outside micrometer, 50 to 100 mm: ±5 µm"),
    choice("feeler", "feeler leaf: ±9 µm"),
    choice("dial", "dial indicator, graduated in 0.01 mm: ±10 µm"),
    choice("caliper", "vernier or digital caliper: ±50 µm"),
    choice("rule", "steel rule: ±0.5 mm"),
];

const fn choice(name: &'static str, words: &'static str) -> Choice {
    Choice { name, words }
}

impl InstrumentKind {
    /// Every kind, finest first.
    pub fn all() -> &'static [Self] {
        KINDS
    }

    /// The kind of this name.
    pub fn named(name: &str) -> Option<&'static Self> {
        KINDS.iter().find(|kind| kind.name == name)
    }

    /// Does it measure this size?
    pub fn measures(&self, size: Length) -> bool {
        let size = size.in_mm().abs();
        self.range_mm
            .is_none_or(|(least, most)| (least - 1e-9..=most + 1e-9).contains(&size))
    }

    /// Its uncertainty for one reading: the limit as a/√3 and the step as 0.29·δ together (JCGM 100). In mm.
    pub fn uncertainty_mm(&self) -> Uncertainty {
        combine(&[
            Contribution::rectangular(self.limit_um / 1_000.0),
            Contribution::resolution(self.step_um / 1_000.0),
        ])
        .uncertainty()
    }

    /// The expanded uncertainty (k = 2) of one reading.
    pub fn expanded(&self) -> Length {
        Length::from_mm(self.uncertainty_mm().expanded())
    }
}

/// The coarsest kind whose expanded uncertainty is no more than `wanted`: the one that would just decide. `None` where none is
/// so fine.
pub fn deciding_instrument(wanted: Length) -> Option<&'static InstrumentKind> {
    KINDS.iter().rev().find(|kind| kind.expanded() <= wanted)
}
