//! The words of a verdict: by how much, at which point, what would decide it, and what is to be minded. It decides
//! nothing.

use reckon::uncertainty::{Judgement, Side, Uncertainty};
use reckon::{Kind as Quantity, Typed, Unit, VerdictWord};

use super::judge::{Bounds, Judge, Look, Tool, uncertainty};
use super::measured::{Measured, Points, difference};
use crate::entities::Reading;
use crate::entry::Entry;
use crate::name::Kind;
use crate::title::title;
use crate::words::Property;

/// Lengths are stated at this, in °C (ISO 1).
const STATED_AT: f64 = 20.0;
/// From so many kelvin away on it is said.
const WORTH_SAYING: f64 = 5.0;
/// An instrument serves for what is so much smaller or larger than what it was used for; none of two sizes of micrometer reaches
/// further into the other's.
const LESS: f64 = 0.8;
const MORE: f64 = 1.25;
/// Steel, per kelvin (check-value table K: 11.5·10⁻⁶, as `reckon`'s heat fit has it).
const STEEL: f64 = 11.5e-6;

impl<'a> Judge<'a> {
    /// One limit's say in a sentence.
    pub(super) fn told(
        &self,
        look: &Look<'_>,
        bounds: &Bounds<'_>,
        value: f64,
        at: (Option<usize>, Option<usize>),
        judgement: &Judgement,
    ) -> String {
        let unit = look.measured.unit;
        let by = || difference(unit, judgement.inside_by.abs());
        let mut words = match judgement.word {
            VerdictWord::InLimits => format!("in limits by {}", by()),
            VerdictWord::TooCloseToCall => self.too_close(look, bounds, judgement),
            _ if judgement.near == Side::Low => format!("below the limit by {}", by()),
            _ => format!("above the limit by {}", by()),
        };
        if let Points::Grid(grid) = &look.measured.points {
            let place = grid.name(at.0, at.1);
            words = match bounds.judges {
                Property::OutOfRound => {
                    format!(
                        "out-of-round {}, most at {place}: {words}",
                        difference(unit, value)
                    )
                }
                Property::Taper => format!("taper {}, most {place}: {words}", difference(unit, value)),
                _ if judgement.word == VerdictWord::InLimits => {
                    format!("all {} points {words} or more, least at {place}", grid.count())
                }
                _ => format!("{words}, at {place} ({})", look.measured.shown(value)),
            };
        }
        if let Points::Again { repeated, .. } = &look.measured.points {
            let u = look.uncertainty.map_or(0.0, Uncertainty::expanded);
            words = format!(
                "{words}; mean of {}, good to ±{}",
                repeated.count,
                difference(unit, u)
            );
        }
        words.push_str(caveat(look));
        words.push_str(&self.out_of_range(look, &bounds.judges).unwrap_or_default());
        words.push_str(&warmth(look, value).unwrap_or_default());
        words
    }

    /// What was laid on the instrument lies outside what it is stated to measure: of a grid, any point of it.
    fn out_of_range(&self, look: &Look<'_>, judges: &Property) -> Option<String> {
        let tool = self.tool(look.reading)?;
        let kind = look.measured.unit.kind();
        // A difference that was typed says nothing of the size it was measured at.
        look.measured.size(judges)?;
        let (least, most) = match &look.measured.points {
            Points::Once(value) => (*value, *value),
            Points::Again { all, .. } => all
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                    (low.min(*value), high.max(*value))
                }),
            Points::Grid(grid) => grid.ends(),
        };
        let out = [least, most]
            .into_iter()
            .find(|value| tool.outside(*value, kind) == Some(true))?;
        Some(format!(
            "; {} is outside what '{}' measures ({}): was it another instrument?",
            look.measured.shown(out),
            title(tool.entry),
            tool.range_words()
        ))
    }

    fn too_close(&self, look: &Look<'_>, bounds: &Bounds<'_>, judgement: &Judgement) -> String {
        let with = self.tool(look.reading).map_or_else(
            || "this instrument".to_owned(),
            |used| format!("'{}'", title(used.entry)),
        );
        let Some(decides) = judgement.decides else {
            return format!(
                "too close to call with {with}: it stands on the limit, and no instrument would decide it"
            );
        };
        // Of a difference of two readings, each may be off by √2 less.
        let mut wanted = match bounds.judges {
            Property::OutOfRound | Property::Taper => decides / std::f64::consts::SQRT_2,
            _ => decides,
        };
        if matches!(look.measured.points, Points::Again { .. }) {
            // What the spread alone makes is there whatever the instrument.
            let spread = uncertainty(None, &look.measured.points).map_or(0.0, Uncertainty::expanded);
            let left = wanted * wanted - spread * spread;
            if left <= 0.0 {
                return format!(
                    "too close to call with {with}: the values lie too far apart; measure more often, and find out why they differ"
                );
            }
            wanted = left.sqrt();
        }
        let unit = look.measured.unit;
        let size = look.measured.size(&bounds.judges);
        let what = self.deciding(wanted, unit.kind(), size).map_or_else(
            || {
                format!(
                    "an instrument good to ±{} would decide it",
                    difference(unit, wanted)
                )
            },
            |decider| format!("'{}' would decide it", title(decider)),
        );
        format!("too close to call with {with}; {what}")
    }

    /// The coarsest instrument of the record that is stated to be fine enough, and that does not serve for other sizes: the micrometer
    /// stays in its box where the caliper will do, and no strip for bearings is named for a bore. `size` in the base unit; nothing
    /// where what is judged is no size of its own.
    #[must_use]
    pub fn deciding(&self, wanted: f64, kind: Quantity, size: Option<f64>) -> Option<&Entry> {
        // What is stated counts before what people did with it.
        let serves = |tool: &Tool<'_>| match size.and_then(|size| tool.outside(size, kind)) {
            Some(outside) => !outside,
            None => size.is_none_or(|size| self.was_used_for(tool, size)),
        };
        let fits = self.tools.values().filter_map(|tool| {
            let known = tool.known(kind)?;
            (known.stated && known.expanded <= wanted && serves(tool)).then_some((known.expanded, tool.entry))
        });
        // Of two alike, the first by name.
        let best = fits.max_by(|a, b| {
            let by_name = || title(b.1).cmp(&title(a.1));
            a.0.total_cmp(&b.0).then_with(by_name)
        });
        best.map(|(_, entry)| entry)
    }

    /// Whether an instrument was used in this record for sizes among which this one is, of the kind that its uncertainty is stated in.
    /// What never measured anything may serve for this. No more readings are read than it takes to say so.
    fn was_used_for(&self, tool: &Tool<'_>, size: f64) -> bool {
        let kind = tool.uncertainty.map(Typed::kind);
        let (mut used, mut reaches_down, mut reaches_up) = (false, false, false);
        for reading in self.view.naming(&tool.entry.name(), Kind::Reading) {
            let of_it = reading.stands()
                && self
                    .tool(reading)
                    .is_some_and(|one| one.entry.id == tool.entry.id);
            let measured = Measured::of(reading).filter(|one| of_it && Some(one.unit.kind()) == kind);
            let Some((least, most)) = measured.map(|one| one.span()) else {
                continue;
            };
            used = true;
            reaches_down |= least * LESS <= size;
            reaches_up |= size <= most * MORE;
            if reaches_down && reaches_up {
                return true;
            }
        }
        !used
    }
}

fn caveat(look: &Look<'_>) -> &'static str {
    match (look.known, &look.measured.points) {
        (Some(known), _) if known.stated => "",
        (Some(_), _) => "; the instrument's uncertainty is not stated, only its smallest step was counted",
        (None, Points::Again { .. }) if look.uncertainty.is_some() => {
            "; nothing is known of the instrument's uncertainty, only how far the values lie apart was counted"
        }
        (None, _) => "; taken as exact, since nothing is known of the instrument's uncertainty",
    }
}

/// What a temperature away from 20 °C does to steel of that size; never a correction.
fn warmth(look: &Look<'_>, value: f64) -> Option<String> {
    let unit = look.measured.unit;
    if unit.kind() != Quantity::Length {
        return None;
    }
    let typed = look.reading.measure(Reading::temperature)?;
    let read_at = typed.in_unit(Unit::Celsius)?;
    let apart = read_at - STATED_AT;
    if apart.abs() <= WORTH_SAYING {
        return None;
    }
    let changes = (value * STEEL * apart).abs();
    let by = difference(unit, changes);
    let nothing = difference(unit, 0.0);
    let side = if apart < 0.0 { "smaller" } else { "larger" };
    let steel = if by == nothing {
        "steel of that size differs by less than can be shown".to_owned()
    } else {
        format!("steel of that size is {by} {side} there")
    };
    Some(format!(
        "; read at {}, while lengths hold at 20 °C (ISO 1), and {steel}: not corrected, you decide",
        typed.text()
    ))
}
