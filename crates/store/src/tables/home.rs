//! Where this device's key is at home, and why its keeper is asked whether the folder is still the one it was made for. One row.

use record::Moment;
use rusqlite::{Connection, OptionalExtension, params};

use super::summed::Summed;
use crate::{StoreError, Whereabouts};

/// Part of migration 24.
pub(super) const TABLES: &str = "
CREATE TABLE home (
    one     INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    -- Whether the key was ever at home anywhere.
    settled INTEGER NOT NULL CHECK (settled IN (0, 1)),
    -- When the keeper last said that this is the one, in seconds; 0: not known.
    since   INTEGER NOT NULL,
    -- The machine, and the folder's number in its file system, which may go beyond what an INTEGER has; empty: not told.
    machine TEXT NOT NULL,
    folder  TEXT NOT NULL,
    -- Why the keeper is asked; empty: nobody is.
    asked   TEXT NOT NULL CHECK (asked IN ('', 'place', 'key', 'damaged', 'twin')),
    sum     BLOB NOT NULL DEFAULT x''
) STRICT;
";

pub(super) const HOME: Summed = Summed {
    table: "home",
    keys: &["one"],
    others: "settled, since, machine, folder, asked",
    says: "where this folder is at home is not what was written; say that it is the same, or a copy ('witnessmark folder same', or 'witnessmark folder copy')",
};

/// Why it is asked whether this folder is still the one that its key was made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// It lies elsewhere.
    Place,
    /// It is without its key.
    Key,
    /// Its key is damaged.
    Damaged,
    /// Something else has written as this device.
    Twin,
}

impl Doubt {
    const ALL: [Self; 4] = [Self::Place, Self::Key, Self::Damaged, Self::Twin];

    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Place => "place",
            Self::Key => "key",
            Self::Damaged => "damaged",
            Self::Twin => "twin",
        }
    }

    pub(super) fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|doubt| doubt.word() == word)
    }
}

/// Where the key is at home.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Home {
    /// When the keeper last said that this is the one; nothing where that is not known.
    pub since: Option<Moment>,
    /// Where.
    pub at: Whereabouts,
}

/// The row.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct HomeRow {
    pub(crate) home: Option<Home>,
    pub(crate) asked: Option<Doubt>,
}

pub(crate) fn put(db: &Connection, row: &HomeRow) -> Result<(), StoreError> {
    let home = row.home.clone().unwrap_or_default();
    db.prepare_cached(
        "INSERT OR REPLACE INTO home (one, settled, since, machine, folder, asked) VALUES (1, ?1, ?2, ?3, ?4, ?5)",
    )?
    .execute(params![
        row.home.is_some(),
        home.since.map_or(0, Moment::seconds),
        home.at.machine.unwrap_or_default(),
        home.at.folder.map_or_else(String::new, |folder| folder.to_string()),
        row.asked.map_or("", Doubt::word),
    ])?;
    HOME.put(db, &[&1])
}

pub(crate) fn get(db: &Connection) -> Result<HomeRow, StoreError> {
    let mut sql = db.prepare_cached("SELECT settled, since, machine, folder, asked FROM home")?;
    let read = |row: &rusqlite::Row<'_>| {
        let (settled, since): (bool, i64) = (row.get(0)?, row.get(1)?);
        let (machine, folder): (String, String) = (row.get(2)?, row.get(3)?);
        let asked: String = row.get(4)?;
        let home = Home {
            since: (since != 0).then(|| Moment::from_seconds(since)),
            at: Whereabouts {
                machine: Some(machine).filter(|machine| !machine.is_empty()),
                folder: folder.parse().ok(),
            },
        };
        Ok(HomeRow {
            home: settled.then_some(home),
            asked: Doubt::read(&asked),
        })
    };
    Ok(sql.query_row([], read).optional()?.unwrap_or_default())
}
