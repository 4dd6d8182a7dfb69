//! One entry as its page shows it, made out of the table of fields: nothing in here knows a kind but for where a part lies and what a
//! finding of danger asks to be minded. It reads what the entry names, each by its id, and opens no document.

use std::collections::BTreeSet;

use record::entities::fields_of;
use record::entities::{Part, PartRef};
use record::field::Shape;
use record::inside::holders;
use record::lies::whereabouts;
use record::words::Decision;
use record::{Claim, Entity as _, Entry, Held, Id, Kind, Ref, STRUCK, Scalar, Stamp, View, said, title};

use super::lines::Reader;
use crate::wire::{
    ClaimSaid, EntryPage, FieldSaid, FieldThen, LiesSaid, Named, PutBack, ValueSaid, WrittenBy,
};

/// The page of an entry; nothing if there is none of that id.
pub(crate) fn entry(read: &Reader<'_>, kind: Kind, id: &Id) -> Option<EntryPage> {
    let entry = read.view.get(kind, id)?;
    let table = fields_of(kind).iter().map(|def| def.name);
    // What stands in no table is of a newer version.
    let named: BTreeSet<&str> = entry.fields.keys().map(|name| said::halves(name).0).collect();
    let newer = named
        .iter()
        .copied()
        .filter(|name| *name != STRUCK && said::def_of(kind, name).is_none());
    let form = said::form_of(entry).filter(|(field, _)| *field != STRUCK);
    Some(EntryPage {
        title: title::whole(entry),
        said: table
            .chain(newer)
            .filter_map(|field| field_said(read, entry, field))
            .collect(),
        form: form
            .map(|(field, value)| (field.to_owned(), value.map(Into::into)))
            .collect(),
        made_by: written_by(read, &entry.made),
        struck: read.struck(entry),
        lies: Part::of(entry).map(|part| lies(read, part)),
        cautions: read.cautions(entry),
        dangers: Part::of(entry).map_or_else(Vec::new, |part| dangers(read, part)),
        entry: entry.clone(),
    })
}

/// What of a part can hurt: whoever looks where it lies is about to put it in.
fn dangers(read: &Reader<'_>, part: PartRef<'_>) -> Vec<Named> {
    let found = read.view.naming(&part.entry().name(), Kind::Finding);
    let on_it = |finding: &&Entry| {
        record::across::about(finding).is_some_and(|about| about.is(&part.entry().name()))
            && record::ending::can_hurt(read.view, finding)
    };
    found
        .filter(on_it)
        .map(|finding| read.named(&finding.name()))
        .collect()
}

fn lies(read: &Reader<'_>, part: PartRef<'_>) -> LiesSaid {
    let found = whereabouts(read.view, part);
    LiesSaid {
        words: found.said,
        to_seek: found.to_seek,
        asks_old_one: part.stands() && part.decision() == Some(Decision::Replace) && part.old_one().is_none(),
    }
}

/// Who wrote something, in words.
fn written_by(read: &Reader<'_>, stamp: &Stamp) -> WrittenBy {
    let by = read.by(stamp);
    let names = [by.name.as_str(), by.device.as_str()];
    let said: Vec<&str> = names.into_iter().filter(|name| !name.is_empty()).collect();
    WrittenBy {
        who: match (said.as_slice(), &stamp.device) {
            ([], None) => "the program".to_owned(),
            ([], Some(_)) => "a device that the record does not name".to_owned(),
            (said, _) => said.join(", "),
        },
        by,
    }
}

/// What something is called that an entry names; where it is not here, by its kind.
fn called(read: &Reader<'_>, name: &Ref) -> String {
    match read.view.find(name) {
        Some(_) => read.named(name).title,
        None => name.kind.said().to_owned(),
    }
}

/// A field in words; nothing for one of which nothing is said.
fn field_said(read: &Reader<'_>, entry: &Entry, field: &str) -> Option<FieldSaid> {
    let of_it = |name: &str| said::halves(name).0 == field;
    let held: Vec<(&str, &Held)> = entry
        .fields
        .iter()
        .filter(|(name, _)| of_it(name))
        .map(|(name, held)| (name.as_str(), held))
        .collect();
    let differs = held.iter().any(|(_, held)| held.contradicts());
    let values: Vec<ValueSaid> = held
        .iter()
        .filter_map(|(name, held)| value_said(read, entry.kind, name, held.value()))
        .collect();
    if values.is_empty() && !differs {
        return None;
    }
    let claims = held.iter().flat_map(|(name, held)| {
        held.claims().iter().map(|claim| ClaimSaid {
            words: claim_said(read, entry.kind, name, claim.value.as_ref()),
            by: written_by(read, &claim.stamp),
        })
    });
    Some(FieldSaid {
        field: field.to_owned(),
        label: said::label_of(entry, field),
        values,
        differs,
        claims: claims.collect(),
        for_the_program: said::is_for_the_program(entry.kind, field),
    })
}

/// What is shown of a value; nothing for what says nothing, and for what is out of a set.
fn value_said(read: &Reader<'_>, kind: Kind, field: &str, value: Option<&Scalar>) -> Option<ValueSaid> {
    let element = said::halves(field).1.is_some();
    match value? {
        Scalar::Line(text) if text.is_empty() => return None,
        Scalar::Flag(false) if element => return None,
        _ => {}
    }
    let name = said::names(kind, field, value);
    let text = value.and_then(Scalar::line);
    let shape = said::def_of(kind, field).map(|def| def.shape);
    let kept = |wanted: bool| text.filter(|_| wanted);
    Some(ValueSaid {
        words: match &name {
            Some(name) if element => called(read, name),
            _ => said::value(kind, field, value, &|name| called(read, name)),
        },
        exact: kept(matches!(shape, Some(Shape::Measure)))
            .and_then(said::exact)
            .map(str::to_owned),
        word: kept(matches!(shape, Some(Shape::Word(_)))).map(str::to_owned),
        day: kept(matches!(shape, Some(Shape::Day))).and_then(|day| day.parse().ok()),
        name,
    })
}

/// A value as one of several that are said; of a set, with what it is about.
fn claim_said(read: &Reader<'_>, kind: Kind, field: &str, value: Option<&Scalar>) -> String {
    let named = |name: &Ref| called(read, name);
    match said::names(kind, field, value) {
        Some(name) if said::halves(field).1.is_some() => {
            let no_more = if value == Some(&Scalar::Flag(true)) {
                ""
            } else {
                "no more: "
            };
            format!("{no_more}{}", named(&name))
        }
        _ => said::value(kind, field, value, &named),
    }
}

/// What a field read right after a change, in words, and what would be put to have it read so again. `alone` is one that was changed by
/// itself, `now` how the entry reads now, where there is anything to read: of a sheet that was emptied since, its history tells what stood
/// there.
pub(crate) fn then(
    read: &Reader<'_>,
    (kind, now): (Kind, Option<&Entry>),
    field: &str,
    then: &[Claim],
    alone: bool,
) -> FieldThen {
    let empty = |claim: &Claim| match &claim.value {
        None | Some(Scalar::Flag(false)) => true,
        Some(Scalar::Line(text)) => text.is_empty(),
        Some(_) => false,
    };
    let values = then.iter().map(|claim| claim.value.as_ref());
    FieldThen {
        label: said::label(kind, field),
        said: values.map(|value| claim_said(read, kind, field, value)).collect(),
        values: then.iter().map(|claim| claim.value.clone()).collect(),
        back: now
            .filter(|now| !says_more_than_a_value(now, field))
            .and_then(|now| said::can_be_put_back(now, field, then))
            .map(|value| PutBack {
                value: value.map(Into::into),
            }),
        says_nothing: said::is_for_the_program(kind, field) || (!alone && then.iter().all(empty)),
        field: field.to_owned(),
    }
}

/// Whether putting an earlier value back would do more than that, unasked: settle what two say otherwise, or carry a part elsewhere.
fn says_more_than_a_value(now: &Entry, field: &str) -> bool {
    let at_odds = now.fields.get(field).is_some_and(Held::contradicts);
    at_odds || (now.kind == Kind::Part && field == Part::container)
}

/// Fetches an entry and what it stands in, however deep.
pub(crate) fn with_around(view: &mut View, name: Ref, find: &mut impl FnMut(&Ref) -> Option<Entry>) {
    let mut left = BTreeSet::from([name]);
    while let Some(name) = left.pop_first() {
        if view.find(&name).is_none()
            && let Some(entry) = find(&name)
        {
            left.extend(holders(&entry).map(|(_, up)| up));
            view.put(entry);
        }
    }
}
