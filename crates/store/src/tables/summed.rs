//! A sum over a small row: how it is made, put beside the row, and held against it. Which tables have them is said by their own files.

use rusqlite::types::{Value, ValueRef};
use rusqlite::{Connection, OptionalExtension, Row, ToSql};

use crate::StoreError;

/// A table of small rows: its keys, what else is summed, and what a check says of a wrong one.
pub(crate) struct Summed {
    pub(super) table: &'static str,
    pub(super) keys: &'static [&'static str],
    pub(super) others: &'static str,
    pub(crate) says: &'static str,
}

impl Summed {
    /// The same rows in a table of another name.
    #[cfg(test)]
    pub(super) const fn under(self, table: &'static str) -> Self {
        Self { table, ..self }
    }

    fn columns(&self) -> String {
        let others = Some(self.others).filter(|others| !others.is_empty());
        let all: Vec<&str> = self.keys.iter().copied().chain(others).collect();
        all.join(", ")
    }

    pub(super) fn named(&self) -> String {
        let keys: Vec<String> = (1..)
            .zip(self.keys)
            .map(|(at, key)| format!("{key} = ?{at}"))
            .collect();
        keys.join(" AND ")
    }

    /// Sums a row that was just written.
    pub(crate) fn put(&self, db: &Connection, key: &[&dyn ToSql]) -> Result<(), StoreError> {
        let (table, columns, named) = (self.table, self.columns(), self.named());
        let mut sql = db.prepare_cached(&format!("SELECT {columns} FROM {table} WHERE {named}"))?;
        let count = sql.column_count();
        let sum = sql.query_row(key, |row| sum_of(row, count)).optional()?;
        if let Some(sum) = sum {
            let last = key.len().saturating_add(1);
            let mut sql = db.prepare_cached(&format!("UPDATE {table} SET sum = ?{last} WHERE {named}"))?;
            let mut all = key.to_vec();
            all.push(&sum);
            sql.execute(all.as_slice())?;
        }
        Ok(())
    }

    /// Sums every row, when the columns are made.
    pub(super) fn fill(&self, db: &Connection) -> Result<(), StoreError> {
        let mut sql = db.prepare(&format!("SELECT {} FROM {}", self.keys.join(", "), self.table))?;
        let count = sql.column_count();
        let read = |row: &Row<'_>| (0..count).map(|at| row.get(at)).collect();
        let keys: Vec<Vec<Value>> = sql.query_map([], read)?.collect::<Result<_, _>>()?;
        for key in keys {
            let key: Vec<&dyn ToSql> = key.iter().map(|value| value as &dyn ToSql).collect();
            self.put(db, &key)?;
        }
        Ok(())
    }

    /// How many rows are not what was written.
    pub(crate) fn wrong(&self, db: &Connection) -> Result<usize, StoreError> {
        Ok(self.wrong_ones(db)?.len())
    }

    /// Whether a row is what was written; one that is not there, or has no sum, is.
    pub(crate) fn holds(&self, db: &Connection, key: &[&dyn ToSql]) -> Result<bool, StoreError> {
        let (table, columns, named) = (self.table, self.columns(), self.named());
        let mut sql = db.prepare_cached(&format!("SELECT {columns}, sum FROM {table} WHERE {named}"))?;
        let count = sql.column_count().saturating_sub(1);
        let holds = sql.query_row(key, |row| {
            let kept: Vec<u8> = row.get(count)?;
            Ok(kept.is_empty() || kept == sum_of(row, count)?)
        });
        Ok(holds.optional()?.unwrap_or(true))
    }

    /// The keys of the rows that are not what was written.
    pub(super) fn wrong_ones(&self, db: &Connection) -> Result<Vec<Vec<Value>>, StoreError> {
        let (table, columns) = (self.table, self.columns());
        let mut sql = db.prepare(&format!(
            "SELECT {columns}, sum FROM {table} WHERE length(sum) > 0"
        ))?;
        let count = sql.column_count().saturating_sub(1);
        let mut rows = sql.query([])?;
        let mut wrong = Vec::new();
        while let Some(row) = rows.next()? {
            let kept: Vec<u8> = row.get(count)?;
            if kept != sum_of(row, count)? {
                let keys = (0..self.keys.len()).map(|at| row.get(at));
                wrong.push(keys.collect::<Result<_, _>>()?);
            }
        }
        Ok(wrong)
    }
}

/// BLAKE3 of the first columns of a row, each with its length.
fn sum_of(row: &Row<'_>, count: usize) -> rusqlite::Result<Vec<u8>> {
    let mut hasher = blake3::Hasher::new();
    for at in 0..count {
        let bytes = match row.get_ref(at)? {
            ValueRef::Null => Vec::new(),
            ValueRef::Integer(number) => number.to_le_bytes().to_vec(),
            ValueRef::Real(number) => number.to_le_bytes().to_vec(),
            ValueRef::Text(bytes) | ValueRef::Blob(bytes) => bytes.to_vec(),
        };
        hasher.update(&(bytes.len() as u64).to_le_bytes()).update(&bytes);
    }
    Ok(hasher.finalize().as_bytes().to_vec())
}
