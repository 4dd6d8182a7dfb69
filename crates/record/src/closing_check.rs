//! The checks at closing by name: what a waiver keeps and the pages are sent. It says nothing of what a check looks for.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What is looked for at closing. The order is the order in which it is listed within one assembly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[ts(rename = "ClosingCheck")]
pub enum Check {
    /// An assembly that was struck out with something left in it.
    Struck,
    /// An inner assembly that is not closed.
    Assembly,
    /// An assembly that is itself in pieces.
    Apart,
    /// An open hold point.
    HoldPoint,
    /// An open job.
    Job,
    /// An unfinished tightening run.
    TighteningRun,
    /// A finding of danger, or to mend, that has no end.
    Finding,
    /// A reading that is out of its limits or too close to call, the latest of its point.
    Reading,
    /// A part that is to be replaced, and no other is in; or one that is in only for now.
    PartWanted,
    /// A part that lies in a container.
    PartStored,
    /// A point to settle.
    Point,
}

impl Check {
    /// Its word, as a waiver keeps it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Check::Struck => "struck",
            Check::Assembly => "assembly",
            Check::Apart => "apart",
            Check::HoldPoint => "hold_point",
            Check::Job => "job",
            Check::TighteningRun => "tightening_run",
            Check::Finding => "finding",
            Check::Reading => "reading",
            Check::PartWanted => "part_wanted",
            Check::PartStored => "part_stored",
            Check::Point => "point",
        }
    }

    /// Whether a waiver says of which check it is. Those that the first programs asked about are told by what they are about alone.
    pub(crate) fn is_said(self) -> bool {
        !matches!(
            self,
            Check::Struck | Check::Assembly | Check::HoldPoint | Check::Job | Check::TighteningRun
        )
    }

    /// Whether what a waiver says of its check means this one.
    pub(crate) fn is_meant_by(self, said: Option<&str>) -> bool {
        match said.filter(|said| !said.is_empty()) {
            Some(said) => said == self.word(),
            None => !self.is_said(),
        }
    }
}
