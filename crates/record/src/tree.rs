//! What lies in what: assemblies in assemblies, containers in containers. Two devices can each put a thing into
//! the other's, so a circle can be in any merged record: reading one never loops, and always looks the same.

use std::collections::{BTreeMap, BTreeSet};

use crate::entities::{Assembly, Container};
use crate::entry::Entry;
use crate::name::{Id, Kind};
use crate::view::View;

/// Parents and children of one kind that nests.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tree {
    parent: BTreeMap<Id, Id>,
    children: BTreeMap<Option<Id>, Vec<Id>>,
}

impl Tree {
    /// Assemblies by `parent`, in their order key's order, then by id.
    #[must_use]
    pub fn of_assemblies(view: &View) -> Self {
        Self::of(view, Kind::Assembly, Assembly::parent, false)
    }

    /// Assemblies by `parent`, those that were struck out as well: what was left in one is still in what is around it.
    #[must_use]
    pub fn of_assemblies_struck_too(view: &View) -> Self {
        Self::of(view, Kind::Assembly, Assembly::parent, true)
    }

    /// Containers by `inside`.
    #[must_use]
    pub fn of_containers(view: &View) -> Self {
        Self::of(view, Kind::Container, Container::inside, false)
    }

    /// Containers by `inside`, those that were struck out as well.
    #[must_use]
    pub fn of_containers_struck_too(view: &View) -> Self {
        Self::of(view, Kind::Container, Container::inside, true)
    }

    /// What an assembly is in and everything in it, as the whole tree has them; the others are not in it.
    #[must_use]
    pub fn around_assembly(view: &View, id: &Id) -> Self {
        Self::of_these(view, &around(view, id), Kind::Assembly, Assembly::parent, false)
    }

    /// The same, with those that were struck out.
    #[must_use]
    pub fn around_assembly_struck_too(view: &View, id: &Id) -> Self {
        Self::of_these(view, &around(view, id), Kind::Assembly, Assembly::parent, true)
    }

    fn of(view: &View, kind: Kind, field: &str, struck_too: bool) -> Self {
        let all: Vec<&Entry> = view.all(kind).collect();
        Self::of_these(view, &all, kind, field, struck_too)
    }

    fn of_these(view: &View, all: &[&Entry], kind: Kind, field: &str, struck_too: bool) -> Self {
        let counts = |entry: &&Entry| struck_too || entry.stands();
        let all: Vec<&Entry> = all.iter().copied().filter(counts).collect();
        let mut parent: BTreeMap<Id, Id> = BTreeMap::new();
        for entry in &all {
            let named = entry.line(field).and_then(|id| id.parse::<Id>().ok());
            if let Some(up) = named.filter(|up| view.get(kind, up).as_ref().is_some_and(counts)) {
                parent.insert(entry.id.clone(), up);
            }
        }
        open_circles(&mut parent);
        let mut rows: Vec<(Option<Id>, String, Id)> = all
            .iter()
            .map(|entry| {
                let order = entry
                    .line(Assembly::order)
                    .or_else(|| entry.line(Container::code))
                    .unwrap_or("")
                    .to_owned();
                (parent.get(&entry.id).cloned(), order, entry.id.clone())
            })
            .collect();
        rows.sort();
        let mut children: BTreeMap<Option<Id>, Vec<Id>> = BTreeMap::new();
        for (up, _, id) in rows {
            children.entry(up).or_default().push(id);
        }
        Self { parent, children }
    }

    /// What it lies in.
    #[must_use]
    pub fn parent(&self, id: &Id) -> Option<&Id> {
        self.parent.get(id)
    }

    /// What lies directly in it, or at the top for `None`.
    #[must_use]
    pub fn children(&self, id: Option<&Id>) -> &[Id] {
        self.children.get(&id.cloned()).map_or(&[], Vec::as_slice)
    }

    /// It and everything it lies in, from the inside out.
    #[must_use]
    pub fn upward(&self, id: &Id) -> Vec<Id> {
        let mut out = vec![id.clone()];
        let mut at = id;
        while let Some(up) = self.parent.get(at) {
            out.push(up.clone());
            at = up;
        }
        out
    }

    /// It and everything inside it, top down.
    #[must_use]
    pub fn within(&self, id: &Id) -> Vec<Id> {
        let mut out = Vec::new();
        let mut open = vec![id.clone()];
        while let Some(at) = open.pop() {
            open.extend(self.children(Some(&at)).iter().rev().cloned());
            out.push(at);
        }
        out
    }

    /// Everything with its depth, top down, in order.
    #[must_use]
    pub fn lines(&self) -> Vec<(usize, Id)> {
        let mut out = Vec::new();
        let mut open: Vec<(usize, Id)> = self
            .children(None)
            .iter()
            .rev()
            .map(|id| (0, id.clone()))
            .collect();
        while let Some((depth, at)) = open.pop() {
            open.extend(
                self.children(Some(&at))
                    .iter()
                    .rev()
                    .map(|id| (depth + 1, id.clone())),
            );
            out.push((depth, at));
        }
        out
    }
}

/// An assembly and those that it is in, from the inside out; as the tree has them, which opens a circle at its smallest id.
#[must_use]
pub fn assemblies_around(view: &View, id: &Id) -> Vec<Id> {
    upward(view, id, false)
}

/// The same, through those that were struck out.
#[must_use]
pub fn assemblies_around_struck_too(view: &View, id: &Id) -> Vec<Id> {
    upward(view, id, true)
}

fn upward(view: &View, id: &Id, struck_too: bool) -> Vec<Id> {
    let mut path: Vec<Id> = vec![id.clone()];
    let counted = |id: &Id| {
        let entry = view.get(Kind::Assembly, id);
        entry.filter(|entry| struck_too || entry.stands())
    };
    let up_of = |id: &Id| -> Option<Id> {
        let up: Id = counted(id)?.line(Assembly::parent)?.parse().ok()?;
        counted(&up).map(|up| up.id.clone())
    };
    while let Some(up) = path.last().and_then(up_of) {
        let Some(met) = path.iter().position(|one| *one == up) else {
            path.push(up);
            continue;
        };
        let smallest = path.iter().enumerate().skip(met).min_by_key(|(_, id)| *id);
        let end = smallest.map_or(path.len(), |(at, _)| at.saturating_add(1));
        path.truncate(end);
        break;
    }
    path
}

/// An assembly, those that it is in and those in it, each once.
fn around<'v>(view: &'v View, id: &Id) -> Vec<&'v Entry> {
    let mut found: BTreeMap<&Id, &Entry> = BTreeMap::new();
    // All of a circle, or nobody could say where it is opened.
    let mut at = view.get(Kind::Assembly, id);
    while let Some(entry) = at.filter(|entry| !found.contains_key(&entry.id)) {
        found.insert(&entry.id, entry);
        let up = entry.line(Assembly::parent).and_then(|up| up.parse::<Id>().ok());
        at = up.and_then(|up| view.get(Kind::Assembly, &up));
    }
    let mut open: Vec<&Entry> = view.get(Kind::Assembly, id).into_iter().collect();
    let mut seen: BTreeSet<&Id> = open.iter().map(|entry| &entry.id).collect();
    while let Some(entry) = open.pop() {
        found.insert(&entry.id, entry);
        let inner = view.naming(&entry.name(), Kind::Assembly);
        let inner = inner.filter(|one| one.line(Assembly::parent) == Some(entry.id.as_str()));
        open.extend(inner.filter(|one| seen.insert(&one.id)));
    }
    found.into_values().collect()
}

/// Opens each circle at its smallest id, which then stands at the top. Every id is walked over once: chains of thousands come
/// from outside as well.
fn open_circles(parent: &mut BTreeMap<Id, Id>) {
    let ids: Vec<Id> = parent.keys().cloned().collect();
    let mut done: BTreeSet<Id> = BTreeSet::new();
    for id in ids {
        let mut path: Vec<Id> = Vec::new();
        let mut on_path: BTreeSet<Id> = BTreeSet::new();
        let mut at = Some(id);
        while let Some(here) = at {
            if done.contains(&here) {
                break;
            }
            if !on_path.insert(here.clone()) {
                // What was walked since it was first met is the circle.
                let circle = path.iter().rev().take_while(|one| **one != here);
                if let Some(smallest) = circle.chain([&here]).min() {
                    parent.remove(smallest);
                }
                break;
            }
            at = parent.get(&here).cloned();
            path.push(here);
        }
        done.extend(path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(number: usize) -> Id {
        format!("a{number:06}").parse().unwrap()
    }

    fn opened(pairs: &[(usize, usize)]) -> BTreeMap<Id, Id> {
        let mut parent = pairs.iter().map(|(one, up)| (id(*one), id(*up))).collect();
        open_circles(&mut parent);
        parent
    }

    /// A view of assemblies, each in the other.
    fn nested(pairs: &[(usize, usize)]) -> View {
        let made = crate::Stamp {
            device: None,
            at: crate::Moment::from_seconds(0),
            change: crate::ChangeId::from_hex(&"0".repeat(64)).unwrap(),
        };
        let entry = |(one, up): &(usize, usize)| {
            let claims = serde_json::json!({ "parent": [{ "value": id(*up), "stamp": &made }] });
            Entry {
                kind: Kind::Assembly,
                id: id(*one),
                made: made.clone(),
                fields: serde_json::from_value(claims).unwrap(),
            }
        };
        View::of(pairs.iter().map(entry))
    }

    #[test]
    fn what_is_around_one_is_what_the_whole_tree_has_around_it() {
        let mut seed = 5_u64;
        let mut below = |most: usize| {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            usize::try_from(seed >> 33).unwrap() % most
        };
        for round in 0..300 {
            // Half of what they are in is not there; rings of one, two and more come about by themselves.
            let pairs: Vec<(usize, usize)> = (0..9).map(|one| (one, below(18))).collect();
            let view = nested(&pairs);
            let whole = Tree::of_assemblies_struck_too(&view);
            for one in (0..9).map(id) {
                let said = format!("round {round}, {one}: {pairs:?}");
                assert_eq!(
                    assemblies_around_struck_too(&view, &one),
                    whole.upward(&one),
                    "{said}"
                );
                let around = Tree::around_assembly_struck_too(&view, &one);
                assert_eq!(around.upward(&one), whole.upward(&one), "{said}");
                assert_eq!(around.within(&one), whole.within(&one), "{said}");
            }
        }
    }

    #[test]
    fn circles_are_opened_at_their_smallest() {
        assert_eq!(opened(&[(1, 1)]), BTreeMap::new());
        assert_eq!(
            opened(&[(3, 2), (2, 1), (1, 3), (7, 3)]),
            opened(&[(3, 2), (2, 1), (7, 3)])
        );
        // Two circles, each with a tail that begins before and behind it.
        let two = opened(&[(5, 6), (6, 5), (1, 6), (9, 8), (8, 9), (7, 9)]);
        assert_eq!(two, opened(&[(6, 5), (1, 6), (9, 8), (7, 9)]));
    }

    #[test]
    fn a_chain_of_a_hundred_thousand_is_walked_once() {
        let pairs: Vec<(usize, usize)> = (0..100_000).map(|number| (number, number + 1)).collect();
        let began = std::time::Instant::now();
        assert_eq!(opened(&pairs).len(), 100_000);
        assert!(began.elapsed().as_secs() < 20, "{:?}", began.elapsed());
    }
}
