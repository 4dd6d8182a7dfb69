//! Drops looked at: one thread that sees when ([`attend`]), one look ([`look`]), what a look asks of the record, a short turn
//! each ([`side`]), what is [`known`] from look to look, and the places of this machine ([`places`]).
//!
//! It never holds the notebook while it waits for a place, never tells a place anything that is not sealed, and never asks a
//! keeper for anything because a place cannot be reached. The only time it reads by itself is how long something took.

mod attend;
mod known;
mod look;
mod places;
mod side;

pub(crate) use places::Machine;
