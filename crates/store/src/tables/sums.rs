//! Sums over the small rows that are no entries and no changes: which device this folder is, its records, what is known of
//! other devices, what was chosen on this one, photos. With them a check finds a digit that turned on the disk there too. A row that an older
//! program wrote has no sum and is not held against one; triggers see to that.

use rusqlite::Connection;

use super::summed::Summed;
use super::version::{Migration, Older};
use super::{
    aside, choices, device_notes, drops, folder, home, noted, paired, peers, photos, records, roads, upkeep,
};
use crate::StoreError;

/// Only columns and triggers are added: an older program writes its rows, and the trigger takes away a sum that they have
/// no more.
pub(super) const MADE: Migration = Migration {
    number: 16,
    older: Older::Survives,
    sql: &["
ALTER TABLE folder ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE records ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE peers ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE settings ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE photos ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
CREATE TRIGGER folder_sum AFTER UPDATE OF needs, device, named ON folder
    WHEN NEW.sum = OLD.sum AND (NEW.needs <> OLD.needs OR NEW.device <> OLD.device OR NEW.named <> OLD.named)
    BEGIN UPDATE folder SET sum = x''; END;
CREATE TRIGGER records_sum AFTER UPDATE OF car, keeper ON records
    WHEN NEW.sum = OLD.sum AND (NEW.car <> OLD.car OR NEW.keeper <> OLD.keeper)
    BEGIN UPDATE records SET sum = x'' WHERE record = NEW.record; END;
CREATE TRIGGER peers_sum AFTER UPDATE OF name, heads, state, met ON peers
    WHEN NEW.sum = OLD.sum AND (NEW.name <> OLD.name OR NEW.heads <> OLD.heads OR NEW.state <> OLD.state OR NEW.met <> OLD.met)
    BEGIN UPDATE peers SET sum = x'' WHERE record = NEW.record AND device = NEW.device; END;
CREATE TRIGGER photos_sum AFTER UPDATE OF mime, width, height, camera, thumb ON photos
    WHEN NEW.sum = OLD.sum AND (NEW.mime <> OLD.mime OR NEW.width <> OLD.width OR NEW.height <> OLD.height
        OR NEW.camera <> OLD.camera OR NEW.thumb <> OLD.thumb)
    BEGIN UPDATE photos SET sum = x'' WHERE hash = NEW.hash; END;
CREATE TRIGGER settings_sum AFTER UPDATE OF value ON settings
    WHEN NEW.sum = OLD.sum AND NEW.value <> OLD.value
    BEGIN UPDATE settings SET sum = x'' WHERE key = NEW.key; END;
"],
};

/// The tables that had none, as above.
pub(super) const MORE: Migration = Migration {
    number: 18,
    older: Older::Survives,
    sql: &["
ALTER TABLE aside ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE small_pictures ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE drops ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
ALTER TABLE peer_photos ADD COLUMN sum BLOB NOT NULL DEFAULT x'';
CREATE TRIGGER small_pictures_sum AFTER UPDATE OF picture ON small_pictures
    WHEN NEW.sum = OLD.sum AND NEW.picture <> OLD.picture
    BEGIN UPDATE small_pictures SET sum = x'' WHERE hash = NEW.hash; END;
CREATE TRIGGER drops_sum AFTER UPDATE OF book, looked, told ON drops
    WHEN NEW.sum = OLD.sum AND (NEW.book <> OLD.book OR NEW.looked <> OLD.looked OR NEW.told <> OLD.told)
    BEGIN UPDATE drops SET sum = x'' WHERE record = NEW.record AND place = NEW.place; END;
CREATE TRIGGER peer_photos_sum AFTER UPDATE OF held ON peer_photos
    WHEN NEW.sum = OLD.sum AND NEW.held <> OLD.held
    BEGIN UPDATE peer_photos SET sum = x''
        WHERE record = NEW.record AND device = NEW.device AND hash = NEW.hash; END;
"],
};

/// All of them: those of the first sums, those that got theirs later, and those that were made with them. In this order: see below.
pub(crate) const ALL: [&Summed; 21] = [
    &folder::FOLDER,
    &records::RECORDS,
    &peers::PEERS,
    &photos::PHOTOS,
    &aside::ASIDE,
    &photos::SMALL_PICTURES,
    &drops::DROPS,
    &peers::PEER_PHOTOS,
    &choices::CHOICES,
    &home::HOME,
    &upkeep::UPKEEP,
    &upkeep::LOSSES,
    &roads::SOCKETS,
    &roads::FOUND,
    &paired::PAIRED,
    &paired::PAIRED_ADDRESSES,
    &noted::RECORD_NOTES,
    &noted::PHOTOS_ASKED,
    &noted::CARRY_FILES,
    &device_notes::DEVICE_NOTES,
    &device_notes::LEFT_OUT_FROM,
];
/// How many of them, from the head, a folder of before the sums may have rows of.
const OF_BEFORE: usize = 8;
/// How many of those got theirs with the first sums.
const WITH_THE_FIRST: usize = 4;
/// Those whose rows come again by themselves.
const COME_AGAIN: [&Summed; 6] = [
    &photos::SMALL_PICTURES,
    &drops::DROPS,
    &peers::PEER_PHOTOS,
    &upkeep::UPKEEP,
    &roads::SOCKETS,
    &roads::FOUND,
];

/// Sums the rows that have no sum yet, as a folder of that version was left.
pub(super) fn fill(db: &Connection, version: u32) -> Result<(), StoreError> {
    let had_theirs = if version < MADE.number {
        0
    } else if version < MORE.number {
        WITH_THE_FIRST
    } else {
        OF_BEFORE
    };
    let lacking = ALL.iter().take(OF_BEFORE).skip(had_theirs);
    lacking.copied().try_for_each(|table| table.fill(db))
}

/// Clears away rows that are not what was written and come again by themselves; whether there were any.
pub(crate) fn clear(db: &Connection) -> Result<bool, StoreError> {
    let mut any = false;
    for table in COME_AGAIN {
        let mut sql = db.prepare(&format!("DELETE FROM {} WHERE {}", table.table, table.named()))?;
        for key in table.wrong_ones(db)? {
            sql.execute(rusqlite::params_from_iter(key))?;
            any = true;
        }
    }
    Ok(any)
}
