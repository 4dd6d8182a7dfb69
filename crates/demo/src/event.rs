//! An act of one day that has no time of its own yet, and where in the day's work it comes: things are named
//! before they are used, and an assembly is closed when everything else of the day is done.

use record::Day;

use crate::act::Act;
use crate::people::Who;

/// Where in one day's work an act comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Phase {
    People,
    Container,
    Assembly,
    Instrument,
    Part,
    Limit,
    Finding,
    Reading,
    Job,
    Try,
    Order,
    HoldPoint,
    Decided,
    State,
    Moved,
    Photo,
    JobDone,
    Met,
    Ended,
    Struck,
    Close,
    Sheet,
}

/// One act of one keeper's day.
#[derive(Clone, Debug)]
pub(crate) struct Event {
    pub(crate) on: Day,
    pub(crate) who: Who,
    pub(crate) phase: Phase,
    pub(crate) act: Act,
    pub(crate) file: String,
}
