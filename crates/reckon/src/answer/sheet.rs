//! The sheet on which a calculation writes its answer down, in the units that the keeper prefers.
//!
//! Never lets out a number that is none: such an answer is refused at the end.

use super::{
    Answer, Formula, Input, Line, Note, ReckonRefusal, RefusalCode, Source, Standing, Table, Value, Verdict,
    VerdictWord, Words,
};
use crate::preferences::Units;
use crate::quantity::{Size, Unit, shown};

/// An answer being written.
#[must_use = "a sheet is no answer until it is finished"]
pub(crate) struct Sheet {
    answer: Answer,
    units: Units,
}

impl Sheet {
    pub(crate) fn new(calculation: &'static str, warnings: Vec<Note>, units: Units) -> Self {
        let answer = Answer {
            calculation: calculation.to_owned(),
            values: Vec::new(),
            verdicts: Vec::new(),
            tables: Vec::new(),
            inputs: Vec::new(),
            formulas: Vec::new(),
            sources: Vec::new(),
            conditions: Vec::new(),
            cautions: Vec::new(),
            warnings,
        };
        Self { answer, units }
    }

    /// Does the keeper prefer inches and pounds?
    pub(crate) fn inch(&self) -> bool {
        self.units == Units::Inch
    }

    /// The unit of the keeper's preference.
    pub(crate) fn pick(&self, metric: Unit, inch: Unit) -> Unit {
        if self.inch() { inch } else { metric }
    }

    /// A value in the keeper's usual unit of its kind.
    pub(crate) fn value<S: Size>(&mut self, key: impl Into<Words>, words: impl Into<Words>, size: S) {
        let cell = self.cell(key, words, size);
        self.answer.values.push(cell);
    }

    /// A value in `unit`, which must be of its kind.
    pub(crate) fn value_in<S: Size>(
        &mut self,
        key: impl Into<Words>,
        words: impl Into<Words>,
        size: S,
        unit: Unit,
    ) {
        self.raw(key, words, unit.from_base(size.base()), unit);
    }

    /// A plain number.
    pub(crate) fn number(&mut self, key: impl Into<Words>, words: impl Into<Words>, value: f64) {
        self.raw(key, words, value, Unit::One);
    }

    /// How many there are: shown whole.
    pub(crate) fn count(&mut self, key: impl Into<Words>, words: impl Into<Words>, count: usize) {
        self.told(key, words, count, count.to_string());
    }

    /// How many there are, shown as what they are: the order of so many bolts.
    pub(crate) fn told(
        &mut self,
        key: impl Into<Words>,
        words: impl Into<Words>,
        count: usize,
        text: String,
    ) {
        let value = raw_cell(key, words, count as f64, Unit::One);
        self.answer.values.push(Value { text, ..value });
    }

    /// A number that is in `unit` already: per cent, a difference of temperatures in K, and the like.
    pub(crate) fn raw(&mut self, key: impl Into<Words>, words: impl Into<Words>, value: f64, unit: Unit) {
        self.answer.values.push(raw_cell(key, words, value, unit));
    }

    /// A value for a line of a table, in the keeper's usual unit of its kind.
    pub(crate) fn cell<S: Size>(&self, key: impl Into<Words>, words: impl Into<Words>, size: S) -> Value {
        let unit = S::KIND.preferred(self.inch());
        raw_cell(key, words, unit.from_base(size.base()), unit)
    }

    /// Lines that all hold together, in order.
    pub(crate) fn table(&mut self, key: impl Into<Words>, words: impl Into<Words>, lines: Vec<Line>) {
        self.push_table(key, words, false, lines);
    }

    /// Choices, the best first.
    pub(crate) fn choices(&mut self, key: impl Into<Words>, words: impl Into<Words>, lines: Vec<Line>) {
        self.push_table(key, words, true, lines);
    }

    fn push_table(&mut self, key: impl Into<Words>, words: impl Into<Words>, ranked: bool, lines: Vec<Line>) {
        self.answer.tables.push(Table {
            key: key.into(),
            words: words.into(),
            ranked,
            lines,
        });
    }

    /// A size as text in the keeper's usual unit, for a sentence.
    pub(crate) fn text<S: Size>(&self, size: S) -> String {
        let unit = S::KIND.preferred(self.inch());
        shown(unit.from_base(size.base()), unit)
    }

    pub(crate) fn verdict(&mut self, key: impl Into<Words>, word: VerdictWord, words: String) {
        self.answer.verdicts.push(Verdict {
            key: key.into(),
            word,
            words,
        });
    }

    /// How many verdicts stand on it by now.
    pub(crate) fn verdicts(&self) -> usize {
        self.answer.verdicts.len()
    }

    pub(crate) fn formula(
        &mut self,
        key: impl Into<Words>,
        name: impl Into<Words>,
        written: impl Into<Words>,
    ) {
        let formula = Formula {
            key: key.into(),
            name: name.into(),
            written: written.into(),
        };
        self.answer.formulas.push(formula);
    }

    pub(crate) fn source(&mut self, key: impl Into<Words>, words: impl Into<Words>, standing: Standing) {
        let source = Source {
            key: key.into(),
            words: words.into(),
            standing,
        };
        // Two parts of one calculation may rest on the same source.
        if !self.answer.sources.contains(&source) {
            self.answer.sources.push(source);
        }
    }

    pub(crate) fn condition(&mut self, key: impl Into<Words>, words: impl Into<Words>) {
        note(&mut self.answer.conditions, key.into(), words.into());
    }

    pub(crate) fn caution(&mut self, (key, words): (&'static str, &'static str)) {
        note(&mut self.answer.cautions, key.into(), words.into());
    }

    pub(crate) fn warning(&mut self, key: impl Into<Words>, words: impl Into<Words>) {
        note(&mut self.answer.warnings, key.into(), words.into());
    }

    /// The answer; refused where a value is no number, which ranges should have kept out.
    pub(crate) fn finish(self, inputs: Vec<Input>) -> Result<Answer, ReckonRefusal> {
        let lines = self.answer.tables.iter().flat_map(|table| &table.lines);
        let mut values = self
            .answer
            .values
            .iter()
            .chain(lines.flat_map(|line| &line.values));
        match values.find(|value| !value.value.is_finite()) {
            Some(value) => Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                "",
                format!("No such {} can be with these numbers.", value.words),
            )),
            None => Ok(Answer {
                inputs,
                ..self.answer
            }),
        }
    }
}

/// A value for a line of a table that is in `unit` already.
pub(crate) fn raw_cell(key: impl Into<Words>, words: impl Into<Words>, value: f64, unit: Unit) -> Value {
    Value {
        key: key.into(),
        words: words.into(),
        value,
        unit: unit.symbol().into(),
        text: shown(value, unit),
    }
}

/// A line in words, with why and its numbers.
pub(crate) fn line(words: impl Into<String>, why: impl Into<Words>, values: Vec<Value>) -> Line {
    Line {
        words: words.into(),
        why: why.into(),
        values,
    }
}

fn note(notes: &mut Vec<Note>, key: Words, words: Words) {
    if !notes.iter().any(|note| note.key == key && note.words == words) {
        notes.push(Note { key, words });
    }
}
