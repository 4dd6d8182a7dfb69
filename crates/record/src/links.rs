//! What an entry points at, by the values that it shows: links, references, and what is in a set of links. It is what the view is indexed by
//! and what the read tables keep; whether there is such a thing it does not ask.

use std::collections::BTreeSet;

use crate::entities as e;
use crate::entities;
use crate::entry::Entry;
use crate::field::Shape;
use crate::name::Kind;
use crate::spelled::{End, Lies, MetBy, sheet_parts};

/// Each field that points at something, with what: `kind:id`.
#[must_use]
pub fn links_of(entry: &Entry) -> BTreeSet<(String, String)> {
    let mut links = BTreeSet::new();
    for field in entities::fields_of(entry.kind) {
        let mut put = |target: String| {
            links.insert((field.name.to_owned(), target));
        };
        match field.shape {
            Shape::Link(kind) => {
                if let Some(id) = entry.line(field.name) {
                    put(format!("{kind}:{id}"));
                }
            }
            Shape::Lies => {
                let container = entry.line(field.name).and_then(|kept| Lies::of(kept).container());
                if let Some(container) = container {
                    put(format!("{}:{}", Kind::Container, container.as_str()));
                }
            }
            Shape::Ending => {
                if let Some(job) = entry
                    .line(field.name)
                    .and_then(|kept| End::of(kept).job().cloned())
                {
                    put(format!("{}:{job}", Kind::Job));
                }
            }
            Shape::About(_) => {
                if let Some(target) = entry.line(field.name) {
                    put(target.to_owned());
                }
            }
            Shape::Set(kind) => entry
                .members(field.name)
                .for_each(|id| put(format!("{kind}:{id}"))),
            _ => {}
        }
    }
    // What a hold point was met by is one line, which may be a count.
    if let Some(met) = MetBy::shown(entry).and_then(|by| by.name()) {
        links.insert((e::HoldPoint::met_by.to_owned(), met.to_string()));
    }
    let of_sheet = (entry.kind == Kind::Sheet)
        .then(|| sheet_parts(&entry.id))
        .flatten();
    if let Some((_, keeper)) = of_sheet {
        links.insert((e::Device::keeper.to_owned(), format!("keeper:{keeper}")));
    }
    links
}
