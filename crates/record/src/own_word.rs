//! What an entry says of itself that lists are made by: whether it is unfinished, and whether it says where it belongs. By its own word
//! alone; what the rest of the record makes of it is asked elsewhere.

use crate::across;
use crate::ending::said_to_hurt;
use crate::entry::Entry;
use crate::name::Kind;
use crate::open::is_open;

/// Whether it stands and asks for something: an open job or hold point, a finding that can hurt somebody.
#[must_use]
pub fn asks(entry: &Entry) -> bool {
    entry.stands()
        && match entry.kind {
            Kind::Job | Kind::HoldPoint => is_open(entry),
            Kind::Finding => said_to_hurt(entry),
            _ => false,
        }
}

/// Whether it stands and does not say what it is of: a part of no assembly, a photo of nothing.
#[must_use]
pub fn is_loose(entry: &Entry) -> bool {
    entry.stands()
        && match entry.kind {
            Kind::Part => across::assembly(entry).and_then(|link| link.id()).is_none(),
            Kind::Photo => across::about(entry).is_none(),
            _ => false,
        }
}
