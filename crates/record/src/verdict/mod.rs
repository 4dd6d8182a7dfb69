//! Verdicts: a reading of the merged record, judged against its limits by the instrument it was made with. Computed at
//! every look from what the record says now, by `reckon`, and never stored as truth: when a limit or an instrument
//! changes, so does the verdict. A reading without a limit is not judged.
//!
//! The decision rule is that of ISO 14253-1:2017, as `reckon::uncertainty` has it. What was measured several times is
//! judged by its mean (JCGM 100:2008, 4.2.3), a grid by what its limit judges. Nothing here corrects a value.

mod judge;
mod measured;
mod steps;
mod told;

pub use judge::{Accuracy, Bounds, Judge, Judged, Verdict, limits_of, of_reading, worst};
pub use measured::{Grid, Measured, Points};
pub use steps::{VerdictStep, steps};
