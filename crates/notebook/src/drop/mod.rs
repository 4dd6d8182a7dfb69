//! Drops joined to the notebook: where they lie ([`places`]), one thread that sees when to look ([`host`]), one look
//! ([`look`]), what a look asks of the record, a short turn each ([`side`]), and what is kept of it ([`note`]).
//!
//! It never holds the notebook while it waits for a place, never tells a place anything that is not sealed, never keeps a
//! place's secret in a record or shows it on a page, and never asks a keeper for anything because a place cannot be reached.
//! The only time it reads by itself is how long something took.

mod host;
mod look;
mod note;
mod places;
mod side;

pub(crate) use host::Attended;
