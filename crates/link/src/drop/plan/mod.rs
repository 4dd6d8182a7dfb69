//! What to read, write and take away, out of a listing and what is known. Nothing is done here, and the same things give
//! the same plan.

mod incoming;
mod outgoing;
mod sight;
mod tidy;

use super::book::Book;
use super::listing::{Listing, members};
use incoming::{fetches, reads};
use outgoing::{puts, writes};
pub(in crate::drop) use sight::{Fetch, Putting, Read, Write, file_limit};
pub use sight::{Plan, Sight};
use tidy::removals;

/// Plans what one device does with a drop.
pub fn plan(book: &Book, sight: &Sight<'_>) -> Plan {
    planned(
        book,
        sight,
        &Listing::of(sight.names, sight.devices, sight.listing),
    )
}

pub(in crate::drop) fn planned(book: &Book, sight: &Sight<'_>, listing: &Listing) -> Plan {
    let mut plan = Plan {
        unknown: listing.unknown,
        foreign: listing.foreign,
        there: listing.bytes,
        ..Plan::default()
    };
    let members = members(sight.devices);
    reads(book, sight, listing, &mut plan);
    fetches(book, sight, listing, &members, &mut plan);
    puts(book, sight, listing, &members, &mut plan);
    writes(book, sight, &members, &mut plan);
    removals(book, sight, listing, &mut plan);
    plan
}
