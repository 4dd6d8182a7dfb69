//! Shapes of fields: what a field may hold, how it is given on the wire, and why a value does not fit.

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use ts_rs::TS;

use crate::entry::{Entry, Scalar};
use crate::name::{Id, Kind};
use crate::words::ClosedSet;

/// Most bytes in a line; a longer one is refused, not cut.
pub const MOST_LINE_BYTES: usize = 2_000;
/// Most bytes in one prose field.
pub const MOST_PROSE_BYTES: usize = 200_000;
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
    /// How a finding ended: `mended_by:` and a job, `mended:`, `lived_with:` or `not_so:` and words.
    Ending,
    /// Where a part lies: the id of a container, or `place:`, `off:`, `away:`, `scrapped:`, `lost:`, `trial:` and words.
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

pub(super) fn line_of(text: &str, most: usize) -> Result<String, Misfit> {
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

pub(super) fn scalar(line: String) -> Result<Stored, Misfit> {
    // An emptied line and a line never written read the same.
    Ok(Stored::Scalar((!line.is_empty()).then_some(Scalar::Line(line))))
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
