//! What lies in what: assemblies in assemblies, containers in containers. Two devices can each put a thing into
//! the other's, so a circle can be in any merged record: reading one never loops, and always looks the same.

use std::collections::{BTreeMap, BTreeSet};

use crate::entities::{Assembly, Container};
use crate::entry::{Entry, View};
use crate::name::{Id, Kind};

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

    fn of(view: &View, kind: Kind, field: &str, struck_too: bool) -> Self {
        let counts = |entry: &&Entry| struck_too || entry.stands();
        let mut parent: BTreeMap<Id, Id> = BTreeMap::new();
        for entry in view.all(kind).filter(counts) {
            let named = entry.line(field).and_then(|id| id.parse::<Id>().ok());
            if let Some(up) = named.filter(|up| view.get(kind, up).as_ref().is_some_and(counts)) {
                parent.insert(entry.id.clone(), up);
            }
        }
        open_circles(&mut parent);
        let mut rows: Vec<(Option<Id>, String, Id)> = view
            .all(kind)
            .filter(counts)
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
