//! The tour of the demo: what it shows, and that it is left.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::Tour;

/// What there is to be shown round.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct TourOf {}

impl Command for TourOf {
    type Reply = Tour;
    const NAME: &'static str = "tour";
    const SAYS: &'static str = "The tour that a folder of the demo gives of itself; no steps anywhere else, and none once it was left.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Tour, Refusal> {
        desk.notebook().tour()
    }
}

/// Leaves the tour for good.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct LeaveTour {}

impl Command for LeaveTour {
    type Reply = Done;
    const NAME: &'static str = "leave_tour";
    const SAYS: &'static str =
        "Leaves the demo's tour: it is not offered again in this folder. No record holds any of it.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        desk.notebook().leave_tour()?;
        Ok(Done::YES)
    }
}
