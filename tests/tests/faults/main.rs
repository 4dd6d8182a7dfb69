//! Faults that are injected, not imagined. A library that stands before the system's file calls (`tests/faults/faults.c`, built
//! by the test itself) lets the N-th write, sync, rename, truncate or making of a file fail, once or for good, and writes
//! down what was written and what was synced, so that every power cut in between can be replayed with writes dropped. Pages
//! of the database are damaged one by one. After each: open, check, edit, reopen; what was answered as kept is there, or the
//! check says that something is broken. Every choice comes from a seed that is printed.
//!
//! `WITNESSMARK_FAULTS=N` tries N faults, `WITNESSMARK_POINTS=N` N power cuts, `WITNESSMARK_FLIPS=N` N turned bytes;
//! `WITNESSMARK_SEED=N` begins at another seed. Linux only.
#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod calls;
mod cuts;
mod full;
mod pages;
mod rig;
