//! What a change reaches: which fields of which entities its operations are in, what they write there, and what of that is a deed.
//!
//! Asked of the change itself and not of Automerge's patches: a patch tells of what is *shown*, and a value that
//! loses against another that already lost shows nowhere, yet it must appear in the read tables as a conflict.

use std::collections::HashMap;

use automerge::legacy::{Key, ObjectId, OpType};
use automerge::{Automerge, Change, ROOT, ReadDoc};

use super::claims::plain;
use super::writer::Writer;
use super::written::Touched;
use crate::deed::{Deed, Puts};
use crate::name::{Id, Kind};
use crate::wrote::{WHOLE, Wrote, WroteAll};

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

/// What a change reaches.
#[derive(Debug, Default)]
pub(super) struct Reached {
    pub(super) touched: Touched,
    /// What it wrote there, as its operations say.
    pub(super) wrote: WroteAll,
    /// What was done by it.
    pub(super) deeds: Vec<Deed>,
}

impl Reach {
    /// What one change, already applied to `doc`, touched and wrote, and what was done by it.
    pub(super) fn of(&mut self, doc: &Automerge, change: &Change) -> Reached {
        let mut reached = Reached::default();
        let mut puts = Puts::default();
        let open = change.decode();
        let writer = Writer::of(&open);
        for (number, op) in (open.start_op.get()..).zip(&open.operations) {
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
                        let made = matches!(op.action, OpType::Make(_));
                        if made {
                            puts.made(*kind, &id);
                        }
                        let name = (*kind, id);
                        if made {
                            let fields = reached.wrote.entry(name.clone()).or_default();
                            writer.put(fields.entry(WHOLE.to_owned()).or_default(), None, number, op);
                        }
                        reached.touched.entry(name).or_default();
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
                    let name = (*kind, id.clone());
                    if let Some(key) = &key {
                        let fields = reached.wrote.entry(name.clone()).or_default();
                        // A device may be entered twice, by whoever paired with it and by itself.
                        let inside = (*kind == Kind::Device).then_some(&op.obj);
                        writer.put(fields.entry(key.clone()).or_default(), inside, number, op);
                    }
                    reached.touched.entry(name).or_default().extend(key);
                }
                Place::Inside(kind, id, field) => {
                    let name = (*kind, id.clone());
                    let fields = reached.wrote.entry(name.clone()).or_default();
                    if !fields.contains_key(field) {
                        fields.insert(field.clone(), Wrote::default());
                    }
                    if let Some(wrote) = fields.get_mut(field) {
                        writer.letter(wrote, number, op);
                    }
                    let fields = reached.touched.entry(name).or_default();
                    if !fields.contains(field) {
                        fields.insert(field.clone());
                    }
                }
                Place::Elsewhere => {}
            }
        }
        reached.deeds = puts.deeds();
        reached
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
