//! Numbers in place of the names of those who made operations: what changes wrote names them again and again. A number is this device's own
//! and is never given to another actor.

use std::collections::HashMap;

use record::Id;
use rusqlite::{Connection, OptionalExtension, params};

use super::version::{Migration, Older};
use crate::StoreError;

/// An older program knows neither these nor what they are for, derives anew what it reads, and so does this one after it.
pub(super) const MADE: Migration = Migration {
    number: 25,
    older: Older::Survives,
    sql: &["
CREATE TABLE actors (
    record TEXT NOT NULL REFERENCES records (record),
    number INTEGER NOT NULL CHECK (number > 0),
    -- In hex: a device and one run of the program.
    actor  TEXT NOT NULL,
    PRIMARY KEY (record, number),
    UNIQUE (record, actor)
) STRICT, WITHOUT ROWID;
-- What the change wrote there, as its operations say.
ALTER TABLE touched ADD COLUMN wrote BLOB NOT NULL DEFAULT x'';
"],
};

/// The actors of one record, as far as they were asked for.
pub(crate) struct Actors<'a> {
    db: &'a Connection,
    record: &'a Id,
    numbers: HashMap<String, u32>,
    names: HashMap<u32, String>,
}

impl<'a> Actors<'a> {
    pub(crate) fn of(db: &'a Connection, record: &'a Id) -> Self {
        Self {
            db,
            record,
            numbers: HashMap::new(),
            names: HashMap::new(),
        }
    }

    /// The number of an actor, which is given one where it has none.
    pub(crate) fn number(&mut self, actor: &str) -> Result<u32, StoreError> {
        if let Some(number) = self.numbers.get(actor) {
            return Ok(*number);
        }
        let mut sql = self
            .db
            .prepare_cached("SELECT number FROM actors WHERE record = ?1 AND actor = ?2")?;
        let found = sql
            .query_row([self.record.as_str(), actor], |row| row.get(0))
            .optional()?;
        let number = match found {
            Some(number) => number,
            None => self
                .db
                .prepare_cached(
                    "INSERT INTO actors (record, number, actor)
                     SELECT ?1, 1 + coalesce(max(number), 0), ?2 FROM actors WHERE record = ?1 RETURNING number",
                )?
                .query_row([self.record.as_str(), actor], |row| row.get(0))?,
        };
        self.numbers.insert(actor.to_owned(), number);
        Ok(number)
    }

    /// The actor of a number.
    pub(crate) fn name(&mut self, number: u32) -> Result<String, StoreError> {
        if let Some(name) = self.names.get(&number) {
            return Ok(name.clone());
        }
        let mut sql = self
            .db
            .prepare_cached("SELECT actor FROM actors WHERE record = ?1 AND number = ?2")?;
        let name: Option<String> = sql
            .query_row(params![self.record.as_str(), number], |row| row.get(0))
            .optional()?;
        let what = "what a change wrote names one that is not there";
        let name = name.ok_or(StoreError::Derived { what })?;
        self.names.insert(number, name.clone());
        Ok(name)
    }
}
