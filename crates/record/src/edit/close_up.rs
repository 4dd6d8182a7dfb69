//! Close-up: an assembly closes only when no check finds anything unfinished inside it, however deep, unless each such thing
//! is waived with a reason.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::checks::{self, Looked};
use crate::closing_check::Check;
use crate::document::{Draft, Record, Stroke};
use crate::edit::fields;
use crate::entities::{Assembly, Waiver, WaiverFields};
use crate::entry::{Entry, STRUCK, Scalar};
use crate::field::{Given, Stored};
use crate::given::GivenFields;
use crate::hash::ChangeId;
use crate::ids::Ids;
use crate::lies::UNSAID;
use crate::name::{Id, Kind, Ref};
use crate::open::{Blocker, blockers};
use crate::refusal::Refusal;
use crate::rules::{self, Point, Rule};
use crate::shown::says_something;
use crate::standing::{some_words, standing};
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
    let entry = standing(view, &Ref::new(Kind::Assembly, assembly.clone()))?;
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
    each_by_itself(&found, waive)?;
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
    written.extend(off_car(entry));
    Ok(Draft {
        message: format!("Closed up '{}'{over}", title(entry)),
        strokes: written,
    })
}

/// Where it is closed: of one that was not on the car nobody has fitted it by closing it.
fn off_car(assembly: &Entry) -> Option<Stroke> {
    let state = assembly.line(Assembly::state).map(AssemblyState::from_word);
    let off = matches!(
        state,
        Some(AssemblyState::Off | AssemblyState::Apart | AssemblyState::Away)
    );
    let said = assembly.value(Assembly::off_car) == Some(&Scalar::Flag(true));
    let value = off.then_some(Scalar::Flag(true));
    (off != said).then(|| {
        let field = Assembly::off_car.to_owned();
        Stroke::Put(Kind::Assembly, assembly.id.clone(), field, Stored::Scalar(value))
    })
}

/// What was closed by a slip of the thumb was never closed: the device that closed it takes that back, and nothing in it is asked anew.
pub(super) fn not_closed(record: &Record, assembly: &Id, state: &AssemblyState) -> Result<Draft, Refusal> {
    let entry = standing(record.view(), &Ref::new(Kind::Assembly, assembly.clone()))?;
    let closed = Scalar::Line(AssemblyState::Closed.word().to_owned());
    let claims = entry.claims(Assembly::state);
    let here = record.device();
    let mine = claims
        .iter()
        .all(|claim| claim.value.as_ref() == Some(&closed) && claim.stamp.device == here);
    if !mine || claims.is_empty() || *state == AssemblyState::Closed {
        return Err(Refusal::NotYours(title(entry)));
    }
    Ok(Draft {
        message: format!("Took back that '{}' was closed up", title(entry)),
        strokes: vec![strokes::state(Kind::Assembly, assembly, state.word())],
    })
}

/// One reason may serve many of a sort, but none of those that want one of their own; and a word is no reason for a danger.
fn each_by_itself(found: &[Blocker], waive: &[Waive]) -> Result<(), Refusal> {
    for one in waive {
        let meant: Vec<&Blocker> = found.iter().filter(|blocker| one.means(blocker)).collect();
        let own = meant.iter().find(|blocker| blocker.alone);
        if let Some(own) = own.filter(|_| meant.len() > 1) {
            return Err(Refusal::ReasonOfItsOwn(own.title.clone()));
        }
        if let Some(danger) = meant.iter().find(|blocker| blocker.danger) {
            some_words(&danger.title, &one.why)?;
        }
    }
    Ok(())
}

/// Asks of a settlement what the close-up asks, where it is to leave an assembly closed: what was waived when it was closed, or is
/// waived by the settlement itself, is answered; the point that it settles asks nothing more.
pub(super) fn left_closed(
    record: &Record,
    points: &[Point],
    settled: &Point,
    strokes: &[Stroke],
) -> Result<(), Refusal> {
    let view = record.view();
    let closed = Stored::Scalar(Some(Scalar::Line(AssemblyState::Closed.word().to_owned())));
    for stroke in strokes {
        let Stroke::Put(Kind::Assembly, id, field, value) = stroke else {
            continue;
        };
        let entry = view.get(Kind::Assembly, id).filter(|entry| entry.stands());
        let Some(entry) = entry.filter(|_| field == Assembly::state && *value == closed) else {
            continue;
        };
        let others: Vec<Point> = points
            .iter()
            .filter(|one| one.id != settled.id)
            .cloned()
            .collect();
        let looked = Looked::at(view);
        let reasons = Reasons::of(record, entry, settled, strokes);
        let left: Vec<Blocker> = blockers(view, &others, id)
            .into_iter()
            // How it stands itself is what is being settled, and with it where its parts are of which nobody said.
            .filter(|blocker| blocker.check != Check::Apart && blocker.state != UNSAID)
            .filter(|blocker| !reasons.answer(record, &looked, blocker))
            .collect();
        if !left.is_empty() {
            return Err(Refusal::StillOpen {
                assembly: title(entry),
                blockers: left,
            });
        }
    }
    Ok(())
}

/// The reasons there are for what an assembly was closed over.
struct Reasons {
    all: Vec<Reason>,
    /// What was settled before of what is settled now.
    family: BTreeSet<ChangeId>,
}

/// One of them: about what, of which check, and which change said so, where that was not this one.
struct Reason {
    about: String,
    check: Option<String>,
    by: Option<ChangeId>,
}

impl Reasons {
    /// Those that were given with one of its closings or after it, and those that are given now.
    fn of(record: &Record, assembly: &Entry, settled: &Point, strokes: &[Stroke]) -> Self {
        let (view, ledger) = (record.view(), record.ledger());
        let claims = assembly.fields.get(Assembly::state).map(|held| held.claims());
        let closed = Scalar::Line(AssemblyState::Closed.word().to_owned());
        let mut closings: BTreeSet<ChangeId> = claims
            .into_iter()
            .flatten()
            .filter(|claim| claim.value.as_ref() == Some(&closed))
            .map(|claim| claim.stamp.change)
            .collect();
        closings.extend(held_to(record, assembly, &closings, &closed));
        // What was settled of the same matter before is no news to whoever settles it now.
        let mut family: BTreeSet<ChangeId> = settled.changes.iter().copied().collect();
        if settled.rule == Rule::SettledTwoWays {
            family.extend(
                rules::matter_of(view, settled)
                    .into_iter()
                    .flat_map(|matter| matter.family()),
            );
        }
        // Whoever let it stand before and is held to now has said why in the same change.
        let since = |waiver: &Entry| {
            let made = &waiver.made.change;
            family.contains(made) || closings.iter().any(|closing| ledger.knew(made, closing))
        };
        // One that was struck out by a settlement stands again with the other.
        let again = |waiver: &Entry| {
            strokes.iter().any(|stroke| {
                matches!(stroke, Stroke::Put(Kind::Waiver, id, field, Stored::Scalar(None))
                    if *id == waiver.id && field == STRUCK)
            })
        };
        let mut all = Vec::new();
        for waiver in view.naming(&assembly.name(), Kind::Waiver) {
            let line = |field: &str| waiver.line(field).map(str::to_owned);
            let stands = again(waiver) || (waiver.stands() && since(waiver));
            if stands && line(Waiver::assembly).as_deref() == Some(assembly.id.as_str()) {
                all.extend(line(Waiver::about).map(|about| Reason {
                    about,
                    check: line(Waiver::check),
                    by: Some(waiver.made.change),
                }));
            }
        }
        let mut now: BTreeMap<&Id, BTreeMap<&str, &str>> = BTreeMap::new();
        for stroke in strokes {
            if let Stroke::Put(Kind::Waiver, id, field, Stored::Scalar(Some(Scalar::Line(line)))) = stroke {
                now.entry(id).or_default().insert(field, line);
            }
        }
        for waiver in now.values() {
            let line = |field: &str| waiver.get(field).map(|line| (*line).to_owned());
            all.extend(line(Waiver::about).map(|about| Reason {
                about,
                check: line(Waiver::check),
                by: None,
            }));
        }
        Self { all, family }
    }

    fn answer(&self, record: &Record, looked: &Looked<'_>, blocker: &Blocker) -> bool {
        let about = blocker.about.to_string();
        let said = check_said(blocker);
        // Nobody has said why of what came to be so apart from what they said.
        let opening = checks::def(blocker.check)
            .filter(|def| blocker.point.is_none() && def.check == Check::Finding)
            .zip(record.view().find(&blocker.about))
            .and_then(|(def, entry)| (def.opening)(looked, entry));
        let had_it = |reason: &Reason| match (&reason.by, &opening) {
            (Some(by), Some(opening)) => opening.but(&self.family).was_before(record.ledger(), by),
            _ => true,
        };
        let means = |reason: &Reason| match &blocker.point {
            Some(_) => reason.check.as_deref() == Some(said.as_str()),
            None => blocker.check.is_meant_by(reason.check.as_deref()),
        };
        let mut all = self.all.iter();
        all.any(|reason| reason.about == about && means(reason) && had_it(reason))
    }
}

/// The closings that settlements among these held to: what was closed over then it is closed over still.
fn held_to(
    record: &Record,
    assembly: &Entry,
    closings: &BTreeSet<ChangeId>,
    closed: &Scalar,
) -> BTreeSet<ChangeId> {
    let settled = |change: &ChangeId| {
        let mut of_it = record.view().naming(&assembly.name(), Kind::Settlement);
        of_it.any(|one| one.made.change == *change)
    };
    let mut found = BTreeSet::new();
    let mut to_see: Vec<ChangeId> = closings.iter().cloned().collect();
    while let Some(change) = to_see.pop() {
        if !settled(&change) {
            continue;
        }
        let before = record.entry_before(Kind::Assembly, &assembly.id, &change);
        let claims = before
            .iter()
            .flat_map(|before| before.claims(Assembly::state))
            .filter(|claim| claim.value.as_ref() == Some(closed));
        for claim in claims {
            if found.insert(claim.stamp.change) {
                to_see.push(claim.stamp.change);
            }
        }
    }
    found
}

/// How a waiver says what it is about: its check, and of a point which.
fn check_said(blocker: &Blocker) -> String {
    match &blocker.point {
        Some(point) => format!("{}:{point}", Check::Point.word()),
        None => blocker.check.word().to_owned(),
    }
}

/// Why it was closed over one thing. What was left in a struck assembly is waived by its name, though nothing else may be said of what
/// is struck out.
fn waiver(assembly: &Id, blocker: &Blocker, why: &str) -> WaiverFields {
    WaiverFields {
        assembly: Given::Put(assembly.clone()),
        about: Given::Put(blocker.about.clone()),
        why: fields::given(why),
        check: if blocker.check.is_said() {
            fields::given(check_said(blocker))
        } else {
            Given::Leave
        },
    }
}
