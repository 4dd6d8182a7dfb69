//! The families of threads that an old car may have, and which of them a measured thread may be.
//!
//! An external thread measures under its nominal diameter, so the pitch speaks first. Never says that a thread is of a family
//! for certain: sizes of two families may be alike to a caliper.

use super::series::{
    BA, BSF, BSP, BSW, CONSTANT, LARGE_METRIC, METRIC_COARSE, METRIC_FINE, METRIC_RARE, NPT, UNC, UNEF, UNF,
    UNS,
};
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

/// The pitches known here for a thread's size, in words, where its own is none of them; nothing where it is one.
pub(crate) fn other_pitches(thread: &Thread) -> Option<String> {
    let alike = |one: f64, other: f64| (one - other).abs() < 1e-6 * one.max(1.0);
    let (own, pitches): (f64, Vec<f64>) = match thread.form() {
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
    if pitches.iter().any(|known| alike(*known, own)) {
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
