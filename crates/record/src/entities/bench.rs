//! What the bench leaves in the record: kept answers and tightening runs. An answer is kept with what was typed for it,
//! so that it can be reckoned again; a verdict is never among it.

use crate::entity::entity;
use crate::field::{About, Flag, Given, Kinds, Line, Measure, OnDay, Prose, To, Whole, Word};
use crate::name::{Kind, of};
use crate::words::Layout;

/// What a kept answer can be about.
#[derive(Debug)]
pub struct Reckoned;
impl Kinds for Reckoned {
    const MAY: &'static [Kind] = &[Kind::Car, Kind::Assembly, Kind::Part, Kind::Job];
}

entity! {
    /// A bench answer that was kept, with what was typed for it.
    KeptAnswer / KeptAnswerFields / KeptAnswerRef {
        /// What it answers, in the bench's words.
        must what: Line = "What",
        /// Which calculation.
        must calculation: Line = "Calculation",
        /// What it is for; nothing where it only stands on the day's sheet.
        may about: About<Reckoned> = "What it is about",
        /// What was typed, a line each: `bore = 85.5 mm`.
        may inputs: Prose = "Typed",
        /// The answer in one line, as it was when it was kept.
        must answer: Line = "Answer",
        /// All of it in words, as it was: values, tables, what it holds for, cautions, formula and source.
        may told: Prose = "As it was told",
        /// The day.
        must on: OnDay = "Day",
        /// Why it was kept.
        may note: Line = "Notes",
    }
}

entity! {
    /// Bolts to be tightened in order and in passes.
    TighteningRun / TighteningRunFields / TighteningRunRef {
        /// What is tightened.
        must what: Line = "What is tightened",
        /// The assembly that it holds together.
        must assembly: To<of::Assembly> = "Assembly",
        /// How the bolts lie.
        must layout: Word<Layout> = "How the bolts lie",
        /// How many bolts.
        must bolts: Whole = "How many bolts",
        /// How many rows they lie in, where they do.
        may rows: Whole = "In how many rows",
        /// The torque of the last pass.
        must torque: Measure = "Torque of the last pass",
        /// The passes, per cent of it: `30, 60, 100`.
        may passes: Line = "Passes",
        /// What the torque holds for: threads dry or oiled, washers, grade.
        must conditions: Line = "Holds for",
        /// Where the torque comes from: book, edition, page.
        may source: Line = "Source",
        /// The wrench.
        may instrument: To<of::Instrument> = "Wrench",
        /// The day it was begun.
        must on: OnDay = "Day",
    }
}

entity! {
    /// One bolt tightened in one pass of a run.
    Tightened / TightenedFields / TightenedRef {
        /// Which run.
        must run: To<of::TighteningRun> = "Run",
        /// Which pass, from 1.
        must pass: Whole = "Pass",
        /// Which bolt, from 1, as the picture numbers them.
        must place: Whole = "Bolt",
        /// The torque.
        must torque: Measure = "Torque",
        /// The wrench.
        may instrument: To<of::Instrument> = "Wrench",
        /// The day.
        must on: OnDay = "Day",
        /// What the torque held for when it was tightened: threads dry or oiled, washers, grade.
        may held_for: Line = "Held for",
        /// Its assembly was taken off or apart since, so it holds nothing any more.
        may loosened: Flag = "Loosened since",
    }
}
