//! What comes of opening an assembly: that it was opened is put beside its state, so that it is still known when it stands together again,
//! and where it is taken off or apart, what was tightened in it holds no more. Each is put by the same change. Of what was done apart from the opening it says
//! nothing: that is for the rules, which ask. An older program carries the mark on and does not put it.

use crate::document::{Ledger, Stroke};
use crate::entities::{Assembly, Tightened, TighteningRun};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, Scalar};
use crate::field::Stored;
use crate::name::{Id, Kind, Link, Ref};
use crate::refusal::Refusal;
use crate::strokes;
use crate::title::title;
use crate::view::View;
use crate::words::{AssemblyState, Words as _};

/// Whether a stroke opens an assembly: a closed one stands otherwise, or one is taken off or apart. What was in pieces and is off the car
/// now was put together, and not opened.
pub(crate) fn opens(view: &View, stroke: &Stroke) -> bool {
    let Stroke::Put(Kind::Assembly, id, field, Stored::Scalar(value)) = stroke else {
        return false;
    };
    let Some(entry) = view.get(Kind::Assembly, id).filter(|_| field == Assembly::state) else {
        return false;
    };
    let was = entry.line(field).map(AssemblyState::from_word);
    // Where two say otherwise, it may have been in one piece as well.
    let in_pieces =
        entry.fields.get(field).is_some_and(|held| !held.contradicts()) && was == Some(AssemblyState::Apart);
    let comes_off = undoes(value) && !in_pieces;
    entry.value(field) != value.as_ref() && (was == Some(AssemblyState::Closed) || comes_off)
}

/// Whether a state of an assembly undoes what was looked at in it.
pub(crate) fn undoes(state: &Option<Scalar>) -> bool {
    let state = state
        .as_ref()
        .and_then(Scalar::line)
        .map(AssemblyState::from_word);
    matches!(state, Some(AssemblyState::Apart | AssemblyState::Off))
}

/// When an assembly was last taken off or apart, by each who did not know of the other; one that was put back to nothing was none.
fn taken_apart(assembly: &Entry) -> impl Iterator<Item = &Claim> {
    let claims = assembly.claims(Assembly::taken_apart).iter();
    claims.filter(|claim| claim.value == Some(Scalar::Flag(true)))
}

/// What is put with these strokes, where they open assemblies.
pub(crate) fn put_with(view: &View, strokes: &[Stroke]) -> Result<Vec<Stroke>, Refusal> {
    // What is given with it stands as it is given.
    let puts = |id: &Id, of: &str| {
        strokes.iter().any(
            |stroke| matches!(stroke, Stroke::Put(Kind::Assembly, put, field, _) if put == id && field == of),
        )
    };
    let mut out = Vec::new();
    for stroke in strokes.iter().filter(|stroke| opens(view, stroke)) {
        let Stroke::Put(_, id, _, value) = stroke else {
            continue;
        };
        let Some(assembly) = view.get(Kind::Assembly, id) else {
            continue;
        };
        // Emptied first: what stands there already would not be put again, and this opening would be taken for the one before.
        let mark = |field: &str| -> Vec<Stroke> {
            let values = [None, Some(Scalar::Flag(true))].into_iter();
            let put = |value| {
                Stroke::Put(
                    Kind::Assembly,
                    id.clone(),
                    field.to_owned(),
                    Stored::Scalar(value),
                )
            };
            values.filter(|_| !puts(id, field)).map(put).collect()
        };
        out.extend(mark(Assembly::opened));
        // Where it is, its state says from now on.
        if assembly.value(Assembly::off_car).is_some() && !puts(id, Assembly::off_car) {
            let field = Assembly::off_car.to_owned();
            out.push(Stroke::Put(
                Kind::Assembly,
                id.clone(),
                field,
                Stored::Scalar(None),
            ));
        }
        // Opened on the car, its bolts are where they were.
        if matches!(value, Stored::Scalar(state) if undoes(state)) {
            out.extend(mark(Assembly::taken_apart));
            // It came off again, as it was to.
            if assembly.value(Assembly::for_trial).is_some() && !puts(id, Assembly::for_trial) {
                let field = Assembly::for_trial.to_owned();
                out.push(Stroke::Put(
                    Kind::Assembly,
                    id.clone(),
                    field,
                    Stored::Scalar(None),
                ));
            }
            let runs = view.naming(&Ref::new(Kind::Assembly, id.clone()), Kind::TighteningRun);
            for run in runs.filter(|run| run.stands() && is_of(run, id)) {
                out.extend(loosened(assembly, turns(view, &run.id))?);
            }
        }
    }
    Ok(out)
}

/// Whether a run is of an assembly.
pub(crate) fn is_of(run: &Entry, assembly: &Id) -> bool {
    TighteningRun::of(run)
        .and_then(|run| run.assembly())
        .and_then(Link::id)
        .as_ref()
        == Some(assembly)
}

/// The turns of a run that stand.
pub(crate) fn turns<'v>(view: &'v View, run: &'v Id) -> impl Iterator<Item = &'v Entry> {
    let turns = view.naming(&Ref::new(Kind::TighteningRun, run.clone()), Kind::Tightened);
    turns.filter(|turn| turn.stands() && turn.line(Tightened::run) == Some(run.as_str()))
}

/// Turns that hold nothing any more since an assembly was taken off or apart: struck out, so that a program of before reads the run open too.
pub(crate) fn loosened<'v>(
    assembly: &Entry,
    turns: impl Iterator<Item = &'v Entry>,
) -> Result<Vec<Stroke>, Refusal> {
    let why = strokes::reason(&format!("'{}' was taken off or apart since", title(assembly)))?;
    let each = turns.flat_map(|turn| {
        let loosened = Stored::Scalar(Some(Scalar::Flag(true)));
        let field = Tightened::loosened.to_owned();
        [
            strokes::strike(&turn.name(), why.clone()),
            Stroke::Put(Kind::Tightened, turn.id.clone(), field, loosened),
        ]
    });
    Ok(each.collect())
}

/// The turns of a run that somebody made who could not know that its assembly was taken off or apart, and of which whoever did that could
/// not know; with that.
pub(crate) fn tightened_apart<'v>(
    view: &'v View,
    ledger: &Ledger,
    run: &'v Entry,
) -> Option<(&'v Entry, &'v Claim, Vec<&'v Entry>)> {
    let assembly = TighteningRun::of(run)?.assembly()?.id()?;
    let assembly = view.find(&Ref::new(Kind::Assembly, assembly))?;
    taken_apart(assembly).find_map(|taken| {
        let around = ledger.around(&taken.stamp.change);
        let apart = |turn: &&Entry| around.apart(&turn.made.change);
        let turns: Vec<&Entry> = turns(view, &run.id).filter(apart).collect();
        (!turns.is_empty()).then_some((assembly, taken, turns))
    })
}
