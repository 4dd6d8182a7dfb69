//! From the document to entries, by hand (a derive over the whole document took nine times as long).
//! It reads and never writes, and passes over what a newer version may have put where it does not belong.

use std::collections::BTreeMap;

use automerge::{Automerge, ChangeHash, ROOT, ReadDoc};

use super::claims::{claims, stamp_of};
use super::ledger::Ledger;
use super::named::object_of;
use super::whose;
use crate::entry::{Claim, Entry, Held, Scalar};
use crate::name::{Id, Kind};
use crate::view::View;

/// Every entry of every kind that this version knows.
pub(super) fn everything(doc: &Automerge, ledger: &Ledger) -> View {
    let mut view = View::default();
    for kind in Kind::ALL {
        let Ok(Some((value, many))) = doc.get(ROOT, kind.root()) else {
            continue;
        };
        if !value.is_object() {
            continue;
        }
        for key in doc.keys(&many) {
            let Ok(id) = key.parse::<Id>() else { continue };
            if let Some(entry) = entry(doc, ledger, *kind, &id) {
                view.put(entry);
            }
        }
    }
    view
}

/// One entry as it reads now; nothing for a sheet on which nothing stands: laid down and never written on, or
/// emptied. A value that stands beside an empty one still stands.
pub(super) fn entry(doc: &Automerge, ledger: &Ledger, kind: Kind, id: &Id) -> Option<Entry> {
    let object = object_of(doc, kind, id)?;
    let made = stamp_of(doc, ledger, &object);
    let mut fields = BTreeMap::new();
    for field in doc.keys(&object) {
        let claims = claims(doc, ledger, &object, &field, None);
        if !claims.is_empty() {
            fields.insert(field, Held::new(claims));
        }
    }
    let empty = |claim: &Claim| {
        claim
            .value
            .as_ref()
            .is_none_or(|value| value == &Scalar::Line(String::new()))
    };
    let blank = |held: &Held| held.claims().iter().all(empty);
    if kind == Kind::Sheet && fields.values().all(blank) {
        return None;
    }
    let mut entry = Entry {
        kind,
        id: id.clone(),
        made,
        fields,
    };
    if kind == Kind::Device {
        whose::as_entered(doc, ledger, &mut entry);
    }
    Some(entry)
}

/// One entry as it read right after these changes; nothing where it was not there yet.
pub(super) fn entry_at(
    doc: &Automerge,
    ledger: &Ledger,
    kind: Kind,
    id: &Id,
    heads: &[ChangeHash],
) -> Option<Entry> {
    let (_, many) = doc.get_at(ROOT, kind.root(), heads).ok()??;
    let (value, object) = doc.get_at(&many, id.as_str(), heads).ok()??;
    if !value.is_object() {
        return None;
    }
    let mut fields = BTreeMap::new();
    for field in doc.keys_at(&object, heads) {
        let claims = claims(doc, ledger, &object, &field, Some(heads));
        if !claims.is_empty() {
            fields.insert(field, Held::new(claims));
        }
    }
    Some(Entry {
        kind,
        id: id.clone(),
        made: stamp_of(doc, ledger, &object),
        fields,
    })
}

/// One field as it read right after these changes.
pub(super) fn field_at(
    doc: &Automerge,
    ledger: &Ledger,
    kind: Kind,
    id: &Id,
    field: &str,
    heads: &[ChangeHash],
) -> Vec<Claim> {
    object_of(doc, kind, id).map_or_else(Vec::new, |object| {
        claims(doc, ledger, &object, field, Some(heads))
    })
}
