//! What lies in what: assemblies in assemblies, containers in containers. Two devices can each put a thing into
//! the other's, so a circle can be in any merged record: reading one never loops, and always looks the same.

use std::collections::{BTreeMap, BTreeSet};

use crate::entry::View;
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
        Self::of(view, Kind::Assembly, "parent")
    }

    /// Containers by `inside`.
    #[must_use]
    pub fn of_containers(view: &View) -> Self {
        Self::of(view, Kind::Container, "inside")
    }

    fn of(view: &View, kind: Kind, field: &str) -> Self {
        let mut parent: BTreeMap<Id, Id> = BTreeMap::new();
        for entry in view.standing(kind) {
            let named = entry.line(field).and_then(|id| id.parse::<Id>().ok());
            if let Some(up) = named.filter(|up| view.get(kind, up).is_some_and(|up| up.stands())) {
                parent.insert(entry.id.clone(), up);
            }
        }
        // A circle is opened at its smallest id, which then stands at the top.
        let ids: Vec<Id> = parent.keys().cloned().collect();
        for id in ids {
            let mut seen = BTreeSet::from([id.clone()]);
            let mut at = id.clone();
            while let Some(up) = parent.get(&at).cloned() {
                if up == id {
                    // Ids come in order, so the first to find itself again is the circle's smallest.
                    parent.remove(&id);
                    break;
                }
                if !seen.insert(up.clone()) {
                    break;
                }
                at = up;
            }
        }
        let mut rows: Vec<(Option<Id>, String, Id)> = view
            .standing(kind)
            .map(|entry| {
                let order = entry
                    .line("order")
                    .or_else(|| entry.line("code"))
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
