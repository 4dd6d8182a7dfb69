//! What the keeper chose on this device and no record has: which car is shown, whether and by which roads others are met, which photos
//! are fetched, and at which port the pages were last. One row; without it, everything is as where nobody chose.

use record::Id;
use rusqlite::{Connection, OptionalExtension, params};

use super::summed::Summed;
use crate::StoreError;

/// Part of migration 24.
pub(super) const TABLES: &str = "
CREATE TABLE choices (
    one             INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    -- The id of the record that is shown; empty: nobody chose.
    current         TEXT NOT NULL,
    -- 0: the pages were never served.
    pages_port      INTEGER NOT NULL CHECK (pages_port BETWEEN 0 AND 65535),
    meets           INTEGER NOT NULL CHECK (meets IN (0, 1)),
    -- The address of a relay of one's own; empty: none.
    relay           TEXT NOT NULL,
    internet_relays INTEGER NOT NULL CHECK (internet_relays IN (0, 1)),
    only_asked      INTEGER NOT NULL CHECK (only_asked IN (0, 1)),
    only_unmetered  INTEGER NOT NULL CHECK (only_unmetered IN (0, 1)),
    sum             BLOB NOT NULL DEFAULT x''
) STRICT;
";

pub(super) const CHOICES: Summed = Summed {
    table: "choices",
    keys: &["one"],
    others: "current, pages_port, meets, relay, internet_relays, only_asked, only_unmetered",
    says: "what was chosen on this device is not what was written; choose it again",
};

/// What the keeper chose on this device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choices {
    /// The record that is shown.
    pub current: Option<Id>,
    /// The port that the pages had last.
    pub pages_port: Option<u16>,
    /// Whether this device meets others at all.
    pub meets: bool,
    /// The address of a relay of one's own.
    pub relay: Option<String>,
    /// Whether the internet's relays may be used.
    pub internet_relays: bool,
    /// Whether originals stay where they are until they are asked for one by one.
    pub only_asked: bool,
    /// Whether they stay there on a connection that is paid by what it carries.
    pub only_unmetered: bool,
}

impl Default for Choices {
    fn default() -> Self {
        Self {
            current: None,
            pages_port: None,
            meets: true,
            relay: None,
            internet_relays: false,
            only_asked: false,
            only_unmetered: false,
        }
    }
}

pub(crate) fn put(db: &Connection, choices: &Choices) -> Result<(), StoreError> {
    db.prepare_cached(
        "INSERT OR REPLACE INTO choices
             (one, current, pages_port, meets, relay, internet_relays, only_asked, only_unmetered)
         VALUES (1, ?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?
    .execute(params![
        choices.current.as_ref().map_or("", Id::as_str),
        choices.pages_port.unwrap_or(0),
        choices.meets,
        choices.relay.as_deref().unwrap_or_default(),
        choices.internet_relays,
        choices.only_asked,
        choices.only_unmetered,
    ])?;
    CHOICES.put(db, &[&1])
}

pub(crate) fn get(db: &Connection) -> Result<Choices, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT current, pages_port, meets, relay, internet_relays, only_asked, only_unmetered FROM choices",
    )?;
    let read = |row: &rusqlite::Row<'_>| {
        let (current, relay): (String, String) = (row.get(0)?, row.get(3)?);
        // A number that a byte turned on the disk made too large is no port: another is taken.
        let port: i64 = row.get(1)?;
        Ok(Choices {
            current: current.parse().ok(),
            pages_port: u16::try_from(port).ok().filter(|port| *port != 0),
            meets: row.get(2)?,
            relay: Some(relay).filter(|relay| !relay.is_empty()),
            internet_relays: row.get(4)?,
            only_asked: row.get(5)?,
            only_unmetered: row.get(6)?,
        })
    };
    Ok(sql.query_row([], read).optional()?.unwrap_or_default())
}
