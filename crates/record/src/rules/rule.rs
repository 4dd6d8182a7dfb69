//! The rules by name: what a settlement keeps and the pages are sent. It says nothing of what a rule does; each rule's file does.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::closing_check::Check;

macro_rules! rules {
    ($($(#[doc = $doc:literal])+ $name:ident $word:literal,)+) => {
        /// The rules, in the order their points are listed.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
        #[serde(rename_all = "snake_case")]
        pub enum Rule {
            $($(#[doc = $doc])+ $name,)+
        }

        impl Rule {
            /// Every rule, in that order.
            pub const ALL: &'static [Rule] = &[$(Rule::$name),+];

            /// Its word, as kept in a settlement.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self {
                    $(Rule::$name => $word,)+
                }
            }
        }
    };
}

impl Rule {
    /// Whether it is about an assembly that was closed over something that a check at closing asks after.
    #[must_use]
    pub fn is_of_a_closing(self) -> bool {
        self.check().is_some()
    }

    /// The check at closing that it asks after.
    pub(crate) fn check(self) -> Option<Check> {
        match self {
            Rule::ClosedOverJob => Some(Check::Job),
            Rule::ClosedOverHold => Some(Check::HoldPoint),
            Rule::ClosedOverRun => Some(Check::TighteningRun),
            Rule::ClosedOverFinding => Some(Check::Finding),
            Rule::ClosedOverReading => Some(Check::Reading),
            Rule::ClosedOverWanted => Some(Check::PartWanted),
            Rule::ClosedOverStored => Some(Check::PartStored),
            Rule::ClosedOverAssembly => Some(Check::Assembly),
            _ => None,
        }
    }
}

rules! {
    /// An assembly was closed over an open job.
    ClosedOverJob "closed_over_job",
    /// An assembly was closed over an open hold point.
    ClosedOverHold "closed_over_hold",
    /// An assembly was closed over an unfinished tightening run.
    ClosedOverRun "closed_over_run",
    /// An assembly was closed over a finding that has no end.
    ClosedOverFinding "closed_over_finding",
    /// An assembly was closed over a reading that is not in its limits.
    ClosedOverReading "closed_over_reading",
    /// An assembly was closed over a part that is to be replaced.
    ClosedOverWanted "closed_over_wanted",
    /// An assembly was closed over a part that lies in a container.
    ClosedOverStored "closed_over_stored",
    /// An assembly was closed over one inside it that is not closed.
    ClosedOverAssembly "closed_over_assembly",
    /// A finding was ended while somebody else wrote on it.
    EndedApart "ended_apart",
    /// A hold point was met while somebody else changed what it rests on.
    MetApart "met_apart",
    /// Bolts were tightened while somebody else took the assembly off or apart.
    TightenedApart "tightened_apart",
    /// Two said apart what is read as one: a torque and its conditions, a decision and its reason.
    SaidApart "said_apart",
    /// Something was struck out while somebody else worked on it, or in it.
    StruckWorkedOn "struck_worked_on",
    /// Two things, or more in a ring, each stand in the other.
    InEachOther "in_each_other",
    /// One point was settled two ways.
    SettledTwoWays "settled_two_ways",
    /// Two values for one field.
    TwoValues "two_values",
    /// One code on two containers.
    SameCode "same_code",
    /// Two orders for one part.
    TwoOrders "two_orders",
    /// Two keepers' readings of one point differ by more than both can be off.
    ReadingsDiffer "readings_differ",
}
