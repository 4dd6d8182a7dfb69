//! How good a reading is and what may be said with it: uncertainties combined, repeated readings, instruments, and the
//! judgement of a reading against its limits.
//!
//! All numbers of one call are in one unit, whichever it is; the record calls these with readings of any kind. Never rounds,
//! never keeps a judgement, and knows no record.

mod budget;
mod instrument;
mod limits;
mod normal;

pub use budget::{Combined, Contribution, Repeated, Uncertainty, combine, coverage_factor};
pub use instrument::{INSTRUMENT_CHOICES, InstrumentKind, deciding_instrument};
pub(crate) use limits::ONE_SIDED;
pub use limits::{Judgement, Limits, Side, call, disagree, en, judge};
pub use normal::normal_below;
