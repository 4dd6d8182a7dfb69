//! Bench calculations: quantities in, answers out.
//!
//! What it is for: reading what a person typed at the bench without ever guessing, keeping the exact value beside the
//! typed text, and reckoning answers that carry their sources, conditions and cautions.
//!
//! What it never does: no files, no network, no clock, no threads, no randomness, no records, no documents that merge.
//! It builds for `wasm32-unknown-unknown` as it is. Sines and powers come from `libm`, so that every device gets the
//! same bits.

pub mod answer;
pub mod calculation;
pub mod fastener;
pub mod quantity;
pub mod typed;

pub use answer::{
    Answer, Formula, Input, Note, Problem, Refusal, RefusalCode, Source, Standing, Value, Verdict,
    VerdictWord,
};
pub use calculation::{
    Calculation, Described, DescribedArgument, DescribedChoice, DescribedRange, Place, Preferences, Units,
    calculation, calculations, describe, reckon,
};
pub use quantity::{
    Angle, Area, Currency, Density, Exact, Factor, Force, Kind, Length, Mass, Money, Pressure, Speed,
    Temperature, Torque, Turning, Unit, Volume, shown,
};
pub use typed::{
    Candidate, Code, Expect, Typed, Unclear, parse, parse_any, parse_money, parse_money_in, parse_number,
};
