//! What entries read earlier, put together from what each change wrote into them: so nobody has to open a document to see how a
//! field came to read as it does. [`Past`] is how it is asked for; the document itself answers it too, and both answer alike. It judges nothing and reads
//! nothing from a disk: whoever has the rows lends them.

mod left;
mod text;

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashSet};

pub use crate::wrote::{Gone, Letters, Op, Put, Run, WHOLE, What, Wrote, WroteAll};

use crate::document::{Ledger, Logged, Record, beginning, begun};
use crate::entry::{Claim, Entry, Held, Scalar, Stamp};
use crate::hash::ChangeId;
use crate::name::Ref;

/// Who knew of what.
pub trait Knew {
    /// Whether whoever wrote `change` had `other` before them: it is the same change or builds on it.
    fn knew(&self, change: &ChangeId, other: &ChangeId) -> bool;
}

/// What a record read earlier.
pub trait Past: Knew {
    /// A field as it read right after a change, the shown value first.
    fn field_after(&self, name: &Ref, field: &str, change: &ChangeId) -> Vec<Claim>;

    /// A field as whoever wrote a change had it.
    fn field_before(&self, name: &Ref, field: &str, change: &ChangeId) -> Vec<Claim>;

    /// The entries that a change wrote in, as far as something of it stands there.
    fn wrote_in(&self, change: &ChangeId) -> BTreeSet<Ref>;
}

impl Knew for Ledger {
    fn knew(&self, change: &ChangeId, other: &ChangeId) -> bool {
        Ledger::knew(self, change, other)
    }
}

impl Knew for Record {
    fn knew(&self, change: &ChangeId, other: &ChangeId) -> bool {
        self.ledger().knew(change, other)
    }
}

impl Past for Record {
    fn field_after(&self, name: &Ref, field: &str, change: &ChangeId) -> Vec<Claim> {
        Record::field_after(self, name.kind, &name.id, field, change)
    }

    fn field_before(&self, name: &Ref, field: &str, change: &ChangeId) -> Vec<Claim> {
        let before = self.entry_before(name.kind, &name.id, change);
        before.map_or_else(Vec::new, |entry| entry.claims(field).to_vec())
    }

    fn wrote_in(&self, change: &ChangeId) -> BTreeSet<Ref> {
        let of = |entry: &&Entry| {
            let mut claims = entry.fields.values().flat_map(Held::claims);
            entry.made.change == *change || claims.any(|claim| claim.stamp.change == *change)
        };
        self.view().everything().filter(of).map(Entry::name).collect()
    }
}

/// What one change wrote into an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StrandRow {
    /// Who, when, in which change.
    pub stamp: Stamp,
    /// The actor of the change, in hex.
    pub actor: String,
    /// What, by field.
    pub fields: BTreeMap<String, Wrote>,
}

/// All that was ever written into one entry, each change after those it builds on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strand {
    name: Ref,
    rows: Vec<StrandRow>,
    /// The map that is read, of an entry that was made twice.
    map: Option<Op>,
}

impl Strand {
    /// The strand of an entry.
    #[must_use]
    pub fn new(name: Ref, mut rows: Vec<StrandRow>) -> Self {
        // The beginning is in no log.
        let begins = beginning();
        if rows.first().map(|row| row.stamp.change) != begins {
            let begun = begun().iter().filter_map(|row| written(row, &name));
            rows.splice(0..0, begun);
        }
        let mut strand = Self {
            name,
            rows,
            map: None,
        };
        strand.map = strand.maps().map(|(op, _)| op).max();
        strand
    }

    /// The entry.
    #[must_use]
    pub fn name(&self) -> &Ref {
        &self.name
    }

    /// Its changes, each after those it builds on.
    #[must_use]
    pub fn rows(&self) -> &[StrandRow] {
        &self.rows
    }

    /// The maps that were made for it: one, but for a device that two programs entered.
    fn maps(&self) -> impl Iterator<Item = (Op, &Stamp)> {
        self.rows.iter().flat_map(|row| {
            let puts = row.fields.get(WHOLE).into_iter().flat_map(|wrote| &wrote.puts);
            puts.map(|(number, _)| (op(row, *number), &row.stamp))
        })
    }

    /// A field as it reads for whoever has these changes.
    fn field(&self, field: &str, map: Option<&Op>, has: impl Fn(&ChangeId) -> bool) -> Vec<Claim> {
        let wrote = |row: &&StrandRow| row.fields.contains_key(field) && has(&row.stamp.change);
        let rows: Vec<(&StrandRow, &Wrote)> = self
            .rows
            .iter()
            .filter(wrote)
            .filter_map(|row| Some((row, row.fields.get(field)?)))
            .collect();
        let over: HashSet<&Op> = rows.iter().flat_map(|(_, wrote)| &wrote.over).collect();
        let mut standing: Vec<(Op, &Stamp, &What)> = Vec::new();
        for (row, wrote) in &rows {
            for (number, put) in &wrote.puts {
                let op = op(row, *number);
                let elsewhere = put.inside.as_ref().is_some_and(|inside| map != Some(inside));
                if !over.contains(&op) && !elsewhere {
                    standing.push((op, &row.stamp, &put.what));
                }
            }
        }
        // The one that is shown comes first.
        standing.sort_by(|(one, ..), (other, ..)| other.cmp(one));
        let claim = |(op, stamp, what): (Op, &Stamp, &What)| {
            let value = match what {
                What::Plain(value) => value.clone(),
                What::Text => Some(Scalar::Line(text_of(&rows, &op))),
                What::Other => return None,
            };
            Some(Claim {
                value,
                stamp: stamp.clone(),
            })
        };
        standing.into_iter().filter_map(claim).collect()
    }

    /// A field as it reads for whoever has these changes, the shown value first.
    #[must_use]
    pub fn field_for(&self, field: &str, has: impl Fn(&ChangeId) -> bool) -> Vec<Claim> {
        self.field(field, self.map.as_ref(), has)
    }

    /// The entry as it reads for whoever has these changes; nothing where it was not there yet.
    #[must_use]
    pub fn entry(&self, has: impl Fn(&ChangeId) -> bool) -> Option<Entry> {
        let made = self
            .maps()
            .filter(|(_, stamp)| has(&stamp.change))
            .max_by(|(one, _), (other, _)| one.cmp(other));
        let (map, made) = made?;
        let names: BTreeSet<&String> = self.rows.iter().flat_map(|row| row.fields.keys()).collect();
        let mut fields = BTreeMap::new();
        for field in names.into_iter().filter(|field| *field != WHOLE) {
            let claims = self.field(field, Some(&map), &has);
            if !claims.is_empty() {
                fields.insert(field.clone(), Held::new(claims));
            }
        }
        Some(Entry {
            kind: self.name.kind,
            id: self.name.id.clone(),
            made: made.clone(),
            fields,
        })
    }
}

fn op(row: &StrandRow, number: u64) -> Op {
    Op {
        number,
        actor: row.actor.clone(),
    }
}

/// What a text of a field reads, of what these changes wrote in it.
fn text_of(rows: &[(&StrandRow, &Wrote)], text: &Op) -> String {
    let letters: Vec<(&str, &Letters)> = rows
        .iter()
        .filter_map(|(row, wrote)| Some((row.actor.as_str(), wrote.letters.get(text)?)))
        .collect();
    text::of(&letters)
}

/// The strands of some entries, and as much of the log as tells who knew of what between them. What it was asked for and has not, it says:
/// whoever lends it more asks again until nothing is lacking.
#[derive(Debug, Default)]
pub struct Strands {
    all: BTreeMap<Ref, Strand>,
    log: Ledger,
    /// Changes that are in no log.
    nowhere: BTreeSet<ChangeId>,
    /// What some changes wrote in.
    wrote_in: BTreeMap<ChangeId, BTreeSet<Ref>>,
    /// Who knew of what, as it was told question by question.
    known: BTreeMap<Known, bool>,
    lacking: RefCell<Lacking>,
}

/// One question who knew of what: whether whoever wrote the first had the second.
pub type Known = (ChangeId, ChangeId);

/// What was asked for and is not at hand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lacking {
    /// Entries whose strands are wanted.
    pub strands: BTreeSet<Ref>,
    /// Changes of which it was asked who knew them, or whom they knew.
    pub changes: BTreeSet<ChangeId>,
    /// Changes of which it was asked what they wrote in.
    pub wrote_in: BTreeSet<ChangeId>,
    /// Single questions who knew of what.
    pub known: BTreeSet<Known>,
}

impl Lacking {
    /// Whether there is nothing.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        let nothing_of_strands = self.strands.is_empty() && self.changes.is_empty();
        nothing_of_strands && self.wrote_in.is_empty() && self.known.is_empty()
    }
}

/// What a change wrote in an entry.
fn written(row: &Logged, name: &Ref) -> Option<StrandRow> {
    let fields = row.wrote.get(&(name.kind, name.id.clone()))?;
    Some(StrandRow {
        stamp: Stamp {
            device: row.device.clone(),
            at: row.at,
            change: row.id,
        },
        actor: row.actor.clone(),
        fields: fields.clone(),
    })
}

/// The strands of all that these changes wrote in, each change after those it builds on.
#[must_use]
pub fn strands_of(log: &[Logged]) -> Vec<Strand> {
    let mut all: BTreeMap<Ref, Vec<StrandRow>> = BTreeMap::new();
    for row in log {
        for (kind, id) in row.wrote.keys() {
            let name = Ref::new(*kind, id.clone());
            let written = written(row, &name);
            all.entry(name).or_default().extend(written);
        }
    }
    all.into_iter()
        .map(|(name, rows)| Strand::new(name, rows))
        .collect()
}

impl Strands {
    /// All of a record, from its whole log.
    #[must_use]
    pub fn of_log(log: &[Logged]) -> Self {
        let mut all = Self::of(strands_of(log));
        all.lend_log(log.iter().map(|row| (row.id, row.deps.as_slice())));
        for row in log {
            let names = row.wrote.keys().map(|(kind, id)| Ref::new(*kind, id.clone()));
            all.lend_wrote_in(row.id, names.collect());
        }
        all
    }

    /// These.
    #[must_use]
    pub fn of(strands: impl IntoIterator<Item = Strand>) -> Self {
        let mut all = Self::default();
        strands.into_iter().for_each(|strand| all.lend(strand));
        all
    }

    /// One more.
    pub fn lend(&mut self, strand: Strand) {
        self.lacking.get_mut().strands.remove(&strand.name);
        self.all.insert(strand.name.clone(), strand);
    }

    /// A stretch of the log in place of the one before, each change after those it builds on. It goes from the first of all changes that
    /// were asked about to the last; those that it has not are in no log.
    pub fn lend_log<'a>(&mut self, log: impl IntoIterator<Item = (ChangeId, &'a [ChangeId])>) {
        let asked = std::mem::take(&mut self.lacking.get_mut().changes);
        self.log = Ledger::of_log(log);
        let log = &self.log;
        self.nowhere
            .extend(asked.into_iter().filter(|change| !log.has(change)));
    }

    /// The entries that a change wrote in.
    pub fn lend_wrote_in(&mut self, change: ChangeId, names: BTreeSet<Ref>) {
        self.lacking.get_mut().wrote_in.remove(&change);
        self.wrote_in.insert(change, names);
    }

    /// The answer to one question.
    pub fn lend_known(&mut self, question: Known, knew: bool) {
        self.lacking.get_mut().known.remove(&question);
        self.known.insert(question, knew);
    }

    /// What it was asked for and has not.
    #[must_use]
    pub fn lacking(&self) -> Lacking {
        self.lacking.borrow().clone()
    }

    /// The first change that the log at hand has, and the last.
    #[must_use]
    pub fn stretch(&self) -> Option<(&ChangeId, &ChangeId)> {
        self.log.first_and_last()
    }

    /// The strand of an entry; none where it is not at hand.
    #[must_use]
    pub fn get(&self, name: &Ref) -> Option<&Strand> {
        let found = self.all.get(name);
        if found.is_none() {
            self.lacking.borrow_mut().strands.insert(name.clone());
        }
        found
    }

    /// All that are at hand, by name.
    pub fn each(&self) -> impl Iterator<Item = &Strand> {
        self.all.values()
    }

    /// An entry for whoever has these changes and what they build on.
    #[must_use]
    pub fn entry_after(&self, name: &Ref, changes: &[ChangeId]) -> Option<Entry> {
        let strand = self.get(name)?;
        strand.entry(self.had_by(changes))
    }

    /// Who has these changes, has what besides: asked once, however much is held against it.
    fn had_by(&self, changes: &[ChangeId]) -> impl Fn(&ChangeId) -> bool {
        self.note_lacking(changes);
        let under = self.log.under(changes);
        let named: Vec<ChangeId> = changes.to_vec();
        move |other| {
            // The beginning is in no log, and everybody had it.
            if named.contains(other) || beginning().as_ref() == Some(other) {
                return true;
            }
            self.note_lacking(std::slice::from_ref(other));
            under.has(other)
        }
    }

    /// Remembers those of these changes of which nothing can be told.
    fn note_lacking(&self, changes: &[ChangeId]) {
        let lacks = |one: &&ChangeId| !self.log.has(one) && !self.nowhere.contains(*one);
        let mut lacking = changes.iter().filter(lacks).peekable();
        if lacking.peek().is_some() {
            self.lacking.borrow_mut().changes.extend(lacking.copied());
        }
    }
}

impl Knew for Strands {
    fn knew(&self, change: &ChangeId, other: &ChangeId) -> bool {
        if change == other || beginning().as_ref() == Some(other) {
            return true;
        }
        self.note_lacking(&[*change, *other]);
        self.log.knew(change, other)
    }
}

impl Past for Strands {
    fn field_after(&self, name: &Ref, field: &str, change: &ChangeId) -> Vec<Claim> {
        let Some(strand) = self.get(name) else {
            return Vec::new();
        };
        if let Some(alone) = strand.alone_after(field, change) {
            return alone;
        }
        strand.field_for(field, self.had_by(std::slice::from_ref(change)))
    }

    fn field_before(&self, name: &Ref, field: &str, change: &ChangeId) -> Vec<Claim> {
        let Some(strand) = self.get(name) else {
            return Vec::new();
        };
        let had = self.had_by(std::slice::from_ref(change));
        strand.field_for(field, |other| other != change && had(other))
    }

    /// All that it wrote in, whatever stands of it.
    fn wrote_in(&self, change: &ChangeId) -> BTreeSet<Ref> {
        let found = self.wrote_in.get(change);
        if found.is_none() {
            self.lacking.borrow_mut().wrote_in.insert(*change);
        }
        found.cloned().unwrap_or_default()
    }
}

impl Strand {
    /// What a field read after a change that wrote over all that was written there before: then nobody needs to know of what else its
    /// writer knew. Nothing where that has to be asked.
    fn alone_after(&self, field: &str, change: &ChangeId) -> Option<Vec<Claim>> {
        let at = self.rows.iter().position(|row| row.stamp.change == *change)?;
        let earlier = self.rows.get(..at)?;
        let wrote = self.rows.get(at)?.fields.get(field)?;
        let mut earlier = earlier
            .iter()
            .rev()
            .filter_map(|row| Some((row, row.fields.get(field)?)))
            .peekable();
        // What it was put over, and what that was put over, and so on. A text is never put over.
        let mut under: HashSet<Op> = wrote.over.iter().cloned().collect();
        if earlier.peek().is_some() && (wrote.puts.is_empty() || !wrote.letters.is_empty()) {
            return None;
        }
        for (row, wrote) in earlier {
            let all_under = wrote.puts.keys().all(|number| under.contains(&op(row, *number)));
            if !all_under || wrote.puts.is_empty() || !wrote.letters.is_empty() {
                return None;
            }
            under.extend(wrote.over.iter().cloned());
        }
        Some(self.field(field, self.map.as_ref(), |one| one == change))
    }
}
