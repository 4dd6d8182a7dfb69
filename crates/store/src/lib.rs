//! What a device keeps of its records: the change log, snapshots, the read tables, search and photos, in one data
//! folder. It is the only user of SQLite.
//!
//! A change is bytes under a name; what it means is never known here. Read tables are derived: they can be made
//! anew from the document at any time. Nothing in a record is ever deleted by this crate. It has no clock and no
//! randomness, and it reaches the machine it runs on through one trait, [`Layer`].
//!
//! A data folder has one writer at a time. A command is one transaction, and what [`Store::commit`] has answered
//! is on the disk.

mod arriving;
mod beside;
mod carry;
mod check;
mod coming;
mod commit;
mod compact;
mod error;
mod layer;
mod lent;
mod opener;
mod own;
mod past;
mod read;
mod rebuild;
mod signed;
mod tables;
mod tally;

use record::Moment;
use rusqlite::{Transaction, TransactionBehavior};

pub use check::{Checking, Depth, Level, Trouble};
pub use commit::Batch;
pub use compact::Loaded;
pub use error::StoreError;
#[cfg(not(target_family = "wasm"))]
pub use layer::Folder;
pub use layer::{
    Found, Incoming, Layer, Memory, Outgoing, Private, Room, SetDown, TallyFile, What, Whereabouts,
};
pub use lent::Lent;
pub use opener::Opener;
pub use rebuild::{Rebuilding, Rebuilt};
// What a layer lends; whoever makes one names it by this.
pub use rusqlite::Connection;
pub use tables::aside::AsideRow;
pub use tables::came::{Amount, Came, CameChange, ComingRow, WasRow};
pub use tables::change_log::LogRow;
pub use tables::choices::Choices;
pub use tables::days::DayMark;
pub use tables::deeds::DeedRow;
pub use tables::device_notes::KnownOf;
pub use tables::drops::DropRow;
pub use tables::folder::ThisDevice;
pub use tables::home::{Doubt, Home};
pub use tables::noted::NotKept;
pub use tables::paired::PairedRow;
pub use tables::peers::Peer;
pub use tables::photos::{Kept, NewPhoto, PhotoMeta, PhotoRow};
pub use tables::points::PointRow;
pub use tables::records::RecordRow;
pub use tables::search::{Hit, words_of};
pub use tables::signatures::{Signature, TwiceRow};
pub use tables::touched::HistoryRow;

use tables::Standing;

/// An open data folder. This process is its only writer until it is dropped.
#[derive(Debug)]
pub struct Store {
    // Before the folder, so that the database is closed before the lock is given back.
    db: Connection,
    folder: Box<dyn Layer>,
    newer: Option<u32>,
    /// How far each log had come; none where it is not written.
    tally: Option<layer::Tally>,
}

impl Store {
    /// Opens what a layer holds, or makes it; brings an older one up to this version.
    ///
    /// A folder that a newer program has changed in a way this one does not know is opened for reading only:
    /// [`Store::newer`] says so, and every write is refused.
    ///
    /// # Errors
    /// [`StoreError::Foreign`] where the database is another program's; [`StoreError::Damaged`] where it cannot be read.
    pub fn over(folder: Box<dyn Layer>, now: Moment) -> Result<Self, StoreError> {
        let fresh = !folder.is_there();
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
                    tally: None,
                });
            }
            Standing::Ours { version, .. } => version,
        };
        folder.lay_out()?;
        let mut db = folder.connect()?;
        tables::migrate(&mut db, version, now)?;
        let mut store = Self {
            db,
            folder,
            newer: None,
            tally: None,
        };
        // A folder whose log cannot be read, or that has no room, opens all the same; a check says what is wrong with it.
        let _ = store.hold_against_tally();
        // What cannot be cleared away now harms nothing: a check tells of it, and the next opening tries again.
        let _ = store.sweep_parts();
        store.folder.sweep_set_down();
        Ok(store)
    }

    /// Opens a data folder on a disk, or makes one: its lock is taken, and then it is as [`over`](Self::over).
    ///
    /// # Errors
    /// [`StoreError::InUse`] where another process (or this one) has it open, and as [`over`](Self::over).
    #[cfg(not(target_family = "wasm"))]
    pub fn open(dir: &std::path::Path, opener: Opener<'_>) -> Result<Self, StoreError> {
        Self::over(Box::new(Folder::take(dir, &opener)?), opener.now)
    }

    /// The folder's version, where it is so new that it is only read here.
    #[must_use]
    pub fn newer(&self) -> Option<u32> {
        self.newer
    }

    /// Where the folder lies, as far as the machine tells.
    #[must_use]
    pub fn whereabouts(&self) -> Whereabouts {
        self.folder.whereabouts()
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

#[cfg(test)]
mod tests {
    use super::*;

    fn fresh() -> (tempfile::TempDir, Store) {
        let dir = tempfile::tempdir().unwrap();
        let opener = Opener {
            program: "test",
            now: Moment::from_seconds(0),
        };
        let store = Store::open(dir.path(), opener).unwrap();
        (dir, store)
    }

    #[test]
    fn what_is_committed_survives_a_power_cut() {
        let (_dir, store) = fresh();
        let pragma = |name: &str| -> String {
            let read = |row: &rusqlite::Row<'_>| {
                Ok(row
                    .get_ref(0)?
                    .as_str()
                    .map_or_else(|_| String::new(), str::to_owned))
            };
            store.db.pragma_query_value(None, name, read).unwrap()
        };
        let number =
            |name: &str| -> i64 { store.db.pragma_query_value(None, name, |row| row.get(0)).unwrap() };
        assert_eq!(pragma("journal_mode"), "wal");
        // 2 is FULL.
        assert_eq!(number("synchronous"), 2);
        assert_eq!(number("foreign_keys"), 1);
        assert_eq!(number("trusted_schema"), 0);
        assert_eq!(number("application_id"), i64::from(tables::APPLICATION));
        assert_eq!(number("user_version"), i64::from(tables::newest()));
    }

    #[test]
    fn a_full_disk_is_said_to_be_one_and_what_was_saved_stays() {
        let (dir, mut store) = fresh();
        let chose = |relay: &str| Choices {
            relay: Some(relay.to_owned()),
            ..Choices::default()
        };
        store.choose(&chose("kept")).unwrap();
        // The nearest thing to a full disk that needs no disk of its own: SQLite answers with the same code.
        let pages: u32 = store
            .db
            .pragma_query_value(None, "page_count", |row| row.get(0))
            .unwrap();
        store
            .db
            .pragma_update_and_check(None, "max_page_count", pages + 2, |_| Ok(()))
            .unwrap();
        let large = "x".repeat(100_000);
        let refused = store.choose(&chose(&large)).unwrap_err();
        assert_eq!(refused.code(), "disk_full");
        assert!(refused.to_string().contains("Make room"), "{refused}");
        store.choose(&chose("kept again")).unwrap();
        drop(store);
        let opener = Opener {
            program: "test",
            now: Moment::from_seconds(0),
        };
        let store = Store::open(dir.path(), opener).unwrap();
        assert_eq!(store.choices().unwrap(), chose("kept again"));
        let enough = StoreError::io(
            "write a photo",
            std::io::Error::from(std::io::ErrorKind::StorageFull),
        );
        assert_eq!(enough.code(), "disk_full");
    }

    #[test]
    fn migrations_are_numbered_without_a_gap() {
        let numbers: Vec<u32> = tables::MIGRATIONS.iter().map(|step| step.number).collect();
        assert_eq!(numbers, (1..=tables::newest()).collect::<Vec<_>>());
    }

    #[test]
    fn every_table_is_strict_and_no_column_may_be_empty_of_a_value() {
        let (_dir, store) = fresh();
        let mut sql = store
            .db
            .prepare("SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'")
            .unwrap();
        let tables: Vec<(String, bool)> = sql
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        assert!(tables.len() >= 12, "{tables:?}");
        for (table, strict) in tables {
            assert!(strict, "{table} is not STRICT");
            let mut sql = store
                .db
                .prepare("SELECT name FROM pragma_table_info(?1) WHERE \"notnull\" = 0")
                .unwrap();
            let loose: Vec<String> = sql
                .query_map([&table], |row| row.get(0))
                .unwrap()
                .collect::<Result<_, _>>()
                .unwrap();
            assert!(loose.is_empty(), "{table}: {loose:?}");
        }
    }
}
