//! The families of threads that an old car may have, size by size, and which of them a measured thread may be.
//!
//! An external thread measures under its nominal diameter, so the pitch speaks first. Never says that a thread is of a family
//! for certain: sizes of two families may be alike to a caliper.

use super::{Form, Thread};
use crate::quantity::Length;

/// A family of threads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// ISO metric, coarse.
    MetricCoarse,
    /// Unified coarse.
    Unc,
    /// Unified fine.
    Unf,
    /// ISO metric, fine.
    MetricFine,
    /// British Standard Whitworth.
    Bsw,
    /// British Standard Fine.
    Bsf,
    /// British Association.
    Ba,
    /// British Standard Pipe, parallel (ISO 228-1).
    Bsp,
    /// American taper pipe.
    Npt,
    /// Unified extra fine.
    Unef,
    /// Unified sizes outside the three series: special (UNS), and sizes of the older American standards.
    Uns,
    /// Metric sizes of older or rarer practice.
    MetricRare,
}

/// One size of one family.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// The family.
    pub family: Family,
    /// The size as written: `1/4`, `10`, `M10`.
    label: &'static str,
    /// Major diameter.
    pub major: Length,
    /// Pitch.
    pub pitch: Length,
    /// Threads per inch; nought for metric and BA.
    per_inch: f64,
}

impl Family {
    /// Every family.
    pub const ALL: &'static [Self] = &[
        Self::MetricCoarse,
        Self::Unc,
        Self::Unf,
        Self::MetricFine,
        Self::Bsw,
        Self::Bsf,
        Self::Ba,
        Self::Bsp,
        Self::Npt,
        Self::Unef,
        Self::Uns,
        Self::MetricRare,
    ];

    /// As people call it.
    pub fn words(self) -> &'static str {
        match self {
            Self::MetricCoarse => "ISO metric, coarse",
            Self::MetricFine => "ISO metric, fine",
            Self::MetricRare => "metric, older or rarer",
            Self::Unc => "Unified coarse (UNC)",
            Self::Unf => "Unified fine (UNF)",
            Self::Unef => "Unified extra fine (UNEF)",
            Self::Uns => "Unified, special or older (UNS)",
            Self::Bsw => "Whitworth (BSW)",
            Self::Bsf => "British Standard Fine (BSF)",
            Self::Ba => "British Association (BA)",
            Self::Bsp => "British Standard Pipe, parallel (BSP, G)",
            Self::Npt => "American taper pipe (NPT)",
        }
    }

    /// The angle between the flanks, in degrees.
    pub fn flank_angle(self) -> f64 {
        match self {
            Self::Bsw | Self::Bsf | Self::Bsp => 55.0,
            Self::Ba => 47.5,
            _ => 60.0,
        }
    }

    /// How to tell it from its likes.
    pub fn tell(self) -> &'static str {
        match self {
            Self::MetricCoarse | Self::MetricFine | Self::MetricRare => {
                "60° gauge sits without light; heads often marked 8.8 or 10.9; spanners in whole mm"
            }
            Self::Unc | Self::Unf | Self::Unef | Self::Uns => {
                "60° gauge sits without light; heads often marked with lines; spanners in fractions of an inch across the flats"
            }
            Self::Bsw | Self::Bsf => {
                "55° gauge sits without light, crests and roots rounded; spanners named by the bolt, not by the flats"
            }
            Self::Ba => {
                "47.5° gauge sits without light, well rounded; small sizes of instruments and electrics"
            }
            Self::Bsp => {
                "55°, on pipes and unions; named by the pipe's bore, so far larger than its name; parallel, seals on a washer"
            }
            Self::Npt => "60°, on pipes; tapers 1 in 16: the caliper reads less towards the end",
        }
    }

    /// Basic depth of thread over the pitch, from major to minor diameter on both sides.
    fn two_depths(self) -> f64 {
        match self {
            Self::Bsw | Self::Bsf | Self::Bsp => 1.280_654,
            Self::Ba => 1.2,
            _ => 1.082_532,
        }
    }

    fn table(self) -> Table {
        match self {
            Self::MetricCoarse => Table::Metric(METRIC_COARSE),
            Self::MetricFine => Table::Metric(METRIC_FINE),
            Self::MetricRare => Table::Metric(METRIC_RARE),
            Self::Unc => Table::Inch(UNC),
            Self::Unf => Table::Inch(UNF),
            Self::Unef => Table::Inch(UNEF),
            Self::Uns => Table::Inch(UNS),
            Self::Bsw => Table::Inch(BSW),
            Self::Bsf => Table::Inch(BSF),
            Self::Ba => Table::Ba(BA),
            Self::Bsp => Table::Inch(BSP),
            Self::Npt => Table::Inch(NPT),
        }
    }
}

/// Pitches of ISO 261 that large sizes have beside those of the tables, from this nominal diameter on, mm; from memory.
const LARGE_METRIC: (f64, &[f64]) = (35.0, &[1.5, 2.0, 3.0, 4.0]);
/// Threads per inch of the constant-pitch series of ASME B1.1, and the size from which on each is made, in; from memory.
const CONSTANT: &[(f64, f64)] = &[
    (32.0, 0.138),
    (28.0, 0.216),
    (20.0, 0.25),
    (16.0, 0.375),
    (12.0, 0.5625),
    (8.0, 1.0),
    (6.0, 1.375),
    (4.0, 2.5),
];

/// The pitches known here for a thread's size, in words, where its own is none of them; nothing where it is one.
pub(crate) fn other_pitches(thread: &Thread) -> Option<String> {
    let alike = |one: f64, other: f64| (one - other).abs() < 1e-6 * one.max(1.0);
    let (size, pitches): (f64, Vec<f64>) = match thread.form() {
        Form::Metric => {
            let size = thread.nominal().in_mm();
            let tables = [METRIC_COARSE, METRIC_FINE, METRIC_RARE].into_iter().flatten();
            let listed = tables.filter(|(d, _)| alike(*d, size)).map(|(_, pitch)| *pitch);
            let large = LARGE_METRIC.1.iter().copied().filter(|_| size >= LARGE_METRIC.0);
            (thread.pitch().in_mm(), listed.chain(large).collect())
        }
        Form::Unified => {
            let size = thread.nominal().in_inch();
            let tables = [UNC, UNF, UNEF, UNS].into_iter().flatten();
            let listed = tables.filter(|(_, d, _)| alike(*d, size)).map(|(_, _, n)| *n);
            let constant = CONSTANT.iter().filter(|(_, from)| size >= from - 1e-9);
            (
                1.0 / thread.pitch().in_inch(),
                listed.chain(constant.map(|(n, _)| *n)).collect(),
            )
        }
    };
    if pitches.iter().any(|known| alike(*known, size)) {
        return None;
    }
    let known: Vec<String> = pitches.iter().map(ToString::to_string).collect();
    Some(match (known.is_empty(), thread.form()) {
        (true, _) => "none is known for it".to_owned(),
        (false, Form::Metric) => format!("known are {} mm", known.join(", ")),
        (false, Form::Unified) => format!("known are {} to the inch", known.join(", ")),
    })
}

enum Table {
    /// Diameter and pitch in mm.
    Metric(&'static [(f64, f64)]),
    /// Name, diameter in inches, threads per inch.
    Inch(&'static [(&'static str, f64, f64)]),
    /// Name, diameter and pitch in mm.
    Ba(&'static [(&'static str, f64, f64)]),
}

/// Source: ISO 261 and ISO 262, from memory.
const METRIC_COARSE: &[(f64, f64)] = &[
    (1.0, 0.25),
    (1.2, 0.25),
    (1.4, 0.3),
    (1.6, 0.35),
    (1.8, 0.35),
    (2.0, 0.4),
    (2.2, 0.45),
    (2.5, 0.45),
    (3.0, 0.5),
    (3.5, 0.6),
    (4.0, 0.7),
    (4.5, 0.75),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (9.0, 1.25),
    (10.0, 1.5),
    (11.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
    (27.0, 3.0),
    (30.0, 3.5),
    (33.0, 3.5),
    (36.0, 4.0),
    (39.0, 4.0),
    (42.0, 4.5),
    (45.0, 4.5),
    (48.0, 5.0),
    (52.0, 5.0),
    (56.0, 5.5),
    (60.0, 5.5),
    (64.0, 6.0),
];

/// Source: ISO 261, from memory.
const METRIC_FINE: &[(f64, f64)] = &[
    (2.0, 0.25),
    (2.5, 0.35),
    (3.0, 0.35),
    (4.0, 0.5),
    (5.0, 0.5),
    (6.0, 0.75),
    (7.0, 0.75),
    (8.0, 1.0),
    (8.0, 0.75),
    (9.0, 1.0),
    (10.0, 1.25),
    (10.0, 1.0),
    (10.0, 0.75),
    (11.0, 1.0),
    (12.0, 1.5),
    (12.0, 1.25),
    (12.0, 1.0),
    (14.0, 1.5),
    (14.0, 1.25),
    (14.0, 1.0),
    (15.0, 1.5),
    (16.0, 1.5),
    (16.0, 1.0),
    (17.0, 1.5),
    (18.0, 2.0),
    (18.0, 1.5),
    (18.0, 1.0),
    (20.0, 2.0),
    (20.0, 1.5),
    (20.0, 1.0),
    (22.0, 2.0),
    (22.0, 1.5),
    (22.0, 1.0),
    (24.0, 2.0),
    (24.0, 1.5),
    (24.0, 1.0),
    (25.0, 2.0),
    (25.0, 1.5),
    (26.0, 1.5),
    (27.0, 2.0),
    (27.0, 1.5),
    (28.0, 1.5),
    (30.0, 3.0),
    (30.0, 2.0),
    (30.0, 1.5),
    (32.0, 2.0),
    (32.0, 1.5),
    (33.0, 2.0),
    (33.0, 1.5),
    (36.0, 3.0),
    (36.0, 2.0),
    (36.0, 1.5),
    (39.0, 3.0),
    (42.0, 3.0),
    (45.0, 3.0),
    (48.0, 3.0),
];

/// Older national metric sizes that taps are still sold for; common practice, no source.
const METRIC_RARE: &[(f64, f64)] = &[
    (1.5, 0.35),
    (2.3, 0.4),
    (2.6, 0.45),
    (2.0, 0.45),
    (3.0, 0.6),
    (4.0, 0.75),
    (5.0, 1.0),
    (5.0, 0.9),
    (5.5, 0.9),
    (5.5, 0.5),
    (19.0, 2.5),
    (21.0, 2.0),
];

/// Source: ASME B1.1, from memory.
const UNC: &[(&str, f64, f64)] = &[
    ("No. 1", 0.073, 64.0),
    ("No. 2", 0.086, 56.0),
    ("No. 3", 0.099, 48.0),
    ("No. 4", 0.112, 40.0),
    ("No. 5", 0.125, 40.0),
    ("No. 6", 0.138, 32.0),
    ("No. 8", 0.164, 32.0),
    ("No. 10", 0.190, 24.0),
    ("No. 12", 0.216, 24.0),
    ("1/4", 0.25, 20.0),
    ("5/16", 0.3125, 18.0),
    ("3/8", 0.375, 16.0),
    ("7/16", 0.4375, 14.0),
    ("1/2", 0.5, 13.0),
    ("9/16", 0.5625, 12.0),
    ("5/8", 0.625, 11.0),
    ("3/4", 0.75, 10.0),
    ("7/8", 0.875, 9.0),
    ("1", 1.0, 8.0),
    ("1 1/8", 1.125, 7.0),
    ("1 1/4", 1.25, 7.0),
    ("1 3/8", 1.375, 6.0),
    ("1 1/2", 1.5, 6.0),
    ("1 3/4", 1.75, 5.0),
    ("2", 2.0, 4.5),
    ("2 1/4", 2.25, 4.5),
    ("2 1/2", 2.5, 4.0),
];

/// Source: ASME B1.1, from memory.
const UNF: &[(&str, f64, f64)] = &[
    ("No. 0", 0.060, 80.0),
    ("No. 1", 0.073, 72.0),
    ("No. 2", 0.086, 64.0),
    ("No. 3", 0.099, 56.0),
    ("No. 4", 0.112, 48.0),
    ("No. 5", 0.125, 44.0),
    ("No. 6", 0.138, 40.0),
    ("No. 8", 0.164, 36.0),
    ("No. 10", 0.190, 32.0),
    ("No. 12", 0.216, 28.0),
    ("1/4", 0.25, 28.0),
    ("5/16", 0.3125, 24.0),
    ("3/8", 0.375, 24.0),
    ("7/16", 0.4375, 20.0),
    ("1/2", 0.5, 20.0),
    ("9/16", 0.5625, 18.0),
    ("5/8", 0.625, 18.0),
    ("3/4", 0.75, 16.0),
    ("7/8", 0.875, 14.0),
    ("1", 1.0, 12.0),
    ("1 1/8", 1.125, 12.0),
    ("1 1/4", 1.25, 12.0),
    ("1 3/8", 1.375, 12.0),
    ("1 1/2", 1.5, 12.0),
];

/// Source: ASME B1.1, from memory.
const UNEF: &[(&str, f64, f64)] = &[
    ("No. 12", 0.216, 32.0),
    ("1/4", 0.25, 32.0),
    ("5/16", 0.3125, 32.0),
    ("3/8", 0.375, 32.0),
    ("7/16", 0.4375, 28.0),
    ("1/2", 0.5, 28.0),
    ("9/16", 0.5625, 24.0),
    ("5/8", 0.625, 24.0),
    ("11/16", 0.6875, 24.0),
    ("3/4", 0.75, 20.0),
    ("13/16", 0.8125, 20.0),
    ("7/8", 0.875, 20.0),
    ("15/16", 0.9375, 20.0),
    ("1", 1.0, 20.0),
    ("1 1/16", 1.0625, 18.0),
    ("1 1/8", 1.125, 18.0),
    ("1 3/16", 1.1875, 18.0),
    ("1 1/4", 1.25, 18.0),
    ("1 5/16", 1.3125, 18.0),
    ("1 3/8", 1.375, 18.0),
    ("1 7/16", 1.4375, 18.0),
    ("1 1/2", 1.5, 18.0),
];

/// Sizes outside the series that bolts and taps are still made in; common practice, no source.
const UNS: &[(&str, f64, f64)] = &[
    ("No. 4", 0.112, 36.0),
    ("No. 12", 0.216, 36.0),
    ("1/4", 0.25, 24.0),
    ("1", 1.0, 14.0),
];

/// Source: BS 84, from memory.
const BSW: &[(&str, f64, f64)] = &[
    ("1/8", 0.125, 40.0),
    ("5/32", 0.156_25, 32.0),
    ("3/16", 0.1875, 24.0),
    ("7/32", 0.218_75, 24.0),
    ("1/4", 0.25, 20.0),
    ("5/16", 0.3125, 18.0),
    ("3/8", 0.375, 16.0),
    ("7/16", 0.4375, 14.0),
    ("1/2", 0.5, 12.0),
    ("9/16", 0.5625, 12.0),
    ("5/8", 0.625, 11.0),
    ("11/16", 0.6875, 11.0),
    ("3/4", 0.75, 10.0),
    ("7/8", 0.875, 9.0),
    ("1", 1.0, 8.0),
    ("1 1/8", 1.125, 7.0),
    ("1 1/4", 1.25, 7.0),
    ("1 1/2", 1.5, 6.0),
];

/// Source: BS 84, from memory.
const BSF: &[(&str, f64, f64)] = &[
    ("3/16", 0.1875, 32.0),
    ("7/32", 0.218_75, 28.0),
    ("1/4", 0.25, 26.0),
    ("9/32", 0.281_25, 26.0),
    ("5/16", 0.3125, 22.0),
    ("3/8", 0.375, 20.0),
    ("7/16", 0.4375, 18.0),
    ("1/2", 0.5, 16.0),
    ("9/16", 0.5625, 16.0),
    ("5/8", 0.625, 14.0),
    ("11/16", 0.6875, 14.0),
    ("3/4", 0.75, 12.0),
    ("7/8", 0.875, 11.0),
    ("1", 1.0, 10.0),
    ("1 1/8", 1.125, 9.0),
    ("1 1/4", 1.25, 9.0),
    ("1 3/8", 1.375, 8.0),
    ("1 1/2", 1.5, 8.0),
];

/// Diameter and pitch in mm: p = 0.9^k, D = 6·p^1.2 of the pitch before it is rounded, each to two figures (BS 93).
const BA: &[(&str, f64, f64)] = &[
    ("0", 6.0, 1.0),
    ("1", 5.3, 0.9),
    ("2", 4.7, 0.81),
    ("3", 4.1, 0.73),
    ("4", 3.6, 0.66),
    ("5", 3.2, 0.59),
    ("6", 2.8, 0.53),
    ("7", 2.5, 0.48),
    ("8", 2.2, 0.43),
    ("9", 1.9, 0.39),
    ("10", 1.7, 0.35),
    ("11", 1.5, 0.31),
    ("12", 1.3, 0.28),
    ("13", 1.2, 0.25),
    ("14", 1.0, 0.23),
    ("15", 0.9, 0.21),
    ("16", 0.79, 0.19),
];

/// Source: ISO 228-1, major diameters in mm turned to inches; from memory.
const BSP: &[(&str, f64, f64)] = &[
    ("1/16", 7.723 / 25.4, 28.0),
    ("1/8", 9.728 / 25.4, 28.0),
    ("1/4", 13.157 / 25.4, 19.0),
    ("3/8", 16.662 / 25.4, 19.0),
    ("1/2", 20.955 / 25.4, 14.0),
    ("5/8", 22.911 / 25.4, 14.0),
    ("3/4", 26.441 / 25.4, 14.0),
    ("7/8", 30.201 / 25.4, 14.0),
    ("1", 33.249 / 25.4, 11.0),
    ("1 1/8", 37.897 / 25.4, 11.0),
    ("1 1/4", 41.910 / 25.4, 11.0),
    ("1 1/2", 47.803 / 25.4, 11.0),
    ("1 3/4", 53.746 / 25.4, 11.0),
    ("2", 59.614 / 25.4, 11.0),
];

/// Source: ASME B1.20.1, outside diameters of the pipe; from memory.
const NPT: &[(&str, f64, f64)] = &[
    ("1/16", 0.3125, 27.0),
    ("1/8", 0.405, 27.0),
    ("1/4", 0.540, 18.0),
    ("3/8", 0.675, 18.0),
    ("1/2", 0.840, 14.0),
    ("3/4", 1.050, 14.0),
    ("1", 1.315, 11.5),
    ("1 1/4", 1.660, 11.5),
    ("1 1/2", 1.900, 11.5),
    ("2", 2.375, 11.5),
];

impl Size {
    /// `M10×1.5`, `1/4-20 UNC`, `0 BA`, `G 1/4 (19 per inch)`.
    pub fn name(&self) -> String {
        let (label, per_inch) = (self.label, self.per_inch);
        match self.family {
            Family::MetricCoarse | Family::MetricFine | Family::MetricRare => {
                format!("M{}×{}", self.major.in_mm(), self.pitch.in_mm())
            }
            Family::Unc => format!("{label}-{per_inch} UNC"),
            Family::Unf => format!("{label}-{per_inch} UNF"),
            Family::Unef => format!("{label}-{per_inch} UNEF"),
            Family::Uns => format!("{label}-{per_inch} UNS"),
            Family::Bsw => format!("{label} BSW ({per_inch} per inch)"),
            Family::Bsf => format!("{label} BSF ({per_inch} per inch)"),
            Family::Ba => format!("{label} BA"),
            Family::Bsp => format!("G {label} ({per_inch} per inch)"),
            Family::Npt => format!("{label}-{per_inch} NPT"),
        }
    }

    /// What a caliper may read over a sound external thread: from, to. Metric 6g by ISO 965-1; the others alike (Unified 2A differs
    /// by less than a caliper's error); a taper thread reads less towards its end.
    fn external(&self) -> (f64, f64) {
        let (major, pitch) = (self.major.in_mm(), self.pitch.in_mm());
        let tolerance = (180.0 * libm::pow(pitch, 2.0 / 3.0) - 3.15 / pitch.sqrt()) / 1_000.0;
        let below = (15.0 + 11.0 * pitch) / 1_000.0;
        let taper = if self.family == Family::Npt {
            pitch * 8.0 / 16.0
        } else {
            0.0
        };
        (major - below - tolerance - taper, major)
    }

    /// What a caliper may read in an internal thread, over the crests: the minor diameter and a tolerance of it.
    fn internal(&self) -> (f64, f64) {
        let pitch = self.pitch.in_mm();
        let minor = self.major.in_mm() - self.family.two_depths() * pitch;
        let taper = if self.family == Family::Npt {
            pitch * 8.0 / 16.0
        } else {
            0.0
        };
        (minor - taper, minor + 0.19 * pitch + 0.03)
    }
}

/// Every size of every family.
pub fn sizes() -> impl Iterator<Item = Size> {
    Family::ALL.iter().flat_map(|family| {
        let family = *family;
        let (metric, inch, ba): (&[(f64, f64)], &[_], &[_]) = match family.table() {
            Table::Metric(rows) => (rows, &[], &[]),
            Table::Inch(rows) => (&[], rows, &[]),
            Table::Ba(rows) => (&[], &[], rows),
        };
        let mm = move |label, major, pitch| Size {
            family,
            label,
            major: Length::from_mm(major),
            pitch: Length::from_mm(pitch),
            per_inch: 0.0,
        };
        let metric = metric.iter().map(move |(major, pitch)| mm("", *major, *pitch));
        let ba = ba
            .iter()
            .map(move |(label, major, pitch)| mm(*label, *major, *pitch));
        let inch = inch.iter().map(move |(label, major, per_inch)| Size {
            family,
            label,
            major: Length::from_inch(*major),
            pitch: Length::from_inch(1.0 / per_inch),
            per_inch: *per_inch,
        });
        metric.chain(ba).chain(inch)
    })
}

/// A size that a measured thread may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Likeness {
    /// The size.
    pub size: Size,
    /// The pitch is off by this part of it.
    pub pitch_off: f64,
    /// The diameter lies outside what a sound thread of this size measures by this much; nought where it is inside.
    pub diameter_off: Length,
    /// Nought is as like as can be; more is less like.
    pub unlike: f64,
}

/// A pitch off by this part counts as one.
const PITCH_STEP: f64 = 0.015;
/// A diameter outside by this, in mm, counts as one.
const DIAMETER_STEP: f64 = 0.08;
/// What is less like than this is not offered.
const MOST_UNLIKE: f64 = 4.0;

/// Which sizes a thread of this diameter (over the crests; in a hole, between them) and pitch may be, the likest first.
pub fn identify(diameter: Length, pitch: Length, internal: bool) -> Vec<Likeness> {
    let measured = diameter.in_mm();
    let mut found: Vec<(Likeness, f64)> = sizes()
        .filter_map(|size| {
            let pitch_off = ((pitch - size.pitch) / size.pitch).abs();
            let (low, high) = if internal {
                size.internal()
            } else {
                size.external()
            };
            let outside = (low - measured).max(measured - high).max(0.0);
            // What a float leaves of nought is nought.
            let part = |off: f64, step: f64| if off < 1e-6 { 0.0 } else { off / step };
            let unlike = part(pitch_off, PITCH_STEP) + part(outside, DIAMETER_STEP);
            let likeness = Likeness {
                size,
                pitch_off,
                diameter_off: Length::from_mm(outside),
                unlike,
            };
            let nominal = if internal { low } else { high };
            (unlike < MOST_UNLIKE).then(|| (likeness, (nominal - measured).abs()))
        })
        .collect();
    let key = |(likeness, from_nominal): &(Likeness, f64)| {
        // To a thousandth: what floats leave must not decide.
        let round = |value: f64| (value * 1_000.0).round() as i64;
        (round(likeness.unlike), round(*from_nominal), likeness.size.family)
    };
    found.sort_by_key(key);
    found.into_iter().map(|(likeness, _)| likeness).collect()
}
