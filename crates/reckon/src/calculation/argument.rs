//! What a calculation takes: one row per argument, as constants beside the calculation.
//!
//! Never parsed from anywhere and never changed at run time.

use crate::answer::{Problem, RefusalCode};
use crate::quantity::{Kind, Unit, shown};

/// One argument.
#[derive(Clone, Copy, Debug)]
pub struct Argument {
    /// Stable name, lower_snake.
    pub name: &'static str,
    /// What it is, in words, without a stop.
    pub words: &'static str,
    /// The letter used in the drawing and the formula; empty where there is none.
    pub letter: &'static str,
    /// What is wanted.
    pub want: Want,
    /// Must it be given?
    pub required: bool,
    /// The text taken where nothing is given.
    pub default: Option<&'static str>,
    /// Outside this, refused.
    pub reject: Option<Range>,
    /// Outside this, answered with a warning.
    pub warn: Option<Range>,
    /// A text that is taken, in metric units.
    pub example: &'static str,
    /// The same where inches are preferred.
    pub example_inch: &'static str,
}

/// What an argument wants.
#[derive(Clone, Copy, Debug)]
pub enum Want {
    /// A quantity of a kind.
    Quantity(Kind),
    /// A plain number.
    Number,
    /// A whole number.
    Whole,
    /// A wire's gauge by ASTM B258, as a whole number: `13`, and above nought `00` or `2/0`, which is −1.
    Gauge,
    /// One of a few words.
    Choice(&'static [Choice]),
    /// A thread: `M10x1.25`, `3/8-24`.
    Thread,
    /// Several quantities of a kind, each with how many there are of it: `0.24x2, 0.30, 0.36 mm`.
    List(Kind),
    /// Rows of quantities of a kind, all rows of one length: `85.61, 85.56; 85.57, 85.54 mm`.
    Grid(Kind),
    /// A text as it stands, of at most this many characters.
    Text(usize),
}

/// A length.
pub(crate) const LENGTH: Want = Want::Quantity(Kind::Length);
/// Several lengths.
pub(crate) const LENGTHS: Want = Want::List(Kind::Length);
/// A volume.
pub(crate) const VOLUME: Want = Want::Quantity(Kind::Volume);
/// An angle.
pub(crate) const ANGLE: Want = Want::Quantity(Kind::Angle);

/// One of the words that an argument may be.
#[derive(Clone, Copy, Debug)]
pub struct Choice {
    /// As typed.
    pub name: &'static str,
    /// What it means.
    pub words: &'static str,
}

/// A range of values, both ends included, in the base unit of the argument's kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
}

impl Range {
    /// Is `value` inside, the ends included?
    pub fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

impl Want {
    /// The unit in which ranges are shown and bare numbers may be taken.
    pub fn unit(self, inch: bool) -> Unit {
        match self {
            Self::Quantity(kind) | Self::List(kind) | Self::Grid(kind) => kind.preferred(inch),
            _ => Unit::One,
        }
    }

    /// How it is typed, in a sentence; empty where it is plain.
    pub fn how(self) -> &'static str {
        match self {
            Self::List(_) => {
                "Several values: a comma and a space, or a semicolon, between them; ×2 behind one that is there twice; a unit behind \
                 the last holds for all, where no other has one."
            }
            Self::Grid(_) => {
                "Rows of values: a comma and a space between values, a semicolon between rows; a unit behind the last holds for all, \
                 where no other has one."
            }
            Self::Gauge => "A whole number, or 00, 000, 0000; 2/0, 3/0, 4/0.",
            Self::Thread => "Diameter and pitch: M10x1.25, or diameter and threads per inch: 3/8-24.",
            _ => "",
        }
    }
}

impl Argument {
    /// An argument that may be left out, with no range; the constants of each calculation start from this.
    pub const fn new(name: &'static str, letter: &'static str, words: &'static str, want: Want) -> Self {
        Self {
            name,
            words,
            letter,
            want,
            required: false,
            default: None,
            reject: None,
            warn: None,
            example: "",
            example_inch: "",
        }
    }

    /// It must be given.
    #[must_use]
    pub const fn required(self) -> Self {
        Self {
            required: true,
            ..self
        }
    }

    /// What is taken where nothing is given.
    #[must_use]
    pub const fn or(self, default: &'static str) -> Self {
        Self {
            default: Some(default),
            ..self
        }
    }

    /// Refused outside `low` to `high`, in the base unit.
    #[must_use]
    pub const fn within(self, low: f64, high: f64) -> Self {
        Self {
            reject: Some(Range { low, high }),
            ..self
        }
    }

    /// Warned about outside `low` to `high`, in the base unit.
    #[must_use]
    pub const fn usually(self, low: f64, high: f64) -> Self {
        Self {
            warn: Some(Range { low, high }),
            ..self
        }
    }

    /// What one may type, in metric and in inch units.
    #[must_use]
    pub const fn such_as(self, metric: &'static str, inch: &'static str) -> Self {
        Self {
            example: metric,
            example_inch: inch,
            ..self
        }
    }

    /// Holds values, in the base unit, against what is refused; `text` is what was typed of them.
    ///
    /// # Errors
    /// [`RefusalCode::OutOfRange`], with the range in words.
    pub(crate) fn check(&self, values: &[f64], text: &str, inch: bool) -> Result<(), Problem> {
        match self.reject {
            Some(range) if values.iter().any(|value| !range.holds(*value)) => {
                let words = format!(
                    "{} must be from {}; {text} is not.",
                    capital(self.words),
                    self.range_text(range, inch)
                );
                Err(Problem::new(RefusalCode::OutOfRange, self.name, words))
            }
            _ => Ok(()),
        }
    }

    /// `20 mm to 250 mm`, in the preferred unit; trailing noughts are left out.
    pub(super) fn range_text(&self, range: Range, inch: bool) -> String {
        let unit = self.want.unit(inch);
        let end = |base: f64| {
            let value = unit.from_base(base);
            let text = shown(value, unit);
            let (number, symbol) = text.split_once(' ').unwrap_or((&text, ""));
            let number = if number.contains('.') {
                number.trim_end_matches('0').trim_end_matches('.')
            } else {
                number
            };
            // An end that rounding would move, or make nought of, is written out: 0.0065 is not 0.006.
            let told: f64 = number.parse().unwrap_or(f64::NAN);
            let number = if (told - value).abs() <= 1e-3 * value.abs() {
                number.to_owned()
            } else {
                format!("{value:.3e}").parse::<f64>().unwrap_or(value).to_string()
            };
            format!("{number} {symbol}").trim_end().to_owned()
        };
        format!("{} to {}", end(range.low), end(range.high))
    }
}

/// With a capital, to start a sentence.
pub(super) fn capital(words: &str) -> String {
    let mut chars = words.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}
