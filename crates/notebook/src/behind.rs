//! Which cars' read tables are another version's still, in a notebook that makes them anew in steps. It makes nothing itself.

use std::collections::BTreeSet;

use record::Id;

/// Which cars' read tables another version of the program made, and who makes them anew.
#[derive(Debug)]
pub(crate) enum Behind {
    /// None: they were made anew at once.
    Never,
    /// These, in steps.
    Later(BTreeSet<Id>),
}

impl Behind {
    pub(crate) fn has(&self, record: &Id) -> bool {
        matches!(self, Self::Later(behind) if behind.contains(record))
    }

    pub(crate) fn records(&self) -> Vec<Id> {
        match self {
            Self::Never => Vec::new(),
            Self::Later(behind) => behind.iter().cloned().collect(),
        }
    }

    pub(crate) fn end(&mut self) -> BTreeSet<Id> {
        match self {
            Self::Never => BTreeSet::new(),
            Self::Later(behind) => std::mem::take(behind),
        }
    }
}
