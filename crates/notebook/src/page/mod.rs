//! Pages: what a screen shows, made from the entries. Pure functions of a view; they read nothing themselves and
//! decide nothing: what contradicts and what blocks comes from the record's rules.

mod assembly;
mod bench;
mod car;
mod day;
mod keepers;
mod lines;
mod readings;
mod stores;

pub(crate) use assembly::assembly;
pub(crate) use bench::{headline, inputs_kept, kept_page, run_page, told};
pub(crate) use car::car;
pub(crate) use day::{DayMarks, day};
pub(crate) use keepers::{Peers, keepers, points};
pub(crate) use lines::Reader;
pub(crate) use stores::stores;
