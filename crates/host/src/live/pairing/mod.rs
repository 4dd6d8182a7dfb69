//! Pairing on this device: one at a time, in a thread of its own, over what `link` says is to be done. It shows a
//! ticket or follows one, shows the digits that both keepers compare, and waits for their word. Nothing is entered in
//! a record before both have said yes.
//!
//! [`stand`] is how it stands, [`begin`] what a keeper does, [`thread`] the one pairing that goes on.

pub(super) mod begin;
pub(super) mod stand;
mod thread;
