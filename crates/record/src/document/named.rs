//! Automerge's names of changes and objects, and ours.

use automerge::{Automerge, ChangeHash, ReadDoc};

use crate::hash::ChangeId;
use crate::name::{Id, Kind};

pub(super) fn change_id(hash: &ChangeHash) -> ChangeId {
    ChangeId::from_bytes(hash.0)
}

pub(super) fn change_hash(id: &ChangeId) -> ChangeHash {
    ChangeHash(*id.bytes())
}

/// The obj id of an entity's map.
pub(super) fn object_of(doc: &Automerge, kind: Kind, id: &Id) -> Option<automerge::ObjId> {
    let (_, many) = doc.get(automerge::ROOT, kind.root()).ok()??;
    let (value, object) = doc.get(&many, id.as_str()).ok()??;
    value.is_object().then_some(object)
}
