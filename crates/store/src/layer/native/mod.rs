//! The file layer on a disk with folders: `witnessmark.sqlite`, `photos/ab/abcdef…`, `carry/`, `writer.lock` and,
//! beside it while a program has the folder open, `writer.holder` with the words that say which.
//! It knows no table.

mod arriving;
mod carry;
mod lending;
mod lock;
mod owner;
mod photos;
mod place;
mod sync;

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use super::careful;
use crate::{Opener, StoreError};

/// The database's name in a data folder.
const DATABASE: &str = "witnessmark.sqlite";

/// The tally's name in a data folder.
const TALLY: &str = "witnessmark.tally";

/// A data folder that this process is the writer of.
#[derive(Clone, Debug)]
pub struct Folder {
    dir: PathBuf,
    /// Held until the folder is dropped, and whoever works beside it.
    _lock: Arc<lock::Lock>,
}

impl Folder {
    /// Whether there is a database in a folder, so that opening it would make nothing new.
    #[must_use]
    pub fn is_in(dir: &Path) -> bool {
        fs::metadata(dir.join(DATABASE)).is_ok_and(|meta| meta.len() > 0)
    }

    /// Makes the folder where there is none, and becomes its writer.
    ///
    /// # Errors
    /// [`StoreError::InUse`] where another process (or this one) has it open, or what the system said.
    pub fn take(dir: &Path, opener: &Opener<'_>) -> Result<Self, StoreError> {
        owner::make_folder(dir)
            .map_err(|e| StoreError::io(format!("make the folder '{}'", dir.display()), e))?;
        let lock = lock::Lock::take(dir, opener)?;
        Ok(Self {
            dir: dir.to_owned(),
            _lock: Arc::new(lock),
        })
    }

    fn lay_out(&self) -> Result<(), StoreError> {
        for inner in ["photos", "carry"] {
            let path = self.dir.join(inner);
            owner::make_folder(&path).map_err(|e| StoreError::io(format!("make the folder '{inner}'"), e))?;
        }
        owner::close(&self.dir);
        self.sweep_photos()
    }

    fn dir(&self) -> &Path {
        &self.dir
    }

    fn carry_dir(&self) -> PathBuf {
        self.dir.join("carry")
    }

    fn connect_reading(&self) -> Result<Connection, StoreError> {
        // On a full disk there is no room for the index of the write-ahead log, and what a power cut left in the middle of
        // the very first opening must be rolled back before anything can be read. Whoever is alone, which the lock sees to,
        // can do without the one and do the other.
        self.reading(false)
            .or_else(|error| self.reading(true).map_err(|_| error))
    }

    fn reading(&self, alone: bool) -> Result<Connection, StoreError> {
        let access = if alone {
            OpenFlags::SQLITE_OPEN_READ_WRITE
        } else {
            OpenFlags::SQLITE_OPEN_READ_ONLY
        };
        let db =
            Connection::open_with_flags(self.dir.join(DATABASE), access | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
        busy(&db)?;
        careful(&db)?;
        if alone {
            keep_index_in_memory(&db)?;
            db.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
            db.pragma_update(None, "query_only", true)?;
        }
        can_be_read(&db)?;
        Ok(db)
    }

    fn connect(&self) -> Result<Connection, StoreError> {
        self.connected(false)
            .or_else(|error| self.connected(true).map_err(|_| error))
    }

    fn connected(&self, alone: bool) -> Result<Connection, StoreError> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        // SQLite would make it as open as other files; its logs beside it are then as this one is.
        let made = owner::writing()
            .create(true)
            .truncate(false)
            .open(self.dir.join(DATABASE));
        made.map_err(|e| StoreError::io("make the database", e))?;
        let db = Connection::open_with_flags(self.dir.join(DATABASE), flags)?;
        busy(&db)?;
        careful(&db)?;
        if alone {
            keep_index_in_memory(&db)?;
        }
        // FULL: in WAL mode, anything less may lose the last commits at a power cut.
        db.pragma_update_and_check(None, "journal_mode", "wal", |row| row.get::<_, String>(0))?;
        db.pragma_update(None, "synchronous", "full")?;
        // On Apple's systems a plain fsync stops at the drive's own cache.
        db.pragma_update(None, "fullfsync", true)?;
        db.pragma_update(None, "checkpoint_fullfsync", true)?;
        // After a large meeting the log file shrinks again.
        db.pragma_update(None, "journal_size_limit", 16 * 1024 * 1024)?;
        can_be_read(&db)?;
        sync::sync_folder(&self.dir)?;
        Ok(db)
    }
}

fn keep_index_in_memory(db: &Connection) -> Result<(), StoreError> {
    db.pragma_update_and_check(None, "locking_mode", "exclusive", |row| row.get::<_, String>(0))?;
    Ok(())
}

/// Whether a file can be read is known only when it was.
fn can_be_read(db: &Connection) -> Result<(), StoreError> {
    db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| {
        row.get::<_, i64>(0)
    })?;
    Ok(())
}

/// A backup program may hold the file for a moment; another writer of ours is kept off by the lock.
fn busy(db: &Connection) -> Result<(), StoreError> {
    Ok(db.busy_timeout(std::time::Duration::from_secs(5))?)
}
