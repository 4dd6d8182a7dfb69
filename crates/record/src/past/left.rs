//! An entry as whoever wrote a change left it, for a page that tells many of them: it costs what was written in each, and where somebody
//! else wrote there too the question who knew of that, each answered by itself. No stretch of the log is asked for.

use std::collections::{BTreeMap, BTreeSet};

use super::{StrandRow, Strands, WHOLE};
use crate::document::beginning;
use crate::entry::{Entry, Held, Stamp};
use crate::hash::ChangeId;
use crate::name::Ref;

/// The change by which an entry is read, with its place among those that wrote there; none where it wrote elsewhere.
type By<'a> = (&'a ChangeId, Option<usize>);

impl Strands {
    /// An entry as it read right after a change for whoever wrote it. A field that one of `theirs` wrote from that change on reads as the last
    /// of them left it: what a keeper words anew on the same evening is what they said. Nothing where it was not there yet, or is not at hand.
    #[must_use]
    pub fn left_by(&self, name: &Ref, change: &ChangeId, theirs: impl Fn(&Stamp) -> bool) -> Option<Entry> {
        let strand = self.get(name)?;
        let rows = strand.rows();
        let place = |change: &ChangeId| rows.iter().position(|row| row.stamp.change == *change);
        let at = place(change);
        let (map, made) = strand
            .maps()
            .filter(|(_, made)| self.had(rows, (change, at), &made.change))
            .max_by(|(one, _), (other, _)| one.cmp(other))?;
        let fields: BTreeSet<&String> = rows.iter().flat_map(|row| row.fields.keys()).collect();
        let mut read = BTreeMap::new();
        for field in fields.into_iter().filter(|field| *field != WHOLE) {
            let wrote = |row: &&StrandRow| row.fields.contains_key(field) && theirs(&row.stamp);
            let last = rows.iter().skip(at.unwrap_or(rows.len())).rev().find(wrote);
            let by = last.map_or((change, at), |row| (&row.stamp.change, place(&row.stamp.change)));
            let claims = strand.field(field, Some(&map), |other| self.had(rows, by, other));
            if !claims.is_empty() {
                read.insert(field.clone(), Held::new(claims));
            }
        }
        Some(Entry {
            kind: name.kind,
            id: name.id.clone(),
            made: made.clone(),
            fields: read,
        })
    }

    /// Whether whoever wrote a change had another of the same entry.
    fn had(&self, rows: &[StrandRow], (change, at): By<'_>, other: &ChangeId) -> bool {
        let place = rows.iter().position(|row| row.stamp.change == *other);
        match (at.and_then(|at| Some((at, rows.get(at)?))), place) {
            // Each lies after those it builds on.
            (Some((at, _)), Some(place)) if place >= at => place == at,
            // Nobody writes in what they do not have.
            (Some(_), Some(0)) => true,
            // A device has what it wrote before.
            (Some((_, row)), Some(place))
                if row.stamp.device.is_some()
                    && rows.get(place).map(|other| &other.stamp.device) == Some(&row.stamp.device) =>
            {
                true
            }
            _ => self.knew_alone(change, other),
        }
    }
}

impl Strands {
    fn knew_alone(&self, change: &ChangeId, other: &ChangeId) -> bool {
        if change == other || beginning().as_ref() == Some(other) {
            return true;
        }
        let question = (*change, *other);
        let found = self.known.get(&question);
        if found.is_none() {
            self.lacking.borrow_mut().known.insert(question);
        }
        found.copied().unwrap_or(false)
    }
}
