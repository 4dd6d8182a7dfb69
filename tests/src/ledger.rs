//! An independent reckoning of what must be in a record: who wrote what, and having what before them. It knows
//! nothing of the document: it follows which device had which changes by the files that reached it, and says
//! from that alone which values must stand. A value that another knew and wrote over is in history; every other
//! one must be shown.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use record::entities::field_of;
use record::field::Shape;
use record::{ChangeId, Id, Kind, Logged, Record, Scalar, Touched, View};

/// Which changes someone has: one bit a change, by its number here.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Having(Vec<u64>);

impl Having {
    /// Adds one.
    pub fn add(&mut self, at: usize) {
        if self.0.len() <= at / 64 {
            self.0.resize(at / 64 + 1, 0);
        }
        self.0[at / 64] |= 1 << (at % 64);
    }

    /// Adds all of another's.
    pub fn join(&mut self, other: &Self) {
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), 0);
        }
        for (mine, theirs) in self.0.iter_mut().zip(&other.0) {
            *mine |= theirs;
        }
    }

    /// Whether one is among them.
    #[must_use]
    pub fn has(&self, at: usize) -> bool {
        self.0.get(at / 64).is_some_and(|word| word >> (at % 64) & 1 == 1)
    }

    /// Whether all of another's are among them.
    #[must_use]
    pub fn covers(&self, other: &Self) -> bool {
        let word = |at: usize| self.0.get(at).copied().unwrap_or(0);
        other
            .0
            .iter()
            .enumerate()
            .all(|(at, theirs)| theirs & !word(at) == 0)
    }

    /// How many.
    #[must_use]
    pub fn count(&self) -> usize {
        self.0.iter().map(|word| word.count_ones() as usize).sum()
    }
}

/// One writing of one field.
#[derive(Clone, Debug)]
pub struct Write {
    /// The number of its change.
    pub change: usize,
    /// What was written; nothing where it was emptied.
    pub value: Option<Scalar>,
}

/// Everything that any device ever wrote.
#[derive(Clone, Debug, Default)]
pub struct Reckoned {
    names: Vec<ChangeId>,
    numbers: HashMap<ChangeId, usize>,
    /// What the writer of each change had before it.
    before: Vec<Having>,
    /// Fields of one value.
    pub scalars: BTreeMap<(Kind, Id, String), Vec<Write>>,
    /// Prose.
    pub texts: BTreeMap<(Kind, Id, String), Vec<Write>>,
    /// Lines noted on sheets: the sheet and the line.
    pub lines: Vec<(Id, String)>,
    /// Sheets from which something was ever taken out.
    pub cut: BTreeSet<Id>,
}

/// How much was found where, so that a run in which nothing was at stake shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// Values that are the one shown.
    pub current: usize,
    /// Values shown beside others.
    pub in_conflict: usize,
    /// Values of entries that were struck out.
    pub struck: usize,
    /// Values that someone who knew them wrote over; read back out of history.
    pub in_history: usize,
    /// Noted lines that stand whole in their sheet.
    pub lines: usize,
    /// Noted lines that are only in history, since somebody wrote over the sheet.
    pub lines_in_history: usize,
}

impl Found {
    /// Adds another's counts.
    pub fn add(&mut self, other: Self) {
        self.current += other.current;
        self.in_conflict += other.in_conflict;
        self.struck += other.struck;
        self.in_history += other.in_history;
        self.lines += other.lines;
        self.lines_in_history += other.lines_in_history;
    }
}

fn is_text(kind: Kind, field: &str) -> bool {
    field_of(kind, field).is_some_and(|def| def.shape == Shape::Prose)
}

impl Reckoned {
    /// The number of a change, given to it when it is first heard of.
    pub fn number(&mut self, change: &ChangeId, before: &Having) -> usize {
        if let Some(at) = self.numbers.get(change) {
            return *at;
        }
        let at = self.names.len();
        self.names.push(*change);
        self.numbers.insert(*change, at);
        self.before.push(before.clone());
        at
    }

    /// The number of a change that is known.
    #[must_use]
    pub fn known(&self, change: &ChangeId) -> usize {
        self.numbers[change]
    }

    /// Takes down what a device wrote, as its own view reads right after it; `having` is what it has, and grows.
    pub fn wrote(&mut self, view: &View, changes: &[Logged], having: &mut Having) {
        for change in changes {
            let laid = change.device.is_none();
            // What the program itself lays down is the same change on every device, made on top of nothing of ours.
            let before = if laid { Having::default() } else { having.clone() };
            let at = self.number(&change.id, &before);
            having.add(at);
            if !laid {
                self.take_down(at, view, &change.touched);
            }
        }
    }

    fn take_down(&mut self, at: usize, view: &View, touched: &Touched) {
        for ((kind, id), fields) in touched {
            let entry = view.get(*kind, id);
            for field in fields.iter().filter(|field| !field.is_empty()) {
                let held = entry.and_then(|entry| entry.fields.get(field));
                let value = held.and_then(|held| held.value().cloned());
                let key = (*kind, id.clone(), field.clone());
                if is_text(*kind, field) {
                    // A sheet that was emptied has no entry: it reads as nothing.
                    let value = value.or(Some(Scalar::Line(String::new())));
                    self.texts
                        .entry(key)
                        .or_default()
                        .push(Write { change: at, value });
                } else {
                    if let Some(held) = held {
                        assert_eq!(
                            held.claims().len(),
                            1,
                            "a fresh value stands beside others: {key:?}"
                        );
                        assert_eq!(held.claims()[0].stamp.change, self.names[at], "{key:?}");
                    } else {
                        assert_eq!(*kind, Kind::Sheet, "{key:?} was written and does not show");
                    }
                    self.scalars
                        .entry(key)
                        .or_default()
                        .push(Write { change: at, value });
                }
            }
        }
    }

    /// The writings that nobody who knew them wrote over.
    #[must_use]
    pub fn standing<'a>(&self, writes: &'a [Write]) -> Vec<&'a Write> {
        let over = |write: &Write| {
            writes
                .iter()
                .any(|other| other.change != write.change && self.before[other.change].has(write.change))
        };
        writes.iter().filter(|write| !over(write)).collect()
    }

    /// Holds a record that has everything against what was reckoned.
    ///
    /// # Panics
    /// Where a value is lost, one is shown that nobody wrote, or history does not give one back.
    pub fn hold_against(&self, record: &mut Record) -> Found {
        let mut found = Found::default();
        let rows = record.log_rows();
        let touched: HashMap<&ChangeId, &Touched> = rows.iter().map(|row| (&row.id, &row.touched)).collect();
        for change in &self.names {
            assert!(
                touched.contains_key(change),
                "change {change} is not in the record"
            );
        }
        let kept = |key: &(Kind, Id, String), write: &Write| {
            let (kind, id, field) = key;
            let change = &self.names[write.change];
            let listed = touched[change].get(&(*kind, id.clone()));
            assert!(
                listed.is_some_and(|fields| fields.contains(field)),
                "history of {key:?} does not list {change}"
            );
            let then = record.field_after(*kind, id, field, change);
            assert_eq!(then.len(), 1, "{key:?} after {change}: {then:?}");
            assert_eq!(
                then[0].value, write.value,
                "{key:?} after {change} reads otherwise"
            );
        };
        for (key, writes) in &self.scalars {
            let (kind, id, field) = key;
            let entry = record.view().get(*kind, id);
            let shown: BTreeSet<(&ChangeId, Option<&Scalar>)> = entry
                .and_then(|entry| entry.fields.get(field))
                .into_iter()
                .flat_map(|held| held.claims())
                .map(|claim| (&claim.stamp.change, claim.value.as_ref()))
                .collect();
            let standing = self.standing(writes);
            let must: BTreeSet<_> = standing
                .iter()
                .map(|write| (&self.names[write.change], write.value.as_ref()))
                .collect();
            if entry.is_none() {
                // An emptied sheet: nothing of it may be left to show.
                assert_eq!(*kind, Kind::Sheet, "{key:?} has no entry");
                assert!(
                    must.iter().all(|(_, value)| value.is_none()),
                    "{key:?} lost {must:?}"
                );
            } else {
                assert_eq!(shown, must, "{key:?} does not show what nobody wrote over");
            }
            let struck = entry.is_some_and(|entry| !entry.stands());
            for write in writes {
                kept(key, write);
                let stands = standing.iter().any(|one| one.change == write.change);
                match (stands, struck, must.len()) {
                    (false, ..) => found.in_history += 1,
                    (true, true, _) => found.struck += 1,
                    (true, false, 1) => found.current += 1,
                    (true, false, _) => found.in_conflict += 1,
                }
            }
        }
        for (key, writes) in &self.texts {
            let (kind, id, field) = key;
            for write in writes {
                kept(key, write);
            }
            let shown = record.view().get(*kind, id).and_then(|entry| entry.value(field));
            if let [only] = self.standing(writes).as_slice() {
                let empty = Scalar::Line(String::new());
                let shown = shown.unwrap_or(&empty);
                assert_eq!(
                    Some(shown),
                    only.value.as_ref(),
                    "{key:?} is not what its last writer left"
                );
            }
        }
        self.nothing_invented(record.view());
        self.lines_of(record.view(), &mut found);
        found
    }

    /// Every field that shows was written by somebody.
    fn nothing_invented(&self, view: &View) {
        for entry in view.everything() {
            for field in entry.fields.keys() {
                let key = (entry.kind, entry.id.clone(), field.clone());
                let text = is_text(entry.kind, field);
                // Prose is laid down empty with the sheet and with the car, by the program.
                let laid = text && matches!(entry.kind, Kind::Sheet | Kind::Car);
                let known = self.scalars.contains_key(&key) || self.texts.contains_key(&key) || laid;
                assert!(known, "{key:?} shows and nobody wrote it");
            }
        }
    }

    fn lines_of(&self, view: &View, found: &mut Found) {
        for (sheet, line) in &self.lines {
            let text = view
                .get(Kind::Sheet, sheet)
                .and_then(|entry| entry.line("text"))
                .unwrap_or_default();
            if text.lines().any(|one| one == line) {
                found.lines += 1;
                continue;
            }
            assert!(
                self.cut.contains(sheet),
                "'{line}' is gone from {sheet}, from which nothing was taken: {text}"
            );
            let key = (Kind::Sheet, sheet.clone(), "text".to_owned());
            let in_history = self.texts[&key].iter().any(|write| {
                let text = write.value.as_ref().and_then(Scalar::line).unwrap_or_default();
                text.lines().any(|one| one == line)
            });
            assert!(in_history, "'{line}' is neither in {sheet} nor in its history");
            found.lines_in_history += 1;
        }
    }
}
