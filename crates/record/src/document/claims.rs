//! The values that stand for one field, each with who wrote it: out of the document, as they are now or were.

use automerge::{Automerge, ChangeHash, ObjId, ReadDoc, ScalarValue, Value};

use super::ledger::Ledger;
use super::named::change_id;
use crate::entry::{Claim, Scalar, Stamp};
use crate::hash::ChangeId;
use crate::time::Moment;

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
