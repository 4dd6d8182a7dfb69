//! Inputs that contradict each other: which arguments of a calculation say one thing twice or must stand in order, and the one
//! way in which that is refused. A calculation declares its pairs; what contradicts what is said here, for all of them.
//!
//! Never picks one of two: whoever typed both knows which is the slip.

use super::argument::capital;
use super::{Given, Preferences, Units};
use crate::answer::{Problem, ReckonRefusal, RefusalCode};
use crate::quantity::{Kind, shown};

/// Two arguments of a calculation that can contradict each other; a list can contradict itself.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Contradiction {
    one: &'static str,
    other: &'static str,
    rule: Rule,
}

#[derive(Clone, Copy, Debug)]
enum Rule {
    /// They say one thing in two ways.
    Same {
        /// What each comes to, in the base unit of `kind`; nothing where one of them cannot be read so.
        both: fn(&Given) -> Option<(f64, f64)>,
        kind: Kind,
        /// By how much they may differ, as a part of the larger: rounding, wear, what a measure under a nominal size is.
        within: f64,
    },
    /// The first means any of a band, and the second is one value.
    Band {
        /// The ends of the band and the value, in the base unit of `kind`; nothing where one of them cannot be read so.
        band: fn(&Given) -> Option<(f64, f64, f64)>,
        kind: Kind,
        /// How far outside it may lie, as a part of the larger of value and end.
        within: f64,
    },
    /// The second is no more than the first by this, in the base unit of `kind`.
    Near { most: f64, kind: Kind },
    /// The first is no more than the second.
    InOrder {
        /// Where this is given it counts in place of one of them, and has a pair of its own.
        unless: &'static str,
    },
}

/// `one` and `other` say one thing in two ways; `both` is what each comes to, and they may differ by the part `within`.
pub(crate) const fn same(
    one: &'static str,
    other: &'static str,
    kind: Kind,
    within: f64,
    both: fn(&Given) -> Option<(f64, f64)>,
) -> Contradiction {
    let rule = Rule::Same { both, kind, within };
    Contradiction { one, other, rule }
}

/// `one` means a band of values, and `other` is one value that must lie in it, or outside it by no more than the part `within`.
pub(crate) const fn in_band(
    one: &'static str,
    other: &'static str,
    kind: Kind,
    within: f64,
    band: fn(&Given) -> Option<(f64, f64, f64)>,
) -> Contradiction {
    let rule = Rule::Band { band, kind, within };
    Contradiction { one, other, rule }
}

/// `other` is no more than `one` by `most`, in the base unit of `kind`.
pub(crate) const fn near(one: &'static str, other: &'static str, kind: Kind, most: f64) -> Contradiction {
    let rule = Rule::Near { most, kind };
    Contradiction { one, other, rule }
}

/// `one` is no more than `other`.
pub(crate) const fn in_order(one: &'static str, other: &'static str) -> Contradiction {
    in_order_unless(one, other, "")
}

/// The same, as long as `unless` is not given.
pub(crate) const fn in_order_unless(
    one: &'static str,
    other: &'static str,
    unless: &'static str,
) -> Contradiction {
    let rule = Rule::InOrder { unless };
    Contradiction { one, other, rule }
}

/// Refuses what contradicts itself, every pair at once.
///
/// # Errors
/// [`ReckonRefusal`] with a problem for each pair, beside the second of the two.
pub(super) fn refuse(
    pairs: &[Contradiction],
    given: &Given,
    preferences: &Preferences,
) -> Result<(), ReckonRefusal> {
    let problems: Vec<Problem> = pairs
        .iter()
        .filter_map(|pair| pair.problem(given, preferences))
        .collect();
    if problems.is_empty() {
        Ok(())
    } else {
        Err(ReckonRefusal { problems })
    }
}

impl Contradiction {
    /// The two arguments.
    pub(crate) fn pair(&self) -> (&'static str, &'static str) {
        (self.one, self.other)
    }

    fn problem(&self, given: &Given, preferences: &Preferences) -> Option<Problem> {
        // What stands there by default was said by nobody, and contradicts nobody.
        let both_by_hand = given.by_hand(self.one) && given.by_hand(self.other);
        let told = |base: f64, kind: Kind| match kind {
            // A count is told whole, a factor as it is.
            Kind::Number => base.to_string(),
            _ => {
                let unit = kind.preferred(preferences.units == Units::Inch);
                shown(unit.from_base(base), unit)
            }
        };
        let words = match self.rule {
            Rule::Same { both, kind, within } if both_by_hand => {
                self.not_the_same(given, both(given)?, within, |base| told(base, kind))
            }
            Rule::Band { band, kind, within } if both_by_hand => {
                self.outside_the_band(given, band(given)?, within, |base| told(base, kind))
            }
            Rule::Near { most, kind } if both_by_hand => {
                self.too_far_above(given, most, |base| told(base, kind))
            }
            Rule::InOrder { unless } => self.changed_over(given, unless),
            Rule::Same { .. } | Rule::Band { .. } | Rule::Near { .. } => None,
        };
        Some(Problem::new(RefusalCode::Impossible, self.other, words?))
    }

    /// Two that should come to the same and do not; or one list whose ends lie too far apart.
    fn not_the_same(
        &self,
        given: &Given,
        (one, other): (f64, f64),
        within: f64,
        told: impl Fn(f64) -> String,
    ) -> Option<String> {
        if (one - other).abs() <= within * one.abs().max(other.abs()) + SAME {
            return None;
        }
        Some(if self.one == self.other {
            format!(
                "{} contradict each other: they go from {} to {}. Which is the slip?",
                capital(&given.as_typed(self.one)?),
                told(one.min(other)),
                told(one.max(other))
            )
        } else {
            format!(
                "{} and {} contradict each other: the one comes to {}, the other to {}. Leave one out, or put it right.",
                capital(&given.as_typed(self.one)?),
                given.as_typed(self.other)?,
                told(one),
                told(other)
            )
        })
    }

    /// A value outside of the band that the other means.
    fn outside_the_band(
        &self,
        given: &Given,
        (low, high, value): (f64, f64, f64),
        within: f64,
        told: impl Fn(f64) -> String,
    ) -> Option<String> {
        let end = value.clamp(low, high.max(low));
        if (value - end).abs() <= within * value.abs().max(end.abs()) + SAME {
            return None;
        }
        let means = if low < high {
            format!("{} to {}", told(low), told(high))
        } else {
            told(low)
        };
        Some(format!(
            "{} and {} contradict each other: the one means {means}, the other is {}. Leave one out, or put it right.",
            capital(&given.as_typed(self.one)?),
            given.as_typed(self.other)?,
            told(value)
        ))
    }

    /// The second further above the first than is known of.
    fn too_far_above(&self, given: &Given, most: f64, told: impl Fn(f64) -> String) -> Option<String> {
        let over = given.base(self.other)? - given.base(self.one)?;
        if over <= most + SAME {
            return None;
        }
        Some(format!(
            "{} and {} contradict each other: the second is {} above the first, and {} is the most that is known of. Which is the slip, or is it another part's?",
            capital(&given.as_typed(self.one)?),
            given.as_typed(self.other)?,
            told(over),
            told(most)
        ))
    }

    /// The second less than the first, where it must not be.
    fn changed_over(&self, given: &Given, unless: &str) -> Option<String> {
        let said = given.by_hand(self.one) || given.by_hand(self.other);
        if !said || given.by_hand(unless) {
            return None;
        }
        if given.base(self.one)? <= given.base(self.other)? {
            return None;
        }
        Some(format!(
            "{} and {} contradict each other: the second is less than the first; are they changed over?",
            capital(&given.as_typed(self.one)?),
            given.as_typed(self.other)?
        ))
    }
}

/// A float's error, in any base unit.
const SAME: f64 = 1e-9;
