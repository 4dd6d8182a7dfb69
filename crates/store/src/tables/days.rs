//! Which days have entries, and whose: read from the entries; it has no table of its own.

use std::collections::{BTreeMap, BTreeSet};

use record::{Day, Id, Kind};
use rusqlite::Connection;

use crate::StoreError;

/// One day on which something was entered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayMark {
    /// The day.
    pub day: Day,
    /// The keepers whose entries they are, as far as their devices are known.
    pub keepers: BTreeSet<Id>,
    /// How many entries that stand, by kind.
    pub kinds: BTreeMap<Kind, u32>,
}

/// Every day with an entry that stands and has something in it, oldest first. The keeper of a sheet is in its
/// name; that of anything else is the one whose device made it.
pub(crate) fn all(db: &Connection, record: &Id) -> Result<Vec<DayMark>, StoreError> {
    let mut sql = db.prepare_cached(
        "SELECT e.on_day, e.kind, coalesce(own.target, by_device.target, ''), count(*)
         FROM entries e
         LEFT JOIN links own ON own.row = e.row AND own.field = 'keeper' AND e.kind = 'sheet'
         LEFT JOIN entries d ON d.record = e.record AND d.kind = 'device' AND d.id = e.device
         LEFT JOIN links by_device ON by_device.row = d.row AND by_device.field = 'keeper'
         WHERE e.record = ?1 AND e.on_day <> '' AND e.blank = 0 AND e.struck = 0
         GROUP BY 1, 2, 3 ORDER BY 1",
    )?;
    let mut rows = sql.query([record.as_str()])?;
    let mut days: BTreeMap<Day, DayMark> = BTreeMap::new();
    while let Some(row) = rows.next()? {
        let (day, kind, keeper): (String, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
        // A kind that only a newer program knows has no mark here.
        let (Ok(day), Ok(kind)) = (day.parse::<Day>(), kind.parse::<Kind>()) else {
            continue;
        };
        let mark = days.entry(day).or_insert_with(|| DayMark {
            day,
            keepers: BTreeSet::new(),
            kinds: BTreeMap::new(),
        });
        mark.keepers
            .extend(keeper.strip_prefix("keeper:").and_then(|id| id.parse().ok()));
        let count = mark.kinds.entry(kind).or_default();
        *count = count.saturating_add(row.get(3)?);
    }
    Ok(days.into_values().collect())
}
