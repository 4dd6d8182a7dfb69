//! Sums over the small rows that are no entries and no changes: which device this folder is, its records, what is known of
//! other devices, what was chosen on this one, photos. With them a check finds a digit that turned on the disk there too. A row that an older
//! program wrote has no sum and is not held against one; triggers see to that.

use rusqlite::Connection;

use self::summed::Summed;
use super::{Migration, Older, choices, device_notes, home, noted, paired, roads, upkeep};
use crate::StoreError;

pub(crate) mod summed;

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

pub(crate) const FOLDER: Summed = Summed {
    table: "folder",
    keys: &["one"],
    others: "needs, made, device, named",
    says: "which device this folder is, is not what was written; rebuild holds it against the device's key and the record",
};
pub(crate) const RECORDS: Summed = Summed {
    table: "records",
    keys: &["record"],
    others: "car, keeper, since",
    says: "the car's name, or whose device this is, is not what was written; rebuild takes both from the record",
};
pub(crate) const PEERS: Summed = Summed {
    table: "peers",
    keys: &["record", "device"],
    others: "name, heads, state, met",
    says: "what another device is known to have is not what was written; the next meeting with it puts that right",
};
pub(crate) const PHOTOS: Summed = Summed {
    table: "photos",
    keys: &["hash"],
    others: "length, mime, width, height, camera, added, thumb",
    says: "what is kept of a photo beside its original, the small picture among it, is not what was written; hand the photo in again",
};

pub(crate) const ASIDE: Summed = Summed {
    table: "aside",
    keys: &["record", "parcel"],
    others: "number, device, road, came, told, bytes",
    says: "what was set aside of a device that is met no more is not what came; where the file that brought it is still there, take it in once more",
};

pub(crate) const SMALL: Summed = Summed {
    table: "small_pictures",
    keys: &["hash"],
    others: "picture",
    says: "a small picture out of a meeting is not what came; rebuild clears it, and it comes again with the next meeting",
};

pub(crate) const DROPS: Summed = Summed {
    table: "drops",
    keys: &["record", "place"],
    others: "book, looked, told",
    says: "what was noted of a drop is not what was written; the drop is read again at the next look",
};

pub(crate) const PEER_PHOTOS: Summed = Summed {
    table: "peer_photos",
    keys: &["record", "device", "hash"],
    others: "held",
    says: "which photos another device has is not what it said; rebuild clears it, and it is asked again at the next meeting",
};

/// All of them: those of the first sums, those that got theirs later, and those that were made with them.
pub(crate) const ALL: [&Summed; 21] = [
    &FOLDER,
    &RECORDS,
    &PEERS,
    &PHOTOS,
    &ASIDE,
    &SMALL,
    &DROPS,
    &PEER_PHOTOS,
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
/// Those that a folder of before the sums has rows of, and of them those that got theirs later.
const FIRST: [&Summed; 8] = [
    &FOLDER,
    &RECORDS,
    &PEERS,
    &PHOTOS,
    &ASIDE,
    &SMALL,
    &DROPS,
    &PEER_PHOTOS,
];
const LATER: [&Summed; 4] = [&ASIDE, &SMALL, &DROPS, &PEER_PHOTOS];
/// Those whose rows come again by themselves.
const COME_AGAIN: [&Summed; 6] = [
    &SMALL,
    &DROPS,
    &PEER_PHOTOS,
    &upkeep::UPKEEP,
    &roads::SOCKETS,
    &roads::FOUND,
];

/// Sums the rows that have no sum yet, as a folder of that version was left.
pub(super) fn fill(db: &Connection, version: u32) -> Result<(), StoreError> {
    let tables = if version < MADE.number {
        &FIRST[..]
    } else if version < MORE.number {
        &LATER[..]
    } else {
        &[]
    };
    tables.iter().try_for_each(|table| table.fill(db))
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
