//! Parts of a sentence about what came: several clauses as one, the words of one change, a line through something. None of it looks
//! at a record.

use record::deed_said::{Clause, reopened, struck};
use record::{ChangeId, Entry, Kind, STRUCK, Scalar};
use store::CameChange;

/// Several clauses as one: `took it off, took it apart and closed it up`.
pub(super) fn in_one(said: &[String]) -> String {
    match said {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// What a keeper said with what they did: the words of that change, and never those that another put in their place.
pub(super) fn said_by<'e>(entry: &'e Entry, field: &str, change: Option<&ChangeId>) -> Option<&'e str> {
    let mut claims = entry.claims(field).iter();
    let said = claims.find(|claim| Some(&claim.stamp.change) == change)?;
    said.value.as_ref().and_then(Scalar::line)
}

/// The strike that a change put or took back, said as it stands now.
pub(super) fn line_through(entry: &Entry, change: &CameChange, made: bool) -> Option<Clause> {
    let said_so = if entry.kind == Kind::Settlement {
        reopened
    } else {
        struck
    };
    // Struck out again since, or taken back by another: that is told where it was done.
    let claims = entry.claims(STRUCK).iter();
    let mut said = claims.filter(|claim| claim.stamp.change == change.stamp.change);
    said.next()
        .and_then(|claim| match claim.value.as_ref().and_then(Scalar::line) {
            Some(why) => Some(said_so(Some(why))),
            None => (!made).then(|| said_so(None)),
        })
}
