//! What stands inside something before it is struck out, and what was left in what was. It reads entries only; what is inside what
//! comes from the record.

use record::inside::{Inner, Inside};
use record::{Entry, Kind, Ref};

use super::lines::Reader;
use crate::wire::{InStruck, InsideOut, Named};

/// What stands inside an entry, or was left in it; nothing if there is no such entry.
pub(crate) fn inside(read: &Reader<'_>, name: &Ref) -> Option<InsideOut> {
    let entry = read.view.find(name)?;
    let all = Inside::of(read.view);
    let holds = matches!(name.kind, Kind::Assembly | Kind::Container);
    let inner = match (holds, entry.stands()) {
        (false, _) => Vec::new(),
        (true, true) => all.within(name),
        (true, false) => all.left_in(entry),
    };
    Some(InsideOut {
        inside: Inner::count(&inner),
        up: all.around(entry).map(|up| read.named(&up)),
        needs_a_place: record::edit::needs_a_place(&all, entry),
    })
}

/// Everything of a kind that was struck out and in which something was left.
pub(super) fn in_struck(read: &Reader<'_>, kind: Kind) -> Vec<InStruck> {
    let all = Inside::of(read.view);
    let named = |entry: &Entry| Named {
        name: entry.name(),
        title: record::edit::title(entry),
    };
    let mut out: Vec<InStruck> = read
        .view
        .all(kind)
        .filter_map(|entry| {
            let struck = read.struck(entry)?;
            let left: Vec<Named> = all.left_in(entry).into_iter().map(named).collect();
            (!left.is_empty()).then(|| InStruck {
                what: named(entry),
                struck,
                left,
            })
        })
        .collect();
    out.sort_by(|a, b| (&a.what.title, &a.what.name).cmp(&(&b.what.title, &b.what.name)));
    out
}
