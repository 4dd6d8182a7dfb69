//! The work and how it is judged: jobs, tries, hold points, limits, instruments, readings, and what two people
//! decided: waivers and settlements.

use crate::entity::entity;
use crate::field::{
    About, Flag, Given, Grid, Kinds, Line, Many, Measure, Measures, OnDay, Prose, To, Whole, Word,
};
use crate::name::{Kind, of};
use crate::words::{Condition, HoldState, How, JobState, Mend, Property};

/// What a job can wait for. What is to be measured stands as a hold point until it is met.
#[derive(Debug)]
pub struct Awaited;
impl Kinds for Awaited {
    const MAY: &'static [Kind] = &[
        Kind::Part,
        Kind::Order,
        Kind::HoldPoint,
        Kind::Reading,
        Kind::Keeper,
    ];
}

entity! {
    /// Work to do.
    Job / JobFields / JobRef {
        /// What is to be done.
        must what: Line = "What is to be done",
        /// The assembly it is in; the car's own where nothing is said.
        may assembly: To<of::Assembly> = "Assembly",
        /// The part it is on.
        may part: To<of::Part> = "Part",
        /// How it stands.
        may state: Word<JobState> = "State",
        /// Where it stopped, of one that is begun.
        may left_off: Line = "Left off",
        /// The day before which nobody goes on: it soaks, hardens, or comes by carriage.
        may not_before: OnDay = "Not before",
        /// From what time of that day, `18:30` by the clock of the garage.
        may not_before_time: Line = "From what time of that day",
        /// What it waits for, where that is entered.
        may waits_for: About<Awaited> = "Waits for",
        /// What or whom it waits for, where only words say so.
        may waits_why: Line = "Waits for, in words",
        /// How many people it takes.
        may hands: Whole = "People it takes",
        /// Who helps; by name, since a helper need not be a keeper.
        may helper: Line = "Who helps",
        /// The bigger job that did it as well, or undid it: believed only beside the state that was put with it.
        may undone_by: To<of::Job> = "The bigger job",
        /// Assemblies that must be apart for it.
        may needs_apart: Many<of::Assembly> = "Must be apart first",
        /// Jobs that must be done before it.
        may after: Many<of::Job> = "Comes after",
        /// Parts that must be in hand for it.
        may needs_parts: Many<of::Part> = "Parts to have in hand",
        /// Tools that it takes.
        may tools: Line = "Tools",
        /// Minutes that it should take.
        may minutes: Whole = "Minutes",
        /// What came of it.
        may outcome: Line = "What came of it",
        /// Whatever else is known of it.
        may note: Prose = "Notes",
        /// The day it was entered.
        may on: OnDay = "Day",
        /// The reading that it mends.
        may remedy_of: To<of::Reading> = "Mends the reading",
    }
}

entity! {
    /// One attempt at a job.
    Try / TryFields / TryRef {
        /// The job.
        must job: To<of::Job> = "Job",
        /// What was done.
        must what: Line = "What was done",
        /// With which tool.
        may tool: Line = "With which tool",
        /// What came of it.
        may came_of_it: Line = "What came of it",
        /// Whether it worked.
        may worked: Flag = "It worked",
        /// The day.
        must on: OnDay = "Day",
    }
}

entity! {
    /// Something that must be seen, counted, measured or photographed before an assembly may close.
    HoldPoint / HoldPointFields / HoldPointRef {
        /// What must be so.
        must what: Line = "What must be so",
        /// The assembly that may not close before; the car's own where nothing is said.
        may assembly: To<of::Assembly> = "Assembly",
        /// How it is met.
        must how: Word<How> = "How it is met",
        /// How many there must be, of what is counted.
        may wanted: Whole = "How many are wanted",
        /// What a reading that meets it is held against, of what is measured.
        may limit: To<of::Limit> = "Limit",
        /// How it stands.
        may state: Word<HoldState> = "State",
        /// What was seen, counted or measured.
        may met_how: Line = "What was seen",
        /// By what it was met: `counted:13`, `reading:ID`, `photo:ID`; nothing where only words say so. Of one that is open, what was
        /// counted and is not what is wanted.
        may met_by: Line = "Met by",
        /// The day it was met.
        may on: OnDay = "Day",
    }
}

/// What a limit or a reading can be about.
#[derive(Debug)]
pub struct Measured;
impl Kinds for Measured {
    const MAY: &'static [Kind] = &[Kind::Assembly, Kind::Part, Kind::Car];
}

entity! {
    /// A wanted value or range with its source.
    Limit / LimitFields / LimitRef {
        /// What is measured.
        must what: Line = "What is measured",
        /// On which part or assembly, or of the whole car.
        may about: About<Measured> = "What it is about",
        /// For a new part, or the most wear.
        may condition: Word<Condition> = "Holds for",
        /// Not below this.
        may low: Measure = "Not below",
        /// Not above this.
        may high: Measure = "Not above",
        /// The book.
        may book: Line = "Book",
        /// Its edition.
        may edition: Line = "Edition",
        /// The page.
        may page: Line = "Page",
        /// Which property of a grid it judges; every value of it where nothing is said.
        may judges: Word<Property> = "Judges",
        /// What mends a reading below it.
        may if_low: Word<Mend> = "Below it, the remedy is",
        /// What mends a reading above it.
        may if_high: Word<Mend> = "Above it, the remedy is",
    }
}

entity! {
    /// What a reading is made with.
    Instrument / InstrumentFields / InstrumentRef {
        /// What it is called.
        must name: Line = "Name",
        /// Its smallest step.
        may resolution: Measure = "Smallest step",
        /// Its expanded uncertainty, k = 2.
        may uncertainty: Measure = "Uncertainty (k = 2)",
        /// The least that it measures.
        may least: Measure = "Measures from",
        /// The most that it measures.
        may most: Measure = "Measures up to",
        /// When it was last checked.
        may checked_on: OnDay = "Last checked",
        /// Against what.
        may checked_against: Line = "Checked against",
    }
}

entity! {
    /// A measured value at a point.
    Reading / ReadingFields / ReadingRef {
        /// What was measured.
        must what: Line = "What was measured",
        /// On which part or assembly, or of the whole car.
        must about: About<Measured> = "What it is about",
        /// At which point: cylinder 2, top, across.
        may at: Line = "At which point",
        /// The value, as typed; the first, where it was measured again. Nothing for a grid.
        may value: Measure = "Reading",
        /// The same point measured again, with the same instrument.
        may again: Measures = "Measured again",
        /// Many points in one entry: the rows are heights from the top down, the columns directions.
        may grid: Grid = "Grid",
        /// What the rows and columns of the grid are: `top, middle, bottom; across, along`.
        may grid_names: Line = "Heights; directions",
        /// With what.
        may instrument: To<of::Instrument> = "Instrument",
        /// Against which limit.
        may limit: To<of::Limit> = "Limit",
        /// Against which others: taper beside size, the wear limit beside that of a new part.
        may more_limits: Many<of::Limit> = "Other limits",
        /// How warm it was.
        may temperature: Measure = "How warm it was",
        /// The other readings of its point that its writer had before them, each with a mark of what it said then, or `none`: put by the
        /// program with what was measured.
        may knew_of: Line = "Measured knowing of",
        /// The day.
        must on: OnDay = "Day",
    }
}

/// What can be waived at a close-up.
#[derive(Debug)]
pub struct Waivable;
impl Kinds for Waivable {
    const MAY: &'static [Kind] = &[
        Kind::Assembly,
        Kind::Job,
        Kind::HoldPoint,
        Kind::TighteningRun,
        Kind::Finding,
        Kind::Reading,
        Kind::Part,
    ];
}

entity! {
    /// Why an assembly was closed over something open.
    Waiver / WaiverFields / WaiverRef {
        /// The assembly that was closed.
        must assembly: To<of::Assembly> = "Assembly",
        /// What was open in it.
        must about: About<Waivable> = "What it is about",
        /// Why it was closed all the same.
        must why: Line = "Why",
        /// Which check found it, a point with its identity: `part_stored`, `point:5f0c…`. Nothing where what it is about tells.
        may check: Line = "Which check",
    }
}

entity! {
    /// What two people decided about a point to settle.
    Settlement / SettlementFields / SettlementRef {
        /// Which point.
        must point: Line = "Point",
        /// Of which rule.
        must rule: Line = "Rule",
        /// What was chosen.
        must choice: Line = "Chosen",
        /// Why.
        may why: Line = "Why",
        /// What it was about, as references with a space between.
        may about: Line = "What it is about",
        /// Of which field.
        may field: Line = "Field",
        /// Where it says which of several settlements of one point holds: that point.
        may of_point: Line = "Says which holds of the point",
        /// The rule of that point.
        may of_rule: Line = "The rule of that point",
        /// What a side said that was chosen as a keeper had it: what it reads later says neither whose that was nor all of it.
        may had: Line = "As it was said",
        /// Who had it so.
        may had_by: To<of::Keeper> = "As who had it",
        /// What its point was, kept when it is reopened: the program's own, as JSON.
        may stood: Line = "What it was before",
    }
}
