//! Entries at hand: what pages asked for is read from the read tables, and kept up with every commit after that. It is a copy of the
//! read tables and never the truth. While a document is open its own view serves, and nothing is kept twice.

use std::collections::BTreeMap;
use std::io::Write;

use record::{Entry, Id, Kind, Lack, Ref, View};
use store::Store;

use crate::refusal::Refusal;

/// Most bytes that are kept at hand between two questions, by the length of each entry's JSON.
pub(crate) const MOST: usize = 32 << 20;

/// The entries of one record, as far as they were asked for.
#[derive(Debug)]
pub(crate) struct Shelf {
    view: View,
    /// What each entry at hand weighs, and all of them together.
    weights: BTreeMap<Ref, usize>,
    weight: usize,
    most: usize,
}

impl Default for Shelf {
    fn default() -> Self {
        Self::within(MOST)
    }
}

/// How long an entry's JSON is.
fn weigh(entry: &Entry) -> usize {
    struct Counting(usize);
    impl Write for Counting {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0 = self.0.saturating_add(bytes.len());
            Ok(bytes.len())
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let mut counting = Counting(0);
    // An entry is strings, numbers and maps in order; one that could not be written would weigh as far as it was.
    let _ = serde_json::to_writer(&mut counting, entry);
    counting.0
}

impl Shelf {
    fn within(most: usize) -> Self {
        Self {
            view: View::part(),
            weights: BTreeMap::new(),
            weight: 0,
            most,
        }
    }

    /// How many bytes are at hand.
    pub(crate) fn weight(&self) -> usize {
        self.weight
    }

    fn put_on(&mut self, name: Ref, weight: usize) {
        let was = self.weights.insert(name, weight).unwrap_or(0);
        self.weight = self.weight.saturating_sub(was).saturating_add(weight);
    }

    /// Lets go of what was looked at longest ago, where there is too much, until half of the bound is left.
    fn let_go(&mut self) {
        if self.weight <= self.most {
            return;
        }
        let mut fresh = Self::within(self.most);
        for lack in self.view.lent() {
            let entries = self.view.answering(&lack);
            let new: Vec<(Ref, usize)> = entries
                .iter()
                .map(|entry| entry.name())
                .filter(|name| !fresh.weights.contains_key(name))
                .filter_map(|name| self.weights.get(&name).map(|weight| (name, *weight)))
                .collect();
            let more: usize = new.iter().map(|(_, weight)| weight).sum();
            if fresh.weight.saturating_add(more) > self.most / 2 {
                // What was looked at before that goes with it.
                break;
            }
            fresh.view.lend(lack, entries);
            for (name, weight) in new {
                fresh.put_on(name, weight);
            }
        }
        *self = fresh;
    }

    /// The view with all of these kinds in it.
    pub(crate) fn with(&mut self, store: &Store, record: &Id, kinds: &[Kind]) -> Result<&View, Refusal> {
        for kind in kinds {
            if !self.view.has_all(*kind) {
                self.fetch(store, record, Lack::Kind(*kind))?;
            }
        }
        Ok(&self.view)
    }

    /// What `make` makes of the record. It is asked again until everything that it looked for was there, so it may only read.
    pub(crate) fn read<T>(
        &mut self,
        store: &Store,
        record: &Id,
        make: impl Fn(&View) -> T,
    ) -> Result<T, Refusal> {
        self.let_go();
        self.view.next_question();
        // What was looked for past a reading is nobody's question.
        drop(self.view.lacking());
        loop {
            let made = make(&self.view);
            let lacking = self.view.lacking();
            if lacking.is_empty() {
                self.let_go();
                return Ok(made);
            }
            let (whole, some): (Vec<Lack>, Vec<Lack>) = lacking
                .into_iter()
                .partition(|lack| matches!(lack, Lack::Kind(_)));
            // What is of a kind that comes whole comes with it.
            for lack in whole {
                self.fetch(store, record, lack)?;
            }
            for lack in some {
                if !self.view.has_all(lack.kind()) {
                    self.fetch(store, record, lack)?;
                }
            }
        }
    }

    /// The same of what can be read: one that cannot is taken for one that is not here. It is for a shelf of its own, since what it has is
    /// not all there is.
    pub(crate) fn read_what_can_be<T>(
        mut self,
        store: &Store,
        record: &Id,
        make: impl Fn(&View) -> T,
    ) -> Result<T, Refusal> {
        loop {
            let made = make(&self.view);
            let lacking = self.view.lacking();
            if lacking.is_empty() {
                return Ok(made);
            }
            for lack in lacking {
                if self.fetch(store, record, lack.clone()).is_err() {
                    self.view.lend(lack, Vec::<Entry>::new());
                }
            }
        }
    }

    fn fetch(&mut self, store: &Store, record: &Id, lack: Lack) -> Result<(), Refusal> {
        let entries: Vec<Entry> = match &lack {
            Lack::One(name) => store.find(record, name)?.into_iter().collect(),
            Lack::Kind(kind) => store.entries(record, *kind)?,
            Lack::Naming(name, kind) => store.naming(record, *kind, name)?,
            Lack::Called(kind, title) => store.called(record, *kind, title)?,
            Lack::Asking(kind) => store.asking(record, *kind)?,
            Lack::Loose(kind) => store.loose(record, *kind)?,
            Lack::Counted(kind) => {
                self.view.lend_counts(*kind, store.counted(record, *kind)?);
                return Ok(());
            }
        };
        for entry in &entries {
            // What is at hand was kept up with every change.
            if !self.weights.contains_key(&entry.name()) {
                self.put_on(entry.name(), weigh(entry));
            }
        }
        self.view.lend(lack, entries);
        Ok(())
    }

    /// How many entries are at hand.
    pub(crate) fn count(&self) -> usize {
        self.view.count()
    }

    /// Puts entries that a commit wrote.
    pub(crate) fn put(&mut self, entries: &[Entry]) {
        for entry in entries {
            self.put_on(entry.name(), weigh(entry));
            self.view.put(entry.clone());
        }
    }

    /// Takes away what a commit left with nothing to read.
    pub(crate) fn take_away(&mut self, blank: &[Ref]) {
        for name in blank {
            let weight = self.weights.remove(name).unwrap_or(0);
            self.weight = self.weight.saturating_sub(weight);
            self.view.remove(name.kind, &name.id);
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use record::{Moment, View};
    use serde_json::json;
    use store::{Batch, Memory, RecordRow};

    use super::*;

    /// A store with parts whose note has so many bytes each.
    fn store_of(parts: usize, bytes: usize) -> (Store, Id) {
        let record: Id = "car-1".parse().unwrap();
        let now = Moment::from_seconds(1_930_000_000);
        let mut store = Store::over(Box::new(Memory::default()), now).unwrap();
        let row = RecordRow {
            id: record.clone(),
            car: "Tern".to_owned(),
            keeper: None,
            since: now,
        };
        let entries: Vec<Entry> = (0..parts).map(|number| part(number, bytes)).collect();
        let batch = Batch {
            begin: Some(&row),
            entries: &entries,
            ..Batch::default()
        };
        store.commit(&record, &batch).unwrap();
        (store, record)
    }

    fn part(number: usize, bytes: usize) -> Entry {
        let note = "x".repeat(bytes);
        let stamp = json!({ "device": "device-1", "at": "2031-03-01T18:00:00Z", "change": "a".repeat(64) });
        let claims = json!([{ "value": note, "stamp": stamp }]);
        serde_json::from_value(json!({
            "kind": "part", "id": format!("part-{number}"), "made": stamp, "fields": { "note": claims },
        }))
        .unwrap()
    }

    fn name(number: usize) -> Id {
        format!("part-{number}").parse().unwrap()
    }

    /// Looks at one part; whether it was there.
    fn look(shelf: &mut Shelf, (store, record): &(Store, Id), number: usize) -> bool {
        let find = |view: &View| view.get(Kind::Part, &name(number)).is_some();
        shelf.read(store, record, find).unwrap()
    }

    #[test]
    fn what_is_at_hand_is_within_its_bound_however_large_an_entry_is() {
        for bytes in [1, 100_000] {
            let kept = store_of(40, bytes);
            let each = weigh(&part(0, bytes));
            assert!(each > bytes && each < bytes + 1_000, "{each} for {bytes}");
            // Room for ten, and a little.
            let most = each * 10 + each / 2;
            let mut shelf = Shelf::within(most);
            let mut fullest = 0;
            for number in 0..40 {
                assert!(look(&mut shelf, &kept, number));
                assert!(shelf.weight() <= most, "{} of {most}", shelf.weight());
                fullest = fullest.max(shelf.count());
                let counted: usize = shelf.weights.values().sum();
                assert_eq!((shelf.weight(), shelf.weights.len()), (counted, shelf.count()));
            }
            assert!(fullest >= 8, "{fullest} of {bytes} bytes");
        }
    }

    #[test]
    fn what_was_looked_at_last_stays() {
        let kept = store_of(40, 1);
        let each = weigh(&part(10, 1));
        let mut shelf = Shelf::within(each * 10 + each / 2);
        for number in 10..20 {
            look(&mut shelf, &kept, number);
            // One that every question looks at.
            look(&mut shelf, &kept, 10);
        }
        look(&mut shelf, &kept, 20);
        let here = |number| {
            shelf
                .view
                .answering(&Lack::One(Ref::new(Kind::Part, name(number))))
                .len()
        };
        assert_eq!((here(20), here(10), here(19)), (1, 1, 1));
        assert_eq!((here(11), here(12)), (0, 0), "{} at hand", shelf.count());
        // What went is read again, and reads the same.
        assert!(look(&mut shelf, &kept, 11));
    }

    #[test]
    fn what_a_page_needs_is_all_there_for_it_and_let_go_after_it() {
        let kept = store_of(40, 1);
        let mut shelf = Shelf::within(1_000);
        let all = shelf
            .read(&kept.0, &kept.1, |view| view.all(Kind::Part).count())
            .unwrap();
        assert_eq!((all, shelf.count(), shelf.weight()), (40, 0, 0));
    }

    #[test]
    fn what_is_written_is_weighed_anew() {
        let kept = store_of(3, 1);
        let mut shelf = Shelf::default();
        look(&mut shelf, &kept, 1);
        let before = shelf.weight();
        shelf.put(&[part(1, 501)]);
        assert_eq!(shelf.weight(), before + 500);
        shelf.take_away(&[Ref::new(Kind::Part, name(1))]);
        assert_eq!((shelf.weight(), shelf.count()), (0, 0));
    }
}
