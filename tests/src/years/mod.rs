//! A record of many years, made through the program's own commands from a seed, and what asking it costs. It judges
//! nothing: the test and the bench that use it do.

mod cost;
mod evenings;
mod steps;

pub use cost::{Costs, Row, exponent};
pub use evenings::{Clock, Garage, Sample};
pub use steps::{Longest, longest};

/// Evenings of the whole record: 8.7 years of five a week, about 27,000 changes.
pub const EVENINGS: usize = 2_260;
