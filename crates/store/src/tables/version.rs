//! What the tables are numbered by: the steps that made them, each with whether an older program survives it, and the version of what is
//! derived. The steps themselves stand with their tables; none is applied here.

/// The version of how entries are turned into derived rows. Raise it when titles, links or search text are made
/// otherwise: a record derived by another version is made anew at the next start.
pub(crate) const DERIVED: u32 = 12;

/// Whether a program that does not know a migration may still write in the folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Older {
    /// It may: it neither sees nor breaks what is new. For the first migration that only adds a table or a column.
    Survives,
    /// It would break something: it reads, and does not write.
    ReadsOnly,
}

/// One numbered step of the tables.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Migration {
    pub(crate) number: u32,
    pub(crate) older: Older,
    /// One batch of statements after the other.
    pub(crate) sql: &'static [&'static str],
}
