//! Fields by their shapes: how each is given, how it is stored, how it reads back. Those of one value stand here, `links` has those that
//! point at other entries, and `shape` what a shape is. A shape never looks outside its own field.

mod links;
mod shape;

use std::marker::PhantomData;

use crate::entry::{Entry, Scalar};
use crate::several::{self, BETWEEN, BETWEEN_ROWS};
use crate::time::Day;
use crate::words::Words;

pub use links::{About, Kinds, Links, Many, To};
pub(crate) use shape::prose_within;
pub use shape::{
    Field, FieldDef, Given, MOST_LINE_BYTES, MOST_MEMBERS, MOST_PROSE_BYTES, Misfit, Shape, Stored, prose_of,
};
use shape::{line_of, scalar};

/// Text on one line.
#[derive(Debug)]
pub struct Line;
impl Field for Line {
    type Value = String;
    const SHAPE: Shape = Shape::Line;
    fn store(value: &String) -> Result<Stored, Misfit> {
        scalar(line_of(value, MOST_LINE_BYTES)?)
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}

/// Text that two people may write in at once.
#[derive(Debug)]
pub struct Prose;
impl Field for Prose {
    type Value = String;
    const SHAPE: Shape = Shape::Prose;
    fn store(value: &String) -> Result<Stored, Misfit> {
        prose_of(value).map(Stored::Prose)
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}

/// A whole number.
#[derive(Debug)]
pub struct Whole;
impl Field for Whole {
    type Value = i32;
    const SHAPE: Shape = Shape::Whole;
    fn store(value: &i32) -> Result<Stored, Misfit> {
        Ok(Stored::Scalar(Some(Scalar::Whole(*value))))
    }
    type Shown<'a> = Option<i32>;
    fn owned(shown: Option<i32>) -> Option<i32> {
        shown
    }
    fn shown(entry: &Entry, field: &'static str) -> Option<i32> {
        match entry.value(field)? {
            Scalar::Whole(number) => Some(*number),
            _ => None,
        }
    }
}

/// Yes or no.
#[derive(Debug)]
pub struct Flag;
impl Field for Flag {
    type Value = bool;
    const SHAPE: Shape = Shape::Flag;
    fn store(value: &bool) -> Result<Stored, Misfit> {
        Ok(Stored::Scalar(Some(Scalar::Flag(*value))))
    }
    type Shown<'a> = Option<bool>;
    fn owned(shown: Option<bool>) -> Option<bool> {
        shown
    }
    fn shown(entry: &Entry, field: &'static str) -> Option<bool> {
        match entry.value(field)? {
            Scalar::Flag(flag) => Some(*flag),
            _ => None,
        }
    }
}

/// A day.
#[derive(Debug)]
pub struct OnDay;
impl Field for OnDay {
    type Value = Day;
    const SHAPE: Shape = Shape::Day;
    fn store(value: &Day) -> Result<Stored, Misfit> {
        scalar(value.to_string())
    }
    type Shown<'a> = Option<Day>;
    fn owned(shown: Option<Day>) -> Option<Day> {
        shown
    }
    fn shown(entry: &Entry, field: &'static str) -> Option<Day> {
        entry.line(field)?.parse().ok()
    }
}

/// A measured or wanted value, as typed.
#[derive(Debug)]
pub struct Measure;
impl Field for Measure {
    type Value = String;
    const SHAPE: Shape = Shape::Measure;
    fn store(value: &String) -> Result<Stored, Misfit> {
        let line = line_of(value, MOST_LINE_BYTES)?;
        // What a carry file or a settled point hands back is in the kept spelling already.
        if reckon::Typed::from_kept(&line).is_ok() {
            return scalar(line);
        }
        let typed = reckon::parse_any(&line).map_err(|unclear| Misfit::Unclear(unclear.to_string()))?;
        scalar(typed.kept())
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}

/// Several measured values of one kind, as typed: `0.21, 0.22, 0.21 mm`.
#[derive(Debug)]
pub struct Measures;
impl Measures {
    /// The values of the kept text; none where any of them cannot be read.
    #[must_use]
    pub fn parts(kept: &str) -> Option<Vec<reckon::Typed>> {
        several::measures(kept)
    }

    /// Reads what was typed, whatever kind it is of.
    ///
    /// # Errors
    /// No kind, or more than one, in which all of it can be read.
    fn typed(text: &str) -> Result<Vec<reckon::Typed>, Misfit> {
        let in_kind = |kind: &reckon::Kind| reckon::parse_list(text, reckon::Expect::of(*kind));
        let mut read: Vec<_> = reckon::Kind::ALL
            .iter()
            .filter_map(|kind| in_kind(kind).ok())
            .collect();
        match (read.pop(), read.is_empty()) {
            (Some(list), true) => Ok(list
                .into_iter()
                .flat_map(|one| std::iter::repeat_n(one.typed, one.count as usize))
                .collect()),
            (None, _) => Err(Misfit::Unclear(
                in_kind(&reckon::Kind::Length)
                    .err()
                    .map_or_else(String::new, |unclear| unclear.to_string()),
            )),
            (Some(_), false) => Err(Misfit::Unclear(
                "it could be of several kinds; type the unit behind the last value".to_owned(),
            )),
        }
    }
}
impl Field for Measures {
    type Value = String;
    const SHAPE: Shape = Shape::Measures;
    fn store(value: &String) -> Result<Stored, Misfit> {
        let line = line_of(value, MOST_LINE_BYTES)?;
        if line.is_empty() || Self::parts(&line).is_some() {
            return scalar(line);
        }
        let kept: Vec<String> = Self::typed(&line)?.iter().map(reckon::Typed::kept).collect();
        scalar(line_of(&kept.join(BETWEEN), MOST_LINE_BYTES)?)
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}

/// Rows of lengths, as typed: the rows parted by a semicolon, the values of one by a comma.
#[derive(Debug)]
pub struct Grid;
impl Grid {
    /// The rows of the kept text; none where any value cannot be read.
    #[must_use]
    pub fn rows(kept: &str) -> Option<Vec<Vec<reckon::Typed>>> {
        several::rows(kept)
    }
}
impl Field for Grid {
    type Value = String;
    const SHAPE: Shape = Shape::Grid;
    fn store(value: &String) -> Result<Stored, Misfit> {
        let line = line_of(value, MOST_LINE_BYTES)?;
        if line.is_empty() || Self::rows(&line).is_some() {
            return scalar(line);
        }
        let rows = reckon::parse_grid(&line, reckon::Expect::length())
            .map_err(|unclear| Misfit::Unclear(unclear.to_string()))?;
        let row = |row: &Vec<reckon::Typed>| -> String {
            let kept: Vec<String> = row.iter().map(reckon::Typed::kept).collect();
            kept.join(BETWEEN)
        };
        let kept: Vec<String> = rows.iter().map(row).collect();
        scalar(line_of(&kept.join(BETWEEN_ROWS), MOST_LINE_BYTES)?)
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}

/// An amount of money.
#[derive(Debug)]
pub struct Price;
impl Field for Price {
    type Value = String;
    const SHAPE: Shape = Shape::Money;
    fn store(value: &String) -> Result<Stored, Misfit> {
        let money = reckon::parse_money(&line_of(value, MOST_LINE_BYTES)?);
        scalar(
            money
                .map_err(|unclear| Misfit::Unclear(unclear.to_string()))?
                .to_string(),
        )
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}

/// A word of a closed set.
#[derive(Debug)]
pub struct Word<W>(PhantomData<W>);
impl<W: Words + Clone> Field for Word<W> {
    type Value = W;
    const SHAPE: Shape = Shape::Word(&W::SET);
    fn store(value: &W) -> Result<Stored, Misfit> {
        if W::ALL.contains(&value.word()) {
            return scalar(value.word().to_owned());
        }
        Err(Misfit::NotAWord {
            got: value.word().chars().take(60).collect(),
            all: W::ALL,
        })
    }
    type Shown<'a> = Option<W>;
    fn owned(shown: Option<W>) -> Option<W> {
        shown
    }
    fn shown(entry: &Entry, field: &'static str) -> Option<W> {
        entry.line(field).map(W::from_word)
    }
}
