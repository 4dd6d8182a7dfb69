//! What a device keeps of its records: the change log, snapshots, the read tables, search and photos, in one data
//! folder. It is the only user of SQLite.
//!
//! A change is bytes under a name; what it means is never known here. Read tables are derived: they can be made
//! anew from the document at any time. Nothing in a record is ever deleted by this crate. It has no clock and no
//! randomness, and outside its file layer it touches no file.
//!
//! A data folder has one writer at a time. A command is one transaction, and what [`Store::commit`] has answered
//! is on the disk.

mod check;
mod commit;
mod compact;
mod error;
mod layer;
mod read;
mod rebuild;
mod tables;

use std::path::{Path, PathBuf};

use record::Moment;
use rusqlite::{Connection, Transaction, TransactionBehavior};

pub use check::{Depth, Level, Trouble};
pub use commit::Batch;
pub use compact::Loaded;
pub use error::StoreError;
pub use rebuild::Rebuilt;
pub use tables::change_log::LogRow;
pub use tables::days::DayMark;
pub use tables::entries::Wanted;
pub use tables::folder::ThisDevice;
pub use tables::peers::Peer;
pub use tables::photos::{Kept, NewPhoto, PhotoMeta, PhotoRow};
pub use tables::points::PointRow;
pub use tables::records::RecordRow;
pub use tables::search::{Hit, words_of};
pub use tables::touched::HistoryRow;

use tables::Standing;

/// Who opens a folder, and when: what another process is told that finds it in use.
#[derive(Clone, Copy, Debug)]
pub struct Opener<'a> {
    /// What the program calls itself, such as `witnessmark serve`.
    pub program: &'a str,
    /// Now.
    pub now: Moment,
}

/// An open data folder. This process is its only writer until it is dropped.
#[derive(Debug)]
pub struct Store {
    // Before the folder, so that the database is closed before the lock is given back.
    db: Connection,
    folder: layer::Folder,
    newer: Option<u32>,
}

impl Store {
    /// Whether a folder has a database, so that opening it would make nothing new.
    #[must_use]
    pub fn is_there(dir: &Path) -> bool {
        layer::Folder::is_there(dir)
    }

    /// Opens a data folder, or makes one; brings an older one up to this version.
    ///
    /// A folder that a newer program has changed in a way this one does not know is opened for reading only:
    /// [`Store::newer`] says so, and every write is refused.
    ///
    /// # Errors
    /// [`StoreError::InUse`] where another process (or this one) has it open; [`StoreError::Foreign`] where the
    /// database is another program's; [`StoreError::Damaged`] where it cannot be read.
    pub fn open(dir: &Path, opener: Opener<'_>) -> Result<Self, StoreError> {
        let fresh = !layer::Folder::is_there(dir);
        let folder = layer::Folder::take(dir, &opener)?;
        let standing = if fresh {
            Standing::Empty
        } else {
            tables::standing(&folder.connect_reading()?)?
        };
        let version = match standing {
            Standing::Empty => 0,
            Standing::Foreign => {
                return Err(StoreError::Foreign {
                    file: folder.database_name().to_owned(),
                });
            }
            Standing::Ours { version, needs } if needs > tables::newest() => {
                // Not one byte of the database is written: not even its journal is tidied.
                return Ok(Self {
                    db: folder.connect_reading()?,
                    folder,
                    newer: Some(version),
                });
            }
            Standing::Ours { version, .. } => version,
        };
        folder.lay_out()?;
        let mut db = folder.connect()?;
        tables::migrate(&mut db, version, opener.now)?;
        Ok(Self {
            db,
            folder,
            newer: None,
        })
    }

    /// The folder's version, where it is so new that it is only read here.
    #[must_use]
    pub fn newer(&self) -> Option<u32> {
        self.newer
    }

    /// The data folder.
    #[must_use]
    pub fn dir(&self) -> &Path {
        self.folder.dir()
    }

    /// Where carry files are put when no other place is named.
    #[must_use]
    pub fn carry_dir(&self) -> PathBuf {
        self.folder.carry_dir()
    }

    /// Whether writing is allowed at all.
    fn writable(&self) -> Result<(), StoreError> {
        match self.newer {
            Some(found) => Err(StoreError::Newer {
                found,
                known: tables::newest(),
            }),
            None => Ok(()),
        }
    }

    /// One transaction that writes; dropped without a commit, it leaves nothing.
    fn writing(&mut self) -> Result<Transaction<'_>, StoreError> {
        self.writable()?;
        Ok(self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)?)
    }
}
