//! The work and how it is judged: jobs, tries, hold points, limits, instruments, readings, and what two people
//! decided: waivers and settlements.

use super::{Assembly, Part};
use crate::entity::entity;
use crate::field::{
    About, Flag, Given, Grid, Kinds, Line, Many, Measure, Measures, OnDay, Prose, To, Whole, Word,
};
use crate::name::Kind;
use crate::words::{Condition, HoldState, How, JobState, Mend, Property};

entity! {
    /// Work to do.
    Job / JobFields / JobRef {
        /// What is to be done.
        must what: Line,
        /// The assembly it is in.
        must assembly: To<Assembly>,
        /// The part it is on.
        may part: To<Part>,
        /// How it stands.
        may state: Word<JobState>,
        /// Assemblies that must be apart for it.
        may needs_apart: Many<Assembly>,
        /// Jobs that must be done before it.
        may after: Many<Job>,
        /// Parts that must be in hand for it.
        may needs_parts: Many<Part>,
        /// Tools that it takes.
        may tools: Line,
        /// Minutes that it should take.
        may minutes: Whole,
        /// What came of it.
        may outcome: Line,
        /// Whatever else is known of it.
        may note: Prose,
        /// The day it was entered.
        may on: OnDay,
        /// The reading that it mends.
        may remedy_of: To<Reading>,
    }
}

entity! {
    /// One attempt at a job.
    Try / TryFields / TryRef {
        /// The job.
        must job: To<Job>,
        /// What was done.
        must what: Line,
        /// With which tool.
        may tool: Line,
        /// What came of it.
        may came_of_it: Line,
        /// Whether it worked.
        may worked: Flag,
        /// The day.
        must on: OnDay,
    }
}

entity! {
    /// Something that must be seen, counted, measured or photographed before an assembly may close.
    HoldPoint / HoldPointFields / HoldPointRef {
        /// What must be so.
        must what: Line,
        /// The assembly that may not close before.
        must assembly: To<Assembly>,
        /// How it is met.
        must how: Word<How>,
        /// How it stands.
        may state: Word<HoldState>,
        /// What was seen, counted or measured.
        may met_how: Line,
        /// The day it was met.
        may on: OnDay,
    }
}

/// What a limit or a reading can be about.
#[derive(Debug)]
pub struct Measured;
impl Kinds for Measured {
    const MAY: &'static [Kind] = &[Kind::Assembly, Kind::Part];
}

entity! {
    /// A wanted value or range with its source.
    Limit / LimitFields / LimitRef {
        /// What is measured.
        must what: Line,
        /// On which part or assembly.
        may about: About<Measured>,
        /// For a new part, or the most wear.
        may condition: Word<Condition>,
        /// Not below this.
        may low: Measure,
        /// Not above this.
        may high: Measure,
        /// The book.
        may book: Line,
        /// Its edition.
        may edition: Line,
        /// The page.
        may page: Line,
        /// Which property of a grid it judges; every value of it where nothing is said.
        may judges: Word<Property>,
        /// What mends a reading below it.
        may if_low: Word<Mend>,
        /// What mends a reading above it.
        may if_high: Word<Mend>,
    }
}

entity! {
    /// What a reading is made with.
    Instrument / InstrumentFields / InstrumentRef {
        /// What it is called.
        must name: Line,
        /// Its smallest step.
        may resolution: Measure,
        /// Its expanded uncertainty, k = 2.
        may uncertainty: Measure,
        /// The least that it measures.
        may least: Measure,
        /// The most that it measures.
        may most: Measure,
        /// When it was last checked.
        may checked_on: OnDay,
        /// Against what.
        may checked_against: Line,
    }
}

entity! {
    /// A measured value at a point.
    Reading / ReadingFields / ReadingRef {
        /// What was measured.
        must what: Line,
        /// On which part or assembly.
        must about: About<Measured>,
        /// At which point: cylinder 2, top, across.
        may at: Line,
        /// The value, as typed; the first, where it was measured again. Nothing for a grid.
        may value: Measure,
        /// The same point measured again, with the same instrument.
        may again: Measures,
        /// Many points in one entry: the rows are heights from the top down, the columns directions.
        may grid: Grid,
        /// What the rows and columns of the grid are: `top, middle, bottom; across, along`.
        may grid_names: Line,
        /// With what.
        may instrument: To<Instrument>,
        /// Against which limit.
        may limit: To<Limit>,
        /// Against which others: taper beside size, the wear limit beside that of a new part.
        may more_limits: Many<Limit>,
        /// How warm it was.
        may temperature: Measure,
        /// The day.
        must on: OnDay,
    }
}

/// What can be waived at a close-up.
#[derive(Debug)]
pub struct Waivable;
impl Kinds for Waivable {
    const MAY: &'static [Kind] = &[Kind::Assembly, Kind::Job, Kind::HoldPoint, Kind::TighteningRun];
}

entity! {
    /// Why an assembly was closed over something open.
    Waiver / WaiverFields / WaiverRef {
        /// The assembly that was closed.
        must assembly: To<Assembly>,
        /// What was open in it.
        must about: About<Waivable>,
        /// Why it was closed all the same.
        must why: Line,
    }
}

entity! {
    /// What two people decided about a point to settle.
    Settlement / SettlementFields / SettlementRef {
        /// Which point.
        must point: Line,
        /// Of which rule.
        must rule: Line,
        /// What was chosen.
        must choice: Line,
        /// Why.
        may why: Line,
        /// What it was about, as references with a space between.
        may about: Line,
        /// Of which field.
        may field: Line,
        /// Where it says which of several settlements of one point holds: that point.
        may of_point: Line,
        /// The rule of that point.
        may of_rule: Line,
    }
}
