//! Adding and changing: the edits that are the same for every kind.

use crate::document::{Draft, Record, Stroke};
use crate::edit::check;
use crate::ending::{End, can_hurt, ended, said_to_hurt};
use crate::entities::fields_of;
use crate::entities::{Container, Finding, Job, Part, Photo, Tightened, TighteningRun};
use crate::entity::Entity;
use crate::entry::{Entry, Scalar};
use crate::field::{Given, Stored};
use crate::given::GivenFields;
use crate::holding;
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::standing::standing;
use crate::strokes::is_nothing;
use crate::title::{shortened, title};
use crate::view::View;
use crate::words::{HowBad, HowSure, Words as _};

/// The word a message names a kind by.
pub(super) fn word(kind: Kind) -> String {
    kind.word().replace('_', " ")
}

pub(super) fn add(view: &View, id: &Id, given: &GivenFields) -> Result<Draft, Refusal> {
    check::fields(view, id, given)?;
    for def in fields_of(given.kind()).iter().filter(|def| def.required) {
        if !given
            .each()
            .any(|(field, value)| field.name == def.name && !is_nothing(value))
        {
            return Err(Refusal::Missing {
                kind: given.kind(),
                field: def.name,
            });
        }
    }
    let mut draft = add_unchecked(id, given);
    draft.strokes.extend(held_for(view, id, given));
    Ok(draft)
}

/// What the run's torque held for when a bolt was tightened, so that it is told when the run says otherwise later.
fn held_for(view: &View, id: &Id, given: &GivenFields) -> Option<Stroke> {
    if given.kind() != Kind::Tightened || given.scalar(Tightened::held_for).is_some() {
        return None;
    }
    let run = given.line(Tightened::run)?.parse().ok()?;
    let run = view.get(Kind::TighteningRun, &run)?;
    let conditions = run.value(TighteningRun::conditions)?.clone();
    let field = Tightened::held_for.to_owned();
    Some(Stroke::Put(
        Kind::Tightened,
        id.clone(),
        field,
        Stored::Scalar(Some(conditions)),
    ))
}

/// An addition whose fields were held against the record already.
pub(super) fn add_unchecked(id: &Id, given: &GivenFields) -> Draft {
    let mut strokes = Vec::new();
    if given.kind() != Kind::Car {
        strokes.push(Stroke::Make(given.kind(), id.clone()));
    }
    strokes.extend(puts(id, given));
    // Every job, hold point, order and assembly has a state from the first: what was never put cannot conflict.
    let starts = match given.kind() {
        Kind::Job | Kind::HoldPoint => Some("open"),
        Kind::Assembly => Some("fitted"),
        Kind::Order => Some("to_find"),
        _ => None,
    };
    if let Some(word) = starts.filter(|_| given.line(Job::state).is_none()) {
        let value = Stored::Scalar(Some(Scalar::Line(word.to_owned())));
        strokes.push(Stroke::Put(
            given.kind(),
            id.clone(),
            Job::state.to_owned(),
            value,
        ));
    }
    let named = [Part::name, Container::code, Job::what, Photo::caption]
        .iter()
        .find_map(|field| given.line(field));
    let named = named.map_or_else(String::new, |text| format!(" '{}'", shortened(text)));
    Draft {
        message: format!("Added {}{named}", word(given.kind())),
        strokes,
    }
}

pub(super) fn change(view: &View, id: &Id, given: &GivenFields) -> Result<Draft, Refusal> {
    let entry = standing(view, &Ref::new(given.kind(), id.clone()))?;
    check::fields(view, id, given)?;
    for (def, value) in given.each() {
        if def.required && is_nothing(value) {
            return Err(Refusal::Missing {
                kind: given.kind(),
                field: def.name,
            });
        }
    }
    not_belittled(view, entry, given)?;
    if let Some(message) = ending(view, entry, given) {
        let mut strokes = puts(id, given);
        strokes.extend(looked_at_again(entry, given));
        return Ok(Draft { message, strokes });
    }
    let names: Vec<String> = given.each().map(|(def, _)| def.name.replace('_', " ")).collect();
    let mut message = format!(
        "Changed {} of {} '{}'",
        names.join(", "),
        word(given.kind()),
        title(entry)
    );
    let mut strokes: Vec<Stroke> = holding::counts_anew(id, given).into_iter().collect();
    strokes.extend(puts(id, given));
    strokes.extend(holding::says_no_more(id, given));
    strokes.extend(looked_at_again(entry, given));
    if outgrows_its_end(view, entry, given) {
        message.push_str(", which has no end any more");
        strokes.push(Stroke::Put(
            given.kind(),
            id.clone(),
            Finding::ended.to_owned(),
            Stored::Scalar(None),
        ));
    }
    Ok(Draft { message, strokes })
}

/// Whether a finding that was ended is found to be worse than it was then, a danger to be something else, or what was ruled out to be so
/// all the same: what was done about it was done about that.
fn outgrows_its_end(view: &View, entry: &Entry, given: &GivenFields) -> bool {
    if given.kind() != Kind::Finding || given.each().any(|(def, _)| def.name == Finding::ended) {
        return false;
    }
    let rank = |word: &str| HowBad::ALL.iter().position(|one| *one == word);
    let now = given.line(Finding::how_bad).and_then(rank);
    let worse = now >= rank(HowBad::Mend.word()) && now > entry.line(Finding::how_bad).and_then(rank);
    let reworded = given
        .line(Finding::what)
        .is_some_and(|what| entry.line(Finding::what) != Some(what));
    let confirmed = given.line(Finding::how_sure) == Some(HowSure::Confirmed.word());
    let end = entry.line(Finding::ended).map(End::of);
    if confirmed && matches!(end, Some(End::NotSo(_))) {
        return true;
    }
    let is_ended = Finding::of(entry).is_some_and(|finding| ended(view, finding));
    is_ended && (worse || (reworded && said_to_hurt(entry)))
}

/// Refuses that a danger is said to be less as long as it has no end: that, too, takes it out of sight, and says nothing of why.
fn not_belittled(view: &View, entry: &Entry, given: &GivenFields) -> Result<(), Refusal> {
    let weighs = given.each().any(|(def, _)| def.name == Finding::how_bad);
    let ends = given.line(Finding::ended).is_some();
    let danger = given.line(Finding::how_bad) == Some(HowBad::Danger.word());
    if given.kind() == Kind::Finding && weighs && !danger && !ends && can_hurt(view, entry) {
        return Err(Refusal::EndFirst(title(entry)));
    }
    Ok(())
}

/// The ends that do not reach what a settlement says a finding is: whoever ended it did not know of that.
pub(super) fn ends_outgrown(record: &Record, strokes: &[Stroke]) -> Vec<Stroke> {
    let (view, ledger) = (record.view(), record.ledger());
    let each = strokes.iter().filter_map(|stroke| {
        let Stroke::Put(Kind::Finding, id, field, Stored::Scalar(Some(Scalar::Line(word)))) = stroke else {
            return None;
        };
        let weighs = [HowBad::Mend, HowBad::Danger]
            .iter()
            .any(|one| one.word() == word);
        let entry = view
            .get(Kind::Finding, id)
            .filter(|_| field == Finding::how_bad && weighs)?;
        let said: Vec<_> = entry
            .claims(Finding::how_bad)
            .iter()
            .filter(|claim| claim.value.as_ref().and_then(Scalar::line) == Some(word))
            .collect();
        let outgrown = entry.claims(Finding::ended).iter().any(|end| {
            end.value.is_some()
                && said
                    .iter()
                    .any(|claim| !ledger.knew(&end.stamp.change, &claim.stamp.change))
        });
        let none = Stored::Scalar(None);
        outgrown.then(|| Stroke::Put(Kind::Finding, id.clone(), Finding::ended.to_owned(), none))
    });
    each.collect()
}

/// What is said of a finding that is ended or opened again, and of nothing else.
fn ending(view: &View, entry: &Entry, given: &GivenFields) -> Option<String> {
    let (first, rest) = given.all().split_first()?;
    if given.kind() != Kind::Finding || first.0 != Finding::ended || !rest.is_empty() {
        return None;
    }
    let Some(kept) = given.line(Finding::ended) else {
        return Some(format!("Opened finding '{}' again", title(entry)));
    };
    let told = End::of(kept).told(|job| view.get(Kind::Job, job).map_or_else(String::new, title));
    Some(format!("Ended finding '{}': {told}", title(entry)))
}

/// What was ruled out was only suspected: said anew by the same change, so that whoever confirms it apart from that is at odds with it.
fn looked_at_again(entry: &Entry, given: &GivenFields) -> Vec<Stroke> {
    let ruled_out = matches!(given.line(Finding::ended).map(End::of), Some(End::NotSo(_)));
    if !ruled_out || entry.line(Finding::how_sure).is_none() {
        return Vec::new();
    }
    let field = || Finding::how_sure.to_owned();
    let suspected = Scalar::Line(HowSure::Suspected.word().to_owned());
    vec![
        Stroke::Anew(Kind::Finding, entry.id.clone(), field()),
        Stroke::Put(
            Kind::Finding,
            entry.id.clone(),
            field(),
            Stored::Scalar(Some(suspected)),
        ),
    ]
}

fn puts(id: &Id, given: &GivenFields) -> Vec<Stroke> {
    let each = given.each();
    each.map(|(def, value)| Stroke::Put(given.kind(), id.clone(), def.name.to_owned(), value.clone()))
        .collect()
}

/// A line that is given.
pub(super) fn given(text: impl Into<String>) -> Given<String> {
    Given::Put(text.into())
}
