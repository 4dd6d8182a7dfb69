//! Shapes of fields: what a field may hold, how it is given on the wire, how it is stored, how it reads back.
//! A shape never looks outside its own field; whether a reference leads anywhere is asked by `edit`.
//!
//! Length: one shape stands beside the next, each with how it is given, stored and read; apart they could not be compared.

use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use ts_rs::TS;

use crate::entry::{Entry, Held, Scalar, member};
use crate::name::{Id, Kind, Link, Mention, OfKind, Ref};
use crate::time::Day;
use crate::words::{ClosedSet, Words};

/// Most bytes in a line; a longer one is refused, not cut.
pub const MOST_LINE_BYTES: usize = 2_000;
/// Most bytes in one prose field.
pub const MOST_PROSE_BYTES: usize = 200_000;
/// What parts the values of several; no typed value has a semicolon in it.
pub(crate) const BETWEEN: &str = "; ";
/// What parts the rows of a grid.
pub(crate) const BETWEEN_ROWS: &str = " | ";
/// Most elements in one set field.
pub const MOST_MEMBERS: usize = 500;

/// What a field may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Text on one line.
    Line,
    /// Text that two people may write in at once.
    Prose,
    /// A whole number.
    Whole,
    /// Yes or no.
    Flag,
    /// A day, `2031-03-01`.
    Day,
    /// What was typed and its exact value, `12 thou = 0.3048 mm`.
    Measure,
    /// Several of one kind, each as a measure, parted by `; `.
    Measures,
    /// Rows of lengths, each as a measure, parted by `; ` and the rows by ` | `.
    Grid,
    /// How a finding ended: `mended_by:` and a job, `mended:` or `lived_with:` and words.
    Ending,
    /// Where a part lies: the id of a container, or `place:`, `off:`, `away:`, `scrapped:`, `lost:` and words.
    Lies,
    /// `GBP 12.50`.
    Money,
    /// One of the words of a closed set.
    Word(&'static ClosedSet),
    /// The id of one of a kind.
    Link(Kind),
    /// A reference to one of several kinds.
    About(&'static [Kind]),
    /// Ids of one kind, each kept under a key of its own so that two devices' additions both stay.
    Set(Kind),
}

/// One field of a kind.
#[derive(Clone, Copy, Debug)]
pub struct FieldDef {
    /// Its key in the document, on the wire and in the archive.
    pub name: &'static str,
    /// What it is called on a form and on a page.
    pub label: &'static str,
    /// What it is for, in a sentence.
    pub says: &'static str,
    /// What it may hold.
    pub shape: Shape,
    /// Whether an entry cannot be made without it.
    pub required: bool,
}

/// What is given for one field: leave it, empty it, or put a value. On the wire: absent, `null`, or the value.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Given<T> {
    /// Not mentioned: it stays as it is.
    #[default]
    Leave,
    /// Emptied.
    Clear,
    /// This value.
    Put(T),
}

impl<T> Given<T> {
    /// Whether the field was not mentioned.
    pub fn leaves(&self) -> bool {
        matches!(self, Given::Leave)
    }

    /// The value, where one is put.
    pub fn put(&self) -> Option<&T> {
        match self {
            Given::Put(value) => Some(value),
            _ => None,
        }
    }
}

impl<T> From<T> for Given<T> {
    fn from(value: T) -> Self {
        Given::Put(value)
    }
}

impl From<&str> for Given<String> {
    fn from(value: &str) -> Self {
        Given::Put(value.to_owned())
    }
}

impl<T: Serialize> Serialize for Given<T> {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        self.put().serialize(out)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Given<T> {
    fn deserialize<D: Deserializer<'de>>(input: D) -> Result<Self, D::Error> {
        Ok(Option::<T>::deserialize(input)?.map_or(Given::Clear, Given::Put))
    }
}

impl<T: JsonSchema> JsonSchema for Given<T> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        Option::<T>::schema_name()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        Option::<T>::json_schema(generator)
    }
    fn inline_schema() -> bool {
        true
    }
}

// On the TypeScript side it is an optional field that may be null, which is what ts-rs makes of an `Option`.
impl<T: TS> TS for Given<T> {
    type WithoutGenerics = Self;
    type OptionInnerType = T;
    const IS_OPTION: bool = true;
    fn name(cfg: &ts_rs::Config) -> String {
        Option::<T>::name(cfg)
    }
    fn inline(cfg: &ts_rs::Config) -> String {
        Option::<T>::inline(cfg)
    }
    fn visit_dependencies(visitor: &mut impl ts_rs::TypeVisitor)
    where
        Self: 'static,
    {
        T::visit_dependencies(visitor);
    }
    fn visit_generics(visitor: &mut impl ts_rs::TypeVisitor)
    where
        Self: 'static,
    {
        T::visit_generics(visitor);
        visitor.visit::<T>();
    }
}

impl<T> ts_rs::IsOption for Given<T> {
    type Inner = T;
}

/// A value ready to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stored {
    /// One value, or none.
    Scalar(Option<Scalar>),
    /// The whole text that a prose field is to read.
    Prose(String),
    /// The whole membership that a set is to have.
    Set(Vec<Id>),
}

/// Why a value does not fit its field.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Misfit {
    /// Too long.
    #[error("it is {got} bytes long; {most} are the most")]
    TooLong {
        /// How long it is.
        got: usize,
        /// How long it may be.
        most: usize,
    },
    /// Line breaks or control characters where one line is wanted.
    #[error("it has a line break or a control character; one line is wanted")]
    NotALine,
    /// Not one of the words.
    #[error("'{got}' is none of {}", all.join(", "))]
    NotAWord {
        /// What was given.
        got: String,
        /// The words there are.
        all: &'static [&'static str],
    },
    /// A measure or an amount that cannot be read one way only.
    #[error("{0}")]
    Unclear(String),
    /// A reference to a kind that this field cannot be about.
    #[error("it cannot be about a {got}, only about {}", may.iter().map(|kind| kind.word()).collect::<Vec<_>>().join(", "))]
    WrongKind {
        /// What it is.
        got: Kind,
        /// What it may be.
        may: &'static [Kind],
    },
    /// More elements than a set holds.
    #[error("it has {0} elements; {MOST_MEMBERS} are the most")]
    TooMany(usize),
}

/// A type of field: what is given, how it is stored, how it reads back.
pub trait Field {
    /// The value on the wire and in code.
    type Value: Clone;
    /// What it may hold.
    const SHAPE: Shape;
    /// Checks a given value and turns it into the stored one.
    ///
    /// # Errors
    /// Says why the value does not fit.
    fn store(value: &Self::Value) -> Result<Stored, Misfit>;
    /// What an entry shows of it, borrowed from the entry.
    type Shown<'a>;
    /// The value shown: text as it is kept, anything else as far as it can be understood.
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Self::Shown<'a>;
    /// What is shown, as a value of its own.
    fn owned(shown: Self::Shown<'_>) -> Option<Self::Value>;
    /// Reads it back; nothing where it was never put, was emptied, or cannot be understood.
    fn read(entry: &Entry, field: &'static str) -> Option<Self::Value> {
        Self::owned(Self::shown(entry, field))
    }
}

/// The links of a set that are in it.
#[derive(Clone, Debug)]
pub struct Links<'a> {
    all: std::collections::btree_map::Iter<'a, String, Held>,
    field: &'static str,
}

impl<'a> Iterator for Links<'a> {
    type Item = Link<'a>;
    fn next(&mut self) -> Option<Link<'a>> {
        self.all
            .find_map(|(name, held)| member(name, held, self.field))
            .map(Link)
    }
}

fn line_of(text: &str, most: usize) -> Result<String, Misfit> {
    if text.len() > most {
        return Err(Misfit::TooLong {
            got: text.len(),
            most,
        });
    }
    if text.chars().any(char::is_control) {
        return Err(Misfit::NotALine);
    }
    Ok(text.trim().to_owned())
}

fn scalar(line: String) -> Result<Stored, Misfit> {
    // An emptied line and a line never written read the same.
    Ok(Stored::Scalar((!line.is_empty()).then_some(Scalar::Line(line))))
}

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

/// Checks a text for a prose field, and brings its line ends to `\n`.
///
/// # Errors
/// Too long, or control characters other than line break and tab.
pub fn prose_of(text: &str) -> Result<String, Misfit> {
    prose_within(text, MOST_PROSE_BYTES)
}

/// The same for a text that grew by what was added to it, beyond what is typed at once.
///
/// # Errors
/// Longer than `most`, or control characters other than line break and tab.
pub(crate) fn prose_within(text: &str, most: usize) -> Result<String, Misfit> {
    if text.len() > most {
        return Err(Misfit::TooLong {
            got: text.len(),
            most,
        });
    }
    let text = text.replace("\r\n", "\n");
    if text.chars().any(|c| c.is_control() && c != '\n' && c != '\t') {
        return Err(Misfit::NotALine);
    }
    Ok(text)
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
        kept.split(BETWEEN)
            .map(|one| reckon::Typed::from_kept(one).ok())
            .collect()
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
        kept.split(BETWEEN_ROWS).map(Measures::parts).collect()
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

/// The id of another entity.
#[derive(Debug)]
pub struct To<K>(PhantomData<K>);
impl<K: OfKind> Field for To<K> {
    type Value = Id;
    const SHAPE: Shape = Shape::Link(K::KIND);
    fn store(value: &Id) -> Result<Stored, Misfit> {
        scalar(value.to_string())
    }
    type Shown<'a> = Option<Link<'a>>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<Link<'a>> {
        entry.line(field).map(Link)
    }
    fn owned(shown: Option<Link<'_>>) -> Option<Id> {
        shown?.id()
    }
}

/// The kinds that an `About` field may be about.
pub trait Kinds {
    /// Those kinds.
    const MAY: &'static [Kind];
}

/// A reference to one of several kinds.
#[derive(Debug)]
pub struct About<K>(PhantomData<K>);
impl<K: Kinds> Field for About<K> {
    type Value = Ref;
    const SHAPE: Shape = Shape::About(K::MAY);
    fn store(value: &Ref) -> Result<Stored, Misfit> {
        if !K::MAY.contains(&value.kind) {
            return Err(Misfit::WrongKind {
                got: value.kind,
                may: K::MAY,
            });
        }
        scalar(value.to_string())
    }
    type Shown<'a> = Option<Mention<'a>>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<Mention<'a>> {
        entry.line(field).map(Mention)
    }
    fn owned(shown: Option<Mention<'_>>) -> Option<Ref> {
        shown?.name()
    }
}

/// Ids of several entities of one kind.
#[derive(Debug)]
pub struct Many<K>(PhantomData<K>);
impl<K: OfKind> Field for Many<K> {
    type Value = Vec<Id>;
    const SHAPE: Shape = Shape::Set(K::KIND);
    fn store(value: &Vec<Id>) -> Result<Stored, Misfit> {
        if value.len() > MOST_MEMBERS {
            return Err(Misfit::TooMany(value.len()));
        }
        Ok(Stored::Set(value.clone()))
    }
    type Shown<'a> = Links<'a>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Links<'a> {
        Links {
            all: entry.fields.iter(),
            field,
        }
    }
    fn owned(shown: Links<'_>) -> Option<Vec<Id>> {
        let members: Vec<Id> = shown.filter_map(Link::id).collect();
        (!members.is_empty()).then_some(members)
    }
}
