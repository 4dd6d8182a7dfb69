//! Close-up: an assembly closes only when nothing inside it, however deep, is still open, unless each open thing
//! is waived with a reason.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::document::Draft;
use crate::edit::check;
use crate::edit::fields::{self, GivenFields};
use crate::entities::{Assembly, Waiver, WaiverFields};
use crate::entry::{Scalar, View};
use crate::field::Given;
use crate::ids::Ids;
use crate::name::{Id, Kind, Ref};
use crate::open::{Blocker, blockers};
use crate::refusal::Refusal;
use crate::strokes;
use crate::title::title;
use crate::words::{AssemblyState, Words as _};

/// One open thing that is waived.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Waive {
    /// The job, hold point or inner assembly.
    pub about: Ref,
    /// Why the assembly is closed over it all the same.
    pub why: String,
}

pub(super) fn close_up(
    view: &View,
    assembly: &Id,
    waive: &[Waive],
    ids: &mut dyn Ids,
) -> Result<Draft, Refusal> {
    let entry = check::standing(view, &Ref::new(Kind::Assembly, assembly.clone()))?;
    let state = entry.fields.get(Assembly::state);
    let closed = AssemblyState::Closed.word();
    if state.is_some_and(|held| held.is_just(Some(&Scalar::Line(closed.to_owned())))) {
        return Err(Refusal::AlreadyClosed(title(entry)));
    }
    let found = blockers(view, assembly);
    let left: Vec<Blocker> = found
        .iter()
        .filter(|blocker| !waive.iter().any(|w| w.about == blocker.about))
        .cloned()
        .collect();
    if !left.is_empty() {
        return Err(Refusal::StillOpen {
            assembly: title(entry),
            blockers: left,
        });
    }
    let mut written = Vec::new();
    for one in waive {
        if one.why.trim().is_empty() {
            return Err(Refusal::WhyWanted);
        }
        // Waiving what does not stand in the way would leave a reason for nothing in the record.
        if !found.iter().any(|blocker| blocker.about == one.about) {
            return Err(Refusal::Unknown(one.about.clone()));
        }
        let struck = view.find(&one.about).is_some_and(|about| !about.stands());
        let given = WaiverFields {
            assembly: Given::Put(assembly.clone()),
            about: Given::Put(one.about.clone()),
            why: fields::given(one.why.clone()),
        };
        let id = Id::from_uuid(ids.fresh());
        let given = GivenFields::of::<Waiver>(&given)?;
        // What was left in a struck assembly is waived by its name, though nothing else may be said of what is struck out.
        let added = if struck {
            fields::add_unchecked(&id, &given)
        } else {
            fields::add(view, &id, &given)?
        };
        written.extend(added.strokes);
    }
    written.push(strokes::state(Kind::Assembly, assembly, closed));
    let over = if waive.is_empty() {
        String::new()
    } else {
        format!(" over {} waived", waive.len())
    };
    Ok(Draft {
        message: format!("Closed up '{}'{over}", title(entry)),
        strokes: written,
    })
}
