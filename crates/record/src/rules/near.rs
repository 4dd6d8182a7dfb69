//! What hangs on an entry that was touched: what points at it, what it points at or did before, and of an assembly or a container
//! everything inside. A rule looks again at what is among it, and at nothing else; it judges nothing here.

use std::collections::BTreeSet;

use crate::entry::Entry;
use crate::inside::Inside;
use crate::name::{Kind, Ref};
use crate::view::View;

/// Everything that may read otherwise since these were touched, themselves among it.
pub(super) fn near<'t>(view: &View, touched: impl Iterator<Item = &'t Ref>) -> BTreeSet<Ref> {
    let mut all = BTreeSet::new();
    for name in touched {
        all.insert(name.clone());
        for kind in Kind::ALL {
            all.extend(view.naming(name, *kind).map(Entry::name));
        }
        if matches!(name.kind, Kind::Assembly | Kind::Container) {
            inside(view, name, &mut all);
        }
        for to in view.pointed_at(name) {
            // Another reading of the same point may be the later one, and a try tells of the job that ends a finding.
            match (name.kind, to.kind) {
                (Kind::Reading, Kind::Part | Kind::Assembly | Kind::Car) => {
                    all.extend(view.naming(&to, Kind::Reading).map(Entry::name));
                }
                (Kind::Try, Kind::Job) => {
                    all.extend(view.naming(&to, Kind::Finding).map(Entry::name));
                }
                _ => {}
            }
            all.insert(to);
        }
    }
    all
}

/// Everything in something, however deep, struck out or not.
fn inside(view: &View, name: &Ref, all: &mut BTreeSet<Ref>) {
    let inner = Inside::of(view);
    let mut seen = BTreeSet::from([name.clone()]);
    let mut open = vec![name.clone()];
    while let Some(at) = open.pop() {
        for held in inner.direct(&at) {
            let name = held.entry.name();
            if seen.insert(name.clone()) {
                open.push(name);
            }
        }
    }
    all.extend(seen);
}
