//! Pages: what a screen shows, made from the entries. Pure functions of a view; they read nothing themselves and
//! decide nothing: what contradicts and what blocks comes from the record's rules.

mod assembly;
mod begun;
mod bench;
mod came;
mod car;
mod day;
mod entry;
mod finding;
mod gathered;
mod home;
mod inside;
mod jobs;
mod keepers;
mod left;
mod lines;
mod notes;
mod numbers;
mod own;
mod points;
mod readings;
mod stores;
mod tonight;
mod whose;

pub(crate) use assembly::assembly;
pub(crate) use begun::begun;
pub(crate) use bench::{headline, inputs_kept, kept_page, run_page, told};
pub(crate) use came::{Brought, asked_with, places, points_of, sentences, told_with_what_it_was};
pub(crate) use car::{car, differs};
pub(crate) use day::{Done, day};
pub(crate) use entry::{entry, then, with_around};
pub(crate) use finding::{closed_over_it, earlier_hand, finding};
pub(crate) use inside::inside;
pub(crate) use keepers::{Peers, keepers};
pub(crate) use left::Then;
pub(crate) use lines::Reader;
pub(crate) use own::own;
pub(crate) use points::{agreed, asked_of, count, points, question};
pub(crate) use stores::stores;
pub(crate) use tonight::tonight;
pub use whose::whose;
