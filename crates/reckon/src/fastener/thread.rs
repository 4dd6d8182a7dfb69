//! Metric and Unified threads as typed (`M10x1.25`, `3/8-24`, `1/4 UNF`, `10-32`), and the diameters that follow.
//!
//! Never takes `M10 fine` for one pitch, nor a Whitworth thread for a Unified one.

use crate::quantity::{Area, Exact, Length};
use crate::typed::{Candidate, Code, Unclear, parse_number};

/// The form of a thread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// ISO metric, 60°.
    Metric,
    /// Unified inch, 60°.
    Unified,
}

/// An external thread.
#[derive(Clone, Debug, PartialEq)]
pub struct Thread {
    form: Form,
    nominal: Length,
    pitch: Length,
    name: String,
    coarse_by_default: bool,
}

/// Coarse pitches, mm. Source: ISO 261, from memory.
const COARSE: &[(f64, f64)] = &[
    (1.6, 0.35),
    (2.0, 0.4),
    (2.5, 0.45),
    (3.0, 0.5),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
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
];

/// Diameter as typed, inches, UNC and UNF threads per inch. Source: ASME B1.1, from memory.
const SERIES: &[(&str, f64, f64)] = &[
    ("1/4", 20.0, 28.0),
    ("5/16", 18.0, 24.0),
    ("3/8", 16.0, 24.0),
    ("7/16", 14.0, 20.0),
    ("1/2", 13.0, 20.0),
    ("9/16", 12.0, 18.0),
    ("5/8", 11.0, 18.0),
    ("3/4", 10.0, 16.0),
    ("7/8", 9.0, 14.0),
    ("1", 8.0, 12.0),
];

/// Pitch in mm, and in µm the deviation of g and the tolerance 6 of a bolt's major diameter. Source: ISO 965-1, from memory.
const SIX_G: &[(f64, f64, f64)] = &[
    (0.25, 18.0, 67.0),
    (0.3, 18.0, 75.0),
    (0.35, 19.0, 85.0),
    (0.4, 19.0, 95.0),
    (0.45, 20.0, 100.0),
    (0.5, 20.0, 106.0),
    (0.6, 21.0, 125.0),
    (0.7, 22.0, 140.0),
    (0.75, 22.0, 140.0),
    (0.8, 24.0, 150.0),
    (1.0, 26.0, 180.0),
    (1.25, 28.0, 212.0),
    (1.5, 32.0, 236.0),
    (1.75, 34.0, 265.0),
    (2.0, 38.0, 280.0),
    (2.5, 42.0, 335.0),
    (3.0, 48.0, 375.0),
    (3.5, 53.0, 425.0),
    (4.0, 60.0, 475.0),
    (4.5, 63.0, 500.0),
    (5.0, 71.0, 530.0),
    (5.5, 75.0, 560.0),
    (6.0, 80.0, 600.0),
];

/// Nominal diameter over and up to, pitch, all in mm, and in µm the tolerance 6 of a nut's pitch diameter. Source: ISO 965-1, from memory.
const SIX_H: &[(f64, f64, f64, f64)] = &[
    (1.4, 2.8, 0.35, 85.0),
    (1.4, 2.8, 0.4, 90.0),
    (1.4, 2.8, 0.45, 95.0),
    (2.8, 5.6, 0.35, 90.0),
    (2.8, 5.6, 0.5, 100.0),
    (2.8, 5.6, 0.6, 112.0),
    (2.8, 5.6, 0.7, 118.0),
    (2.8, 5.6, 0.75, 118.0),
    (2.8, 5.6, 0.8, 125.0),
    (5.6, 11.2, 0.75, 132.0),
    (5.6, 11.2, 1.0, 150.0),
    (5.6, 11.2, 1.25, 160.0),
    (5.6, 11.2, 1.5, 180.0),
    (11.2, 22.4, 1.0, 160.0),
    (11.2, 22.4, 1.25, 180.0),
    (11.2, 22.4, 1.5, 190.0),
    (11.2, 22.4, 1.75, 200.0),
    (11.2, 22.4, 2.0, 212.0),
    (11.2, 22.4, 2.5, 224.0),
    (22.4, 45.0, 1.0, 170.0),
    (22.4, 45.0, 1.5, 200.0),
    (22.4, 45.0, 2.0, 224.0),
    (22.4, 45.0, 3.0, 265.0),
    (22.4, 45.0, 3.5, 280.0),
    (22.4, 45.0, 4.0, 300.0),
    (22.4, 45.0, 4.5, 315.0),
    (45.0, 90.0, 1.5, 212.0),
    (45.0, 90.0, 2.0, 236.0),
    (45.0, 90.0, 3.0, 280.0),
    (45.0, 90.0, 4.0, 315.0),
    (45.0, 90.0, 5.0, 335.0),
    (45.0, 90.0, 5.5, 355.0),
    (45.0, 90.0, 6.0, 375.0),
];

impl Thread {
    /// Reads a thread as typed.
    ///
    /// # Errors
    /// [`Unclear`] with [`Code::UnknownThread`] where it is none, or of a form not reckoned with; with candidates where
    /// the pitch is in doubt; with [`Code::Impossible`] where the diameter is outside 1–100 mm or the pitch does not fit.
    pub fn read(text: &str) -> Result<Self, Unclear> {
        if text.len() > 64 {
            return Err(Unclear::new(
                Code::TooLong,
                "That is longer than any thread is written.",
            ));
        }
        let folded: String = text
            .trim()
            .to_lowercase()
            .replace(['×', '*'], "x")
            .replace(['–', '−'], "-")
            .replace(['"', '″'], "");
        if ["bs", "ba", "whit", "bsp", "npt"]
            .iter()
            .any(|form| folded.contains(form))
        {
            return Err(unknown(
                "Only metric and Unified threads are reckoned with here; give the diameter and a nut factor instead.",
            ));
        }
        match folded.strip_prefix('m') {
            Some(rest) => metric(rest),
            None => inch(&folded),
        }
    }

    fn sized(
        form: Form,
        nominal: Length,
        pitch: Length,
        name: String,
        coarse_by_default: bool,
    ) -> Result<Self, Unclear> {
        if !(1.0..=100.0).contains(&nominal.in_mm()) {
            return Err(Unclear::new(
                Code::Impossible,
                "The diameter of a thread must be from 1 mm to 100 mm.",
            ));
        }
        // The finest and coarsest pitches of the standards lie well inside.
        if pitch.in_mm() < 0.1 || pitch / nominal > 0.3 {
            return Err(Unclear::new(
                Code::Impossible,
                format!("No thread of that diameter has the pitch of {name}."),
            ));
        }
        Ok(Self {
            form,
            nominal,
            pitch,
            name,
            coarse_by_default,
        })
    }

    /// The form.
    pub fn form(&self) -> Form {
        self.form
    }

    /// The nominal diameter d.
    pub fn nominal(&self) -> Length {
        self.nominal
    }

    /// The pitch P.
    pub fn pitch(&self) -> Length {
        self.pitch
    }

    /// `M10×1.25` or `3/8-24`.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Was no pitch typed, so that the coarse one was taken, as the standard says?
    pub fn coarse_by_default(&self) -> bool {
        self.coarse_by_default
    }

    /// The name with what it is.
    pub fn words(&self) -> String {
        match self.form {
            Form::Metric => format!("{}, ISO metric", self.name),
            Form::Unified => format!("{}, Unified", self.name),
        }
    }

    /// The pitch diameter d2 = d − 0.649519·P (ISO 724; ASME B1.1 has the same basic profile).
    pub fn pitch_diameter(&self) -> Length {
        self.nominal - self.pitch * 0.649_519
    }

    /// The minor diameter of the bolt d3 = d − 1.226869·P (ISO 724, rounded root).
    pub fn root_diameter(&self) -> Length {
        self.nominal - self.pitch * 1.226_869
    }

    /// The minor diameter of the nut D1 = d − 1.082532·P (ISO 724).
    pub fn nut_minor_diameter(&self) -> Length {
        self.nominal - self.pitch * 1.082_532
    }

    /// The mean of pitch and root diameter, d0.
    pub fn stress_diameter(&self) -> Length {
        (self.pitch_diameter() + self.root_diameter()) / 2.0
    }

    /// The least major diameter of a sound bolt: 6g (ISO 965-1, by its table, and by its formula where a pitch is not in that) or 2A
    /// (ASME B1.1). Tables and formulas from memory.
    pub fn least_major(&self) -> Length {
        match self.form {
            Form::Metric => {
                let pitch = self.pitch.in_mm();
                if let Some((_, es, td)) = SIX_G.iter().find(|(p, _, _)| (p - pitch).abs() < 1e-9) {
                    return self.nominal - Length::from_um(es + td);
                }
                let tolerance = 180.0 * libm::pow(pitch, 2.0 / 3.0) - 3.15 / pitch.sqrt();
                self.nominal - Length::from_um(15.0 + 11.0 * pitch + tolerance)
            }
            Form::Unified => {
                let tolerance = 0.06 * libm::pow(self.pitch.in_inch(), 2.0 / 3.0);
                self.nominal - Length::from_inch(0.3 * self.unified_pitch_tolerance() + tolerance)
            }
        }
    }

    /// The greatest pitch diameter of a sound tapped thread: 6H (ISO 965-1, as above) or 2B (ASME B1.1). Tables and formulas from
    /// memory.
    pub fn most_nut_pitch_diameter(&self) -> Length {
        match self.form {
            Form::Metric => {
                let (pitch, nominal) = (self.pitch.in_mm(), self.nominal.in_mm());
                let row = SIX_H.iter().find(|(over, upto, p, _)| {
                    nominal > *over && nominal <= upto + 1e-9 && (p - pitch).abs() < 1e-9
                });
                if let Some((_, _, _, tolerance)) = row {
                    return self.pitch_diameter() + Length::from_um(*tolerance);
                }
                let bolt = 90.0 * libm::pow(pitch, 0.4) * libm::pow(nominal, 0.1);
                self.pitch_diameter() + Length::from_um(1.32 * bolt)
            }
            Form::Unified => self.pitch_diameter() + Length::from_inch(1.3 * self.unified_pitch_tolerance()),
        }
    }

    /// The tolerance of a 2A bolt's pitch diameter in inches, for an engagement of one diameter.
    fn unified_pitch_tolerance(&self) -> f64 {
        let (nominal, pitch) = (self.nominal.in_inch(), self.pitch.in_inch());
        0.001_5 * libm::cbrt(nominal) + 0.001_5 * nominal.sqrt() + 0.015 * libm::pow(pitch, 2.0 / 3.0)
    }

    /// The tensile stress area: ISO 898-1 for metric threads, ASME B1.1 for Unified ones. The two constants are not the same.
    pub fn stress_area(&self) -> Area {
        match self.form {
            Form::Metric => self.stress_diameter().circle(),
            Form::Unified => (self.nominal - self.pitch * 0.974_3).circle(),
        }
    }
}

fn unknown(words: impl Into<String>) -> Unclear {
    Unclear::new(Code::UnknownThread, words)
}

const HOW: &str = "Type a thread like M10x1.25, M8, 3/8-24, 1/4 UNF or 10-32.";

/// A number inside a thread's name, and the rest.
fn leading(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .unwrap_or(text.len());
    text.split_at(end)
}

/// The number of a part of a thread's name.
fn number(text: &str) -> Result<Exact, Unclear> {
    parse_number(text).map_err(|_| unknown(HOW))
}

fn coarse(nominal: f64) -> Option<f64> {
    COARSE
        .iter()
        .find(|(d, _)| (d - nominal).abs() < 1e-9)
        .map(|(_, pitch)| *pitch)
}

fn metric(rest: &str) -> Result<Thread, Unclear> {
    let (diameter, rest) = leading(rest.trim_start());
    let nominal = number(diameter)?;
    let rest = rest.trim();
    let named = |pitch: &Exact| format!("M{nominal}×{pitch}");
    let length = |exact: &Exact| Length::from_mm(exact.to_f64());
    if let Some(pitch) = rest.strip_prefix(['x', '-']) {
        let (pitch, tail) = leading(pitch.trim());
        if !matches!(tail.trim(), "" | "mm") {
            return Err(unknown(HOW));
        }
        let pitch = number(pitch)?;
        return Thread::sized(
            Form::Metric,
            length(&nominal),
            length(&pitch),
            named(&pitch),
            false,
        );
    }
    if !matches!(rest, "" | "coarse") {
        // `M10 fine`: there is more than one fine pitch.
        let fine = ["0.75", "1", "1.25", "1.5", "2"].iter().filter(|pitch| {
            pitch
                .parse::<f64>()
                .is_ok_and(|p| coarse(nominal.to_f64()).is_some_and(|c| p < c && p / c > 0.5))
        });
        let candidates = fine
            .map(|pitch| Candidate::new(format!("M{nominal}x{pitch}"), "a fine pitch"))
            .collect();
        return Err(unknown(format!("Which pitch? {HOW}")).offering(candidates));
    }
    let Some(pitch) = coarse(nominal.to_f64()) else {
        return Err(unknown(format!(
            "M{nominal} has no coarse pitch that is known here; type the pitch too, like M10x1.25."
        )));
    };
    let name = format!("M{nominal}×{pitch}");
    Thread::sized(
        Form::Metric,
        length(&nominal),
        Length::from_mm(pitch),
        name,
        rest.is_empty(),
    )
}

fn inch(text: &str) -> Result<Thread, Unclear> {
    let (hash, text) = match text.strip_prefix('#').or_else(|| text.strip_prefix("no.")) {
        Some(rest) => (true, rest.trim()),
        None => (false, text),
    };
    let (body, series) = match text.split_once("un") {
        Some((body, series)) => (body.trim().trim_end_matches('-').trim(), Some(series.trim())),
        None => (text.trim_end_matches("in").trim(), None),
    };
    let (size, tpi) = match body.rsplit_once(['-', 'x']) {
        Some((size, tpi)) => (size.trim().trim_end_matches("in").trim(), Some(tpi.trim())),
        None => (body.trim_end_matches("in").trim(), None),
    };
    let Some(tpi) = tpi else {
        return by_series(size, series);
    };
    // `1-1/4-7` is how the trade writes 1 1/4 in with 7 threads.
    let parted = size.split_once('-').filter(|(inches, part)| {
        inches.bytes().all(|byte| byte.is_ascii_digit()) && !inches.is_empty() && part.contains('/')
    });
    let spaced = parted.map(|(inches, part)| format!("{inches} {}", part.trim()));
    let size = spaced.as_deref().unwrap_or(size);
    let per_inch = number(tpi)?;
    // Numbered sizes 0 to 12: 0.060 in + 0.013 in a step (ASME B1.1). They have 24 threads per inch or more, number 1 has 64
    // or 72; a whole number of inches never has as many, so `10-32` and `2-4.5` are both certain.
    let least = if hash {
        0.0
    } else if size == "1" {
        56.0
    } else {
        24.0
    };
    let numbered = size
        .parse::<u8>()
        .ok()
        .filter(|n| *n <= 12 && per_inch.to_f64() >= least);
    let (nominal, name) = match numbered {
        Some(n) => (0.060 + 0.013 * f64::from(n), format!("{n}-{per_inch}")),
        None => (number(size)?.to_f64(), format!("{size}-{per_inch}")),
    };
    let Some(pitch) = Exact::from(1).over(&per_inch) else {
        return Err(unknown(HOW));
    };
    Thread::sized(
        Form::Unified,
        Length::from_inch(nominal),
        Length::from_inch(pitch.to_f64()),
        name,
        false,
    )
}

/// `1/4 UNF`: the threads per inch by the table.
fn by_series(size: &str, series: Option<&str>) -> Result<Thread, Unclear> {
    let Some((name, unc, unf)) = SERIES.iter().find(|(known, _, _)| *known == size) else {
        return Err(unknown(HOW));
    };
    let per_inch = match series {
        Some("c") => *unc,
        Some("f") => *unf,
        _ => {
            let candidates = vec![
                Candidate::new(format!("{name}-{unc}"), "Unified coarse"),
                Candidate::new(format!("{name}-{unf}"), "Unified fine"),
            ];
            return Err(unknown(format!("How many threads per inch? {HOW}")).offering(candidates));
        }
    };
    let nominal = Length::from_inch(number(name)?.to_f64());
    Thread::sized(
        Form::Unified,
        nominal,
        Length::from_inch(1.0 / per_inch),
        format!("{name}-{per_inch}"),
        false,
    )
}
