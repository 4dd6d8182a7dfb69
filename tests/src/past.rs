//! What entries read earlier, put together from what each change wrote, held against Automerge's own reading of the document as it
//! was then. Nothing is asked of a store here.

use std::collections::BTreeSet;

use record::past::{Knew as _, Past as _, Strands, strands_of};
use record::{ChangeId, Record};

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
