//! Layings that a log lacks, made anew. A program before this one could log a change that stands on a laying which was
//! never logged, and the record did not open any more. A laying is the same on every device, byte for byte, so it can
//! be made again from a keeper and a month; nothing that a person wrote ever can, and nothing else is made here.

use std::collections::BTreeSet;

use automerge::{Automerge, Change, ROOT, ReadDoc};

use super::bad::{BadRecord, refused};
use super::guard::Chunk;
use super::named::change_id;
use super::{later, month};
use crate::hash::ChangeId;
use crate::name::{Id, Kind};
use crate::time::{Day, Moment};

/// How many months before and after the changes that lack a laying are tried: a sheet is hardly ever of another time of life.
const MONTHS: i32 = 240;

/// The layings among the changes that these stand on and a document lacks.
pub(super) fn layings(doc: &Automerge, lacking: &[Chunk]) -> Result<Vec<Change>, BadRecord> {
    let own: BTreeSet<&ChangeId> = lacking.iter().map(|chunk| &chunk.id).collect();
    let mut missing: BTreeSet<ChangeId> = BTreeSet::new();
    for dep in lacking.iter().flat_map(|chunk| &chunk.deps) {
        let here = doc.get_change_by_hash(&super::named::change_hash(dep)).is_some();
        if !here && !own.contains(dep) {
            missing.insert(*dep);
        }
    }
    let mut found = Vec::new();
    let mut try_one = |change: Change, missing: &mut BTreeSet<ChangeId>| {
        if missing.remove(&change_id(&change.hash())) {
            found.push(change);
        }
    };
    let versions: BTreeSet<u32> = Kind::ALL.iter().map(|kind| kind.since()).collect();
    for version in versions.into_iter().filter(|version| *version > 1) {
        try_one(later::laying(version)?, &mut missing);
    }
    let near = lacking.first().map(|chunk| at(&chunk.bytes)).transpose()?;
    let (near, keepers) = (day_of(near), keepers(doc));
    for step in 0..=MONTHS {
        for months in BTreeSet::from([-step, step]) {
            let Ok(date) = near.date().checked_add(jiff::Span::new().months(months)) else {
                continue;
            };
            for keeper in &keepers {
                if missing.is_empty() {
                    return Ok(found);
                }
                try_one(month::laying(Day::from_date(date), keeper)?, &mut missing);
            }
        }
    }
    Ok(found)
}

fn at(bytes: &[u8]) -> Result<Moment, BadRecord> {
    let change = Change::from_bytes(bytes.to_vec()).map_err(refused)?;
    Ok(Moment::from_seconds(change.timestamp()))
}

/// The day of a moment; the first of an ordinary year where a clock was beyond all days.
fn day_of(near: Option<Moment>) -> Day {
    let stamp = near.and_then(|near| jiff::Timestamp::from_second(near.seconds()).ok());
    let date = stamp.map(|stamp| jiff::tz::TimeZone::UTC.to_datetime(stamp).date());
    Day::from_date(date.unwrap_or(jiff::civil::date(2030, 1, 1)))
}

fn keepers(doc: &Automerge) -> Vec<Id> {
    let Ok(Some((_, many))) = doc.get(ROOT, Kind::Keeper.root()) else {
        return Vec::new();
    };
    doc.keys(&many).filter_map(|key| key.parse().ok()).collect()
}
