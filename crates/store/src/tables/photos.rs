//! The photos whose originals this device has: their technical data and thumbnails. A row is written only after
//! its original is safe. What a photo shows and what it is about are in the record, not here.

use record::{Id, Moment, PhotoHash};
use rusqlite::{Connection, OptionalExtension, params};

use super::summed::Summed;
use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 10,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE photos (
    -- BLAKE3 of the original, and its file's name.
    hash    TEXT NOT NULL PRIMARY KEY CHECK (length(hash) = 64),
    length  INTEGER NOT NULL,
    mime    TEXT NOT NULL DEFAULT '',
    width   INTEGER NOT NULL DEFAULT 0,
    height  INTEGER NOT NULL DEFAULT 0,
    camera  TEXT NOT NULL DEFAULT '',
    added   INTEGER NOT NULL DEFAULT 0,
    thumb   BLOB NOT NULL DEFAULT x''
) STRICT;
"],
};

/// Small pictures came to meetings after the first release of the tables. An older program neither sees nor breaks them.
pub(super) const SMALL: Migration = Migration {
    number: 14,
    older: Older::Survives,
    sql: &["
CREATE TABLE small_pictures (
    -- BLAKE3 of the original, which is not here: nothing says that the picture is made of it but the word of the device
    -- that it came from.
    hash    TEXT NOT NULL PRIMARY KEY CHECK (length(hash) = 64),
    picture BLOB NOT NULL CHECK (length(picture) BETWEEN 1 AND 262144)
) STRICT;
"],
};

pub(super) const PHOTOS: Summed = Summed {
    table: "photos",
    keys: &["hash"],
    others: "length, mime, width, height, camera, added, thumb",
    says: "what is kept of a photo beside its original, the small picture among it, is not what was written; hand the photo in again",
};

pub(super) const SMALL_PICTURES: Summed = Summed {
    table: "small_pictures",
    keys: &["hash"],
    others: "picture",
    says: "a small picture out of a meeting is not what came; rebuild clears it, and it comes again with the next meeting",
};

/// An original that is safe on this device. Only keeping one makes this, so no row can name one that is not there.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use = "an original without its row is an orphan"]
pub struct Kept {
    pub(crate) hash: PhotoHash,
    pub(crate) length: u64,
}

impl Kept {
    /// The hash of the original.
    #[must_use]
    pub fn hash(&self) -> &PhotoHash {
        &self.hash
    }

    /// Its length in bytes.
    #[must_use]
    pub fn length(&self) -> u64 {
        self.length
    }
}

/// The technical data of a photo.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PhotoMeta {
    /// Such as `image/jpeg`.
    pub mime: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// What took it; empty where that is unknown.
    pub camera: String,
}

/// A photo to be entered: its original is kept already.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPhoto {
    /// The original.
    pub kept: Kept,
    /// Its technical data.
    pub meta: PhotoMeta,
    /// A small picture of it, encoded.
    pub thumb: Vec<u8>,
    /// When it came to this device.
    pub added: Moment,
}

/// A photo that is on this device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoRow {
    /// The hash of the original.
    pub hash: PhotoHash,
    /// Its length in bytes.
    pub length: u64,
    /// Its technical data.
    pub meta: PhotoMeta,
    /// When it came to this device.
    pub added: Moment,
    /// Whether a small picture was made of it.
    pub small: bool,
}

pub(crate) fn put(db: &Connection, photo: &NewPhoto) -> Result<(), StoreError> {
    let hash = photo.kept.hash.hex();
    db.prepare_cached(
        "INSERT INTO photos (hash, length, mime, width, height, camera, added, thumb)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
         ON CONFLICT (hash) DO UPDATE SET mime = excluded.mime, width = excluded.width,
             height = excluded.height, camera = excluded.camera, thumb = excluded.thumb",
    )?
    .execute(params![
        hash.as_str(),
        i64::try_from(photo.kept.length).unwrap_or(i64::MAX),
        photo.meta.mime,
        photo.meta.width,
        photo.meta.height,
        photo.meta.camera,
        photo.added.seconds(),
        photo.thumb
    ])?;
    PHOTOS.put(db, &[&hash.as_str()])?;
    // The one made here of the original stands for it from now on.
    db.prepare_cached("DELETE FROM small_pictures WHERE hash = ?1")?
        .execute([hash.as_str()])?;
    Ok(())
}

pub(crate) fn put_small(db: &Connection, hash: &PhotoHash, picture: &[u8]) -> Result<(), StoreError> {
    db.prepare_cached(
        "INSERT INTO small_pictures (hash, picture)
         SELECT ?1, ?2 WHERE NOT EXISTS (SELECT 1 FROM photos WHERE hash = ?1)
         ON CONFLICT (hash) DO UPDATE SET picture = excluded.picture",
    )?
    .execute(params![hash.hex().as_str(), picture])?;
    SMALL_PICTURES.put(db, &[&hash.hex().as_str()])
}

/// The hashes that a record's photos name, of which neither the original nor a small picture is here.
pub(crate) fn without_small(db: &Connection, record: &Id) -> Result<Vec<PhotoHash>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT DISTINCT substr(l.target, 8) AS hash FROM entries e JOIN links l ON l.row = e.row AND l.field = 'hash'
         WHERE e.record = ?1 AND e.kind = 'photo'
             AND NOT EXISTS (SELECT 1 FROM photos p WHERE p.hash = substr(l.target, 8))
             AND NOT EXISTS (SELECT 1 FROM small_pictures s WHERE s.hash = substr(l.target, 8))
         ORDER BY hash",
    )?;
    let rows = sql.query_map([record.as_str()], |row| hash_at(row, 0))?;
    Ok(rows.filter_map(Result::transpose).collect::<Result<_, _>>()?)
}

/// The photo that a row names. Nothing where the row is damaged, which its sum tells: such a row is passed over.
pub(super) fn hash_at(row: &rusqlite::Row<'_>, at: usize) -> rusqlite::Result<Option<PhotoHash>> {
    Ok(PhotoHash::from_hex(row.get_ref(at)?.as_str()?))
}

const COLUMNS: &str = "hash, length, mime, width, height, camera, added, length(thumb) > 0";

fn read(row: &rusqlite::Row<'_>) -> rusqlite::Result<Option<PhotoRow>> {
    let row_of = |hash| -> rusqlite::Result<PhotoRow> {
        Ok(PhotoRow {
            hash,
            // It was a u64 when it was written.
            length: row.get::<_, i64>(1)?.unsigned_abs(),
            meta: PhotoMeta {
                mime: row.get(2)?,
                width: row.get(3)?,
                height: row.get(4)?,
                camera: row.get(5)?,
            },
            added: Moment::from_seconds(row.get(6)?),
            small: row.get(7)?,
        })
    };
    hash_at(row, 0)?.map(row_of).transpose()
}

pub(crate) fn one(db: &Connection, hash: &PhotoHash) -> Result<Option<PhotoRow>, StoreError> {
    let mut sql = db.prepare_cached(&format!("SELECT {COLUMNS} FROM photos WHERE hash = ?1"))?;
    Ok(sql.query_row([hash.hex().as_str()], read).optional()?.flatten())
}

pub(crate) fn all(db: &Connection) -> Result<Vec<PhotoRow>, StoreError> {
    let mut sql = db.prepare_cached(&format!("SELECT {COLUMNS} FROM photos ORDER BY hash"))?;
    let rows = sql.query_map([], read)?;
    Ok(rows.filter_map(Result::transpose).collect::<Result<_, _>>()?)
}

pub(crate) fn thumb(db: &Connection, hash: &PhotoHash) -> Result<Option<Vec<u8>>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT thumb FROM photos WHERE hash = ?1
         UNION ALL SELECT picture FROM small_pictures WHERE hash = ?1 LIMIT 1",
    )?;
    Ok(sql
        .query_row([hash.hex().as_str()], |row| row.get(0))
        .optional()?)
}

/// Whether a small picture of it is here, made here or not.
pub(crate) fn has_small(db: &Connection, hash: &PhotoHash) -> Result<bool, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT EXISTS (SELECT 1 FROM photos WHERE hash = ?1)
             OR EXISTS (SELECT 1 FROM small_pictures WHERE hash = ?1)",
    )?;
    Ok(sql.query_row([hash.hex().as_str()], |row| row.get(0))?)
}

/// Whether a record names this photo.
pub(crate) fn is_named(db: &Connection, record: &Id, hash: &PhotoHash) -> Result<bool, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT EXISTS (SELECT 1 FROM links l JOIN entries e ON e.row = l.row
         WHERE l.target = ?2 AND l.field = 'hash' AND e.record = ?1 AND e.kind = 'photo')",
    )?;
    Ok(
        sql.query_row(params![record.as_str(), format!("blake3:{hash}")], |row| {
            row.get(0)
        })?,
    )
}

/// Whether some record names this photo.
pub(crate) fn is_named_by_any(db: &Connection, hash: &PhotoHash) -> Result<bool, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT EXISTS (SELECT 1 FROM links l JOIN entries e ON e.row = l.row
         WHERE l.target = ?1 AND l.field = 'hash' AND e.kind = 'photo')",
    )?;
    Ok(sql.query_row([format!("blake3:{hash}")], |row| row.get(0))?)
}

/// The hashes that a record's photos name: those that are here, or those that are not.
pub(crate) fn named(db: &Connection, record: &Id, here: bool) -> Result<Vec<PhotoHash>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT DISTINCT substr(l.target, 8) AS hash FROM entries e JOIN links l ON l.row = e.row AND l.field = 'hash'
         WHERE e.record = ?1 AND e.kind = 'photo'
             AND EXISTS (SELECT 1 FROM photos p WHERE p.hash = substr(l.target, 8)) = ?2
         ORDER BY hash",
    )?;
    let rows = sql.query_map(params![record.as_str(), here], |row| hash_at(row, 0))?;
    Ok(rows.filter_map(Result::transpose).collect::<Result<_, _>>()?)
}
