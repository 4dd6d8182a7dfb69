//! What one change wrote into one field, as its operations say: what it put, over what, and the letters that it put into a text or
//! took out. With all that was written into a field it can be read as it was at any time. Nothing of it is judged here.

use std::collections::BTreeMap;

use crate::entry::Scalar;
use crate::name::{Id, Kind};

/// The field under which it stands that the entry itself was made.
pub const WHOLE: &str = "";

/// An operation: its number and the actor that made it, in hex. Of two that were put apart the one of the greater name is shown.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Op {
    /// Its number. Every one is greater than those that its writer had.
    pub number: u64,
    /// A device and one run of the program.
    pub actor: String,
}

/// What was put into a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// A value; none where the field was emptied.
    Plain(Option<Scalar>),
    /// A text, whose letters are written of their own.
    Text,
    /// What is not shown: the map of an entry, a structure of a newer version.
    Other,
}

/// A value that was put and that the same change did not put something over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Put {
    /// The number of the operation; its actor is the change's.
    pub number: u64,
    /// What.
    pub what: What,
    /// The map that it was put into, of an entry that may have been made twice.
    pub inside: Option<Op>,
}

/// What was written in a text, one letter after the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Letters {
    /// The text.
    pub text: Op,
    /// Letters that were put in.
    pub put: Vec<Run>,
    /// Letters that were taken out: the first and how many with the numbers behind it.
    pub gone: Vec<(Op, u64)>,
}

/// Letters with numbers one behind the other, each put in behind the one before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// The number of the first; the actor is the change's.
    pub first: u64,
    /// The letter behind which the first stands, or whose place it takes; none at the head of the text.
    pub at: Option<Op>,
    /// Whether it takes the place of that letter; then it is one alone.
    pub over: bool,
    /// They: each sign is one.
    pub letters: String,
    /// Several signs are one letter, as another implementation may put them in; then it is one alone.
    pub whole: bool,
}

/// What one change wrote into one field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wrote {
    /// What was put and stands at the end of the change.
    pub puts: Vec<Put>,
    /// What it was put over, and what was taken away: operations of other changes.
    pub over: Vec<Op>,
    /// What was written in texts of it.
    pub letters: Vec<Letters>,
}

/// What one change wrote, by entry and field.
pub type WroteAll = BTreeMap<(Kind, Id), BTreeMap<String, Wrote>>;

impl Wrote {
    /// What a change puts into the field by an operation, over others.
    pub(crate) fn put(&mut self, put: Put, over: impl IntoIterator<Item = Op>, own: &str) {
        self.over(over, own);
        self.puts.push(put);
    }

    /// Takes away what stands there.
    pub(crate) fn over(&mut self, over: impl IntoIterator<Item = Op>, own: &str) {
        for op in over {
            let before = self.puts.len();
            if op.actor == own {
                self.puts.retain(|put| put.number != op.number);
            }
            // What the change itself put first is gone with it.
            if self.puts.len() == before && !self.over.contains(&op) {
                self.over.push(op);
            }
        }
    }

    /// What is written in a text of the field.
    fn in_text(&mut self, text: &Op) -> Option<&mut Letters> {
        if !self.letters.iter().any(|one| one.text == *text) {
            self.letters.push(Letters {
                text: text.clone(),
                put: Vec::new(),
                gone: Vec::new(),
            });
        }
        self.letters.iter_mut().find(|one| one.text == *text)
    }

    /// A letter that is put in behind another, or in its place.
    pub(crate) fn letter(&mut self, text: &Op, own: &str, run: Run) {
        let Some(letters) = self.in_text(text) else { return };
        if let Some(last) = letters.put.last_mut() {
            let next = last.first.saturating_add(last.letters.chars().count() as u64);
            let behind = run
                .at
                .as_ref()
                .is_some_and(|at| at.actor == own && at.number.checked_add(1) == Some(next));
            if behind && run.first == next && !(last.over || last.whole || run.over || run.whole) {
                last.letters.push_str(&run.letters);
                return;
            }
        }
        letters.put.push(run);
    }

    /// A letter that is taken out, or had another put over it.
    pub(crate) fn letter_gone(&mut self, text: &Op, letter: Op) {
        let Some(letters) = self.in_text(text) else { return };
        if let Some((first, count)) = letters.gone.last_mut()
            && first.actor == letter.actor
            && first.number.checked_add(*count) == Some(letter.number)
        {
            *count = count.saturating_add(1);
            return;
        }
        letters.gone.push((letter, 1));
    }
}
