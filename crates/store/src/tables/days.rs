//! Which days have entries or deeds, and whose: read from both tables; it has none of its own. It is asked for the newest days
//! and reads no more than those.

use std::collections::{BTreeMap, BTreeSet};

use record::{Day, Id, Kind, Moment};
use rusqlite::{Connection, params};

use crate::StoreError;

/// One day on which something was entered or done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayMark {
    /// The day.
    pub day: Day,
    /// The keepers whose entries and deeds they are, as far as their devices are known.
    pub keepers: BTreeSet<Id>,
    /// How many entries that stand, by kind.
    pub kinds: BTreeMap<Kind, u32>,
}

/// What of the entries stands on a day of its own. The day of a hold point is that of a deed.
const ENTERED: &str =
    "e.record = ?1 AND e.on_day <> '' AND e.blank = 0 AND e.struck = 0 AND e.kind <> 'hold_point'";

/// The newest days, at most `most` of them, on which something was done or entered that stands and has something in it; oldest
/// first. `east` is how many seconds the keeper's clock is ahead of UTC. The keeper of a sheet is in its name; that of anything
/// else is the one whose device made it.
pub(crate) fn newest(
    db: &Connection,
    record: &Id,
    east: i64,
    most: usize,
) -> Result<Vec<DayMark>, StoreError> {
    let Some(oldest) = oldest_of(db, record, east, most)? else {
        return Ok(Vec::new());
    };
    let mut days: BTreeMap<Day, DayMark> = BTreeMap::new();
    let mut mark = |day: Day, keeper: &str, kind: Option<(Kind, u32)>| {
        let mark = days.entry(day).or_insert_with(|| DayMark {
            day,
            keepers: BTreeSet::new(),
            kinds: BTreeMap::new(),
        });
        let keeper = keeper.strip_prefix("keeper:").unwrap_or(keeper);
        mark.keepers.extend(keeper.parse::<Id>().ok());
        if let Some((kind, count)) = kind {
            let all = mark.kinds.entry(kind).or_default();
            *all = all.saturating_add(count);
        }
    };
    let mut sql = db.prepare_cached(&format!(
        "SELECT e.on_day, e.kind, coalesce(own.target, by_device.target, ''), count(*)
         FROM entries e
         LEFT JOIN links own ON own.row = e.row AND own.field = 'keeper' AND e.kind = 'sheet'
         LEFT JOIN entries d ON d.record = e.record AND d.kind = 'device' AND d.id = e.device
         LEFT JOIN links by_device ON by_device.row = d.row AND by_device.field = 'keeper'
         WHERE {ENTERED} AND e.on_day >= ?2
         GROUP BY 1, 2, 3 ORDER BY 1"
    ))?;
    let mut rows = sql.query(params![record.as_str(), oldest.to_string()])?;
    while let Some(row) = rows.next()? {
        let (day, kind, keeper): (String, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
        // A kind that only a newer program knows has no mark here.
        if let (Ok(day), Ok(kind)) = (day.parse::<Day>(), kind.parse::<Kind>()) {
            mark(day, &keeper, Some((kind, row.get(3)?)));
        }
    }
    let mut sql = db.prepare_cached(
        "SELECT DISTINCT date(d.at + ?3, 'unixepoch'), coalesce(nullif(d.doer, ''), l.target, '')
         FROM deeds d
         LEFT JOIN entries e ON e.record = d.record AND e.kind = 'device' AND e.id = d.device
         LEFT JOIN links l ON l.row = e.row AND l.field = 'keeper'
         WHERE d.record = ?1 AND d.on_day = '' AND d.at >= ?2
         UNION
         SELECT d.on_day, coalesce(nullif(d.doer, ''), l.target, '')
         FROM deeds d
         LEFT JOIN entries e ON e.record = d.record AND e.kind = 'device' AND e.id = d.device
         LEFT JOIN links l ON l.row = e.row AND l.field = 'keeper'
         WHERE d.record = ?1 AND d.on_day <> '' AND d.on_day >= ?4",
    )?;
    let since = oldest.span(east).0;
    let mut rows = sql.query(params![record.as_str(), since, east, oldest.to_string()])?;
    while let Some(row) = rows.next()? {
        // A moment that another program wrote may lie beyond what SQLite calls a day.
        let (day, keeper): (Option<String>, String) = (row.get(0)?, row.get(1)?);
        if let Some(day) = day.and_then(|day| day.parse::<Day>().ok()) {
            mark(day, &keeper, None);
        }
    }
    Ok(days.into_values().collect())
}

/// The oldest of the newest days: each is looked for below the one before, so that the years before them cost nothing.
fn oldest_of(db: &Connection, record: &Id, east: i64, most: usize) -> Result<Option<Day>, StoreError> {
    let mut entered = db.prepare_cached(&format!(
        "SELECT max(e.on_day) FROM entries e WHERE {ENTERED} AND e.on_day < ?2"
    ))?;
    let mut said = db
        .prepare_cached("SELECT max(on_day) FROM deeds WHERE record = ?1 AND on_day <> '' AND on_day < ?2")?;
    let mut done =
        db.prepare_cached("SELECT max(at) FROM deeds WHERE record = ?1 AND on_day = '' AND at < ?2")?;
    let mut oldest: Option<Day> = None;
    for _ in 0..most {
        // No year has five digits.
        let below = oldest.map_or_else(|| "9999-99".to_owned(), |day| day.to_string());
        let until = oldest.map_or(i64::MAX, |day| day.span(east).0);
        let text = |day: Option<String>| day.and_then(|day| day.parse::<Day>().ok());
        let found = [
            text(entered.query_row(params![record.as_str(), below], |row| row.get(0))?),
            text(said.query_row(params![record.as_str(), below], |row| row.get(0))?),
            done.query_row(params![record.as_str(), until], |row| {
                row.get::<_, Option<i64>>(0)
            })?
            .map(|at| Moment::from_seconds(at).day(east)),
        ];
        let Some(day) = found.into_iter().flatten().max() else {
            break;
        };
        // A text among the days that is none would be found again and again.
        if oldest.is_some_and(|before| day >= before) {
            break;
        }
        oldest = Some(day);
    }
    Ok(oldest)
}
