//! What a reading holds: one value, several of one point, or a grid of points. It reads the kept text and says nothing
//! of limits.

use std::sync::Arc;

use reckon::uncertainty::Repeated;
use reckon::{Typed, Unit, shown};

use crate::entities::Reading;
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::words::Property;

/// The values of a reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The unit of the first value; it says of which kind all are.
    pub unit: Unit,
    /// The values.
    pub points: Points,
}

/// One value, several of one point, or many points.
#[derive(Clone, Debug, PartialEq)]
pub enum Points {
    /// Measured once: the value in the base unit.
    Once(f64),
    /// Measured again: all values in the base unit, and their mean and spread.
    Again {
        /// Each, in the order typed.
        all: Vec<f64>,
        /// Mean and spread.
        repeated: Repeated,
    },
    /// Many points in one entry.
    Grid(Grid),
}

impl Points {
    /// The value that stands for the reading, in the base unit: the one value, or the mean. Nothing for a grid.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        match self {
            Points::Once(value) => Some(*value),
            Points::Again { repeated, .. } => Some(repeated.mean),
            Points::Grid(_) => None,
        }
    }
}

impl Measured {
    /// Reads a reading; nothing where it holds no value, or values of several kinds. Where it holds a grid, the grid is
    /// what was measured.
    #[must_use]
    pub fn of(reading: &Entry) -> Option<Self> {
        let fields = &reading.fields;
        let reading = Reading::of(reading)?;
        if reading.grid().is_some() {
            let values = fields.get(Reading::grid)?.rows_of_measures()?;
            let grid = Grid::of(values, reading.grid_names())?;
            return Some(Self {
                unit: grid.unit,
                points: Points::Grid(grid),
            });
        }
        let first = fields.get(Reading::value)?.measure()?;
        let mut all = vec![first.value()];
        if reading.again().is_some() {
            let more = fields.get(Reading::again)?.measures()?;
            if more.iter().any(|more| more.kind() != first.kind()) {
                return None;
            }
            all.extend(more.iter().map(Typed::value));
        }
        let points = match Repeated::of(&all) {
            Some(repeated) => Points::Again { all, repeated },
            None => Points::Once(first.value()),
        };
        Some(Self {
            unit: first.unit(),
            points,
        })
    }

    /// From what to what it goes, in the base unit, without a sign.
    #[must_use]
    pub fn span(&self) -> (f64, f64) {
        let (least, most) = match &self.points {
            Points::Once(value) => (*value, *value),
            Points::Again { repeated, .. } => (repeated.mean, repeated.mean),
            Points::Grid(grid) => grid.ends(),
        };
        let (least, most) = (least.abs(), most.abs());
        (least.min(most), least.max(most))
    }

    /// How large the thing is that an instrument must be laid on; nothing where a difference was typed and the size is not known.
    #[must_use]
    pub fn size(&self, judges: &Property) -> Option<f64> {
        let difference = matches!(judges, Property::OutOfRound | Property::Taper);
        let typed = difference && !matches!(self.points, Points::Grid(_));
        (!typed).then_some(self.span().1)
    }

    /// A value of its kind in its unit, for showing; of a difference where it is one (nought is nought in every unit).
    #[must_use]
    pub fn shown(&self, base: f64) -> String {
        shown(self.unit.from_base(base), self.unit)
    }

    /// A difference of its kind in its unit: one of temperatures has no zero to shift.
    #[must_use]
    pub fn difference(&self, base: f64) -> String {
        difference(self.unit, base)
    }
}

/// A difference in a unit, for showing.
pub(super) fn difference(unit: Unit, base: f64) -> String {
    shown(unit.from_base(base) - unit.from_base(0.0), unit)
}

/// Rows of lengths of one hole: rows are heights from the top down, columns directions. Never without a value, and every
/// row is as long as the first.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// What the rows are called.
    pub rows: Vec<String>,
    /// What the columns are called.
    pub columns: Vec<String>,
    /// The values as typed.
    pub values: Arc<Vec<Vec<Typed>>>,
    unit: Unit,
}

impl Grid {
    fn of(values: &Arc<Vec<Vec<Typed>>>, names: Option<&str>) -> Option<Self> {
        let first = values.first()?;
        let (width, unit) = (first.len(), first.first()?.unit());
        let even = values.iter().all(|row| row.len() == width);
        let alike = values.iter().flatten().all(|one| one.kind() == unit.kind());
        if !even || !alike {
            return None;
        }
        let mut named = names.unwrap_or_default().split(';').map(|part| {
            part.split(',')
                .map(str::trim)
                .filter(|name| !name.is_empty())
                .map(str::to_owned)
                .collect::<Vec<_>>()
        });
        let (rows, columns) = (named.next().unwrap_or_default(), named.next().unwrap_or_default());
        Some(Self {
            rows: filled(rows, "height", values.len()),
            columns: filled(columns, "direction", width),
            values: Arc::clone(values),
            unit,
        })
    }

    /// Every value in the base unit, row by row, with its row and column.
    pub fn each(&self) -> impl Iterator<Item = (usize, usize, f64)> {
        let rows = self.values.iter().enumerate();
        rows.flat_map(|(row, values)| {
            values
                .iter()
                .enumerate()
                .map(move |(at, value)| (row, at, value.value()))
        })
    }

    /// How many points.
    #[must_use]
    pub fn count(&self) -> usize {
        self.values.iter().map(Vec::len).sum()
    }

    /// Rows and columns.
    #[must_use]
    pub fn shape(&self) -> (usize, usize) {
        (self.values.len(), self.values.first().map_or(0, Vec::len))
    }

    /// What the limits mean by out-of-round: the most, over the heights, that two directions differ, and at which row.
    /// Diametral, not the radial one of ISO 1101. Nothing with one direction only.
    #[must_use]
    pub fn out_of_round(&self) -> Option<(usize, f64)> {
        let rows = self
            .values
            .iter()
            .map(|row| spread(row.iter().map(|one| one.value())));
        (self.shape().1 > 1).then(|| most(rows)).flatten()
    }

    /// Taper: the most, over the directions, that two heights differ, and at which column. Diametral as well. Nothing with
    /// one height only.
    #[must_use]
    pub fn taper(&self) -> Option<(usize, f64)> {
        let (heights, directions) = self.shape();
        let columns = (0..directions).map(|at| {
            spread(
                self.values
                    .iter()
                    .filter_map(move |row| row.get(at))
                    .map(|one| one.value()),
            )
        });
        (heights > 1).then(|| most(columns)).flatten()
    }

    /// The point that something is gravest at; the first of equals.
    pub(super) fn worst(&self, gravity: impl Fn(f64) -> (u8, f64)) -> Option<(usize, usize, f64)> {
        let graver = |point: &(usize, usize, f64), other: &(usize, usize, f64)| {
            graver(gravity(point.2), gravity(other.2)).is_gt()
        };
        self.each()
            .reduce(|worst, point| if graver(&point, &worst) { point } else { worst })
    }

    /// The least and the most value.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        let all = self.each().map(|(_, _, value)| value);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        })
    }

    /// A point, a row or a column by its name: `top, across`.
    #[must_use]
    pub fn name(&self, row: Option<usize>, column: Option<usize>) -> String {
        let row = row.and_then(|row| self.rows.get(row));
        let column = column.and_then(|column| self.columns.get(column));
        let names: Vec<&str> = row.into_iter().chain(column).map(String::as_str).collect();
        names.join(", ")
    }
}

/// Names as given, and `height 3` where none is.
fn filled(mut names: Vec<String>, word: &str, count: usize) -> Vec<String> {
    names.truncate(count);
    for number in names.len()..count {
        names.push(format!("{word} {}", number.saturating_add(1)));
    }
    names
}

fn spread(values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    (high - low).max(0.0)
}

/// The greatest and its place; the first of equals.
fn most(values: impl Iterator<Item = f64>) -> Option<(usize, f64)> {
    values.enumerate().fold(None, |best, (at, value)| match best {
        Some((_, most)) if value <= most => best,
        _ => Some((at, value)),
    })
}

/// Which of two is graver: out before too close before in, then by how far.
pub(super) fn graver(a: (u8, f64), b: (u8, f64)) -> std::cmp::Ordering {
    a.0.cmp(&b.0).then_with(|| a.1.total_cmp(&b.1))
}
