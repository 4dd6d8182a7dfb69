//! What is wrong with a document, or with what came from outside; never that an edit is not right for a record, which is a refusal.

use super::against::Refused;

/// The version of the document's shape that this program writes. Kinds and fields that an older program keeps without
/// knowing them do not raise it; what an older program would misread does.
pub const SCHEMA: u32 = 1;

/// Most letters that one change takes out of texts. What is taken out folds into a few bytes, and the gate before
/// every document lets so many operations by for nothing and no more.
pub const MOST_LETTERS_OUT: usize = 60_000;

/// What is wrong with a document or with changes that came from outside.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadRecord {
    /// Bytes that are no change, or a change whose hash is not its own.
    #[error("a change is damaged: {0}")]
    Damaged(String),
    /// More than the budget allows.
    #[error("the changes unfold to more than the budget of {0}; nothing was taken in")]
    OverBudget(String),
    /// They build on changes that are not here.
    #[error("the changes build on {0} that this device does not have; ask for a carry file with everything")]
    Gap(usize),
    /// Nothing of what is new can be taken in: each change, and why.
    #[error("{}; nothing was taken in", .0.first().map_or_else(String::new, ToString::to_string))]
    Against(Vec<Refused>),
    /// An edit that would make a change which other devices' gates refuse.
    #[error(
        "more than {MOST_LETTERS_OUT} letters cannot be taken out of a text at once; take them out in several steps"
    )]
    TooMuchAtOnce,
    /// A change that came in before changes were judged has the highest number there is.
    #[error(
        "a change of another program has used up the numbers of this record; it can be read, and nothing more can be written in it"
    )]
    UsedUp,
    /// A change from outside that no document takes, whatever its checksum says.
    #[error("a change from outside fits no document ({0}); nothing was taken in")]
    Unfit(String),
    /// Automerge would not do it.
    #[error("the document would not take the changes: {0}")]
    Refused(String),
    /// A newer program's document.
    #[error("this record is of version {found}; this program knows version {SCHEMA}. It is left as it is")]
    Newer {
        /// Its version.
        found: i64,
    },
}

pub(super) fn refused(error: impl std::fmt::Display) -> BadRecord {
    BadRecord::Refused(error.to_string())
}
