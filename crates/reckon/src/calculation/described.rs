//! The calculations described for the wire: what a form or a command line needs to ask for each argument.
//!
//! Only describes; answers come from [`super::reckon`].

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{Argument, BenchPlace, Preferences, Range, Units, Want, calculations};
use crate::quantity::Kind;

/// One calculation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[ts(rename = "DescribedCalculation")]
#[schemars(rename = "DescribedCalculation")]
pub struct Described {
    /// Stable name.
    pub name: String,
    /// As shown.
    pub title: String,
    /// Where on the car.
    pub place: BenchPlace,
    /// Where on the car, in words.
    pub place_words: String,
    /// What it answers, in one sentence.
    pub about: String,
    /// What it takes, in the order of the form.
    pub arguments: Vec<DescribedArgument>,
}

/// One argument.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DescribedArgument {
    /// Stable name.
    pub name: String,
    /// What it is, in words.
    pub words: String,
    /// The letter used in the drawing; empty where there is none.
    pub letter: String,
    /// What is wanted: `quantity`, `number`, `whole`, `gauge`, `choice`, `thread`, `list` (several quantities), `grid` (rows of
    /// quantities), `text`.
    pub want: String,
    /// How it is typed, in a sentence; empty where it is plain.
    pub how: String,
    /// The kind of quantity, where it is one or several.
    pub kind: Option<Kind>,
    /// The symbol of the unit that stands beside the field; empty where there is none.
    pub unit: String,
    /// The words it may be, where it is a choice.
    pub choices: Vec<DescribedChoice>,
    /// Must it be given?
    pub required: bool,
    /// The text taken where nothing is given; null where there is none.
    pub default: Option<String>,
    /// Outside this it is refused.
    pub reject: Option<DescribedRange>,
    /// Outside this it is answered with a warning.
    pub warn: Option<DescribedRange>,
    /// A text that is taken.
    pub example: String,
}

/// One of the words that an argument may be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DescribedChoice {
    /// As typed.
    pub name: String,
    /// What it means.
    pub words: String,
}

/// A range, both ends included, in the argument's unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DescribedRange {
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
    /// In words: `20 mm to 250 mm`.
    pub text: String,
}

/// Every calculation, described in the units that the keeper prefers.
pub fn describe(preferences: &Preferences) -> Vec<Described> {
    let inch = preferences.units == Units::Inch;
    calculations()
        .iter()
        .map(|calculation| Described {
            name: calculation.name.to_owned(),
            title: calculation.title.to_owned(),
            place: calculation.place,
            place_words: calculation.place.words().to_owned(),
            about: calculation.about.to_owned(),
            arguments: calculation
                .arguments
                .iter()
                .map(|argument| described(argument, inch))
                .collect(),
        })
        .collect()
}

fn described(argument: &Argument, inch: bool) -> DescribedArgument {
    let (want, kind, choices) = match argument.want {
        Want::Quantity(kind) => ("quantity", Some(kind), &[][..]),
        Want::Number => ("number", None, &[][..]),
        Want::Whole => ("whole", None, &[][..]),
        Want::Gauge => ("gauge", None, &[][..]),
        Want::Choice(choices) => ("choice", None, choices),
        Want::Thread => ("thread", None, &[][..]),
        Want::List(kind) => ("list", Some(kind), &[][..]),
        Want::Grid(kind) => ("grid", Some(kind), &[][..]),
        Want::Text(_) => ("text", None, &[][..]),
    };
    let range = |range: Range| DescribedRange {
        low: argument.want.unit(inch).from_base(range.low),
        high: argument.want.unit(inch).from_base(range.high),
        text: argument.range_text(range, inch),
    };
    let choice = |choice: &super::Choice| DescribedChoice {
        name: choice.name.to_owned(),
        words: choice.words.to_owned(),
    };
    DescribedArgument {
        name: argument.name.to_owned(),
        words: argument.words.to_owned(),
        letter: argument.letter.to_owned(),
        want: want.to_owned(),
        how: argument.want.how().to_owned(),
        kind,
        unit: argument.want.unit(inch).symbol().to_owned(),
        choices: choices.iter().map(choice).collect(),
        required: argument.required,
        default: argument.default.map(str::to_owned),
        reject: argument.reject.map(range),
        warn: argument.warn.map(range),
        example: if inch {
            argument.example_inch
        } else {
            argument.example
        }
        .to_owned(),
    }
}
