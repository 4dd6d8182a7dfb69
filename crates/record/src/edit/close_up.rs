//! Close-up: an assembly closes only when no check finds anything unfinished inside it, however deep, unless each such thing
//! is waived with a reason.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::checks::Check;
use crate::document::{Draft, Record};
use crate::edit::check;
use crate::edit::fields::{self, GivenFields};
use crate::entities::{Assembly, Waiver, WaiverFields};
use crate::entry::Scalar;
use crate::field::Given;
use crate::ids::Ids;
use crate::name::{Id, Kind, Ref};
use crate::open::{Blocker, blockers};
use crate::refusal::Refusal;
use crate::rules;
use crate::shown::says_something;
use crate::strokes;
use crate::title::title;
use crate::words::{AssemblyState, Words as _};

/// One thing that is waived.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Waive {
    /// What stands in the way, as the check of the close-up names it.
    pub about: Ref,
    /// Why the assembly is closed over it all the same.
    pub why: String,
    /// Of which check; left out, of every one that found something about this thing.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub check: Option<Check>,
    /// Which point; left out, every one of this assembly.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub point: Option<String>,
}

impl Waive {
    /// Everything that was found about a thing, for a reason.
    #[must_use]
    pub fn all_of(about: Ref, why: impl Into<String>) -> Self {
        Self {
            about,
            why: why.into(),
            check: None,
            point: None,
        }
    }

    fn means(&self, blocker: &Blocker) -> bool {
        blocker.is(&self.about, self.check, self.point.as_deref())
    }
}

pub(super) fn close_up(
    record: &Record,
    assembly: &Id,
    waive: &[Waive],
    ids: &mut dyn Ids,
) -> Result<Draft, Refusal> {
    let view = record.view();
    let entry = check::standing(view, &Ref::new(Kind::Assembly, assembly.clone()))?;
    let state = entry.fields.get(Assembly::state);
    let closed = AssemblyState::Closed.word();
    if state.is_some_and(|held| held.is_just(Some(&Scalar::Line(closed.to_owned())))) {
        return Err(Refusal::AlreadyClosed(title(entry)));
    }
    let found = blockers(view, &rules::points(view, record.ledger()), assembly);
    if waive.iter().any(|one| !says_something(&one.why)) {
        return Err(Refusal::WhyWanted);
    }
    let waived = |blocker: &&Blocker| waive.iter().any(|one| one.means(blocker));
    let left: Vec<Blocker> = found.iter().filter(|one| !waived(one)).cloned().collect();
    if !left.is_empty() {
        return Err(Refusal::StillOpen {
            assembly: title(entry),
            blockers: left,
        });
    }
    for one in waive {
        // Waiving what does not stand in the way would leave a reason for nothing in the record.
        if !found.iter().any(|blocker| one.means(blocker)) {
            return Err(Refusal::Unknown(one.about.clone()));
        }
    }
    let mut written = Vec::new();
    for blocker in &found {
        // What is said of one check goes before what is said of the whole thing.
        let mut meant: Vec<&Waive> = waive.iter().filter(|one| one.means(blocker)).collect();
        meant.sort_by_key(|one| (one.point.is_none(), one.check.is_none()));
        let Some(one) = meant.first() else { continue };
        written.extend(
            fields::add_unchecked(
                &Id::from_uuid(ids.fresh()),
                &GivenFields::of::<Waiver>(&waiver(assembly, blocker, &one.why))?,
            )
            .strokes,
        );
    }
    let over = match found.len() {
        0 => String::new(),
        many => format!(" over {many} waived"),
    };
    written.push(strokes::state(Kind::Assembly, assembly, closed));
    Ok(Draft {
        message: format!("Closed up '{}'{over}", title(entry)),
        strokes: written,
    })
}

/// Why it was closed over one thing. What was left in a struck assembly is waived by its name, though nothing else may be said of what
/// is struck out.
fn waiver(assembly: &Id, blocker: &Blocker, why: &str) -> WaiverFields {
    let check = match &blocker.point {
        Some(point) => format!("{}:{point}", Check::Point.word()),
        None => blocker.check.word().to_owned(),
    };
    WaiverFields {
        assembly: Given::Put(assembly.clone()),
        about: Given::Put(blocker.about.clone()),
        why: fields::given(why),
        check: if blocker.check.is_said() {
            fields::given(check)
        } else {
            Given::Leave
        },
    }
}
