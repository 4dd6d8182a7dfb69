//! What a change reaches: which fields of which entities its operations are in.
//!
//! Asked of the change itself and not of Automerge's patches: a patch tells of what is *shown*, and a value that
//! loses against another that already lost shows nowhere, yet it must appear in the read tables as a conflict.

use std::collections::HashMap;

use automerge::legacy::{Key, ObjectId};
use automerge::{Automerge, Change, ObjId, ROOT, ReadDoc};

use super::Touched;
use crate::name::{Id, Kind};

/// Where objects lie, remembered: an object never moves.
#[derive(Debug, Default)]
pub(super) struct Reach {
    places: HashMap<ObjId, Vec<String>>,
}

impl Reach {
    /// What one change, already applied to `doc`, touched.
    pub(super) fn of(&mut self, doc: &Automerge, change: &Change) -> Touched {
        let mut touched = Touched::new();
        for op in change.decode().operations {
            let mut path = match &op.obj {
                ObjectId::Root => Vec::new(),
                ObjectId::Id(id) => match doc.import_obj(&id.to_string()) {
                    Ok(object) => self.path(doc, &object),
                    Err(_) => continue,
                },
            };
            if let Key::Map(key) = &op.key {
                path.push(key.to_string());
            }
            let mut steps = path.into_iter();
            let kind = steps
                .next()
                .and_then(|root| Kind::ALL.iter().find(|kind| kind.root() == root));
            let (Some(kind), Some(id)) = (kind, steps.next().and_then(|id| id.parse::<Id>().ok())) else {
                continue;
            };
            touched.entry((*kind, id)).or_default().extend(steps.next());
        }
        touched
    }

    fn path(&mut self, doc: &Automerge, object: &ObjId) -> Vec<String> {
        if let Some(path) = self.places.get(object) {
            return path.clone();
        }
        let mut path: Vec<String> = Vec::new();
        if let Ok(parents) = doc.parents(object) {
            for parent in parents {
                if let automerge::Prop::Map(key) = parent.prop {
                    path.push(key);
                }
                if parent.obj == ROOT {
                    break;
                }
            }
        }
        path.reverse();
        self.places.insert(object.clone(), path.clone());
        path
    }
}
