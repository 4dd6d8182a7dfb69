//! Remedies that were taken: which job or order stands for which, and the edit that makes one. A remedy is not offered
//! again while what it was made into stands.

use std::collections::BTreeSet;

use super::one::{Makes, Remedy, about, home};
use crate::across;
use crate::edit::Edit;
use crate::entities::{Job, JobFields, Order, OrderFields};
use crate::entry::Entry;
use crate::field::Given;
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::time::Day;
use crate::title::title;
use crate::view::View;

/// What stands for the remedies of a reading.
#[derive(Debug, Default)]
pub struct TakenRemedies<'v> {
    /// For each remedy, in its order, the job or order it was made into.
    pub taken: Vec<Option<&'v Entry>>,
    /// What was made for the reading and is none of what would be proposed now.
    pub others: Vec<&'v Entry>,
}

fn kind_of(makes: Makes) -> Kind {
    match makes {
        Makes::Job => Kind::Job,
        Makes::Order => Kind::Order,
    }
}

/// Which remedies were taken. A job or order belongs to the remedy whose words it has, or else to one that begins with
/// the same word; two amounts of one remedy count as one. What was dropped, called off, sent back or struck out stands
/// for nothing.
#[must_use]
pub fn standing_for<'v>(view: &'v View, reading: &Id, remedies: &[Remedy]) -> TakenRemedies<'v> {
    let mended = Ref::new(Kind::Reading, reading.clone());
    let stands = |entry: &&'v Entry| {
        across::remedy_of(entry) == Some(reading.into())
            && !matches!(across::state(entry), Some("dropped" | "cancelled" | "returned"))
    };
    let all: Vec<&Entry> = [Kind::Job, Kind::Order]
        .into_iter()
        .flat_map(|kind| view.naming(&mended, kind))
        .filter(|entry| entry.stands())
        .filter(stands)
        .collect();
    let fits = |entry: &Entry, remedy: &Remedy| {
        let said = across::what(entry).unwrap_or_default();
        entry.kind == kind_of(remedy.makes)
            && (said == remedy.title || first_word(said) == first_word(&remedy.title))
    };
    let mut used = BTreeSet::new();
    let taken = remedies
        .iter()
        .map(|remedy| {
            let exact = all.iter().find(|entry| {
                entry.kind == kind_of(remedy.makes) && across::what(entry) == Some(remedy.title.as_str())
            });
            let found = exact
                .or_else(|| all.iter().find(|entry| fits(entry, remedy)))
                .copied();
            used.extend(found.map(|entry| entry.name()));
            found
        })
        .collect();
    let others = all
        .into_iter()
        .filter(|entry| !used.contains(&entry.name()))
        .collect();
    TakenRemedies { taken, others }
}

fn first_word(text: &str) -> &str {
    text.split_whitespace().next().unwrap_or_default()
}

/// The edit that takes a remedy: a job in the reading's assembly, or an order for its part. `within` is where the job is done whose
/// reading is on a part in no assembly.
///
/// # Errors
/// [`Refusal::Missing`] for a job where the reading's part is in no assembly yet and `within` names none.
pub fn edit_of(
    view: &View,
    reading: &Entry,
    remedy: &Remedy,
    id: Id,
    on: Option<Day>,
    within: Option<Id>,
) -> Result<Edit, Refusal> {
    let part = about(reading)
        .filter(|name| name.kind == Kind::Part)
        .map(|name| name.id);
    let part = part.map_or(Given::Leave, Given::Put);
    let on = on.map_or(Given::Leave, Given::Put);
    match remedy.makes {
        Makes::Job => {
            let of_the_car = about(reading).is_some_and(|name| name.kind == Kind::Car);
            let assembly = match home(view, reading).or(within) {
                Some(assembly) => Given::Put(assembly),
                None if of_the_car => Given::Leave,
                None => {
                    return Err(Refusal::Missing {
                        kind: Kind::Job,
                        field: Job::assembly,
                    });
                }
            };
            let mut note = vec![format!("{}: {}.", title(reading), remedy.words)];
            note.extend(remedy.cautions.iter().map(|caution| caution.words.to_string()));
            let fields = JobFields {
                what: Given::Put(remedy.title.clone()),
                assembly,
                part,
                note: Given::Put(note.join("\n")),
                on,
                remedy_of: Given::Put(reading.id.clone()),
                ..Default::default()
            };
            Edit::add::<Job>(id, &fields)
        }
        Makes::Order => {
            let fields = OrderFields {
                what: Given::Put(remedy.title.clone()),
                part,
                on,
                remedy_of: Given::Put(reading.id.clone()),
                ..Default::default()
            };
            Edit::add::<Order>(id, &fields)
        }
    }
}
