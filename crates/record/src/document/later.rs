//! Kinds that came after the beginning. Their maps are laid by one fixed change a version, which every device makes byte
//! for byte alike, and only when the first entry of such a kind is made: two devices that both make one, far apart,
//! begin the *same* maps. A program that does not know the kinds keeps the change and hands it on.

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, Change, ObjType, ROOT, ReadDoc};

use super::{BadRecord, genesis, refused};
use crate::name::Kind;

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
    let message = format!("Laid down the kinds of version {version}");
    tx.commit_with(CommitOptions::default().with_message(message).with_time(0));
    doc.get_last_local_change()
        .ok_or_else(|| BadRecord::Refused("no kinds were laid".to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_maps_of_a_version_are_the_same_change_on_every_device_and_in_every_release() {
        let first = laying(2).unwrap();
        assert_eq!(first.raw_bytes(), laying(2).unwrap().raw_bytes());
        // Frozen: another hash here would part the kept answers of old and new programs. A kind that comes later has a
        // later version.
        assert_eq!(first.hash().to_string(), FROZEN);
    }

    const FROZEN: &str = "0226b82451d504865b5351fd121b2a8b10137c0b26b5201d7b4433dd1b4fbbde";
}
