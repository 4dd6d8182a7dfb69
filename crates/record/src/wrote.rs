//! What one change wrote into one field, as its operations say: what it put, over what, and the letters that it put into a text or
//! took out. With all that was written into a field it can be read as it was at any time. Nothing of it is judged here.

use std::collections::{BTreeMap, BTreeSet};

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
    /// What.
    pub what: What,
    /// The map that it was put into, of an entry that may have been made twice.
    pub inside: Option<Op>,
}

/// What was written in one text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Letters {
    /// Letters that were put in.
    pub put: Vec<Run>,
    /// Letters that were taken out.
    pub gone: Vec<Gone>,
}

/// Letters with numbers one behind the other, each put in behind the one before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// The number of the first; the actor is the change's.
    pub first: u64,
    /// How many they are.
    pub count: u64,
    /// The letter behind which the first stands, or whose place it takes; none at the head of the text.
    pub at: Option<Op>,
    /// Whether it takes the place of that letter; then it is one alone.
    pub over: bool,
    /// They: each sign is one, but where there is one alone, which another implementation may put in as several signs.
    pub letters: String,
}

impl Run {
    /// Whether it joins no other: it takes a letter's place, or is of several signs.
    fn is_alone(&self) -> bool {
        self.over || self.is_whole()
    }

    /// Whether its signs are one letter.
    pub(crate) fn is_whole(&self) -> bool {
        self.count == 1 && self.letters.chars().nth(1).is_some()
    }
}

/// Letters of one actor whose numbers lie as far apart as the first two: so a change that takes many out in any order that is told in a few
/// bytes is kept in a few.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gone {
    /// The first.
    pub first: Op,
    /// How far the next lies from each.
    pub step: i64,
    /// How many.
    pub count: u64,
}

impl Gone {
    /// The number of the one that is so many behind the first.
    fn number(&self, behind: u64) -> Option<u64> {
        let behind = i64::try_from(behind).ok()?;
        self.first
            .number
            .checked_add_signed(self.step.checked_mul(behind)?)
    }

    /// The numbers of them.
    pub(crate) fn numbers(&self) -> impl Iterator<Item = u64> {
        (0..self.count).map_while(|behind| self.number(behind))
    }
}

/// What one change wrote into one field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wrote {
    /// What was put and stands at the end of the change, by the number of the operation; its actor is the change's.
    pub puts: BTreeMap<u64, Put>,
    /// What it was put over, and what was taken away: operations of other changes.
    pub over: BTreeSet<Op>,
    /// What was written in texts of it.
    pub letters: BTreeMap<Op, Letters>,
}

/// What one change wrote, by entry and field.
pub type WroteAll = BTreeMap<(Kind, Id), BTreeMap<String, Wrote>>;

impl Wrote {
    /// What a change puts into the field by an operation, over others.
    pub(crate) fn put(&mut self, number: u64, put: Put, over: impl IntoIterator<Item = Op>, own: &str) {
        self.over(over, own);
        self.puts.insert(number, put);
    }

    /// Takes away what stands there.
    pub(crate) fn over(&mut self, over: impl IntoIterator<Item = Op>, own: &str) {
        for op in over {
            // What the change itself put first is gone with it.
            if op.actor != own || self.puts.remove(&op.number).is_none() {
                self.over.insert(op);
            }
        }
    }

    /// Letters that are put in behind another, or one in the place of another.
    pub(crate) fn letter(&mut self, text: &Op, own: &str, run: Run) {
        let letters = self.letters.entry(text.clone()).or_default();
        if let Some(last) = letters.put.last_mut() {
            let next = last.first.saturating_add(last.count);
            let at = run
                .at
                .as_ref()
                .map(|at| (at.actor.as_str(), at.number.checked_add(1)));
            let behind = at == Some((own, Some(next))) && run.first == next;
            if behind && !last.is_alone() && !run.is_alone() {
                last.letters.push_str(&run.letters);
                last.count = last.count.saturating_add(run.count);
                return;
            }
        }
        letters.put.push(run);
    }

    /// A letter that is taken out, or had another put over it.
    pub(crate) fn letter_gone(&mut self, text: &Op, letter: Op) {
        let letters = self.letters.entry(text.clone()).or_default();
        if let Some(last) = letters.gone.last_mut()
            && last.first.actor == letter.actor
        {
            if last.count == 1 {
                let step = i64::try_from(letter.number)
                    .ok()
                    .zip(i64::try_from(last.first.number).ok());
                if let Some((to, from)) = step {
                    (last.step, last.count) = (to.saturating_sub(from), 2);
                    return;
                }
            } else if last.number(last.count) == Some(letter.number) {
                last.count = last.count.saturating_add(1);
                return;
            }
        }
        letters.gone.push(Gone {
            first: letter,
            step: 1,
            count: 1,
        });
    }
}
