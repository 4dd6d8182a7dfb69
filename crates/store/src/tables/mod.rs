//! The tables, one module each: its SQL, the number of the migration that made it and whether an older program
//! survives that, and the reading and writing of its rows. Migrations only add; none is ever changed once
//! released. Nothing here opens a file or decides what belongs in one transaction.

pub(crate) mod actors;
pub(crate) mod aside;
pub(crate) mod came;
pub(crate) mod change_log;
pub(crate) mod choices;
pub(crate) mod days;
pub(crate) mod deeds;
pub(crate) mod device_notes;
pub(crate) mod drops;
pub(crate) mod entries;
pub(crate) mod folder;
pub(crate) mod home;
mod log_name;
pub(crate) mod noted;
pub(crate) mod paired;
pub(crate) mod peers;
pub(crate) mod photos;
pub(crate) mod points;
pub(crate) mod records;
pub(crate) mod roads;
pub(crate) mod search;
pub(crate) mod settings;
pub(crate) mod signatures;
pub(crate) mod snapshots;
mod summed;
pub(crate) mod sums;
pub(crate) mod touched;
pub(crate) mod upkeep;
mod version;
mod wrote;

use rusqlite::{Connection, OptionalExtension};

use crate::StoreError;
pub(crate) use version::DERIVED;
use version::{Migration, Older};

/// Says that a database is ours: 'WMrk'.
pub(crate) const APPLICATION: i32 = 0x574D_726B;

/// Every migration, in the order of its number.
pub(crate) const MIGRATIONS: &[Migration] = &[
    folder::MADE,
    records::MADE,
    change_log::MADE,
    snapshots::MADE,
    touched::MADE,
    entries::MADE,
    points::MADE,
    search::MADE,
    peers::MADE,
    photos::MADE,
    settings::MADE,
    aside::MADE,
    drops::MADE,
    photos::SMALL,
    peers::ASKED,
    sums::MADE,
    signatures::MADE,
    sums::MORE,
    deeds::MADE,
    came::MADE,
    came::WAS,
    entries::PLAIN,
    change_log::COUNTED,
    settings::MOVED,
    actors::MADE,
];

/// The newest migration that this program knows.
pub(crate) fn newest() -> u32 {
    MIGRATIONS.last().map_or(0, |last| last.number)
}

/// What a database says of itself before anything is done to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Standing {
    /// Nothing in it yet.
    Empty,
    /// Some other program's.
    Foreign,
    /// Ours, with the newest migration applied, and the oldest version whose program may write.
    Ours { version: u32, needs: u32 },
}

pub(crate) fn standing(db: &Connection) -> Result<Standing, StoreError> {
    let application: i32 = db.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let version: u32 = db.pragma_query_value(None, "user_version", |row| row.get(0))?;
    if application != APPLICATION {
        let things: u32 = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
        let empty = application == 0 && version == 0 && things == 0;
        return Ok(if empty { Standing::Empty } else { Standing::Foreign });
    }
    // A program so new that it keeps this elsewhere says by that alone that older ones must not write.
    let needs = db
        .query_row("SELECT needs FROM folder", [], |row| row.get(0))
        .optional()
        .ok()
        .flatten();
    Ok(Standing::Ours {
        version,
        needs: needs.unwrap_or(version),
    })
}

/// Applies every migration above `version`, all or none.
pub(crate) fn migrate(db: &mut Connection, version: u32, now: record::Moment) -> Result<(), StoreError> {
    let pending: Vec<&Migration> = MIGRATIONS.iter().filter(|step| step.number > version).collect();
    let Some(last) = pending.last() else { return Ok(()) };
    let tx = db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    for sql in pending.iter().flat_map(|step| step.sql) {
        tx.execute_batch(sql)?;
    }
    let needs = pending
        .iter()
        .filter(|step| step.older == Older::ReadsOnly)
        .map(|step| step.number)
        .max();
    folder::settle(&tx, needs, now)?;
    settings::empty(&tx, version)?;
    sums::fill(&tx, version)?;
    if version >= sums::MADE.number {
        folder::FOLDER.put(&tx, &[&1])?;
    }
    tx.pragma_update(None, "application_id", APPLICATION)?;
    tx.pragma_update(None, "user_version", last.number)?;
    tx.commit()?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::MIGRATIONS;

    #[test]
    fn every_migration_has_a_number_of_its_own_in_order() {
        let numbers: Vec<u32> = MIGRATIONS.iter().map(|step| step.number).collect();
        let wanted: Vec<u32> = (1..).take(numbers.len()).collect();
        assert_eq!(numbers, wanted);
    }
}
