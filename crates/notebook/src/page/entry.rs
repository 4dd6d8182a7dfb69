//! One entry as it is read: with the titles of what its fields name and the names of those who wrote them. It looks up just
//! these, each by its id, and never opens the document for a name.

use std::collections::{BTreeMap, BTreeSet};

use record::edit::title;
use record::ending::End;
use record::entities::field_of;
use record::entities::{Device, Part};
use record::field::Shape;
use record::inside::holders;
use record::lies::{Lies, whereabouts};
use record::{Claim, Entity as _, Entry, Id, Kind, Ref, View};

use crate::wire::{EntryPage, NamedBy, Writer};

/// An entry with what it takes to read it. `find` answers nothing for what is not here or cannot be read: that has no title then,
/// and keeps the entry itself from nothing.
pub(crate) fn entry(entry: Entry, mut find: impl FnMut(&Ref) -> Option<Entry>) -> EntryPage {
    let mut names = Vec::new();
    let mut titles: BTreeMap<Ref, Option<String>> = BTreeMap::new();
    for (field, name) in named_by(&entry) {
        let title = match titles.get(&name) {
            Some(title) => title.clone(),
            None => {
                let found = find(&name).as_ref().map(title);
                titles.entry(name.clone()).or_insert(found).clone()
            }
        };
        names.push(NamedBy { field, name, title });
    }
    let mut writers = Vec::new();
    for device in written_by(&entry) {
        let found = find(&Ref::new(Kind::Device, device.clone()));
        let keeper = found.as_ref().and_then(|entry| Device::of(entry)?.keeper()?.id());
        let keeper = keeper.and_then(|keeper| find(&Ref::new(Kind::Keeper, keeper)));
        let called = |entry: Option<Entry>| entry.map(|entry| entry.called(Device::name)).unwrap_or_default();
        writers.push(Writer {
            device,
            name: called(found),
            keeper_name: called(keeper),
        });
    }
    EntryPage {
        title: record::title::whole(&entry),
        lies: lies(&entry, &mut find),
        entry,
        names,
        writers,
    }
}

/// Where a part is, from what it stands in.
fn lies(entry: &Entry, find: &mut impl FnMut(&Ref) -> Option<Entry>) -> Option<String> {
    if entry.kind != Kind::Part {
        return None;
    }
    let mut view = View::default();
    with_around(&mut view, entry.name(), find);
    Some(whereabouts(&view, view.one::<Part>(&entry.id)?).said)
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

/// What the fields of an entry name, each once for a field.
fn named_by(entry: &Entry) -> BTreeSet<(String, Ref)> {
    let mut all = BTreeSet::new();
    for (name, held) in &entry.fields {
        let (field, element) = name
            .split_once(':')
            .map_or((name.as_str(), None), |(field, element)| (field, Some(element)));
        let Some(def) = field_of(entry.kind, field) else {
            continue;
        };
        let lines = held
            .claims()
            .iter()
            .filter_map(|claim| claim.value.as_ref()?.line());
        let found: Vec<Option<Ref>> = match (def.shape, element) {
            // What is out of a set was in it, and its history names it.
            (Shape::Set(kind), Some(element)) => vec![link(kind, element)],
            (Shape::Lies, None) => {
                let container = |line| link(Kind::Container, Lies::of(line).container()?.as_str());
                lines.map(container).collect()
            }
            (Shape::Link(kind), None) => lines.map(|line| link(kind, line)).collect(),
            (Shape::About(_), None) => lines.map(|line| line.parse().ok()).collect(),
            (Shape::Ending, None) => {
                let job = |line| Some(Ref::new(Kind::Job, End::of(line).job()?.clone()));
                lines.map(job).collect()
            }
            _ => continue,
        };
        all.extend(found.into_iter().flatten().map(|name| (field.to_owned(), name)));
    }
    all
}

fn link(kind: Kind, id: &str) -> Option<Ref> {
    Some(Ref::new(kind, id.parse().ok()?))
}

/// The devices that wrote what stands in an entry.
fn written_by(entry: &Entry) -> BTreeSet<Id> {
    let claims = entry.fields.values().flat_map(|held| held.claims());
    let stamps = claims.map(|claim: &Claim| &claim.stamp).chain([&entry.made]);
    stamps.filter_map(|stamp| stamp.device.clone()).collect()
}
