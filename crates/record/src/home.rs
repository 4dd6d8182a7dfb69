//! Where an entry is, by what it says of it and what that says in turn. It moves nothing, and no walk goes round in circles.

use std::collections::BTreeSet;

use crate::across::{self, about, assembly};
use crate::entities::Assembly;
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::name::{Id, Kind, Link, Ref};
use crate::view::View;

/// The assembly that something is in; a finding is where what it is about is. Nothing for what only says what it is about
/// otherwise: a reading, a photo, a kept answer.
#[must_use]
pub fn assembly_of(view: &View, of: &Ref) -> Option<Id> {
    // What a finding or a reading is about comes from outside too: it may be a finding, that one again, or a ring of them.
    let mut at = of.clone();
    let mut seen = BTreeSet::new();
    loop {
        match at.kind {
            Kind::Assembly => return Some(at.id),
            Kind::Finding if seen.insert(at.id.clone()) => at = about(view.find(&at)?)?.name()?,
            Kind::Part | Kind::Job | Kind::HoldPoint | Kind::TighteningRun => {
                return assembly(view.find(&at)?)?.id();
            }
            _ => return None,
        }
    }
}

/// Where an entry is, as a title or a list says it: the assembly that it is in, of a finding or a reading what it is about.
#[must_use]
pub fn within<'v>(view: &'v View, entry: &Entry) -> Option<&'v Entry> {
    let assembly = |link: Option<Link<'_>>| view.get(Kind::Assembly, &link?.id()?);
    match entry.kind {
        Kind::Part | Kind::Job | Kind::HoldPoint | Kind::TighteningRun => assembly(across::assembly(entry)),
        Kind::Assembly => assembly(Assembly::of(entry)?.parent()),
        Kind::Finding | Kind::Reading | Kind::Photo => {
            let about: Ref = across::about(entry)?.name()?;
            (about.id != Id::car()).then(|| view.find(&about)).flatten()
        }
        _ => None,
    }
}
