//! What a change reaches: which fields of which entities its operations are in, and what it puts into those that deeds are
//! read from.
//!
//! Asked of the change itself and not of Automerge's patches: a patch tells of what is *shown*, and a value that
//! loses against another that already lost shows nowhere, yet it must appear in the read tables as a conflict.

use std::collections::HashMap;

use automerge::legacy::{Key, ObjectId, OpType};
use automerge::{Automerge, Change, ROOT, ReadDoc};

use super::claims::plain;
use super::written::Touched;
use crate::deed::{Deed, Puts};
use crate::name::{Id, Kind};

/// Where an object lies.
#[derive(Clone, Debug)]
enum Place {
    /// The map of all entities of a kind.
    Many(Kind),
    /// An entity's map.
    One(Kind, Id),
    /// In a field of an entity: a text.
    Inside(Kind, Id, String),
    /// Nowhere that this program knows.
    Elsewhere,
}

/// Where objects lie, remembered: an object never moves.
#[derive(Debug, Default)]
pub(super) struct Reach {
    places: HashMap<ObjectId, Place>,
}

impl Reach {
    /// What one change, already applied to `doc`, touched, and what was done by it.
    pub(super) fn of(&mut self, doc: &Automerge, change: &Change) -> (Touched, Vec<Deed>) {
        let mut touched = Touched::new();
        let mut puts = Puts::default();
        for op in change.decode().operations {
            // What is put into the root is the map of a kind: no entity's.
            if matches!(op.obj, ObjectId::Root) {
                continue;
            }
            let place = match self.places.get(&op.obj) {
                Some(place) => place,
                None => self.places.entry(op.obj.clone()).or_insert(place(doc, &op.obj)),
            };
            let key = match &op.key {
                Key::Map(key) => Some(key.to_string()),
                Key::Seq(_) => None,
            };
            match place {
                Place::Many(kind) => {
                    if let Some(id) = key.and_then(|key| key.parse::<Id>().ok()) {
                        if matches!(op.action, OpType::Make(_)) {
                            puts.made(*kind, &id);
                        }
                        touched.entry((*kind, id)).or_default();
                    }
                }
                Place::One(kind, id) => {
                    if let Some(field) = key.as_ref().filter(|field| Puts::wants(*kind, field)) {
                        match &op.action {
                            OpType::Put(value) => puts.put(*kind, id, field.clone(), plain(value)),
                            OpType::Delete => puts.put(*kind, id, field.clone(), None),
                            _ => {}
                        }
                    }
                    touched.entry((*kind, id.clone())).or_default().extend(key);
                }
                Place::Inside(kind, id, field) => {
                    let fields = touched.entry((*kind, id.clone())).or_default();
                    if !fields.contains(field) {
                        fields.insert(field.clone());
                    }
                }
                Place::Elsewhere => {}
            }
        }
        (touched, puts.deeds())
    }
}

fn place(doc: &Automerge, object: &ObjectId) -> Place {
    let ObjectId::Id(id) = object else {
        return Place::Elsewhere;
    };
    let Ok(object) = doc.import_obj(&id.to_string()) else {
        return Place::Elsewhere;
    };
    let mut path: Vec<String> = Vec::new();
    if let Ok(parents) = doc.parents(&object) {
        for parent in parents {
            if let automerge::Prop::Map(key) = parent.prop {
                path.push(key);
            }
            if parent.obj == ROOT {
                break;
            }
        }
    }
    let mut steps = path.into_iter().rev();
    let kind = steps
        .next()
        .and_then(|root| Kind::ALL.iter().find(|kind| kind.root() == root));
    let Some(kind) = kind else {
        return Place::Elsewhere;
    };
    match (steps.next().map(|id| id.parse::<Id>()), steps.next()) {
        (None, _) => Place::Many(*kind),
        (Some(Err(_)), _) => Place::Elsewhere,
        (Some(Ok(id)), None) => Place::One(*kind, id),
        (Some(Ok(id)), Some(field)) => Place::Inside(*kind, id, field),
    }
}
