//! What entries read earlier, put together from what each change wrote, held against Automerge's own reading of the document as it
//! was then: once from the changes themselves, and once from the rows of a store, which are lent as a page has them lent.

use std::collections::BTreeSet;

use record::past::{Knew as _, Past as _, Strands, strands_of};
use record::{ChangeId, Id, Record, Seat};
use store::Store;

/// How much was compared, so that a run in which nothing was at stake shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Compared {
    /// Fields right after a change that touched them, and as its writer had them.
    pub fields: usize,
    /// Of those, the ones in which two values or more stood.
    pub in_conflict: usize,
    /// Entries as they were after several changes made apart.
    pub apart: usize,
    /// Fields that were told without asking who knew of what.
    pub without_log: usize,
}

impl Compared {
    /// Adds another's counts.
    pub fn add(&mut self, other: Self) {
        self.fields += other.fields;
        self.in_conflict += other.in_conflict;
        self.apart += other.apart;
        self.without_log += other.without_log;
    }
}

/// Holds every strand against the document.
///
/// # Panics
/// Where one reads otherwise.
pub fn hold(record: &mut Record) -> Compared {
    let rows = record.log_rows();
    let mut told = Compared::default();
    let with_log = Strands::of_log(&rows);
    for strand in strands_of(&rows) {
        let name = strand.name();
        let fields: BTreeSet<&String> = strand
            .rows()
            .iter()
            .flat_map(|row| row.fields.keys())
            .filter(|field| !field.is_empty())
            .collect();
        for (at, row) in strand.rows().iter().enumerate() {
            let change = &row.stamp.change;
            for field in &fields {
                let then = record.field_after(name.kind, &name.id, field, change);
                assert_eq!(
                    with_log.field_after(name, field, change),
                    then,
                    "{name} {field} after {change}"
                );
                let fresh = Strands::of([strand.clone()]);
                if row.fields.contains_key(*field) {
                    let alone = fresh.field_after(name, field, change);
                    if fresh.lacking().is_nothing() {
                        assert_eq!(alone, then, "{name} {field} after {change}, without the log");
                        told.without_log += 1;
                    }
                }
                let before = record.field_before(name, field, change);
                assert_eq!(
                    with_log.field_before(name, field, change),
                    before,
                    "{name} {field} before {change}"
                );
                told.fields += 1;
                told.in_conflict += usize::from(then.len() > 1 || before.len() > 1);
            }
            // With another that was made apart from it, where there is one.
            let apart = strand
                .rows()
                .iter()
                .skip(at + 1)
                .map(|row| row.stamp.change)
                .find(|other| !record.knew(other, change));
            let together: Vec<ChangeId> = std::iter::once(*change).chain(apart).collect();
            assert_eq!(
                with_log.entry_after(name, &together),
                record.entry_after(name.kind, &name.id, &together),
                "{name} after {together:?}"
            );
            told.apart += usize::from(apart.is_some());
        }
    }
    told
}

/// Holds what a store tells of the past against the document that it keeps.
///
/// # Panics
/// Where one reads otherwise, or a row tells otherwise of a change.
pub fn hold_store(store: &Store, record: &Id) -> Compared {
    let loaded = store.load_below(record, u32::MAX).unwrap();
    let seat = Seat {
        device: uuid::Uuid::nil(),
        run: [0; 8],
    };
    let mut document = Record::open(loaded.snapshot.as_deref(), &loaded.log, seat).unwrap();
    let rows = document.log_rows();
    assert_eq!(
        store.told_otherwise(record, &rows).unwrap(),
        0,
        "rows tell otherwise"
    );
    let mut told = Compared::default();
    for strand in strands_of(&rows) {
        let name = strand.name();
        for row in strand.rows() {
            let change = &row.stamp.change;
            for field in row.fields.keys().filter(|field| !field.is_empty()) {
                let after = lent(store, record, |past| past.field_after(name, field, change));
                let then = document.field_after(name.kind, &name.id, field, change);
                assert_eq!(after, then, "{name} {field} after {change}, from the store");
                let before = lent(store, record, |past| past.field_before(name, field, change));
                let then = document.field_before(name, field, change);
                assert_eq!(before, then, "{name} {field} before {change}, from the store");
                told.fields += 1;
                told.in_conflict += usize::from(before.len() > 1);
            }
            let left = lent(store, record, |past| past.left_by(name, change, |_| false));
            let then = document.entry_after(name.kind, &name.id, &[*change]);
            assert_eq!(left, then, "{name} as {change} left it, from the store");
            if Some(*change) == record::document::beginning() {
                // In no log, so that no row says what it made.
                continue;
            }
            let wrote_in = lent(store, record, |past| past.wrote_in(change));
            assert!(wrote_in.contains(name), "{change} wrote in {name}");
            assert!(
                document.wrote_in(change).is_subset(&wrote_in),
                "what stands of {change}"
            );
        }
    }
    told
}

/// Asks until nothing is lacking.
fn lent<T>(store: &Store, record: &Id, ask: impl Fn(&Strands) -> T) -> T {
    let mut past = Strands::default();
    loop {
        let made = ask(&past);
        if !store.lend_past(record, &mut past).unwrap() {
            return made;
        }
    }
}
