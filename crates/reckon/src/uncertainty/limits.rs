//! A reading against its limits: in limits, out of limits, or too close to call, and which uncertainty would decide.
//!
//! Decision rule: ISO 14253-1:2017 with its default of 95 %, the probabilities by JCGM 106:2012. *In limits* is said where
//! the probability that the true value is in limits is at least 95 % and the tolerance is at least twice the expanded
//! uncertainty. *Out of limits* is said where the reading lies outside by at least 1.645 u: a reading grossly out is out,
//! whatever the tolerance. Everything between is too close to call. Never turns *out* into *in* for a coarser instrument.

use super::normal::normal_below;
use super::{Contribution, Uncertainty, combine};
use crate::answer::VerdictWord;
use crate::quantity::Kind;
use crate::typed::Typed;

/// One-sided 95 % of the normal law: Φ(1.644854) = 0.95.
pub(crate) const ONE_SIDED: f64 = 1.644_853_626_951_472_7;
/// What is nearer to a limit than this stands on it, and limits are included: a part of the largest of value and limits, and of one base
/// unit at least. Typed values are exact, and a difference of two of them as floats is off by a ten-thousandth of this; of a bore of half
/// a metre it is half a nanometre, which no instrument here can tell.
const ON_THE_LIMIT: f64 = 1e-9;
/// The probability at which a reading is called (ISO 14253-1).
const CALLED: f64 = 0.95;

/// Limits, both included, in the reading's unit. At least one end is there and low is no more than high.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    low: Option<f64>,
    high: Option<f64>,
}

/// A side of the limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The lower limit.
    Low,
    /// The upper limit.
    High,
}

impl Limits {
    /// Limits with at least one end; `None` where there is none, where they are changed over, or where one is no number.
    pub fn new(low: Option<f64>, high: Option<f64>) -> Option<Self> {
        let finite = [low, high].into_iter().flatten().all(f64::is_finite);
        let ordered = match (low, high) {
            (None, None) => false,
            (Some(low), Some(high)) => low <= high,
            _ => true,
        };
        (finite && ordered).then_some(Self { low, high })
    }

    /// Limits as typed, in the base unit of their kind; `None` as [`Limits::new`], and where the kinds differ.
    pub fn typed(low: Option<&Typed>, high: Option<&Typed>) -> Option<Self> {
        match (low, high) {
            (Some(low), Some(high)) if low.kind() != high.kind() => None,
            _ => Self::new(low.map(Typed::value), high.map(Typed::value)),
        }
    }

    /// The lower limit.
    pub fn low(self) -> Option<f64> {
        self.low
    }

    /// The upper limit.
    pub fn high(self) -> Option<f64> {
        self.high
    }

    /// The tolerance, high − low; `None` where one end is open.
    pub fn tolerance(self) -> Option<f64> {
        Some(self.high? - self.low?)
    }

    /// How far `value` is inside the nearer limit (minus: outside), and which limit that is; nought where it stands on it.
    fn inside_by(self, value: f64) -> (f64, Side) {
        let largest = [Some(value), self.low, self.high]
            .into_iter()
            .flatten()
            .map(f64::abs)
            .filter(|size| size.is_finite())
            .fold(1.0, f64::max);
        let settled = |inside: f64| {
            if inside.abs() <= ON_THE_LIMIT * largest {
                0.0
            } else {
                inside
            }
        };
        let low = self.low.map_or(f64::INFINITY, |low| settled(value - low));
        let high = self.high.map_or(f64::INFINITY, |high| settled(high - value));
        if low < high {
            (low, Side::Low)
        } else {
            (high, Side::High)
        }
    }

    /// The largest standard uncertainty below `most`, with which it is not, at which a value in limits is called in.
    ///
    /// Regula falsi with the Illinois rule (Dowell and Jarratt 1971): the probability falls as the uncertainty grows, so it lies
    /// between the ends at every step, and a few steps do where halving takes thirty.
    fn called_up_to(self, value: f64, most: f64) -> f64 {
        let over = |standard: f64| self.probability(value, standard) - CALLED;
        let (mut low, mut above) = (0.0, 1.0 - CALLED);
        let (mut high, mut below) = (most, over(most));
        let mut last = false;
        for _ in 0..STEPS {
            let next = (low * below - high * above) / (below - above);
            let at = over(next);
            if at >= 0.0 {
                (low, above) = (next, at);
                if last {
                    below /= 2.0;
                }
            } else {
                (high, below) = (next, at);
                if !last {
                    above /= 2.0;
                }
            }
            last = at >= 0.0;
            if (0.0..NOTHING).contains(&at) {
                break;
            }
        }
        low
    }

    /// The probability that the true value is in limits: Φ((TU−y)/u) − Φ((TL−y)/u) (JCGM 106, 7.2). With no uncertainty, 1 or 0.
    pub fn probability(self, value: f64, standard: f64) -> f64 {
        if standard.is_nan() {
            return 0.0;
        }
        if standard <= 0.0 {
            return if self.inside_by(value).0 >= 0.0 { 1.0 } else { 0.0 };
        }
        let above = self
            .high
            .map_or(0.0, |high| normal_below((value - high) / standard));
        let below = self.low.map_or(0.0, |low| normal_below((low - value) / standard));
        (1.0 - above - below).clamp(0.0, 1.0)
    }
}

/// What may be said of a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judgement {
    /// In limits, below, above, or too close to call.
    pub word: VerdictWord,
    /// The nearer limit.
    pub near: Side,
    /// How far inside the nearer limit the value is; minus: outside.
    pub inside_by: f64,
    /// The probability that the true value is in limits.
    pub probability: f64,
    /// The largest expanded uncertainty (at the same coverage factor) with which this very value could be called; `None`
    /// where none could, because it stands on a limit.
    pub decides: Option<f64>,
    /// Is the tolerance less than twice the expanded uncertainty, so that no reading of this instrument can be called in limits?
    pub too_coarse: bool,
}

/// Judges a value against its limits. All in one unit.
///
/// # The rule
/// - *In limits* needs both: a probability of conformance of 95 % or more, and a tolerance of at least 2·U. Below that the instrument
///   is too coarse for this tolerance, and no value is called in, however well it lies; [`Judgement::decides`] names the uncertainty
///   that would decide.
/// - *Out of limits* needs only that the value lies outside by 1.645·u or more, whatever the tolerance. That the tolerance is less than
///   2·U says nothing against it: the probability of conformance is then Φ((TU − y)/u) − Φ((TL − y)/u) ≤ Φ(−1.645) = 5 %, and the
///   narrower the tolerance the less it is (JCGM 106, 7.2; ISO 14253-1:2017 proves nonconformity by the guard band alone).
///
/// The other reading, that with a tolerance below 2·U nothing is judged at all, was weighed and not taken: a journal worn by a tenth of
/// a millimetre against a tolerance of a hundredth would stay undecided because it was found with a caliper, and the part would go back
/// in. Silence is due only where the instrument leaves a doubt.
///
/// ```
/// use reckon::VerdictWord;
/// use reckon::uncertainty::{Limits, Uncertainty, judge};
///
/// // A journal of 44.98 to 45.00 mm, read as 44.99: with a micrometer it is in, with a caliper nobody can say.
/// let limits = Limits::new(Some(44.98), Some(45.00)).unwrap();
/// let said = |standard| judge(44.99, limits, Uncertainty::standard(standard)).word;
/// assert_eq!(said(0.002), VerdictWord::InLimits);
/// assert_eq!(said(0.02), VerdictWord::TooCloseToCall);
/// // Far outside, even a caliper decides.
/// assert_eq!(judge(44.90, limits, Uncertainty::standard(0.02)).word, VerdictWord::BelowLimits);
/// ```
pub fn judge(value: f64, limits: Limits, uncertainty: Uncertainty) -> Judgement {
    let called = call(value, limits, uncertainty);
    Judgement {
        decides: decides(value, limits, called.inside_by, uncertainty.coverage),
        ..called
    }
}

/// As [`judge`], but which uncertainty would decide is reckoned only where it is too close to call: for lists of thousands.
pub fn call(value: f64, limits: Limits, uncertainty: Uncertainty) -> Judgement {
    let Uncertainty { standard, coverage } = uncertainty;
    let (inside_by, near) = limits.inside_by(value);
    let expanded = uncertainty.expanded();
    let too_coarse = limits
        .tolerance()
        .is_some_and(|tolerance| tolerance < 2.0 * expanded - slack(tolerance));
    let probability = limits.probability(value, standard);
    let word = if value.is_nan() || standard.is_nan() {
        VerdictWord::TooCloseToCall
    } else if inside_by < 0.0 && -inside_by >= ONE_SIDED * standard {
        match near {
            Side::Low => VerdictWord::BelowLimits,
            Side::High => VerdictWord::AboveLimits,
        }
    } else if inside_by >= 0.0 && !too_coarse && probability >= CALLED {
        VerdictWord::InLimits
    } else {
        VerdictWord::TooCloseToCall
    };
    Judgement {
        word,
        near,
        inside_by,
        probability,
        decides: (word == VerdictWord::TooCloseToCall)
            .then(|| decides(value, limits, inside_by, coverage))
            .flatten(),
        too_coarse,
    }
}

/// A float's error in a tolerance.
fn slack(tolerance: f64) -> f64 {
    tolerance.abs() * 1e-12
}

/// A probability that is nothing.
const NOTHING: f64 = 1e-9;
/// Steps that are enough; what is not found by then is found on the safe side.
const STEPS: usize = 60;

/// The largest expanded uncertainty with which `value` is called.
fn decides(value: f64, limits: Limits, inside_by: f64, coverage: f64) -> Option<f64> {
    if !inside_by.is_finite() || inside_by == 0.0 {
        return None;
    }
    let by_nearer = inside_by.abs() / ONE_SIDED;
    if inside_by < 0.0 {
        return Some(by_nearer * coverage);
    }
    let Some(tolerance) = limits.tolerance() else {
        return Some(by_nearer * coverage);
    };
    let most = by_nearer.min(tolerance / 2.0 / coverage);
    if limits.probability(value, most) >= CALLED {
        return Some(most * coverage);
    }
    // The further limit takes a little more where the tolerance is narrow.
    Some(limits.called_up_to(value, most) * coverage)
}

/// The normalised error En = |x1 − x2| / √(U1² + U2²) of two readings of one point (ISO/IEC 17043, B.3.1.3). With no uncertainty
/// at all: nought where they are equal, else infinite.
pub fn en(first: f64, first_expanded: f64, second: f64, second_expanded: f64) -> f64 {
    let apart = (first - second).abs();
    let together = combine(&[
        Contribution::standard(first_expanded),
        Contribution::standard(second_expanded),
    ])
    .standard;
    if apart == 0.0 { 0.0 } else { apart / together }
}

/// Do two readings of one point disagree by more than their expanded uncertainties (En > 1)?
pub fn disagree(first: f64, first_expanded: f64, second: f64, second_expanded: f64) -> bool {
    en(first, first_expanded, second, second_expanded) > 1.0
}

impl Judgement {
    /// Judges a typed reading against typed limits with a typed expanded uncertainty (k = 2); `None` where the kinds differ or
    /// the limits are none. A temperature's uncertainty is a difference and cannot be typed: use [`judge`].
    pub fn of_typed(
        value: &Typed,
        low: Option<&Typed>,
        high: Option<&Typed>,
        expanded: Option<&Typed>,
    ) -> Option<Self> {
        let same = [low, high, expanded]
            .into_iter()
            .flatten()
            .all(|other| other.kind() == value.kind());
        if !same || (value.kind() == Kind::Temperature && expanded.is_some()) {
            return None;
        }
        let limits = Limits::typed(low, high)?;
        let uncertainty = expanded.map_or(Uncertainty::NONE, |expanded| {
            Uncertainty::expanded_by(expanded.value(), 2.0)
        });
        Some(judge(value.value(), limits, uncertainty))
    }
}
