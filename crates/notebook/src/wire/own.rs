//! What is the car's own and of no assembly.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::assembly::{HoldLine, JobLine};
use super::readings::ReadingLine;

/// What is the car's own and of no assembly.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CarOwn {
    /// Jobs.
    pub jobs: Vec<JobLine>,
    /// Hold points.
    pub holds: Vec<HoldLine>,
    /// Readings.
    pub readings: Vec<ReadingLine>,
}
