//! What edits and settlements write alike: a state, a strike, a move, an entry made. Whoever calls it has looked whether it may be;
//! nothing here is held against the record.

use std::collections::BTreeSet;

use crate::document::Stroke;
use crate::entity::{Entity, Fields as _};
use crate::entry::{Entry, STRUCK, Scalar};
use crate::field::{Field, Line, Misfit, Stored};
use crate::inside::{Contained, Inner, Inside, elsewhere};
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::shown::shown;
use crate::title::title;

/// Puts a state.
pub(crate) fn state(kind: Kind, id: &Id, word: &str) -> Stroke {
    let value = Stored::Scalar(Some(Scalar::Line(word.to_owned())));
    Stroke::Put(kind, id.clone(), "state".to_owned(), value)
}

/// A reason that is given, and that somebody can see.
pub(crate) fn reason(why: &str) -> Result<Stored, Refusal> {
    let why = line("why", why)?;
    if is_nothing(&why) {
        return Err(Refusal::WhyWanted);
    }
    Ok(why)
}

/// A line of one's own, as it is kept.
pub(crate) fn line(field: &str, text: &str) -> Result<Stored, Refusal> {
    Line::store(&text.to_owned()).map_err(|why| misfit(field, why))
}

/// Strikes an entry out, or takes its strike back.
pub(crate) fn strike(name: &Ref, why: Stored) -> Stroke {
    Stroke::Put(name.kind, name.id.clone(), STRUCK.to_owned(), why)
}

/// An entry with its typed fields.
pub(crate) fn make<E: Entity>(id: &Id, fields: &E::Fields) -> Result<Vec<Stroke>, Refusal> {
    let stored = fields.stored().map_err(|(field, why)| misfit(field, why))?;
    for def in E::FIELDS.iter().filter(|def| def.required) {
        let given = stored.iter().find(|(one, _)| one.name == def.name);
        if given.is_none_or(|(_, value)| is_nothing(value)) {
            return Err(Refusal::Missing {
                kind: E::KIND,
                field: def.name,
            });
        }
    }
    let puts = stored
        .into_iter()
        .map(|(def, value)| Stroke::Put(E::KIND, id.clone(), def.name.to_owned(), value));
    Ok(std::iter::once(Stroke::Make(E::KIND, id.clone()))
        .chain(puts)
        .collect())
}

/// Whether nothing was given, or only what nobody could see.
pub(crate) fn is_nothing(value: &Stored) -> bool {
    match value {
        Stored::Scalar(None) => true,
        Stored::Scalar(Some(Scalar::Line(text))) => shown(text).is_empty(),
        _ => false,
    }
}

pub(crate) fn misfit(field: &str, why: Misfit) -> Refusal {
    Refusal::Misfit {
        field: field.to_owned(),
        why,
    }
}

/// These and everything that stands in them, none twice.
pub(crate) fn with_everything<'a>(
    all: &Inside<'a>,
    entries: impl Iterator<Item = &'a Entry>,
) -> Vec<&'a Entry> {
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    for entry in entries {
        let within = all.within(&entry.name());
        let each = std::iter::once(entry).chain(within);
        out.extend(each.filter(|one| seen.insert(one.name())));
    }
    out
}

/// Puts each of these somewhere else.
pub(crate) fn moved(from: &Entry, held: &[Contained<'_>], to: Option<&Ref>) -> Result<Vec<Stroke>, Refusal> {
    let fixed: Vec<&Entry> = held
        .iter()
        .filter(|one| elsewhere(**one, to).is_none())
        .map(|one| one.entry)
        .collect();
    if !fixed.is_empty() {
        let counted = Inner::in_words(&Inner::count(&fixed));
        return Err(Refusal::NowhereToMove(title(from), counted));
    }
    let each = held.iter().filter_map(|one| {
        let value = elsewhere(*one, to)?;
        let (kind, id) = (one.entry.kind, one.entry.id.clone());
        Some(Stroke::Put(kind, id, one.field.to_owned(), value))
    });
    Ok(each.collect())
}
