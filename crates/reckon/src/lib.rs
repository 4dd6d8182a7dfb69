//! Bench calculations: quantities in, answers out.
//!
//! What it is for: reading what a person typed at the bench without ever guessing, keeping the exact value beside the
//! typed text, and reckoning answers that carry their sources, conditions and cautions.
//!
//! What it never does: no files, no network, no clock, no threads, no randomness, no records, no documents that merge.
//! It builds for `wasm32-unknown-unknown` as it is. Sines and powers come from `libm`, so that every device gets the
//! same bits.

pub mod answer;
pub mod assignment;
pub mod calculation;
pub mod electric;
pub mod fastener;
pub mod fits;
pub mod pack;
pub mod pattern;
mod preferences;
pub mod quantity;
pub mod typed;
pub mod uncertainty;

pub use answer::{
    Answer, Formula, Input, Line, Note, Problem, ReckonRefusal, RefusalCode, Source, Standing, Table, Value,
    Verdict, VerdictWord, Words,
};
pub use calculation::{
    BenchPlace, Calculation, Danger, Described, DescribedArgument, DescribedChoice, DescribedRange,
    calculation, calculations, describe, reckon, tightening, wear,
};
pub use preferences::{Preferences, Units};
pub use quantity::{
    Angle, Area, Currency, Current, Density, Exact, Factor, Force, Kind, Length, Mass, Money, Power,
    Pressure, Resistance, Speed, Temperature, Time, Torque, Turning, Unit, Voltage, Volume, shown,
};
pub use typed::{
    Candidate, Code, Counted, Expect, Typed, Unclear, parse, parse_any, parse_grid, parse_list, parse_money,
    parse_money_in, parse_number,
};
