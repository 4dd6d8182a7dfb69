//! Kinds that came after the beginning. Their maps are laid by one fixed change a version, which every device makes byte
//! for byte alike, and only when the first entry of such a kind is made: two devices that both make one, far apart,
//! begin the *same* maps. A program that does not know the kinds keeps the change and hands it on.

use automerge::legacy::{Key, ObjectId, Op, OpType};
use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, Change, ExpandedChange, ObjType, ROOT, ReadDoc};

use super::bad::{BadRecord, refused};
use super::genesis;
use crate::name::Kind;

/// What the name of whoever lays the kinds of a version begins with.
pub(super) const ACTOR: &[u8] = b"kinds ";
/// The highest version that a newer program may lay the kinds of, the most kinds it may bring, and how long their names may
/// be.
const MOST_VERSION: u32 = 999;
const MOST_KINDS: usize = 64;
const MOST_NAME: usize = 40;

/// Whether the map of a kind is there.
pub(super) fn laid(doc: &Automerge, kind: Kind) -> bool {
    matches!(doc.get(ROOT, kind.root()), Ok(Some((value, _))) if value.is_object())
}

/// The change that lays the maps of the kinds that a version brought.
pub(super) fn laying(version: u32) -> Result<Change, BadRecord> {
    // Another length than that of any device's actor and of the sheets'.
    let actor = ActorId::from(format!("kinds {version}").into_bytes());
    let mut doc = genesis::document()?.with_actor(actor);
    let mut tx = doc.transaction();
    for kind in Kind::ALL.iter().filter(|kind| kind.since() == version) {
        tx.put_object(ROOT, kind.root(), ObjType::Map).map_err(refused)?;
    }
    tx.commit_with(
        CommitOptions::default()
            .with_message(message(version))
            .with_time(0),
    );
    doc.get_last_local_change()
        .ok_or_else(|| BadRecord::Refused("no kinds were laid".to_owned()))
}

fn message(version: u32) -> String {
    format!("Laid down the kinds of version {version}")
}

/// Whether a change whose actor ends with this version is the one that lays its kinds: of a version that is known, the very
/// change; of a later one, maps alone, under names that nothing here has.
pub(super) fn is_laying(version: &[u8], change: &ExpandedChange) -> bool {
    let Some(number) = std::str::from_utf8(version)
        .ok()
        .and_then(|text| text.parse::<u32>().ok())
    else {
        return false;
    };
    if number.to_string().as_bytes() != version || number > MOST_VERSION {
        return false;
    }
    let newest = Kind::ALL.iter().map(|kind| kind.since()).max().unwrap_or(1);
    if number <= newest {
        return number > 1 && laying(number).is_ok_and(|own| Some(own.hash()) == change.hash);
    }
    let Ok(beginning) = genesis::document() else {
        return false;
    };
    let fits = |op: &Op| {
        let Key::Map(name) = &op.key else { return false };
        let free = name != "schema" && !Kind::ALL.iter().any(|kind| kind.root() == name.as_str());
        let plain = name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'_');
        let fits = free && plain && (1..=MOST_NAME).contains(&name.len());
        let makes = op.action == OpType::Make(ObjType::Map) && op.pred.is_empty() && !op.insert;
        fits && makes && op.obj == ObjectId::Root
    };
    let mut names: Vec<&Key> = change.operations.iter().map(|op| &op.key).collect();
    let count = names.len();
    names.sort_by_key(|key| format!("{key:?}"));
    names.dedup();
    (1..=MOST_KINDS).contains(&count)
        && names.len() == count
        && change.operations.iter().all(fits)
        && change.seq == 1
        && change.time == 0
        && change.message.as_deref() == Some(message(number).as_str())
        && change.deps == beginning.get_heads()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_maps_of_a_version_are_the_same_change_on_every_device_and_in_every_release() {
        let newest = Kind::ALL.iter().map(|kind| kind.since()).max().unwrap_or(1);
        let versions: Vec<u32> = (2..=newest).collect();
        assert_eq!(crate::name::LAID.map(|(version, _)| version).as_slice(), versions);
        for (version, hash) in crate::name::LAID {
            let laid = laying(version).unwrap();
            assert_eq!(laid.raw_bytes(), laying(version).unwrap().raw_bytes());
            assert_eq!(laid.hash().to_string(), hash);
        }
    }
}
