//! The folder's one row: which device it is, when it was made, and which programs may write in it.

use record::{Id, Moment};
use rusqlite::{Connection, OptionalExtension, params};

use super::summed::Summed;
use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 1,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE folder (
    one     INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    -- The oldest version of the tables whose program may write.
    needs   INTEGER NOT NULL DEFAULT 0,
    made    INTEGER NOT NULL DEFAULT 0,
    -- The id of the device whose folder this is; empty until it joins its first record.
    device  TEXT NOT NULL DEFAULT '',
    named   TEXT NOT NULL DEFAULT ''
) STRICT;
"],
};

pub(super) const FOLDER: Summed = Summed {
    table: "folder",
    keys: &["one"],
    others: "needs, made, device, named",
    says: "which device this folder is, is not what was written; rebuild holds it against the device's key and the record",
};

/// The device whose folder this is. It is one device in every record that it keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThisDevice {
    /// Its id, the same in every record.
    pub id: Id,
    /// What its keeper calls it.
    pub name: String,
}

/// Writes the one row, where there is none yet, and raises what the folder needs.
pub(super) fn settle(db: &Connection, needs: Option<u32>, now: Moment) -> Result<(), StoreError> {
    db.execute(
        "INSERT INTO folder (one, made) VALUES (1, ?1) ON CONFLICT DO NOTHING",
        [now.seconds()],
    )?;
    db.execute("UPDATE folder SET needs = max(needs, ?1)", [needs.unwrap_or(0)])?;
    Ok(())
}

pub(crate) fn device(db: &Connection) -> Result<Option<ThisDevice>, StoreError> {
    let row = db.query_row("SELECT device, named FROM folder", [], |row| {
        Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?))
    });
    let Some((id, name)) = row.optional()?.filter(|(id, _)| !id.is_empty()) else {
        return Ok(None);
    };
    let id = id
        .parse()
        .map_err(|_| StoreError::damaged("the device of this folder has no readable id"))?;
    Ok(Some(ThisDevice { id, name }))
}

pub(crate) fn set_device(db: &Connection, device: &ThisDevice) -> Result<(), StoreError> {
    db.execute(
        "UPDATE folder SET device = ?1, named = ?2",
        params![device.id.as_str(), device.name],
    )?;
    FOLDER.put(db, &[&1])
}
