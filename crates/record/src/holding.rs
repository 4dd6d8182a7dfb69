//! What holds a hold point met: a count, a reading or a photo, and that nothing it rests on was changed since. By what it was met is one
//! scalar, put in the same change as its state and believed only beside it, so that no merge shows one keeper's count beside the other's
//! word. It closes nothing and judges no reading.

use crate::document::{Ledger, Stroke};
use crate::entities::{Assembly, HoldPoint, Reading};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, STRUCK, Scalar, Stamp};
use crate::field::{Misfit, Stored};
use crate::given::GivenFields;
use crate::name::{Id, Kind, Link, Ref};
use crate::opened::{opens, undoes};
pub use crate::own_word::{counted_otherwise, seen_before};
use crate::refusal::Refusal;
use crate::shown::says_something;
pub use crate::spelled::MetBy;
use crate::standing::standing;
use crate::strokes;
use crate::title::title;
use crate::view::View;
use crate::words::{AssemblyState, HoldState, How, Words as _};

impl MetBy {
    /// By what it was met that is shown as met; nothing while it is open, and where only words say so.
    #[must_use]
    pub fn shown(hold: &Entry) -> Option<Self> {
        let met = met(hold)?;
        let by = hold.claims(HoldPoint::met_by).first()?;
        let said = by.value.as_ref().and_then(Scalar::line)?;
        // One that was met before says nothing of how it was met now.
        (by.stamp.change == met.change).then(|| Self::of(said)).flatten()
    }
}

/// That it was counted is put beside its state, which reads open before and after: so whoever met it apart from that is at odds with it.
pub(crate) fn counts_anew(id: &Id, given: &GivenFields) -> Option<Stroke> {
    let open = given.line(HoldPoint::state) == Some(HoldState::Open.word());
    let counted = given.line(HoldPoint::met_by).and_then(MetBy::of);
    (given.kind() == Kind::HoldPoint && open && matches!(counted, Some(MetBy::Counted(_))))
        .then(|| Stroke::Anew(Kind::HoldPoint, id.clone(), HoldPoint::state.to_owned()))
}

/// Who met it, where it is shown as met.
fn met(hold: &Entry) -> Option<&Stamp> {
    let shown = hold.claims(HoldPoint::state).first()?;
    is_met(&shown.value).then_some(&shown.stamp)
}

fn is_met(state: &Option<Scalar>) -> bool {
    state.as_ref().and_then(Scalar::line) == Some(HoldState::Met.word())
}

/// Refuses that a hold point is met by nothing, by a count that is not what is wanted, or by what is not there.
pub(crate) fn can_be_met(view: &View, id: &Id, given: &GivenFields) -> Result<(), Refusal> {
    let entry = view.get(Kind::HoldPoint, id);
    let hold = entry.and_then(HoldPoint::of);
    let how = match given.line(HoldPoint::how) {
        Some(word) => Some(How::from_word(word)),
        None => hold.and_then(|hold| hold.how()),
    };
    let wanted = match given.scalar(HoldPoint::wanted) {
        Some(Some(Scalar::Whole(number))) => Some(*number),
        Some(_) => None,
        None => hold.and_then(|hold| hold.wanted()),
    };
    let by = given.line(HoldPoint::met_by).and_then(MetBy::of);
    let misfit = |field: &str, why: String| {
        Err(Refusal::Misfit {
            field: field.to_owned(),
            why: Misfit::Unclear(why),
        })
    };
    if let Some(name) = by.as_ref().and_then(MetBy::name) {
        standing(view, &name)?;
    }
    match (how, wanted, &by) {
        (Some(How::Counted), Some(wanted), Some(MetBy::Counted(counted))) if *counted != wanted => misfit(
            HoldPoint::met_by,
            format!(
                "{counted} were counted and {wanted} are wanted: it is met when they are the same. Find what is missing or left over, keep it open with what was counted, or change how many are wanted"
            ),
        ),
        (Some(How::Counted), Some(wanted), by) if !matches!(by, Some(MetBy::Counted(_))) => misfit(
            HoldPoint::met_by,
            format!("say how many were counted; {wanted} are wanted"),
        ),
        (_, _, None) if !given.line(HoldPoint::met_how).is_some_and(says_something) => misfit(
            HoldPoint::met_how,
            "say what was seen, counted or measured, or by which reading or photo".to_owned(),
        ),
        _ => Ok(()),
    }
}

/// A hold point that is put in another state says no more by what it was met before.
pub(crate) fn says_no_more(id: &Id, given: &GivenFields) -> Option<Stroke> {
    let put = given.kind() == Kind::HoldPoint && given.scalar(HoldPoint::state).is_some();
    let says = given.scalar(HoldPoint::met_by).is_some();
    (put && !says).then(|| by_nothing(id))
}

pub(crate) fn by_nothing(id: &Id) -> Stroke {
    let field = HoldPoint::met_by.to_owned();
    Stroke::Put(Kind::HoldPoint, id.clone(), field, Stored::Scalar(None))
}

/// The hold points that what is written asks anew, put open by the same change: those of an assembly that is opened, taken off or taken
/// apart again, those that are worded otherwise, and those that were met by what is changed or struck out. So a program of before reads
/// them as open too.
pub(crate) fn asked_anew(view: &View, strokes: &[Stroke]) -> Vec<Stroke> {
    let changed: Vec<(Kind, &Id, &str)> = strokes
        .iter()
        .filter_map(|stroke| changes(view, stroke))
        .collect();
    if changed.is_empty() {
        return Vec::new();
    }
    let says = |id: &Id, wanted: &str| {
        strokes.iter().any(
            |stroke| matches!(stroke, Stroke::Put(Kind::HoldPoint, put, field, _) if put == id && field == wanted),
        )
    };
    let rests = |hold: &Entry| {
        let by = MetBy::shown(hold).and_then(|by| by.name());
        changed.iter().any(|(kind, id, field)| {
            rests_on(hold, by.as_ref())
                .any(|(name, fields)| name.kind == *kind && name.id == **id && fields.contains(field))
        })
    };
    let met = view.standing(Kind::HoldPoint).filter(|hold| met(hold).is_some());
    met.filter(|hold| !says(&hold.id, HoldPoint::state) && rests(hold))
        .flat_map(|hold| {
            let open = strokes::state(Kind::HoldPoint, &hold.id, HoldState::Open.word());
            // What was counted is kept, though it was said with what asks anew.
            let by = (!says(&hold.id, HoldPoint::met_by)).then(|| by_nothing(&hold.id));
            std::iter::once(open).chain(by)
        })
        .collect()
}

/// What of a hold point's ground a stroke changes: it says something else than what is shown.
fn changes<'s>(view: &View, stroke: &'s Stroke) -> Option<(Kind, &'s Id, &'s str)> {
    let Stroke::Put(kind, id, field, Stored::Scalar(value)) = stroke else {
        return None;
    };
    let entry = view.get(*kind, id)?;
    let differs = entry.value(field) != value.as_ref();
    let matters = match (*kind, field.as_str()) {
        (Kind::Assembly, _) => opens(view, stroke),
        // Taken back, it stands as it stood.
        (Kind::Reading | Kind::Photo, STRUCK) => value.is_some(),
        (Kind::HoldPoint, field) => ASKS.contains(&field),
        (Kind::Reading, field) => READS.contains(&field),
        _ => false,
    };
    (differs && matters).then_some((*kind, id, field.as_str()))
}

/// How an assembly stands, and that it was opened, however it stands again.
const STANDS: &[&str] = &[Assembly::state, Assembly::opened];
/// What a hold point asks.
pub(crate) const ASKS: &[&str] = &[
    HoldPoint::what,
    HoldPoint::how,
    HoldPoint::wanted,
    HoldPoint::limit,
    HoldPoint::assembly,
];
/// What a reading says.
pub(crate) const READS: &[&str] = &[
    Reading::what,
    Reading::about,
    Reading::at,
    Reading::value,
    Reading::again,
    Reading::grid,
    STRUCK,
];

/// What a met hold point rests on: entries, and which of their fields.
fn rests_on<'a>(
    hold: &'a Entry,
    by: Option<&'a Ref>,
) -> impl Iterator<Item = (Ref, &'static [&'static str])> {
    let assembly = HoldPoint::of(hold)
        .and_then(|hold| hold.assembly())
        .and_then(Link::id);
    let assembly = assembly.map(|id| (Ref::new(Kind::Assembly, id), STANDS));
    let by = by.map(|name| match name.kind {
        Kind::Reading => (name.clone(), READS),
        _ => (name.clone(), &[STRUCK] as &[_]),
    });
    std::iter::once((hold.name(), ASKS)).chain(assembly).chain(by)
}

/// What somebody changed of what a met hold point rests on, and whoever met it did not have: the entry, and what it says there.
pub(crate) fn met_apart<'v>(
    view: &'v View,
    ledger: &Ledger,
    hold: &'v Entry,
) -> Option<(&'v Stamp, &'v Entry, &'static str, &'v Claim)> {
    let met = met(hold)?;
    let by = MetBy::shown(hold).and_then(|by| by.name());
    for (name, fields) in rests_on(hold, by.as_ref()) {
        let Some(entry) = view.find(&name) else { continue };
        for field in fields {
            let said = entry.claims(field).iter().find(|claim| {
                let matters = match *field {
                    STRUCK => claim.value.is_some(),
                    Assembly::state if name.kind == Kind::Assembly => {
                        undoes(&claim.value) && !was_put_together(entry, claim, met, ledger)
                    }
                    Assembly::opened => claim.value == Some(Scalar::Flag(true)),
                    _ => true,
                };
                matters && claim.stamp.change != met.change && !ledger.knew(&met.change, &claim.stamp.change)
            });
            if let Some(claim) = said {
                return Some((met, entry, field, claim));
            }
        }
    }
    None
}

/// Whether an assembly was put together off the car after a hold point was met while it was in pieces: it is off then, and nobody opened it.
/// Whoever takes off what stands together marks it by the same change as taken apart; so did whoever took this one apart before it was met.
fn was_put_together(assembly: &Entry, state: &Claim, met: &Stamp, ledger: &Ledger) -> bool {
    let off = Some(Scalar::Line(AssemblyState::Off.word().to_owned()));
    let mut marks = assembly.claims(Assembly::taken_apart).iter();
    state.value == off
        && ledger.knew(&state.stamp.change, &met.change)
        && marks.any(|mark| {
            mark.value == Some(Scalar::Flag(true))
                && mark.stamp.change != state.stamp.change
                && ledger.knew(&met.change, &mark.stamp.change)
        })
}

/// What became of what it rests on, in words after 'was met, and'.
pub(crate) fn told(changed: &Entry, field: &str) -> String {
    let what = title(changed);
    match (changed.kind, field) {
        (Kind::HoldPoint, _) => "asked otherwise".to_owned(),
        (Kind::Assembly, Assembly::opened) => format!("'{what}' was opened since"),
        (Kind::Assembly, _) => format!("'{what}' was taken off or apart"),
        (_, STRUCK) => format!("what met it was struck out: '{what}'"),
        _ => format!("what met it was changed: '{what}'"),
    }
}
