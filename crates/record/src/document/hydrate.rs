//! From the document to entries, by hand (a derive over the whole document took nine times as long).
//! It reads and never writes, and passes over what a newer version may have put where it does not belong.

use std::collections::BTreeMap;

use automerge::{Automerge, ChangeHash, ObjId, ROOT, ReadDoc, ScalarValue, Value};

use super::{Ledger, change_id, object_of, whose};
use crate::entry::{Claim, Entry, Held, Scalar, Stamp};
use crate::hash::ChangeId;
use crate::name::{Id, Kind};
use crate::time::Moment;
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

pub(super) fn claims(
    doc: &Automerge,
    ledger: &Ledger,
    object: &ObjId,
    field: &str,
    heads: Option<&[ChangeHash]>,
) -> Vec<Claim> {
    let found = match heads {
        Some(heads) => doc.get_all_at(object, field, heads),
        None => doc.get_all(object, field),
    };
    let mut claims: Vec<Claim> = Vec::new();
    // Automerge lists the winner last; it is shown first here.
    for (value, op) in found.unwrap_or_default().into_iter().rev() {
        let value = match value {
            Value::Scalar(scalar) => plain(&scalar),
            Value::Object(automerge::ObjType::Text) => {
                let text = heads.map_or_else(|| doc.text(&op), |heads| doc.text_at(&op, heads));
                text.ok().map(Scalar::Line)
            }
            // A newer version's structure: kept in the document, not shown.
            Value::Object(_) => continue,
        };
        claims.push(Claim {
            value,
            stamp: stamp_of(doc, ledger, &op),
        });
    }
    claims
}

/// A scalar as it is read; nothing for one that was emptied.
pub(super) fn plain(scalar: &ScalarValue) -> Option<Scalar> {
    Some(match scalar {
        ScalarValue::Null => return None,
        ScalarValue::Boolean(flag) => Scalar::Flag(*flag),
        ScalarValue::Str(text) => Scalar::Line(text.to_string()),
        ScalarValue::Int(number) => whole(*number),
        ScalarValue::Uint(number) => whole(i64::try_from(*number).unwrap_or(i64::MAX)),
        // JavaScript writes whole numbers as floats now and then.
        ScalarValue::F64(number) if number.fract() == 0.0 && number.abs() < 2_147_483_647.0 => {
            format!("{number:.0}")
                .parse()
                .map_or_else(|_| Scalar::Line(number.to_string()), Scalar::Whole)
        }
        other => Scalar::Line(other.to_string()),
    })
}

fn whole(number: i64) -> Scalar {
    i32::try_from(number).map_or_else(|_| Scalar::Line(number.to_string()), Scalar::Whole)
}

pub(super) fn stamp_of(doc: &Automerge, ledger: &Ledger, op: &ObjId) -> Stamp {
    match doc.hash_for_opid(op) {
        Some(hash) => ledger.stamp(change_id(&hash)),
        None => Stamp {
            device: None,
            at: Moment::from_seconds(0),
            change: ChangeId::from_bytes([0; 32]),
        },
    }
}
