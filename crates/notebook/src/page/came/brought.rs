//! What a coming brought, as it is handed in to be told. Nothing is told here.

use record::entities::{Finding, Limit};
use record::past::Strands;
use record::{Entry, Kind};
use store::{CameChange, DeedRow, WasRow};

/// What a coming brought, as it lies in the store.
pub(crate) struct Brought<'a> {
    pub(crate) changes: &'a [CameChange],
    pub(crate) done: &'a [DeedRow],
    /// What fields read before.
    pub(crate) was: &'a [WasRow],
    /// What was said by it, where somebody wrote there since.
    pub(crate) past: &'a Strands,
    /// The day sheets that were touched.
    pub(crate) sheets: &'a [Entry],
}

/// The fields of a kind that make a sentence of their own when they are written otherwise, with what they read before: what is held against
/// a limit is judged anew, and what was noted of a danger may be what keeps somebody from harm.
pub(crate) fn told_with_what_it_was(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Limit => &[
            Limit::what,
            Limit::about,
            Limit::condition,
            Limit::low,
            Limit::high,
            Limit::judges,
            Limit::book,
            Limit::edition,
            Limit::page,
        ],
        Kind::Finding => &[Finding::how_bad, Finding::how_sure, Finding::what, Finding::note],
        _ => &[],
    }
}
