//! A check of the whole folder, like that of a file system: it reads everything, says in words what is wrong, and
//! never changes anything.

mod files;
mod rows;

use record::Id;
use serde::Serialize;

use crate::tables::{self, records};
use crate::{Store, StoreError};

/// How much a check reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// Everything but the originals of photos, of which only the length is looked at.
    Quick,
    /// Every byte.
    Whole,
}

/// How bad something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Something is not as it was written.
    Broken,
    /// Worth knowing; nothing is wrong with the record.
    Note,
}

/// One thing that a check found.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Trouble {
    /// How bad it is.
    pub level: Level,
    /// What sort of thing it is, for faces.
    pub code: &'static str,
    /// The record it is in, where it is in one.
    pub record: Option<Id>,
    /// What was found, what it means, what to do.
    pub says: String,
}

impl Trouble {
    fn broken(code: &'static str, record: Option<&Id>, says: impl Into<String>) -> Self {
        Self {
            level: Level::Broken,
            code,
            record: record.cloned(),
            says: says.into(),
        }
    }

    fn note(code: &'static str, record: Option<&Id>, says: impl Into<String>) -> Self {
        Self {
            level: Level::Note,
            code,
            record: record.cloned(),
            says: says.into(),
        }
    }
}

impl Store {
    /// Checks the folder, and of its records one or all. An empty list, or notes alone, means that everything is
    /// as it was written. What is broken comes first.
    ///
    /// # Errors
    /// [`StoreError::NoRecord`]; whatever else stops the check is itself among the troubles.
    pub fn check(&self, record: Option<&Id>, depth: Depth) -> Result<Vec<Trouble>, StoreError> {
        if let Some(record) = record {
            records::one(&self.db, record)?;
        }
        let mut found = Vec::new();
        if let Err(error) = self.look(record, depth, &mut found) {
            found.push(Trouble::broken(
                "unreadable",
                None,
                format!("the check could not go on: {error}"),
            ));
        }
        found.sort();
        Ok(found)
    }

    fn look(&self, record: Option<&Id>, depth: Depth, found: &mut Vec<Trouble>) -> Result<(), StoreError> {
        // One moment of the folder, whatever is written meanwhile.
        let read = self.db.unchecked_transaction()?;
        rows::database(&read, found)?;
        rows::small(&read, record, found)?;
        if let Some(version) = self.newer {
            let known = tables::newest();
            let says = format!(
                "the folder is of version {version} and this program knows version {known}: it was read as far as \
                 it is known and left as it is. Check it with the newer program"
            );
            found.push(Trouble::note("newer_folder", None, says));
        }
        if !self.folder.is_closed() {
            let says = "others who use this machine may look into the folder: it is its owner's alone only where it \
                        holds nothing else, on a file system that knows owners";
            found.push(Trouble::note("folder_open", None, says));
        }
        for row in records::all(&read)? {
            if record.is_none_or(|wanted| wanted == &row.id) {
                rows::record(&read, &row.id, found)?;
            }
        }
        files::photos(self, &read, depth, found)
    }
}
