//! Fields that point at other entries: one, one of several kinds, or a set. Whether a reference leads anywhere is asked by `edit`.

use std::marker::PhantomData;

use super::shape::{Field, MOST_MEMBERS, Misfit, Shape, Stored, scalar};
use crate::entry::{Entry, Held, member};
use crate::name::{Id, Kind, Link, Mention, OfKind, Ref};

/// The links of a set that are in it.
#[derive(Clone, Debug)]
pub struct Links<'a> {
    all: std::collections::btree_map::Iter<'a, String, Held>,
    field: &'static str,
}

impl<'a> Iterator for Links<'a> {
    type Item = Link<'a>;
    fn next(&mut self) -> Option<Link<'a>> {
        self.all
            .find_map(|(name, held)| member(name, held, self.field))
            .map(Link)
    }
}

/// The id of another entity.
#[derive(Debug)]
pub struct To<K>(PhantomData<K>);
impl<K: OfKind> Field for To<K> {
    type Value = Id;
    const SHAPE: Shape = Shape::Link(K::KIND);
    fn store(value: &Id) -> Result<Stored, Misfit> {
        scalar(value.to_string())
    }
    type Shown<'a> = Option<Link<'a>>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<Link<'a>> {
        entry.line(field).map(Link)
    }
    fn owned(shown: Option<Link<'_>>) -> Option<Id> {
        shown?.id()
    }
}

/// The kinds that an `About` field may be about.
pub trait Kinds {
    /// Those kinds.
    const MAY: &'static [Kind];
}

/// A reference to one of several kinds.
#[derive(Debug)]
pub struct About<K>(PhantomData<K>);
impl<K: Kinds> Field for About<K> {
    type Value = Ref;
    const SHAPE: Shape = Shape::About(K::MAY);
    fn store(value: &Ref) -> Result<Stored, Misfit> {
        if !K::MAY.contains(&value.kind) {
            return Err(Misfit::WrongKind {
                got: value.kind,
                may: K::MAY,
            });
        }
        scalar(value.to_string())
    }
    type Shown<'a> = Option<Mention<'a>>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<Mention<'a>> {
        entry.line(field).map(Mention)
    }
    fn owned(shown: Option<Mention<'_>>) -> Option<Ref> {
        shown?.name()
    }
}

/// Ids of several entities of one kind.
#[derive(Debug)]
pub struct Many<K>(PhantomData<K>);
impl<K: OfKind> Field for Many<K> {
    type Value = Vec<Id>;
    const SHAPE: Shape = Shape::Set(K::KIND);
    fn store(value: &Vec<Id>) -> Result<Stored, Misfit> {
        if value.len() > MOST_MEMBERS {
            return Err(Misfit::TooMany(value.len()));
        }
        Ok(Stored::Set(value.clone()))
    }
    type Shown<'a> = Links<'a>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Links<'a> {
        Links {
            all: entry.fields.iter(),
            field,
        }
    }
    fn owned(shown: Links<'_>) -> Option<Vec<Id>> {
        let members: Vec<Id> = shown.filter_map(Link::id).collect();
        (!members.is_empty()).then_some(members)
    }
}
