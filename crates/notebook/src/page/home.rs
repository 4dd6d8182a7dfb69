//! What is at home in an assembly, found by what names it, so that no page reads the whole record for it. It reads entries only.

use std::collections::BTreeSet;

use record::{Entry, Id, Kind, Ref};

use super::lines::Reader;

/// What is at home in an assembly: itself, what stands in it, and the findings about any of that.
pub(super) struct Home {
    pub(super) all: BTreeSet<Ref>,
}

impl Home {
    pub(super) fn of_assembly(read: &Reader<'_>, id: &Id) -> Self {
        let assembly = Ref::new(Kind::Assembly, id.clone());
        let mut all = BTreeSet::from([assembly.clone()]);
        let here = |name: &Ref| read.home(name).as_ref() == Some(id);
        for kind in [Kind::Part, Kind::Job, Kind::HoldPoint, Kind::TighteningRun] {
            let named = read.view.naming(&assembly, kind).map(Entry::name);
            all.extend(named.filter(here));
        }
        let mut open: Vec<Ref> = all.iter().cloned().collect();
        while let Some(at) = open.pop() {
            for finding in read.view.naming(&at, Kind::Finding).map(Entry::name).filter(here) {
                if all.insert(finding.clone()) {
                    open.push(finding);
                }
            }
        }
        Self { all }
    }

    /// What is the car's own: itself, and the jobs and hold points of no assembly.
    pub(super) fn of_the_car(read: &Reader<'_>) -> Self {
        let loose = [Kind::Job, Kind::HoldPoint].into_iter();
        let loose = loose.flat_map(|kind| read.view.loose(kind)).map(Entry::name);
        let car = Ref::new(Kind::Car, Id::car());
        Self {
            all: loose.chain([car]).collect(),
        }
    }

    /// The entries of a kind that are at home here, by id.
    pub(super) fn of<'v>(&self, read: &Reader<'v>, kind: Kind) -> impl Iterator<Item = &'v Entry> {
        let of_kind = self.all.iter().filter(move |name| name.kind == kind);
        of_kind.filter_map(|name| read.view.find(name))
    }

    /// What of it asks for something by its own word.
    pub(super) fn asking<'v>(&self, read: &Reader<'v>) -> impl Iterator<Item = &'v Entry> {
        let found = self.all.iter().filter_map(|name| read.view.find(name));
        found.filter(|entry| record::own_word::asks(entry))
    }

    /// The entries of a kind that are about any of it.
    pub(super) fn about<'v>(&self, read: &Reader<'v>, kind: Kind) -> impl Iterator<Item = &'v Entry> {
        let about =
            |entry: &Entry, name: &Ref| record::across::about(entry).is_some_and(|mention| mention.is(name));
        self.all.iter().flat_map(move |name| {
            let naming = read.view.naming(name, kind);
            naming.filter(move |entry| about(entry, name))
        })
    }
}
