//! The arguments of one run, read from typed texts: every problem found at once, defaults filled in, ranges checked.
//!
//! Never guesses at a text: that is the reader's rule, and it holds here too.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use super::argument::capital;
use super::{Argument, Preferences, Range, Units, Want};
use crate::answer::{Input, Note, Problem, ReckonRefusal, RefusalCode};
use crate::fastener::{Thread, other_pitches};
use crate::quantity::{Exact, Kind, Size, Unit};
use crate::typed::{Counted, Expect, Typed, parse, parse_grid, parse_list};

/// One argument as understood.
#[derive(Clone, Debug)]
enum Taken {
    Quantity(Typed),
    Choice(&'static super::Choice),
    Thread(Thread),
    List(Vec<Counted>),
    Grid(Vec<Vec<Typed>>),
    Text(String),
}

impl Taken {
    /// The exact value as text; for a choice or a thread its full name.
    fn exact(&self) -> String {
        let one = |typed: &Typed| {
            format!("{} {}", typed.exact(), typed.kind().base().symbol())
                .trim_end()
                .to_owned()
        };
        match self {
            Self::Quantity(typed) => one(typed),
            Self::Choice(choice) => choice.words.to_owned(),
            Self::Thread(thread) => thread.words(),
            Self::Text(text) => text.clone(),
            Self::List(items) => {
                let items = items.iter().map(|item| match item.count {
                    1 => one(&item.typed),
                    count => format!("{} ×{count}", one(&item.typed)),
                });
                items.collect::<Vec<_>>().join("; ")
            }
            Self::Grid(rows) => {
                let rows = rows
                    .iter()
                    .map(|row| row.iter().map(one).collect::<Vec<_>>().join(", "));
                rows.collect::<Vec<_>>().join("; ")
            }
        }
    }

    /// Every number in it, in the base unit: what the ranges are held against.
    fn values(&self) -> Vec<f64> {
        match self {
            Self::Quantity(typed) => vec![typed.value()],
            Self::List(items) => items.iter().map(|item| item.typed.value()).collect(),
            Self::Grid(rows) => rows.iter().flatten().map(Typed::value).collect(),
            Self::Choice(_) | Self::Thread(_) | Self::Text(_) => Vec::new(),
        }
    }
}

/// The arguments of one run.
#[derive(Debug)]
pub(crate) struct Given {
    taken: BTreeMap<&'static str, Taken>,
    inputs: Vec<Input>,
    warnings: Vec<Note>,
    /// What the calculation asked for: a default that it never looked at is not among the inputs of the answer.
    asked: RefCell<BTreeSet<&'static str>>,
}

impl Given {
    /// Reads the typed texts against the arguments.
    pub(super) fn read(
        arguments: &'static [Argument],
        typed: &BTreeMap<String, String>,
        preferences: &Preferences,
    ) -> Result<Self, ReckonRefusal> {
        let mut given = Self {
            taken: BTreeMap::new(),
            inputs: Vec::new(),
            warnings: Vec::new(),
            asked: RefCell::default(),
        };
        let mut problems = Vec::new();
        for name in typed.keys() {
            if !arguments.iter().any(|argument| argument.name == name) {
                let names: Vec<&str> = arguments.iter().map(|argument| argument.name).collect();
                let words = format!("There is no argument “{name}”; there are {}.", names.join(", "));
                problems.push(Problem::new(RefusalCode::UnknownArgument, name, words));
            }
        }
        for argument in arguments {
            let text = typed
                .get(argument.name)
                .map(|text| text.trim())
                .filter(|text| !text.is_empty());
            let (text, by_default) = match (text, argument.default) {
                (Some(text), _) => (text, false),
                (None, Some(default)) => (default, true),
                (None, None) => {
                    if argument.required {
                        let words = format!(
                            "{} is needed, like {}.",
                            capital(argument.words),
                            example(argument, preferences)
                        );
                        problems.push(Problem::new(RefusalCode::Missing, argument.name, words));
                    }
                    continue;
                }
            };
            match take(argument, text, preferences) {
                Ok(taken) => given.keep(argument, text, by_default, taken, preferences, &mut problems),
                Err(problem) => problems.push(problem),
            }
        }
        if problems.is_empty() {
            Ok(given)
        } else {
            Err(ReckonRefusal { problems })
        }
    }

    /// Checks the ranges and writes the argument down.
    fn keep(
        &mut self,
        argument: &'static Argument,
        text: &str,
        by_default: bool,
        taken: Taken,
        preferences: &Preferences,
        problems: &mut Vec<Problem>,
    ) {
        let inch = preferences.units == Units::Inch;
        let values = taken.values();
        let (value, unit) = match &taken {
            Taken::Quantity(typed) => (values.first().copied(), typed.kind().base().symbol()),
            _ => (None, ""),
        };
        let outside = |range: Range| values.iter().any(|value| !range.holds(*value));
        if let Err(problem) = argument.check(&values, text, inch) {
            problems.push(problem);
            return;
        }
        if let Some(range) = argument.warn
            && outside(range)
        {
            self.warnings.push(Note {
                key: format!("unusual_{}", argument.name).into(),
                words: format!(
                    "{} is usually from {}; {text} is not. Is it right?",
                    capital(argument.words),
                    argument.range_text(range, inch)
                )
                .into(),
            });
        }
        if let Taken::Thread(thread) = &taken
            && let Some(known) = other_pitches(thread)
        {
            self.warnings.push(Note {
                key: format!("unusual_{}", argument.name).into(),
                words: format!(
                    "No standard known here has that pitch for the size of {}: {known}. Is it right?",
                    thread.name()
                )
                .into(),
            });
        }
        self.inputs.push(Input {
            name: argument.name.into(),
            words: argument.words.into(),
            letter: argument.letter.into(),
            typed: text.to_owned(),
            exact: taken.exact(),
            value,
            unit: unit.into(),
            by_default,
        });
        self.taken.insert(argument.name, taken);
    }

    /// The arguments as understood: all that were typed, and the defaults that counted.
    pub(super) fn into_inputs(self) -> Vec<Input> {
        let asked = self.asked.into_inner();
        let mut inputs = self.inputs;
        inputs.retain(|input| !input.by_default || asked.contains(&*input.name));
        inputs
    }

    /// Begins anew with what was asked for.
    pub(super) fn forget_asked(&mut self) {
        self.asked.get_mut().clear();
    }

    /// What was typed and never asked for, each as it was typed.
    pub(super) fn not_used(&self) -> Vec<String> {
        let asked = self.asked.borrow();
        let typed = self.inputs.iter().filter(|input| !input.by_default);
        typed
            .filter(|input| !asked.contains(&*input.name))
            .filter_map(|input| self.as_typed(&input.name))
            .collect()
    }

    fn look(&self, name: &str) -> Option<&Taken> {
        let (name, taken) = self.taken.get_key_value(name)?;
        self.asked.borrow_mut().insert(name);
        Some(taken)
    }

    /// What is unusual about them, once.
    pub(super) fn take_warnings(&mut self) -> Vec<Note> {
        std::mem::take(&mut self.warnings)
    }

    /// A quantity, where it was given.
    pub(crate) fn get<S: Size>(&self, name: &str) -> Option<S> {
        match self.look(name) {
            Some(Taken::Quantity(typed)) if typed.kind() == S::KIND => Some(S::from_base(typed.value())),
            _ => None,
        }
    }

    /// A quantity as it was typed, where it was given.
    pub(crate) fn measure(&self, name: &str) -> Option<&Typed> {
        match self.look(name) {
            Some(Taken::Quantity(typed)) => Some(typed),
            _ => None,
        }
    }

    /// A quantity that must have been given.
    pub(crate) fn need<S: Size>(&self, name: &str) -> Result<S, ReckonRefusal> {
        self.get(name).ok_or_else(|| missing(name))
    }

    /// Several numbers, each as often as it was counted, in the order typed and exact.
    pub(crate) fn exact_list(&self, name: &str) -> Vec<Exact> {
        match self.look(name) {
            Some(Taken::List(items)) => exact_of(items),
            _ => Vec::new(),
        }
    }

    /// A plain number, where it was given.
    pub(crate) fn number(&self, name: &str) -> Option<f64> {
        match self.look(name) {
            Some(Taken::Quantity(typed)) if typed.kind() == Kind::Number => Some(typed.value()),
            _ => None,
        }
    }

    /// A plain number that must have been given.
    pub(crate) fn need_number(&self, name: &str) -> Result<f64, ReckonRefusal> {
        self.number(name).ok_or_else(|| missing(name))
    }

    /// The unit in which a quantity was typed.
    pub(crate) fn unit(&self, name: &str) -> Option<Unit> {
        self.measure(name).map(Typed::unit)
    }

    /// A choice's name, where it was given.
    pub(crate) fn choice(&self, name: &str) -> Option<&'static str> {
        match self.look(name) {
            Some(Taken::Choice(choice)) => Some(choice.name),
            _ => None,
        }
    }

    /// A thread, where it was given.
    pub(crate) fn thread(&self, name: &str) -> Option<&Thread> {
        match self.look(name) {
            Some(Taken::Thread(thread)) => Some(thread),
            _ => None,
        }
    }

    /// Several quantities, each as often as it was counted, in the order typed; empty where none were given.
    pub(crate) fn list<S: Size>(&self, name: &str) -> Vec<S> {
        let counted = self.counted::<S>(name).into_iter();
        counted
            .flat_map(|(size, count)| std::iter::repeat_n(size, count as usize))
            .collect()
    }

    /// Several quantities with how many there are of each; empty where none were given.
    pub(crate) fn counted<S: Size>(&self, name: &str) -> Vec<(S, u32)> {
        match self.look(name) {
            Some(Taken::List(items)) => items
                .iter()
                .filter(|item| item.typed.kind() == S::KIND)
                .map(|item| (S::from_base(item.typed.value()), item.count))
                .collect(),
            _ => Vec::new(),
        }
    }

    /// Rows of quantities, all rows of one length; empty where none were given.
    pub(crate) fn grid<S: Size>(&self, name: &str) -> Vec<Vec<S>> {
        match self.look(name) {
            Some(Taken::Grid(rows)) => rows
                .iter()
                .map(|row| row.iter().map(|typed| S::from_base(typed.value())).collect())
                .collect(),
            _ => Vec::new(),
        }
    }

    /// A text, where it was given.
    pub(crate) fn text(&self, name: &str) -> Option<&str> {
        match self.look(name) {
            Some(Taken::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// Was it typed, and does not only stand there by default?
    pub(super) fn by_hand(&self, name: &str) -> bool {
        self.inputs
            .iter()
            .any(|input| input.name == name && !input.by_default)
    }

    /// What it is and what was typed for it: `the pitch, by gauge (1.25 mm)`.
    pub(super) fn as_typed(&self, name: &str) -> Option<String> {
        let input = self.inputs.iter().find(|input| input.name == name)?;
        Some(format!("{} ({})", input.words, input.typed))
    }

    /// A quantity or number in its base unit, whatever it measures.
    pub(super) fn base(&self, name: &str) -> Option<f64> {
        match self.taken.get(name) {
            Some(Taken::Quantity(typed)) => Some(typed.value()),
            _ => None,
        }
    }

    /// Was it given, by hand or by default?
    pub(crate) fn has(&self, name: &str) -> bool {
        if self.by_hand(name) {
            return self.look(name).is_some();
        }
        self.taken.contains_key(name)
    }

    /// The text of it, where it was typed.
    pub(crate) fn typed(&self, name: &str) -> Option<&str> {
        let mut inputs = self.inputs.iter().filter(|input| !input.by_default);
        let input = inputs.find(|input| input.name == name)?;
        Some(input.typed.as_str())
    }
}

/// Each as often as it was counted.
fn exact_of(items: &[Counted]) -> Vec<Exact> {
    let each = items
        .iter()
        .flat_map(|item| std::iter::repeat_n(item.typed.exact().clone(), item.count as usize));
    each.collect()
}

/// Reads a list of one argument by itself, each number as often as it was counted.
///
/// # Errors
/// [`RefusalCode::Unclear`], as for the whole form.
pub(super) fn read_exact_list(argument: &Argument, text: &str) -> Result<Vec<Exact>, ReckonRefusal> {
    match take(argument, text, &Preferences::default())? {
        Taken::List(items) => Ok(exact_of(&items)),
        _ => Ok(Vec::new()),
    }
}

fn missing(name: &str) -> ReckonRefusal {
    ReckonRefusal::of(
        RefusalCode::Missing,
        name,
        format!("{} is needed.", capital(name)),
    )
}

fn example(argument: &Argument, preferences: &Preferences) -> &'static str {
    if preferences.units == Units::Inch {
        argument.example_inch
    } else {
        argument.example
    }
}

fn take(argument: &Argument, text: &str, preferences: &Preferences) -> Result<Taken, Problem> {
    let unclear = |unclear| Problem::unclear(argument.name, &capital(argument.words), unclear);
    let expect = |kind: Kind| {
        let unit = argument.want.unit(preferences.units == Units::Inch);
        match preferences.bare_numbers {
            true => Expect::of(kind).bare_in(unit),
            false => Expect::of(kind),
        }
    };
    match argument.want {
        Want::Quantity(kind) => parse(text, expect(kind)).map(Taken::Quantity).map_err(unclear),
        // A sheet of paint prints `4:1:1`.
        Want::List(Kind::Number) if text.contains(':') => {
            parse_list(&text.replace(':', "; "), expect(Kind::Number))
                .map(Taken::List)
                .map_err(unclear)
        }
        Want::List(kind) => parse_list(text, expect(kind)).map(Taken::List).map_err(unclear),
        Want::Grid(kind) => parse_grid(text, expect(kind)).map(Taken::Grid).map_err(unclear),
        Want::Text(most) if text.chars().count() > most => {
            let words = format!("{} is longer than {most} characters.", capital(argument.words));
            Err(Problem::new(RefusalCode::OutOfRange, argument.name, words))
        }
        Want::Text(_) => Ok(Taken::Text(text.to_owned())),
        Want::Number => parse(text, Expect::number())
            .map(Taken::Quantity)
            .map_err(unclear),
        Want::Whole => {
            let typed = parse(text, Expect::number()).map_err(unclear)?;
            if typed.exact().is_whole() {
                Ok(Taken::Quantity(typed))
            } else {
                let words = format!(
                    "{} must be a whole number; {text} is not.",
                    capital(argument.words)
                );
                Err(Problem::new(RefusalCode::OutOfRange, argument.name, words))
            }
        }
        Want::Gauge => gauge(text)
            .and_then(|number| parse(&number, Expect::number()).ok())
            .filter(|typed| typed.exact().is_whole())
            .map(Taken::Quantity)
            .ok_or_else(|| {
                let words = format!(
                    "{} is a gauge number like 13, or 00, 000, 0000, 2/0, 3/0, 4/0; {text} is not.",
                    capital(argument.words)
                );
                Problem::new(RefusalCode::OutOfRange, argument.name, words)
            }),
        Want::Choice(choices) => choices
            .iter()
            .find(|choice| choice.name.eq_ignore_ascii_case(text))
            .map(Taken::Choice)
            .ok_or_else(|| {
                let names: Vec<&str> = choices.iter().map(|choice| choice.name).collect();
                let words = format!(
                    "{} is one of {}; {text} is not.",
                    capital(argument.words),
                    names.join(", ")
                );
                Problem::new(RefusalCode::NotAChoice, argument.name, words)
            }),
        Want::Thread => Thread::read(text).map(Taken::Thread).map_err(unclear),
    }
}

/// The n of a wire's gauge, as a number to be read: `13`, `AWG 4/0`; `00` and `2/0` are −1, `000` −2, `0000` −3 (ASTM B258).
fn gauge(text: &str) -> Option<String> {
    let upper = text.trim().to_ascii_uppercase();
    let bare = upper.strip_prefix("AWG").unwrap_or(&upper);
    let bare = bare.strip_suffix("AWG").unwrap_or(bare).trim();
    let above = |count: usize| (1..=4).contains(&count).then(|| (1 - count as i64).to_string());
    if let Some(noughts) = bare.strip_suffix("/0") {
        return above(noughts.parse().ok()?);
    }
    if bare.bytes().all(|byte| byte == b'0') {
        return above(bare.len());
    }
    // `02` is no gauge that anybody writes: it may be meant for 2/0.
    let odd = bare.starts_with('0') && bare.as_bytes().get(1).is_some_and(u8::is_ascii_digit);
    (!odd && !bare.contains('/')).then(|| bare.to_owned())
}
