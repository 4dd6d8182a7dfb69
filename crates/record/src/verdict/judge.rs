//! The judge: limits and instruments of a view, read once, and each reading judged by them.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use reckon::uncertainty::{Contribution, Judgement, Limits, Uncertainty, call, combine};
use reckon::{Kind as Quantity, Typed, Unit, VerdictWord};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::measured::{Measured, Points, graver};
use crate::entities::{Instrument, InstrumentRef, Limit, LimitRef, Reading};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::name::{Id, Link};
use crate::title::title;
use crate::view::View;
use crate::words::Property;

/// How far a value read to a step δ can be off: rectangular over the step, so 0.29 δ standard (JCGM 100, F.2.2.1),
/// expanded with k = 2.
const OF_RESOLUTION: f64 = 0.58;
/// A float's error, as a part of a value.
const NEAR: f64 = 1e-9;

/// What a reading says of its limit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Verdict {
    /// In limits, below, above, or too close to call.
    pub word: VerdictWord,
    /// The verdict in a sentence: by how much, or what would decide it.
    pub words: String,
}

/// A limit of the record, read once.
#[derive(Debug)]
pub struct Bounds<'a> {
    /// The entry.
    pub entry: &'a Entry,
    /// Not below this.
    pub low: Option<&'a Typed>,
    /// Not above this.
    pub high: Option<&'a Typed>,
    /// Both, as `reckon` takes them, and what kind they are of.
    pub(super) limits: Option<(Limits, Quantity)>,
    /// Which property of a grid they judge.
    pub judges: Property,
}

impl<'a> Bounds<'a> {
    fn of(limit: LimitRef<'a>) -> Self {
        let entry = limit.entry();
        let (low, high) = (entry.measure(Limit::low), entry.measure(Limit::high));
        let kind = low.or(high).map(Typed::kind);
        Self {
            entry,
            limits: Limits::typed(low, high).zip(kind),
            judges: limit.judges().unwrap_or(Property::Size),
            low,
            high,
        }
    }

    /// What it says of one value in the base unit, by itself.
    #[must_use]
    pub fn judge(&self, value: f64, uncertainty: Uncertainty) -> Option<VerdictWord> {
        let (limits, _) = self.limits?;
        Some(call(value, limits, uncertainty).word)
    }
}

/// An instrument of the record, read once.
#[derive(Debug)]
pub(super) struct Tool<'a> {
    pub(super) entry: &'a Entry,
    pub(super) uncertainty: Option<&'a Typed>,
    pub(super) resolution: Option<&'a Typed>,
    /// The least and the most that it is stated to measure.
    pub(super) range: (Option<&'a Typed>, Option<&'a Typed>),
}

/// What is known of how far off an instrument can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Its expanded uncertainty, k = 2, in the base unit.
    pub expanded: f64,
    /// Whether that was stated; else it is what the smallest step alone makes.
    pub stated: bool,
}

impl Tool<'_> {
    /// Is a value of this kind outside what it is stated to measure? Nothing where no range of that kind is stated, or where its
    /// ends are changed over.
    pub(super) fn outside(&self, value: f64, kind: Quantity) -> Option<bool> {
        let (least, most) = &self.range;
        let fits = |kept: &&Typed| kept.kind() == kind;
        let (least, most) = (least.filter(fits), most.filter(fits));
        let ends = (least.map(Typed::value), most.map(Typed::value));
        let outside = match ends {
            (None, None) => return None,
            (Some(least), Some(most)) if least > most => return None,
            // A float's error apart: what is typed as the end itself is reached.
            (least, most) => {
                least.is_some_and(|least| value < least - NEAR * least.abs())
                    || most.is_some_and(|most| value > most + NEAR * most.abs())
            }
        };
        Some(outside)
    }

    /// Its stated range in words: `25 mm to 50 mm`.
    pub(super) fn range_words(&self) -> String {
        match &self.range {
            (Some(least), Some(most)) => format!("{} to {}", least.with_unit(), most.with_unit()),
            (Some(least), None) => format!("from {} on", least.with_unit()),
            (None, Some(most)) => format!("up to {}", most.with_unit()),
            (None, None) => String::new(),
        }
    }

    /// As stated, else what its smallest step alone makes. Nothing for an instrument of another kind, or for a
    /// thermometer: a temperature typed is no difference.
    pub(super) fn known(&self, kind: Quantity) -> Option<Accuracy> {
        let fits = |kept: &&Typed| kept.kind() == kind && kind != Quantity::Temperature;
        let stated = self.uncertainty.filter(fits).map(|kept| Accuracy {
            expanded: kept.value(),
            stated: true,
        });
        stated.or_else(|| {
            self.resolution.filter(fits).map(|step| Accuracy {
                expanded: step.value() * OF_RESOLUTION,
                stated: false,
            })
        })
    }
}

/// A reading as it is looked at.
pub(super) struct Look<'l> {
    pub(super) reading: &'l Entry,
    pub(super) measured: &'l Measured,
    pub(super) known: Option<Accuracy>,
    pub(super) uncertainty: Option<Uncertainty>,
}

/// One limit's say on a reading.
#[derive(Debug)]
pub struct Judged<'j> {
    /// The limit.
    pub bounds: Rc<Bounds<'j>>,
    /// What is said.
    pub verdict: Verdict,
    /// The value that was judged, in the base unit: the reading, its mean, a point of the grid, or a difference.
    pub value: f64,
    /// The unit it was typed in.
    pub unit: Unit,
    /// How it lies to the limit.
    pub judgement: Judgement,
    /// Row and column of the point of a grid that it hangs on; a row alone for out-of-round, a column alone for taper.
    pub at: (Option<usize>, Option<usize>),
}

impl Judged<'_> {
    /// How bad it is: out before too close before in, then by how far.
    fn gravity(&self) -> (u8, f64) {
        gravity(&self.judgement)
    }

    /// Whether it is graver than another.
    pub(crate) fn graver_than(&self, other: &Self) -> std::cmp::Ordering {
        graver(self.gravity(), other.gravity())
    }
}

fn gravity(judgement: &Judgement) -> (u8, f64) {
    let rank = match judgement.word {
        VerdictWord::BelowLimits | VerdictWord::AboveLimits => 2,
        VerdictWord::TooCloseToCall => 1,
        VerdictWord::InLimits => 0,
    };
    (rank, -judgement.inside_by)
}

/// Judges readings of one view; it reads the instruments once for all of them, and each limit once.
#[derive(Debug)]
pub struct Judge<'a> {
    pub(super) view: &'a View,
    pub(super) limits: RefCell<BTreeMap<&'a str, Rc<Bounds<'a>>>>,
    pub(super) tools: BTreeMap<&'a str, Tool<'a>>,
}

impl<'a> Judge<'a> {
    /// A judge for the readings of a view.
    #[must_use]
    pub fn of(view: &'a View) -> Self {
        let tool = |tool: InstrumentRef<'a>| {
            let entry = tool.entry();
            Tool {
                entry,
                uncertainty: entry.measure(Instrument::uncertainty),
                resolution: entry.measure(Instrument::resolution),
                range: (entry.measure(Instrument::least), entry.measure(Instrument::most)),
            }
        };
        let tools = view
            .each_standing::<Instrument>()
            .map(|one| (one.id().as_str(), tool(one)));
        Self {
            view,
            limits: RefCell::default(),
            tools: tools.collect(),
        }
    }

    /// The view that is judged from.
    #[must_use]
    pub fn view(&self) -> &'a View {
        self.view
    }

    /// What is known of how far off the instrument of a reading can be, for a value of this kind.
    #[must_use]
    pub fn known(&self, reading: &Entry, kind: Quantity) -> Option<Accuracy> {
        self.tool(reading)?.known(kind)
    }

    pub(super) fn tool(&self, reading: &Entry) -> Option<&Tool<'a>> {
        self.tools.get(Reading::of(reading)?.instrument()?.as_str())
    }

    /// The standing limits of a reading, the first of them first.
    pub(super) fn bounds(&self, reading: &Entry) -> impl Iterator<Item = Rc<Bounds<'a>>> {
        links_of(reading).filter_map(|id| {
            let limit = self.view.one::<Limit>(&id.id()?).filter(|limit| limit.stands())?;
            let mut limits = self.limits.borrow_mut();
            let bounds = limits.entry(limit.entry().id.as_str());
            Some(Rc::clone(bounds.or_insert_with(|| Rc::new(Bounds::of(limit)))))
        })
    }

    /// The uncertainty of one value of a reading: its instrument's, and where it is a mean, its spread's too. With few
    /// values the spread itself is poorly known, so the factor of the effective degrees of freedom (JCGM 100, G.4.1 and
    /// table G.2) widens it. Nothing at all where nothing is known.
    #[must_use]
    pub fn uncertainty(&self, reading: &Entry, measured: &Measured) -> Option<Uncertainty> {
        let known = self.known(reading, measured.unit.kind());
        uncertainty(known, &measured.points)
    }

    /// Judges a reading against each of its limits, in the order of its limits. A limit of another kind than the reading
    /// says nothing, and none that judges a property which the reading does not show.
    #[must_use]
    pub fn each<'s>(&'s self, reading: &'s Entry, measured: &Measured) -> Vec<Judged<'s>> {
        let known = self.known(reading, measured.unit.kind());
        let looks = Look {
            reading,
            measured,
            known,
            uncertainty: uncertainty(known, &measured.points),
        };
        self.bounds(reading)
            .filter_map(|bounds| self.against(&looks, bounds))
            .collect()
    }

    fn against<'s>(&'s self, look: &Look<'_>, bounds: Rc<Bounds<'s>>) -> Option<Judged<'s>> {
        let (limits, kind) = bounds.limits?;
        let unit = look.measured.unit;
        if kind != unit.kind() {
            return None;
        }
        let one = look.uncertainty.unwrap_or(Uncertainty::NONE);
        let (value, at, uncertainty) = match (&look.measured.points, &bounds.judges) {
            (Points::Grid(grid), Property::OutOfRound) => {
                let (row, most) = grid.out_of_round()?;
                (most, (Some(row), None), of_two(one))
            }
            (Points::Grid(grid), Property::Taper) => {
                let (column, most) = grid.taper()?;
                (most, (None, Some(column)), of_two(one))
            }
            (Points::Grid(grid), _) => {
                let (row, column, value) = grid.worst(|value| gravity(&call(value, limits, one)))?;
                (value, (Some(row), Some(column)), one)
            }
            // Typed as a difference already: it was still read at two places.
            (points, Property::OutOfRound | Property::Taper) => (points.value()?, (None, None), of_two(one)),
            (points, _) => (points.value()?, (None, None), one),
        };
        let judgement = call(value, limits, uncertainty);
        let verdict = Verdict {
            word: judgement.word,
            words: self.told(look, &bounds, value, at, &judgement),
        };
        Some(Judged {
            bounds,
            verdict,
            value,
            unit,
            judgement,
            at,
        })
    }

    /// What is said of a reading in all: its gravest verdict, and by which limit where it has several.
    #[must_use]
    pub fn verdict(&self, reading: &Entry) -> Option<Verdict> {
        worst(&self.each(reading, &Measured::of(reading)?))
    }
}

/// The gravest of several verdicts, with the limit's name where there are several.
#[must_use]
pub fn worst(judged: &[Judged<'_>]) -> Option<Verdict> {
    // The first of equals, in the order of the reading's limits.
    let worst = judged
        .iter()
        .rev()
        .max_by(|a, b| graver(a.gravity(), b.gravity()))?;
    let named = if judged.len() > 1 {
        format!("{}: {}", title(worst.bounds.entry), worst.verdict.words)
    } else {
        worst.verdict.words.clone()
    };
    Some(Verdict {
        word: worst.verdict.word,
        words: named,
    })
}

/// Judges one reading; nothing where it has no limit, or where reading and limit are of different kinds. For several
/// readings of one view, [`Judge`] reads the limits only once.
#[must_use]
pub fn of_reading(view: &View, reading: &Entry) -> Option<Verdict> {
    Judge::of(view).verdict(reading)
}

/// The uncertainty of a difference of two readings with one instrument: √2 as much (check: JCGM 100, 5.1.2).
fn of_two(one: Uncertainty) -> Uncertainty {
    Uncertainty {
        standard: one.standard * std::f64::consts::SQRT_2,
        ..one
    }
}

pub(super) fn uncertainty(known: Option<Accuracy>, points: &Points) -> Option<Uncertainty> {
    let own = known.map(|known| Uncertainty::expanded_by(known.expanded, 2.0));
    let Points::Again { repeated, .. } = points else {
        return own;
    };
    let mut parts = vec![Contribution::mean_of(repeated)];
    parts.extend(own.map(|own| Contribution::standard(own.standard)));
    // The expanded one, taken back by k = 2: what the decision rule then keeps away from the limit grows with the factor.
    let combined = combine(&parts).uncertainty();
    if own.is_none() && combined.standard <= 0.0 {
        return None;
    }
    Some(Uncertainty::expanded_by(combined.expanded(), 2.0))
}

/// The limits that a reading is judged by, the first of them first; those beside it by id, and none of them the first again.
fn links_of(reading: &Entry) -> impl Iterator<Item = Link<'_>> {
    Reading::of(reading).into_iter().flat_map(|reading| {
        let first = reading.limit();
        let more = reading.more_limits().filter(move |id| Some(*id) != first);
        first.into_iter().chain(more)
    })
}

/// The id of a limit that a reading is judged by, in order.
#[must_use]
pub fn limits_of(reading: &Entry) -> Vec<Id> {
    links_of(reading).filter_map(Link::id).collect()
}
