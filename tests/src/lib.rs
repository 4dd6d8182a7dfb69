//! Stories over the whole house: what the tests beside this crate share. Random schedules of several devices, an
//! independent reckoning of what must still be there after them, the program as a child process, and files made
//! by hand to do harm.
//!
//! Nothing in here is part of the program, and nothing in here asserts less than it says: a thing that is needed
//! and is not there (the built program, npm packages, Python libraries) fails the test that needs it.
//!
//! Environment: `WITNESSMARK_SCHEDULES=N` runs N schedules instead of the usual number (the folders' schedules run
//! one for every 33 of them), `WITNESSMARK_KILLS=N` kills N times, `WITNESSMARK_SEED=N` replays one seed alone,
//! `WITNESSMARK_BIN` and `WITNESSMARK_PYTHON` name the program and the Python of the oracles.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "this crate is tests: it stops at the first thing that is not as it must be"
)]

pub mod act;
pub mod attending;
pub mod device;
pub mod folder;
pub mod forge;
pub mod ledger;
pub mod memory;
pub mod panics;
pub mod past;
pub mod photo_bomb;
pub mod picture;
pub mod points;
pub mod program;
pub mod schedule;
pub mod seed;
pub mod strange;
pub mod talk;
pub mod value;
pub mod years;
