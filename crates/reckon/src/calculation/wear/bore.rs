//! A worn bore reckoned with lengths: what a grid of readings says of it, and the oversize that cleans it up. The calculation of
//! the bench and whoever has measures at hand ask the same functions.
//!
//! Never reads a text and never says which limit holds.

use super::super::argument::{Argument, LENGTH, LENGTHS, Want};
use crate::answer::{Problem, ReckonRefusal, RefusalCode};
use crate::quantity::{Kind, Length};

/// What boring and honing take to clean up where nothing else is said, on the diameter, in mm. Common practice, no source.
pub const CLEAN_UP_MM: f64 = 0.10;
/// A float's error, in mm.
pub(super) const SAME: f64 = 1e-9;
/// What a new bore may be under the size it is made to, in mm. Common practice, no source.
const UNDER_MADE: f64 = 0.02;
/// Readings of one bore that are further apart are no wear, in mm. Common practice, no source.
const APART: f64 = 5.0;
/// A bore that reads so far below what it was made to was made to something else, in mm.
const WRONG_NOMINAL: f64 = 1.0;

pub(super) const GRID: Argument = Argument::new(
    "grid",
    "B",
    "the readings: a row for each height, a column for each direction",
    Want::Grid(Kind::Length),
)
.required()
.within(20.0, 250.0)
.usually(40.0, 140.0)
.such_as(
    "85.612, 85.560; 85.575, 85.545; 85.530, 85.520 mm",
    "3.371, 3.369; 3.370, 3.368; 3.368, 3.367 in",
);
pub(super) const NOMINAL: Argument =
    Argument::new("nominal", "B0", "the bore as it was made, or last bored", LENGTH)
        .within(20.0, 250.0)
        .such_as("85.50 mm", "3.366 in");
pub(super) const CLEAN_UP_BY: Argument = Argument::new(
    "clean_up",
    "a",
    "what boring and honing take to clean up, on the diameter",
    LENGTH,
)
.within(0.0, 1.0)
.usually(0.02, 0.3)
.or("0.10 mm")
.such_as("0.10 mm", "0.004 in");
pub(super) const OVERSIZES: Argument =
    Argument::new("oversizes", "", "the oversizes that pistons are made in", LENGTHS)
        .within(0.05, 5.0)
        .such_as(
            "0.25, 0.50, 0.75, 1.00 mm",
            "0.010, 0.020, 0.030, 0.040, 0.060 in",
        );

/// What a grid of readings says of a bore. All of it is on the diameter: out-of-round and taper are differences of diameters, as
/// workshops mean them, and not the radial ones of ISO 1101.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bore {
    /// The most, over the heights, of the spread between directions.
    pub out_of_round: Length,
    /// The most, over the directions, of the spread between heights.
    pub taper: Length,
    /// The widest reading.
    pub widest: Length,
    /// The narrowest reading.
    pub narrowest: Length,
    /// Height and direction of the widest reading, counted from one; the first of several alike.
    pub widest_at: (usize, usize),
}

impl Bore {
    /// Reads a grid of diameters: a row for each height from the top down, a column for each direction.
    ///
    /// ```
    /// use reckon::{Length, wear::Bore};
    ///
    /// let grid = [[85.612, 85.560], [85.530, 85.520]].map(|row| row.map(Length::from_mm).to_vec());
    /// let bore = Bore::of(&grid).unwrap();
    /// assert!((bore.out_of_round.in_mm() - 0.052).abs() < 1e-9);
    /// assert!((bore.taper.in_mm() - 0.082).abs() < 1e-9);
    /// assert_eq!(bore.widest_at, (1, 1));
    /// ```
    ///
    /// # Errors
    /// [`RefusalCode::Missing`] for no reading, [`RefusalCode::Impossible`] for rows that are not of one length or readings more than
    /// 5 mm apart, [`RefusalCode::OutOfRange`] outside 20 mm to 250 mm; all about `grid`.
    pub fn of(grid: &[Vec<Length>]) -> Result<Self, ReckonRefusal> {
        let all: Vec<Length> = grid.iter().flatten().copied().collect();
        let columns = grid.first().map_or(0, Vec::len);
        if all.is_empty() {
            let words = "The readings are needed.";
            return Err(ReckonRefusal::of(RefusalCode::Missing, GRID.name, words));
        }
        if grid.iter().any(|row| row.len() != columns) {
            let words = "Every row needs as many readings as the first.";
            return Err(ReckonRefusal::of(RefusalCode::Impossible, GRID.name, words));
        }
        for reading in &all {
            within(&GRID, *reading)?;
        }
        let widest = all.iter().map(|l| l.in_mm()).fold(0.0, f64::max);
        let bore = Self {
            out_of_round: Length::from_mm(grid.iter().map(spread).map(Length::in_mm).fold(0.0, f64::max)),
            taper: Length::from_mm(
                (0..columns)
                    .map(|column| spread(grid.iter().filter_map(|row| row.get(column))).in_mm())
                    .fold(0.0, f64::max),
            ),
            widest: Length::from_mm(widest),
            narrowest: Length::from_mm(widest) - spread(&all),
            widest_at: widest_at(grid, widest),
        };
        if bore.widest - bore.narrowest > Length::from_mm(APART) {
            let words = "These readings are more than 5 mm apart: is one a slip?";
            return Err(ReckonRefusal::of(RefusalCode::Impossible, GRID.name, words));
        }
        Ok(bore)
    }

    /// By how much the widest reading is smaller than the bore was made, where that is more than a new bore (0.02 mm) and the
    /// instrument (`known_to`, its expanded uncertainty) can be under it. No bore wears smaller: one of the two is a slip.
    #[must_use]
    pub fn smaller_than(&self, nominal: Length, known_to: Length) -> Option<Length> {
        let by = nominal - self.widest;
        (by.in_mm() > known_to.in_mm().max(UNDER_MADE) + SAME).then_some(by)
    }
}

/// The oversizes that pistons are usually made in, the smallest first: 0.25 to 1.00 mm in quarters, or 0.010, 0.020, 0.030, 0.040
/// and 0.060 in. Common practice, no source.
#[must_use]
pub fn usual_oversizes(inch: bool) -> Vec<Length> {
    if inch {
        [0.010, 0.020, 0.030, 0.040, 0.060]
            .map(Length::from_inch)
            .to_vec()
    } else {
        [0.25, 0.50, 0.75, 1.00].map(Length::from_mm).to_vec()
    }
}

/// What it takes to bore a worn bore true again; all on the diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rebore {
    /// The widest reading less the bore as made.
    pub worn: Length,
    /// The least oversize that cleans up: what is worn and what boring and honing take.
    pub needed: Length,
    /// The smallest of the oversizes that is no less; nothing where none is: then it wants a liner, or a larger piston.
    pub oversize: Option<Length>,
}

impl Rebore {
    /// Does this oversize clean up everywhere?
    #[must_use]
    pub fn cleans_up(&self, size: Length) -> bool {
        size.in_mm() + SAME >= self.needed.in_mm()
    }
}

/// The smallest of `oversizes` that cleans a bore up. `nominal` is the bore as it was made or last bored, `known_to` the expanded
/// uncertainty of its readings (nought where they are taken as they stand), `clean_up` what boring and honing take
/// ([`CLEAN_UP_MM`]). Nothing where the bore reads smaller than it was made ([`Bore::smaller_than`]): nothing follows from that.
///
/// ```
/// use reckon::{Length, wear};
///
/// let bore = wear::Bore::of(&[vec![Length::from_mm(85.65)]]).unwrap();
/// let (made, clean_up) = (Length::from_mm(85.50), Length::from_mm(wear::CLEAN_UP_MM));
/// let rebore = wear::rebore(&bore, made, Length::default(), clean_up, &wear::usual_oversizes(false));
/// // 0.15 mm is worn and 0.10 mm comes off besides: a quarter of a millimetre just does.
/// assert_eq!(rebore.unwrap().unwrap().oversize, Some(Length::from_mm(0.25)));
/// ```
///
/// # Errors
/// [`RefusalCode::OutOfRange`] for a bore outside 20 mm to 250 mm, a clean-up over 1 mm or an oversize outside 0.05 mm to 5 mm;
/// [`RefusalCode::Impossible`] for a bore that reads more than 1 mm below what it was made to.
pub fn rebore(
    bore: &Bore,
    nominal: Length,
    known_to: Length,
    clean_up: Length,
    oversizes: &[Length],
) -> Result<Option<Rebore>, ReckonRefusal> {
    within(&NOMINAL, nominal)?;
    within(&CLEAN_UP_BY, clean_up)?;
    for size in oversizes {
        within(&OVERSIZES, *size)?;
    }
    let worn = bore.widest - nominal;
    if worn.in_mm() < -WRONG_NOMINAL {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            NOMINAL.name,
            "The bore is more than 1 mm below what it was made to: is the nominal bore right?",
        ));
    }
    if bore.smaller_than(nominal, known_to).is_some() {
        return Ok(None);
    }
    let mut rebore = Rebore {
        worn,
        needed: worn + clean_up,
        oversize: None,
    };
    let fits = oversizes.iter().copied().filter(|size| rebore.cleans_up(*size));
    rebore.oversize = fits.min_by(|one, other| one.in_mm().total_cmp(&other.in_mm()));
    Ok(Some(rebore))
}

/// Holds a length against what the bench takes for the same argument.
fn within(argument: &Argument, length: Length) -> Result<(), Problem> {
    argument.check(&[length.in_mm()], &format!("{} mm", length.in_mm()), false)
}

/// The most less the least of some lengths.
fn spread<'a>(lengths: impl IntoIterator<Item = &'a Length>) -> Length {
    let (least, most) = lengths
        .into_iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), length| {
            (least.min(length.in_mm()), most.max(length.in_mm()))
        });
    Length::from_mm((most - least).max(0.0))
}

/// Where a grid first reads so much.
fn widest_at(grid: &[Vec<Length>], widest: f64) -> (usize, usize) {
    let at = |row: &Vec<Length>| row.iter().position(|length| length.in_mm() >= widest);
    let mut rows = (1_usize..).zip(grid);
    let found = rows.find_map(|(height, row)| Some((height, at(row)? + 1)));
    found.unwrap_or((1, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the bench fills in as text is what is reckoned with.
    #[test]
    fn the_usual_clean_up_is_the_one_of_the_form() {
        let form = CLEAN_UP_BY
            .default
            .map(|text| crate::parse(text, crate::Expect::length()));
        let form = form.and_then(Result::ok).map(|typed| typed.value());
        assert_eq!(form, Some(CLEAN_UP_MM));
    }
}
