//! The points to settle of a record, in the order the rules gave them. Derived. What a point means is not known
//! here.

use std::collections::BTreeMap;

use record::Id;
use rusqlite::{Connection, params};

use super::version::{Migration, Older};
use crate::StoreError;

/// First release: no older program.
pub(super) const MADE: Migration = Migration {
    number: 7,
    older: Older::ReadsOnly,
    sql: &["
CREATE TABLE points (
    record TEXT NOT NULL REFERENCES records (record),
    rank   INTEGER NOT NULL,
    id     TEXT NOT NULL,
    json   TEXT NOT NULL,
    PRIMARY KEY (record, id)
) STRICT;
"],
};

/// One point to settle, as JSON.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PointRow {
    /// Its stable identity.
    pub id: String,
    /// The point.
    pub json: String,
}

/// What lies between the ranks of two points at first, so that one that comes between them moves no other.
const STEP: i64 = 1 << 20;

/// Makes these points, in this order, those that are kept, and writes only the rows of those that are new, gone or otherwise.
/// Answers how many rows it wrote.
pub(crate) fn put(db: &Connection, record: &Id, points: &[PointRow]) -> Result<usize, StoreError> {
    let mut kept: BTreeMap<String, (i64, String)> = BTreeMap::new();
    let mut sql = db.prepare_cached("SELECT id, rank, json FROM points WHERE record = ?1")?;
    let mut rows = sql.query([record.as_str()])?;
    while let Some(row) = rows.next()? {
        kept.insert(row.get(0)?, (row.get(1)?, row.get(2)?));
    }
    let before: Vec<Option<i64>> = points
        .iter()
        .map(|point| kept.get(&point.id).map(|(rank, _)| *rank))
        .collect();
    let mut written = 0_usize;
    let mut write = db.prepare_cached(
        "INSERT INTO points (record, rank, id, json) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT (record, id) DO UPDATE SET rank = excluded.rank, json = excluded.json",
    )?;
    for (point, rank) in points.iter().zip(ranks(&before)) {
        let same = kept
            .remove(&point.id)
            .is_some_and(|(was, json)| was == rank && json == point.json);
        if !same {
            written = written.saturating_add(write.execute(params![
                record.as_str(),
                rank,
                point.id,
                point.json
            ])?);
        }
    }
    let mut gone = db.prepare_cached("DELETE FROM points WHERE record = ?1 AND id = ?2")?;
    for id in kept.keys() {
        written = written.saturating_add(gone.execute(params![record.as_str(), id])?);
    }
    Ok(written)
}

/// Ranks that rise, for points in their order: the rank that one had, where it may keep it, and for another one half-way to the
/// next that does. Where there is no room all are numbered anew.
fn ranks(before: &[Option<i64>]) -> Vec<i64> {
    // Those that keep theirs: each above the one that kept its own before it.
    let mut top = i64::MIN;
    let keeps: Vec<Option<i64>> = before
        .iter()
        .map(|rank| {
            let kept = rank.filter(|rank| *rank > top);
            top = kept.unwrap_or(top);
            kept
        })
        .collect();
    let mut ranks = Vec::with_capacity(keeps.len());
    let mut last = 0_i64;
    for (at, kept) in keeps.iter().enumerate() {
        let rank = kept.unwrap_or_else(|| {
            let next = keeps.iter().skip(at).find_map(|kept| *kept);
            next.map_or_else(
                || last.saturating_add(STEP),
                |next| last.saturating_add(next.saturating_sub(last) / 2),
            )
        });
        if at > 0 && rank <= last {
            return (1..)
                .map(|place: i64| place.saturating_mul(STEP))
                .take(before.len())
                .collect();
        }
        ranks.push(rank);
        last = rank;
    }
    ranks
}

pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<PointRow>, StoreError> {
    let mut sql = db.prepare_cached("SELECT id, json FROM points WHERE record = ?1 ORDER BY rank, id")?;
    let rows = sql.query_map([record.as_str()], |row| {
        Ok(PointRow {
            id: row.get(0)?,
            json: row.get(1)?,
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_that_comes_or_goes_moves_no_other() {
        assert_eq!(ranks(&[None, None, None]), [STEP, 2 * STEP, 3 * STEP]);
        let (a, b, c) = (Some(STEP), Some(2 * STEP), Some(3 * STEP));
        assert_eq!(ranks(&[a, c]), [STEP, 3 * STEP]);
        assert_eq!(
            ranks(&[a, b, None, c]),
            [STEP, 2 * STEP, 2 * STEP + STEP / 2, 3 * STEP]
        );
        assert_eq!(ranks(&[None, a]), [STEP / 2, STEP]);
        // One that comes to stand behind another gives way; the other keeps its rank.
        assert_eq!(ranks(&[b, a, c]), [2 * STEP, 2 * STEP + STEP / 2, 3 * STEP]);
        // As an earlier version numbered them, there is no room between.
        assert_eq!(ranks(&[Some(0), None, Some(1)]), [STEP, 2 * STEP, 3 * STEP]);
        assert_eq!(ranks(&[]), Vec::<i64>::new());
    }

    #[test]
    fn the_ranks_rise_whatever_came_and_went() {
        let mut state = 7_u64;
        let mut random = |below: u64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % below
        };
        let mut kept: Vec<(u64, i64)> = Vec::new();
        let mut fresh = 0_u64;
        for _ in 0..3_000 {
            let mut order: Vec<u64> = kept.iter().map(|(id, _)| *id).collect();
            if !order.is_empty() && random(3) == 0 {
                order.remove(usize::try_from(random(order.len() as u64)).unwrap_or(0));
            } else if order.len() < 40 {
                fresh += 1;
                order.insert(
                    usize::try_from(random(order.len() as u64 + 1)).unwrap_or(0),
                    fresh,
                );
            }
            let rank_of = |id: &u64| kept.iter().find(|(one, _)| one == id).map(|(_, rank)| *rank);
            let before: Vec<Option<i64>> = order.iter().map(rank_of).collect();
            let after = ranks(&before);
            assert_eq!(after.len(), order.len());
            assert!(after.is_sorted_by(|one, other| one < other), "{after:?}");
            kept = order.into_iter().zip(after).collect();
        }
        assert!(fresh > 1_000, "{fresh}");
    }
}
