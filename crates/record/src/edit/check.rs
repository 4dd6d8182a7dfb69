//! What must be so before an edit is done: things it names are there, nothing ends up inside itself, and an
//! assembly is closed only by closing it up.

use crate::edit::fields::GivenFields;
use crate::edit::title;
use crate::entry::{Entry, Scalar, View};
use crate::field::{Misfit, Shape, Stored};
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::tree::Tree;

/// The entry, if it is there and stands.
pub(super) fn standing<'a>(view: &'a View, name: &Ref) -> Result<&'a Entry, Refusal> {
    let entry = match (name.kind, view.find(name)) {
        (_, Some(entry)) => entry,
        _ => return Err(Refusal::Unknown(name.clone())),
    };
    if entry.stands() {
        Ok(entry)
    } else {
        Err(Refusal::StruckOut(title(entry)))
    }
}

/// Checks the fields given for one entity against the record.
pub(super) fn fields(view: &View, id: &Id, given: &GivenFields) -> Result<(), Refusal> {
    for (def, value) in given.each() {
        let line = match value {
            Stored::Scalar(Some(Scalar::Line(line))) => Some(line.as_str()),
            _ => None,
        };
        match (def.shape, value, line) {
            (Shape::Link(kind), _, Some(line)) => drop(standing(view, &link(kind, line)?)?),
            (Shape::About(_), _, Some(line)) => {
                let name: Ref = line.parse().map_err(|_| unreadable(def.name, line))?;
                standing(view, &name)?;
            }
            (Shape::Set(kind), Stored::Set(members), _) => {
                for member in members {
                    standing(view, &Ref::new(kind, member.clone()))?;
                }
            }
            _ => {}
        }
        match (given.kind(), def.name, line) {
            (Kind::Assembly, "parent", Some(up)) => {
                no_circle(view, &Tree::of_assemblies(view), Kind::Assembly, id, up)?
            }
            (Kind::Container, "inside", Some(up)) => {
                no_circle(view, &Tree::of_containers(view), Kind::Container, id, up)?;
            }
            (Kind::Assembly, "state", Some("closed")) => {
                let already = view
                    .get(Kind::Assembly, id)
                    .is_some_and(|entry| entry.line("state") == Some("closed"));
                if !already {
                    return Err(Refusal::OnlyByCloseUp);
                }
            }
            (Kind::Photo, "hash", Some(hash)) if crate::entry::ChangeId::from_hex(hash).is_none() => {
                return Err(unreadable(def.name, hash));
            }
            _ => {}
        }
    }
    Ok(())
}

fn link(kind: Kind, line: &str) -> Result<Ref, Refusal> {
    let id: Id = line.parse().map_err(|_| unreadable("id", line))?;
    Ok(Ref::new(kind, id))
}

fn unreadable(field: &str, line: &str) -> Refusal {
    let why = Misfit::Unclear(format!(
        "'{}' cannot be read",
        line.chars().take(80).collect::<String>()
    ));
    Refusal::Misfit {
        field: field.to_owned(),
        why,
    }
}

fn no_circle(view: &View, tree: &Tree, kind: Kind, id: &Id, up: &str) -> Result<(), Refusal> {
    let up = link(kind, up)?.id;
    if tree.upward(&up).contains(id) {
        let named = view.get(kind, id).map_or_else(|| id.to_string(), title);
        return Err(Refusal::Circle(named));
    }
    Ok(())
}
