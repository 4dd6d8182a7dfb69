//! Meetings over a network, carried out: one thread that starts and stops the net ([`attend`]), what its threads share
//! ([`shared`]), what the notebook knows of them ([`attended`]), one thread for each meeting ([`meet`]) with a conversation for each record that is shared ([`about`], [`photos`]), and
//! pairing ([`pairing`], [`seek`]).
//!
//! It holds the notebook for one turn at a time, and never while it waits for the network. It decides nothing of what changes
//! mean, and keeps no notebook open that its faces have let go. The only time it reads by itself is how long something took.

mod about;
mod attend;
mod attended;
mod meet;
mod pairing;
mod photos;
mod seek;
mod shared;
mod surroundings;

pub use surroundings::Surroundings;
