//! Day sheets without a first writer. The sheets of one keeper for one month are laid down by a change that every
//! device makes exactly alike, byte for byte, from the keeper and the month alone. So two devices of one keeper
//! that both begin the sheet of one day, far apart, begin the *same* text, and neither hides the other's.
//!
//! A month at a time, because each such change has an actor of its own and actors cost: 24 a year for two keepers.

use automerge::legacy::Key;
use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, Change, ExpandedChange, ObjType, ROOT, ReadDoc};

use super::bad::{BadRecord, refused};
use super::genesis;
use crate::name::{Id, Kind};
use crate::spelled::{sheet_id, sheet_parts};
use crate::time::Day;

/// How many bytes the actor of such a change has: no device's has as many.
pub(super) const ACTOR_BYTES: usize = 12;

/// The change that lays a keeper's sheets of a month.
pub(super) fn laying(day: Day, keeper: &Id) -> Result<Change, BadRecord> {
    let name = format!("witnessmark sheets 1 {} {keeper}", day.month());
    let hash = blake3::hash(name.as_bytes());
    let actor = hash
        .as_bytes()
        .first_chunk::<ACTOR_BYTES>()
        .map_or_else(Vec::new, |bytes| bytes.to_vec());
    let mut doc = genesis::document()?.with_actor(ActorId::from(actor));
    let many = root_of(&doc)?;
    let mut tx = doc.transaction();
    let first = day.date().first_of_month();
    for number in 1..=first.days_in_month() {
        let date = jiff::civil::Date::new(first.year(), first.month(), number).map_err(refused)?;
        let Some(id) = sheet_id(Day::from_date(date), keeper) else {
            continue;
        };
        let sheet = tx.put_object(&many, id.as_str(), ObjType::Map).map_err(refused)?;
        tx.put_object(&sheet, "text", ObjType::Text).map_err(refused)?;
    }
    let message = format!("Laid down the day sheets of {}", day.month());
    tx.commit_with(CommitOptions::default().with_message(message).with_time(0));
    doc.get_last_local_change()
        .ok_or_else(|| BadRecord::Refused("no sheets were laid".to_owned()))
}

/// Whether a change is the one that lays the day sheets that it names first.
pub(super) fn is_laying(change: &Change, open: &ExpandedChange) -> bool {
    // Two operations a day: so nothing is made anew for what is plainly something else.
    if change.seq() != 1 || change.timestamp() != 0 || !(2 * 28..=2 * 31).contains(&change.len()) {
        return false;
    }
    let first = open.operations.first().map(|op| &op.key);
    let Some(Key::Map(key)) = first else { return false };
    let named = key.parse().ok().and_then(|id| sheet_parts(&id));
    named.is_some_and(|(day, keeper)| laying(day, &keeper).is_ok_and(|own| own.hash() == change.hash()))
}

fn root_of(doc: &Automerge) -> Result<automerge::ObjId, BadRecord> {
    let found = doc.get(ROOT, Kind::Sheet.root()).map_err(refused)?;
    found
        .map(|(_, many)| many)
        .ok_or_else(|| BadRecord::Refused("the beginning has no sheets".to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_is_the_same_change_on_every_device_and_in_every_release() {
        let keeper: Id = "0190a6e0-0000-7000-8000-000000000001".parse().unwrap();
        let first = laying("2031-02-03".parse().unwrap(), &keeper).unwrap();
        let again = laying("2031-02-27".parse().unwrap(), &keeper).unwrap();
        assert_eq!(first.raw_bytes(), again.raw_bytes());
        // Frozen when version 1 was released: another hash here would part the sheets of old and new programs.
        assert_eq!(first.hash().to_string(), FROZEN);
        let march = laying("2031-03-01".parse().unwrap(), &keeper).unwrap();
        assert_ne!(first.hash(), march.hash());
    }

    const FROZEN: &str = "326fcd295553ca5f8c42a0554e12a903b8ff173b5124c20dc6bf710e97af4fc3";
}
