//! The checks at closing, as one list: what a mechanic looks for before a lid goes down, and what of it is unfinished. The close-up asks
//! them before, the rules about what was closed over ask them after, where two could not know of each other. To add one: a file or a
//! function here, its line in [`CHECKS`], and a rule that names it. They change nothing and refuse nothing.

mod def;
mod findings;
mod parts;
mod readings;
mod work;

use crate::closing_check::Check;

pub use def::place;
pub(crate) use def::{CheckDef, Looked, Opening, Unfinished, alone};

/// The checks of entries. That an assembly was struck out with something left in it and what is left to settle are asked by `open`, which
/// reads more than one entry for them.
pub(crate) static CHECKS: &[&CheckDef] = &[
    &work::INNER,
    &work::APART,
    &work::HOLD_POINT,
    &work::JOB,
    &work::RUN,
    &findings::FINDING,
    &readings::READING,
    &parts::WANTED,
    &parts::STORED,
];

/// A check by its name; nothing for one that is of no single entry.
pub(crate) fn def(check: Check) -> Option<&'static CheckDef> {
    CHECKS.iter().find(|def| def.check == check).copied()
}
