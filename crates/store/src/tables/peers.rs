//! What this device knows of the other devices of a record: what they were last known to have, and when they last
//! met. A guess that saves sending twice, never taken for proof.

use std::collections::BTreeSet;

use record::{ChangeId, Id, Moment, PhotoHash};
use rusqlite::{Connection, params};

use super::photos::hash_at;
use super::summed::Summed;
use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program. Nothing is kept in `state` any more; what an earlier program left there stays.
pub(super) const MADE: Migration = Migration {
    number: 9,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE peers (
    record TEXT NOT NULL REFERENCES records (record),
    device TEXT NOT NULL,
    name   TEXT NOT NULL DEFAULT '',
    -- The changes it was last known to have, with all they build on; a space between.
    heads  TEXT NOT NULL DEFAULT '',
    -- Where a conversation with it stands, opaque here.
    state  BLOB NOT NULL DEFAULT x'',
    -- 0: never.
    met    INTEGER NOT NULL DEFAULT 0,
    PRIMARY KEY (record, device)
) STRICT;
CREATE TABLE peer_photos (
    record TEXT NOT NULL,
    device TEXT NOT NULL,
    hash   TEXT NOT NULL CHECK (length(hash) = 64),
    PRIMARY KEY (record, device, hash),
    FOREIGN KEY (record, device) REFERENCES peers (record, device)
) STRICT, WITHOUT ROWID;
"],
};

/// That a device was asked and has a photo not. An older program takes the row for a photo that is there, which is a
/// guess either way.
pub(super) const ASKED: Migration = Migration {
    number: 15,
    older: Older::Survives,
    sql: &["ALTER TABLE peer_photos ADD COLUMN held INTEGER NOT NULL DEFAULT 1 CHECK (held IN (0, 1));"],
};

pub(super) const PEERS: Summed = Summed {
    table: "peers",
    keys: &["record", "device"],
    others: "name, heads, state, met",
    says: "what another device is known to have is not what was written; the next meeting with it puts that right",
};

pub(super) const PEER_PHOTOS: Summed = Summed {
    table: "peer_photos",
    keys: &["record", "device", "hash"],
    others: "held",
    says: "which photos another device has is not what it said; rebuild clears it, and it is asked again at the next meeting",
};

/// Another device of a record, as this one knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Peer {
    /// The device.
    pub device: Id,
    /// What it is called.
    pub name: String,
    /// The changes it was last known to have, with all that they build on.
    pub heads: Vec<ChangeId>,
    /// When the two last met, by this device's clock.
    pub met: Option<Moment>,
    /// The BLAKE3 hashes of the photos it is known to have. Writing adds to them and never takes one away.
    pub photos: BTreeSet<PhotoHash>,
}

pub(crate) fn put(db: &Connection, record: &Id, peer: &Peer) -> Result<(), StoreError> {
    let heads: Vec<String> = peer.heads.iter().map(ChangeId::to_string).collect();
    db.prepare_cached(
        "INSERT INTO peers (record, device, name, heads, met) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (record, device) DO UPDATE SET name = excluded.name, heads = excluded.heads,
             met = excluded.met",
    )?
    .execute(params![
        record.as_str(),
        peer.device.as_str(),
        peer.name,
        heads.join(" "),
        peer.met.map_or(0, Moment::seconds)
    ])?;
    PEERS.put(db, &[&record.as_str(), &peer.device.as_str()])?;
    let mut sql = db.prepare_cached(
        "INSERT INTO peer_photos (record, device, hash) VALUES (?1, ?2, ?3)
         ON CONFLICT (record, device, hash) DO UPDATE SET held = 1",
    )?;
    for hash in &peer.photos {
        let hash = hash.hex();
        sql.execute(params![record.as_str(), peer.device.as_str(), hash.as_str()])?;
        PEER_PHOTOS.put(db, &[&record.as_str(), &peer.device.as_str(), &hash.as_str()])?;
    }
    Ok(())
}

/// What a device said when it was asked which photos it has.
pub(crate) fn put_photos(
    db: &Connection,
    record: &Id,
    device: &Id,
    here: &[PhotoHash],
    not: &[PhotoHash],
) -> Result<(), StoreError> {
    db.prepare_cached("INSERT INTO peers (record, device) VALUES (?1, ?2) ON CONFLICT DO NOTHING")?
        .execute(params![record.as_str(), device.as_str()])?;
    let mut sql = db.prepare_cached(
        "INSERT INTO peer_photos (record, device, hash, held) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT (record, device, hash) DO UPDATE SET held = excluded.held",
    )?;
    for (hashes, held) in [(here, true), (not, false)] {
        for hash in hashes {
            let hash = hash.hex();
            sql.execute(params![record.as_str(), device.as_str(), hash.as_str(), held])?;
            PEER_PHOTOS.put(db, &[&record.as_str(), &device.as_str(), &hash.as_str()])?;
        }
    }
    Ok(())
}

/// What the devices of a record said of the photos they were asked about: device, hash, whether it has it.
pub(crate) fn photos(db: &Connection, record: &Id) -> Result<Vec<(String, PhotoHash, bool)>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT device, hash, held FROM peer_photos WHERE record = ?1 ORDER BY device, hash",
    )?;
    let rows = sql.query_map([record.as_str()], |row| {
        let hash = hash_at(row, 1)?;
        hash.map(|hash| Ok((row.get(0)?, hash, row.get(2)?))).transpose()
    })?;
    Ok(rows.filter_map(Result::transpose).collect::<Result<_, _>>()?)
}

/// What the devices of a record said of one photo: device, whether it has it.
pub(crate) fn photo(
    db: &Connection,
    record: &Id,
    hash: &PhotoHash,
) -> Result<Vec<(String, bool)>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT p.device, h.held FROM peers p
         JOIN peer_photos h ON h.record = p.record AND h.device = p.device AND h.hash = ?2
         WHERE p.record = ?1 ORDER BY p.device",
    )?;
    let rows = sql.query_map([record.as_str(), hash.hex().as_str()], |row| {
        Ok((row.get(0)?, row.get(1)?))
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<Peer>, StoreError> {
    let mut sql =
        db.prepare_cached("SELECT device, name, heads, met FROM peers WHERE record = ?1 ORDER BY device")?;
    let mut photos = db.prepare_cached(
        "SELECT hash FROM peer_photos WHERE record = ?1 AND device = ?2 AND held = 1 ORDER BY hash",
    )?;
    let mut rows = sql.query([record.as_str()])?;
    let mut peers = Vec::new();
    while let Some(row) = rows.next()? {
        let device: String = row.get(0)?;
        let hashes = photos.query_map([record.as_str(), &device], |row| hash_at(row, 0))?;
        let heads: String = row.get(2)?;
        let met: i64 = row.get(3)?;
        peers.push(Peer {
            photos: hashes.filter_map(Result::transpose).collect::<Result<_, _>>()?,
            device: device
                .parse()
                .map_err(|_| StoreError::damaged("a device met before has no readable id"))?,
            name: row.get(1)?,
            // One that cannot be read only means sending more than was needed.
            heads: heads.split(' ').filter_map(ChangeId::from_hex).collect(),
            met: (met != 0).then(|| Moment::from_seconds(met)),
        });
    }
    Ok(peers)
}
