//! Uncertainties and how they add up. Source: JCGM 100:2008 (4.2, 4.3, 5.1, annex G).
//!
//! Never guesses at a spread: each contribution says which law it follows.

/// The uncertainty of a value, in the value's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// Standard uncertainty u; not negative.
    pub standard: f64,
    /// Coverage factor k; the expanded uncertainty is k·u.
    pub coverage: f64,
}

impl Uncertainty {
    /// None at all: the value is taken as it stands.
    pub const NONE: Self = Self {
        standard: 0.0,
        coverage: 2.0,
    };

    /// From an expanded uncertainty U with its coverage factor (2 for about 95 %). A sign does not count; anything that is no
    /// number counts as no knowledge at all: then nothing can be called.
    pub fn expanded_by(expanded: f64, coverage: f64) -> Self {
        let coverage = if coverage > 0.0 && coverage.is_finite() {
            coverage
        } else {
            2.0
        };
        Self {
            standard: (expanded / coverage).abs(),
            coverage,
        }
    }

    /// From a standard uncertainty, with the usual factor of 2.
    pub fn standard(standard: f64) -> Self {
        Self::expanded_by(standard * 2.0, 2.0)
    }

    /// The expanded uncertainty U = k·u.
    pub fn expanded(self) -> f64 {
        self.standard * self.coverage
    }
}

/// One contribution to an uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// Its standard uncertainty.
    pub standard: f64,
    /// How much the result moves with it: the sensitivity c, in result per contribution.
    pub sensitivity: f64,
    /// Degrees of freedom; `None` where it is known well (from a certificate, a limit).
    pub freedom: Option<f64>,
}

impl Contribution {
    /// A standard uncertainty that counts in full.
    pub fn standard(standard: f64) -> Self {
        Self {
            standard,
            sensitivity: 1.0,
            freedom: None,
        }
    }

    /// Known only to lie within ±`half`, anywhere in it alike: a/√3 (JCGM 100, 4.3.7).
    pub fn rectangular(half: f64) -> Self {
        Self::standard(half / 3.0_f64.sqrt())
    }

    /// Within ±`half`, likelier in the middle: a/√6 (JCGM 100, 4.3.9).
    pub fn triangular(half: f64) -> Self {
        Self::standard(half / 6.0_f64.sqrt())
    }

    /// Read to a step of `step`: step/√12, which is 0.29·step (JCGM 100, F.2.2.1).
    pub fn resolution(step: f64) -> Self {
        Self::standard(step / 12.0_f64.sqrt())
    }

    /// The mean of repeated readings: s/√n with n − 1 degrees of freedom (JCGM 100, 4.2.3).
    pub fn mean_of(readings: &Repeated) -> Self {
        Self {
            standard: readings.mean_deviation,
            sensitivity: 1.0,
            freedom: Some(readings.count as f64 - 1.0),
        }
    }

    /// The same with a sensitivity.
    #[must_use]
    pub fn times(self, sensitivity: f64) -> Self {
        Self { sensitivity, ..self }
    }
}

/// Contributions combined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combined {
    /// Combined standard uncertainty, √Σ(c·u)².
    pub standard: f64,
    /// Effective degrees of freedom (Welch–Satterthwaite); `None` where all is known well.
    pub freedom: Option<f64>,
    /// Coverage factor for 95.45 %.
    pub coverage: f64,
}

impl Combined {
    /// As the uncertainty of a value.
    pub fn uncertainty(self) -> Uncertainty {
        Uncertainty {
            standard: self.standard,
            coverage: self.coverage,
        }
    }
}

/// Combines independent contributions: uc² = Σ(c·u)² (JCGM 100, 5.1.2), with the effective degrees of freedom of G.4.1.
pub fn combine(contributions: &[Contribution]) -> Combined {
    let squares = |part: &Contribution| {
        let square = part.standard * part.sensitivity;
        square * square
    };
    let variance: f64 = contributions.iter().map(squares).sum();
    let shaky: f64 = contributions
        .iter()
        .filter_map(|part| {
            part.freedom
                .map(|freedom| squares(part) * squares(part) / freedom)
        })
        .sum();
    let freedom = (shaky > 0.0).then(|| variance * variance / shaky);
    Combined {
        standard: variance.sqrt(),
        freedom,
        coverage: freedom.map_or(2.0, coverage_factor),
    }
}

/// Student's t for 95.45 %, by degrees of freedom. Source: JCGM 100:2008, table G.2.
const COVERAGE: &[(f64, f64)] = &[
    (1.0, 13.97),
    (2.0, 4.53),
    (3.0, 3.31),
    (4.0, 2.87),
    (5.0, 2.65),
    (6.0, 2.52),
    (7.0, 2.43),
    (8.0, 2.37),
    (9.0, 2.32),
    (10.0, 2.28),
    (11.0, 2.25),
    (12.0, 2.23),
    (13.0, 2.21),
    (14.0, 2.20),
    (15.0, 2.18),
    (16.0, 2.17),
    (17.0, 2.16),
    (18.0, 2.15),
    (19.0, 2.14),
    (20.0, 2.13),
    (25.0, 2.11),
    (30.0, 2.09),
    (35.0, 2.07),
    (40.0, 2.06),
    (45.0, 2.06),
    (50.0, 2.05),
    (100.0, 2.025),
];

/// The coverage factor for 95.45 % at `freedom` degrees of freedom, from table G.2 of JCGM 100, truncated to the next lower row
/// as G.4.2 says. Below one degree, the row for one.
pub fn coverage_factor(freedom: f64) -> f64 {
    // A hair's breadth for floats that should be whole.
    let row = COVERAGE.iter().rev().find(|(rows, _)| *rows <= freedom + 1e-9);
    if freedom > 1_000.0 {
        return 2.0;
    }
    row.or_else(|| COVERAGE.first())
        .map_or(2.0, |(_, factor)| *factor)
}

/// Repeated readings of one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repeated {
    /// How many, at least two.
    pub count: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation s (n − 1).
    pub deviation: f64,
    /// The standard deviation of the mean, s/√n.
    pub mean_deviation: f64,
}

impl Repeated {
    /// Mean and spread of at least two readings; `None` for fewer, or where one is no number (JCGM 100, 4.2.1–4.2.3).
    pub fn of(readings: &[f64]) -> Option<Self> {
        if readings.len() < 2 || readings.iter().any(|reading| !reading.is_finite()) {
            return None;
        }
        let count = readings.len() as f64;
        let mean = readings.iter().sum::<f64>() / count;
        let squares: f64 = readings
            .iter()
            .map(|reading| (reading - mean) * (reading - mean))
            .sum();
        let deviation = (squares / (count - 1.0)).sqrt();
        Some(Self {
            count: readings.len(),
            mean,
            deviation,
            mean_deviation: deviation / count.sqrt(),
        })
    }
}
