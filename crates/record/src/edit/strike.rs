//! Striking out and taking back. What stands inside an assembly or a container is never struck out of sight: whoever strikes
//! it says what becomes of that, in the same change. Nothing here deletes.

use crate::document::{Draft, Stroke};
use crate::edit::fields::word;
use crate::ending::is_danger;
use crate::entry::{Entry, STRUCK};
use crate::field::Stored;
use crate::inside::{Becomes, Contained, Inner, Inside, elsewhere};
use crate::members::{Member, members};
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::rules::{Point, struck_dangers};
use crate::standing::standing;
use crate::strokes;
use crate::title::title;
use crate::tree::Tree;
use crate::view::View;

pub(super) fn strike(
    view: &View,
    name: &Ref,
    why: &str,
    inside: Option<Becomes>,
    into: Option<&Id>,
) -> Result<Draft, Refusal> {
    let entry = standing(view, name)?;
    if matches!(name.kind, Kind::Car | Kind::Sheet | Kind::Device) {
        return Err(Refusal::CannotStrike(name.kind));
    }
    let theirs = |one: &Member| one.stands() && one.keeper.as_ref() == Some(&name.id);
    if name.kind == Kind::Keeper && members(view).iter().any(theirs) {
        return Err(Refusal::HasDevices(title(entry)));
    }
    let why = strokes::reason(why)?;
    let mut message = format!("Struck out {} '{}'", word(name.kind), title(entry));
    let mut written = Vec::new();
    if matches!(name.kind, Kind::Assembly | Kind::Container) {
        let all = Inside::of(view);
        let within = all.within(name);
        let counted = Inner::in_words(&Inner::count(&within));
        match inside {
            _ if within.is_empty() => {}
            None => {
                return Err(Refusal::StandsInside {
                    title: title(entry),
                    inside: Inner::count(&within),
                });
            }
            Some(Becomes::MoveUp) => {
                let standing = all.direct(name).into_iter();
                let standing: Vec<_> = standing
                    .filter(|held| held.goes_with && held.entry.stands())
                    .collect();
                let to = target(view, &all, entry, into)?;
                written.extend(strokes::moved(entry, &standing, to.as_ref())?);
                message.push_str(&format!(
                    "; what stood in it moved {}",
                    where_to(view, to.as_ref())
                ));
            }
            Some(Becomes::StrikeToo) => {
                written.extend(within.iter().map(|one| strokes::strike(&one.name(), why.clone())));
                message.push_str(&format!(" with {counted} in it"));
            }
            Some(Becomes::Leave) => message.push_str(&format!("; {counted} left in it")),
        }
    }
    written.push(strokes::strike(name, why));
    Ok(Draft {
        message,
        strokes: written,
    })
}

/// Refuses strokes that strike out what can hurt somebody and has no end: nobody would be told of it any more.
pub(super) fn no_danger(view: &View, strokes: &[Stroke]) -> Result<(), Refusal> {
    for stroke in strokes {
        let Stroke::Put(Kind::Finding, id, field, Stored::Scalar(Some(_))) = stroke else {
            continue;
        };
        let entry = view.get(Kind::Finding, id).filter(|_| field == STRUCK);
        if let Some(entry) = entry.filter(|entry| is_danger(view, entry)) {
            return Err(Refusal::EndFirst(title(entry)));
        }
    }
    Ok(())
}

/// Refuses a settlement that leaves a danger struck out that its point is about: it was struck by somebody who could not know of it.
pub(super) fn none_stays_struck(view: &View, point: &Point, strokes: &[Stroke]) -> Result<(), Refusal> {
    let stands_again = |entry: &Entry| {
        strokes.iter().any(|stroke| {
            matches!(stroke, Stroke::Put(kind, id, field, Stored::Scalar(None))
                if *kind == entry.kind && *id == entry.id && field == STRUCK)
        })
    };
    let hidden = struck_dangers(view, point).find(|entry| !stands_again(entry));
    match hidden {
        Some(entry) => Err(Refusal::EndFirst(title(entry))),
        None => Ok(()),
    }
}

pub(super) fn clear_struck(
    view: &View,
    name: &Ref,
    inside: Becomes,
    into: Option<&Id>,
    why: Option<&str>,
) -> Result<Draft, Refusal> {
    let entry = view.find(name).ok_or_else(|| Refusal::Unknown(name.clone()))?;
    let Some((reason_then, _)) = entry.struck() else {
        return Err(Refusal::NotStruckOut(title(entry)));
    };
    let all = Inside::of(view);
    let left = all.held_left(entry);
    if left.is_empty() {
        return Err(Refusal::NothingLeft(title(entry)));
    }
    match inside {
        Becomes::MoveUp => {
            let to = target(view, &all, entry, into)?;
            Ok(Draft {
                message: format!(
                    "Moved what was left in '{}' {}",
                    title(entry),
                    where_to(view, to.as_ref())
                ),
                strokes: strokes::moved(entry, &left, to.as_ref())?,
            })
        }
        Becomes::StrikeToo => {
            let why = strokes::reason(why.filter(|why| !why.trim().is_empty()).unwrap_or(reason_then))?;
            Ok(Draft {
                message: format!("Struck out what was left in '{}'", title(entry)),
                strokes: strokes::with_everything(&all, left.iter().map(|held| held.entry))
                    .into_iter()
                    .map(|one| strokes::strike(&one.name(), why.clone()))
                    .collect(),
            })
        }
        Becomes::Leave => Err(Refusal::NoSuchChoice {
            got: inside.word().to_owned(),
            may: [Becomes::MoveUp, Becomes::StrikeToo]
                .iter()
                .map(|one| one.word().to_owned())
                .collect(),
        }),
    }
}

pub(super) fn take_back(view: &View, name: &Ref) -> Result<Draft, Refusal> {
    let entry = view.find(name).ok_or_else(|| Refusal::Unknown(name.clone()))?;
    if entry.stands() {
        return Err(Refusal::NotStruckOut(title(entry)));
    }
    let all = Inside::of(view);
    let with = all.struck_with(entry);
    let mut message = format!(
        "Took back the strike through {} '{}'",
        word(name.kind),
        title(entry)
    );
    if let Some((_, inside)) = with.split_first()
        && !inside.is_empty()
    {
        message.push_str(&format!(" with {} in it", Inner::in_words(&Inner::count(inside))));
    }
    let strokes = with
        .iter()
        .map(|one| strokes::strike(&one.name(), Stored::Scalar(None)))
        .collect();
    Ok(Draft { message, strokes })
}

/// Whether something that stands in it, or was left there, could not move up because nothing lies around it.
#[must_use]
pub fn needs_a_place(all: &Inside<'_>, entry: &Entry) -> bool {
    let fixed = |held: Contained<'_>| elsewhere(held, None).is_none();
    if all.around(entry).is_some() {
        return false;
    }
    if entry.stands() {
        let direct = all.direct(&entry.name()).into_iter();
        return direct
            .filter(|held| held.goes_with && held.entry.stands())
            .any(fixed);
    }
    all.held_left(entry).into_iter().any(fixed)
}

/// Where things move to: what was named, or what lies around it, if anything does.
fn target(view: &View, all: &Inside<'_>, entry: &Entry, into: Option<&Id>) -> Result<Option<Ref>, Refusal> {
    let Some(into) = into else {
        return Ok(all.around(entry));
    };
    let into = Ref::new(entry.kind, into.clone());
    standing(view, &into)?;
    let tree = match entry.kind {
        Kind::Container => Tree::of_containers_struck_too(view),
        _ => Tree::of_assemblies_struck_too(view),
    };
    if tree.upward(&into.id).contains(&entry.id) {
        return Err(Refusal::Circle(title(entry)));
    }
    Ok(Some(into))
}

fn where_to(view: &View, to: Option<&Ref>) -> String {
    match to.and_then(|to| view.find(to)) {
        Some(entry) => format!("to '{}'", title(entry)),
        None => "out of it".to_owned(),
    }
}
