//! The sockets that this device listened on last, and where others were found in meetings, the newest first. What an address means is
//! not known here.

use std::collections::BTreeMap;
use std::net::SocketAddr;

use rusqlite::{Connection, params};

use super::summed::Summed;
use crate::StoreError;

/// Part of migration 24.
pub(super) const TABLES: &str = "
CREATE TABLE sockets (
    rank   INTEGER NOT NULL PRIMARY KEY,
    socket TEXT NOT NULL,
    sum    BLOB NOT NULL DEFAULT x''
) STRICT;
CREATE TABLE found (
    -- The key of the device, as it is spelled.
    key     TEXT NOT NULL CHECK (key <> ''),
    rank    INTEGER NOT NULL,
    address TEXT NOT NULL,
    sum     BLOB NOT NULL DEFAULT x'',
    PRIMARY KEY (key, rank)
) STRICT, WITHOUT ROWID;
";

pub(super) const SOCKETS: Summed = Summed {
    table: "sockets",
    keys: &["rank"],
    others: "socket",
    says: "where this device listened is not what was written; rebuild clears it, and it is written anew when others are met",
};

pub(super) const FOUND: Summed = Summed {
    table: "found",
    keys: &["key", "rank"],
    others: "address",
    says: "where another device was found is not what was written; rebuild clears it, and the next meeting with it puts that right",
};

pub(crate) fn put_sockets(db: &Connection, sockets: &[SocketAddr]) -> Result<(), StoreError> {
    db.execute("DELETE FROM sockets", [])?;
    for (rank, socket) in (0_u32..).zip(sockets) {
        db.execute(
            "INSERT INTO sockets (rank, socket) VALUES (?1, ?2)",
            params![rank, socket.to_string()],
        )?;
        SOCKETS.put(db, &[&rank])?;
    }
    Ok(())
}

/// One that cannot be read is none: another is taken.
pub(crate) fn sockets(db: &Connection) -> Result<Vec<SocketAddr>, StoreError> {
    let mut sql = db.prepare_cached("SELECT socket FROM sockets ORDER BY rank")?;
    let rows = sql.query_map([], |row| row.get::<_, String>(0))?;
    let words: Vec<String> = rows.collect::<Result<_, _>>()?;
    Ok(words.iter().filter_map(|word| word.parse().ok()).collect())
}

/// Where a device was found, in place of what was known; nowhere forgets it.
pub(crate) fn put_found(db: &Connection, key: &str, addresses: &[String]) -> Result<(), StoreError> {
    db.execute("DELETE FROM found WHERE key = ?1", [key])?;
    for (rank, address) in (0_u32..).zip(addresses) {
        db.execute(
            "INSERT INTO found (key, rank, address) VALUES (?1, ?2, ?3)",
            params![key, rank, address],
        )?;
        FOUND.put(db, &[&key, &rank])?;
    }
    Ok(())
}

pub(crate) fn found(db: &Connection) -> Result<BTreeMap<String, Vec<String>>, StoreError> {
    let mut sql = db.prepare_cached("SELECT key, address FROM found ORDER BY key, rank")?;
    let mut rows = sql.query([])?;
    let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
    while let Some(row) = rows.next()? {
        all.entry(row.get(0)?).or_default().push(row.get(1)?);
    }
    Ok(all)
}
