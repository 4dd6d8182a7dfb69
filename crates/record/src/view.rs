//! The record as pages and rules read it: entries by kind and id, and which of them point at what. It is the whole record, or a part of
//! it that says what it was asked for and has not at hand: whoever lends it more asks again until nothing is lacking. It reads nothing
//! itself, and what it has not is never taken for what is not there.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::entity::Entity;
use crate::entry::Entry;
use crate::links::links_of;
use crate::name::{Id, Kind, Ref};
use crate::own_word;
use crate::title::title;

/// What a part of a record was asked for and has not at hand.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lack {
    /// One entry.
    One(Ref),
    /// Every entry of a kind.
    Kind(Kind),
    /// The entries of a kind that point at something.
    Naming(Ref, Kind),
    /// The entries of a kind that are called something, in small letters.
    Called(Kind, String),
    /// The entries of a kind that ask for something, by their own word.
    Asking(Kind),
    /// The entries of a kind that do not say what they are of, or name what is not there.
    Loose(Kind),
    /// How many entries of a kind stand in each assembly.
    Counted(Kind),
}

impl Lack {
    /// Of which kind are the entries that are lacking.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self {
            Lack::One(name) => name.kind,
            Lack::Kind(kind)
            | Lack::Naming(_, kind)
            | Lack::Called(kind, _)
            | Lack::Asking(kind)
            | Lack::Loose(kind)
            | Lack::Counted(kind) => *kind,
        }
    }
}

/// Entries that stand in one order on every device.
#[derive(Clone, Debug, Default)]
pub struct View {
    entries: BTreeMap<Kind, BTreeMap<Id, Arc<Entry>>>,
    /// What points at something, by what it points at.
    naming: BTreeMap<String, BTreeSet<(Kind, Id)>>,
    /// What entries do not point at any more, since the view was made.
    former: BTreeMap<Ref, BTreeSet<String>>,
    /// Entries that ask for something, and those that do not say what they are of.
    asking: BTreeSet<(Kind, Id)>,
    loose: BTreeSet<(Kind, Id)>,
    /// Entries by what they are called; made when it is first asked for.
    called: OnceCell<Called>,
    /// How much of the record is at hand; all of it where nothing stands here.
    part: Option<Part>,
    /// What is looked at, while somebody wants to know.
    noted: RefCell<Option<BTreeSet<Lack>>>,
}

type Called = BTreeMap<(Kind, String), BTreeSet<Id>>;

/// How much of a record is at hand, and what was asked for beyond.
#[derive(Clone, Debug, Default)]
struct Part {
    /// What was lent, each with the number of the question that looked at it last.
    here: BTreeMap<Lack, Cell<u64>>,
    question: u64,
    counted: BTreeMap<(Kind, Id), u32>,
    lacking: RefCell<BTreeSet<Lack>>,
}

impl Part {
    fn has(&self, kind: Kind) -> bool {
        self.here.contains_key(&Lack::Kind(kind))
    }

    /// Notes that this is looked at; whether it is at hand.
    fn looks_at(&self, lack: &Lack) -> bool {
        let at = self.here.get(lack);
        at.map(|at| at.set(self.question)).is_some()
    }

    /// Writes down that this was asked for, unless it is at hand with its kind or by itself.
    fn ask(&self, kind: Kind, lack: impl FnOnce() -> Lack) {
        if self.looks_at(&Lack::Kind(kind)) {
            return;
        }
        let lack = lack();
        if !self.looks_at(&lack) {
            self.lacking.borrow_mut().insert(lack);
        }
    }

    fn lent(&mut self, lack: Lack) {
        self.here.insert(lack, Cell::new(self.question));
    }
}

/// Two views are one where they have the same entries, however they came by them.
impl PartialEq for View {
    fn eq(&self, other: &Self) -> bool {
        self.entries == other.entries
    }
}

impl Eq for View {}

impl View {
    /// A view of these entries, which are all there are.
    #[must_use]
    pub fn of(entries: impl IntoIterator<Item = Entry>) -> Self {
        let mut view = Self::default();
        for entry in entries {
            view.put(entry);
        }
        view
    }

    /// A part of a record, with nothing at hand yet.
    #[must_use]
    pub fn part() -> Self {
        Self {
            part: Some(Part::default()),
            ..Self::default()
        }
    }

    /// What it was asked for since the last time and had not at hand; it is not asked for again before it was lent.
    #[must_use]
    pub fn lacking(&self) -> BTreeSet<Lack> {
        let part = self.part.as_ref();
        part.map(|part| part.lacking.take()).unwrap_or_default()
    }

    /// What `make` makes, and all that it looked at here, found or not: as long as none of that changes, it makes the same.
    pub fn noting<T>(&self, make: impl FnOnce(&Self) -> T) -> (T, BTreeSet<Lack>) {
        let outer = self.noted.replace(Some(BTreeSet::new()));
        let made = make(self);
        let noted = self.noted.replace(outer).unwrap_or_default();
        (made, noted)
    }

    fn note(&self, lack: impl FnOnce() -> Lack) {
        if let Some(noted) = self.noted.borrow_mut().as_mut() {
            noted.insert(lack());
        }
    }

    /// Whether every entry of a kind is at hand.
    #[must_use]
    pub fn has_all(&self, kind: Kind) -> bool {
        self.part.as_ref().is_none_or(|part| part.has(kind))
    }

    /// How many entries are at hand.
    #[must_use]
    pub fn count(&self) -> usize {
        self.entries.values().map(BTreeMap::len).sum()
    }

    /// Takes what was lacking: all there is of it in the record.
    pub fn lend(&mut self, lack: Lack, entries: impl IntoIterator<Item = impl Into<Arc<Entry>>>) {
        for entry in entries {
            let entry: Arc<Entry> = entry.into();
            // What is here already was kept up with every change.
            if self.at(entry.kind, &entry.id).is_none() {
                self.put(entry);
            }
        }
        if let Some(part) = &mut self.part {
            part.lent(lack);
        }
    }

    /// Another question is asked from now on: what it looks at was looked at later than all that was before.
    pub fn next_question(&mut self) {
        if let Some(part) = &mut self.part {
            part.question = part.question.saturating_add(1);
        }
    }

    /// What was lent, that which was looked at last first; counts, which cost little, are not among it.
    #[must_use]
    pub fn lent(&self) -> Vec<Lack> {
        let part = self.part.iter().flat_map(|part| &part.here);
        let mut all: Vec<(&Lack, u64)> = part.map(|(lack, at)| (lack, at.get())).collect();
        all.retain(|(lack, _)| !matches!(lack, Lack::Counted(_)));
        all.sort_by_key(|(_, at)| std::cmp::Reverse(*at));
        all.into_iter().map(|(lack, _)| lack.clone()).collect()
    }

    /// The entries that answer this, as they read now, where it was lent.
    #[must_use]
    pub fn answering(&self, lack: &Lack) -> Vec<Arc<Entry>> {
        let found: Vec<&Entry> = match lack {
            Lack::One(name) => self.at(name.kind, &name.id).into_iter().collect(),
            Lack::Kind(kind) => self.all(*kind).collect(),
            Lack::Naming(name, kind) => self.naming(name, *kind).collect(),
            Lack::Called(kind, title) => self.called(*kind, title).collect(),
            Lack::Asking(kind) => self.asking(*kind).collect(),
            Lack::Loose(kind) => self.loose(*kind).collect(),
            Lack::Counted(_) => Vec::new(),
        };
        let shared = |entry: &Entry| self.entries.get(&entry.kind)?.get(&entry.id).cloned();
        found.into_iter().filter_map(shared).collect()
    }

    /// Puts an entry in place of the one before it.
    pub fn put(&mut self, entry: impl Into<Arc<Entry>>) {
        let entry: Arc<Entry> = entry.into();
        let (kind, id) = (entry.kind, entry.id.clone());
        let targets: BTreeSet<String> = links_of(&entry).into_iter().map(|(_, target)| target).collect();
        let was = self
            .entries
            .entry(kind)
            .or_default()
            .insert(id.clone(), Arc::clone(&entry));
        if let Some(was) = was {
            self.let_go(&was, &targets);
        }
        for target in targets {
            self.naming.entry(target).or_default().insert((kind, id.clone()));
        }
        keep(&mut self.asking, own_word::asks(&entry), (kind, &id));
        keep(&mut self.loose, own_word::is_loose(&entry), (kind, &id));
        if let Some(part) = &mut self.part {
            part.here.remove(&Lack::Counted(kind));
        }
        if let Some(called) = self.called.get_mut() {
            called.entry(called_as(&entry)).or_default().insert(id);
        }
    }

    /// Takes how many entries of a kind stand in each assembly; it holds until one of them is another.
    pub fn lend_counts(&mut self, kind: Kind, counts: impl IntoIterator<Item = (Id, u32)>) {
        if let Some(part) = &mut self.part {
            part.counted.retain(|(of, _), _| *of != kind);
            part.counted
                .extend(counts.into_iter().map(|(id, count)| ((kind, id), count)));
            part.lent(Lack::Counted(kind));
        }
    }

    /// Takes an entry away: a sheet from which the last word was taken is as one that was never written on.
    pub fn remove(&mut self, kind: Kind, id: &Id) {
        let Some(entries) = self.entries.get_mut(&kind) else {
            return;
        };
        let was = entries.remove(id);
        // A kind without entries reads the same whether it ever had one.
        if entries.is_empty() {
            self.entries.remove(&kind);
        }
        if let Some(was) = was {
            self.let_go(&was, &BTreeSet::new());
            self.asking.remove(&(kind, id.clone()));
            self.loose.remove(&(kind, id.clone()));
            if let Some(part) = &mut self.part {
                part.here.remove(&Lack::Counted(kind));
            }
        }
    }

    /// Takes an entry that reads otherwise now out of what it was found by.
    fn let_go(&mut self, was: &Entry, still: &BTreeSet<String>) {
        let key = (was.kind, was.id.clone());
        for (_, target) in links_of(was) {
            if still.contains(&target) {
                continue;
            }
            if let Some(naming) = self.naming.get_mut(&target) {
                naming.remove(&key);
                if naming.is_empty() {
                    self.naming.remove(&target);
                }
            }
            self.former.entry(was.name()).or_default().insert(target);
        }
        if let Some(called) = self.called.get_mut()
            && let Some(ids) = called.get_mut(&called_as(was))
        {
            ids.remove(&was.id);
        }
    }

    fn at(&self, kind: Kind, id: &Id) -> Option<&Entry> {
        self.entries.get(&kind)?.get(id).map(Arc::as_ref)
    }

    /// One entry, struck out or not.
    #[must_use]
    pub fn get(&self, kind: Kind, id: &Id) -> Option<&Entry> {
        let found = self.at(kind, id);
        let one = || Lack::One(Ref::new(kind, id.clone()));
        self.note(one);
        if let Some(part) = &self.part {
            match found {
                Some(_) if part.looks_at(&Lack::Kind(kind)) => {}
                Some(_) => drop(part.looks_at(&one())),
                None => part.ask(kind, one),
            }
        }
        found
    }

    /// One entry by reference.
    #[must_use]
    pub fn find(&self, name: &Ref) -> Option<&Entry> {
        self.get(name.kind, &name.id)
    }

    /// Every entry of a kind, struck out or not, by id.
    pub fn all(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.note(|| Lack::Kind(kind));
        if let Some(part) = &self.part {
            part.ask(kind, || Lack::Kind(kind));
        }
        let entries = self.entries.get(&kind).into_iter();
        entries.flat_map(BTreeMap::values).map(Arc::as_ref)
    }

    /// Every entry of a kind that stands.
    pub fn standing(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.all(kind).filter(|entry| entry.stands())
    }

    /// Every entry of every kind, by kind and id.
    pub fn everything(&self) -> impl Iterator<Item = &Entry> {
        Kind::ALL.iter().flat_map(|kind| self.all(*kind))
    }

    /// The entries of a kind that point at something in any of their fields, by id. It costs what it finds.
    pub fn naming<'v>(&'v self, target: &Ref, kind: Kind) -> impl Iterator<Item = &'v Entry> + use<'v> {
        self.note(|| Lack::Naming(target.clone(), kind));
        if let Some(part) = &self.part {
            part.ask(kind, || Lack::Naming(target.clone(), kind));
        }
        let named = self.naming.get(&target.to_string()).into_iter().flatten();
        named
            .filter(move |(of, _)| *of == kind)
            .filter_map(|(kind, id)| self.at(*kind, id))
    }

    /// The entries of a kind that ask for something, by id: open jobs and hold points, findings that can hurt.
    pub fn asking(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.note(|| Lack::Asking(kind));
        if let Some(part) = &self.part {
            part.ask(kind, || Lack::Asking(kind));
        }
        let asking = self.asking.iter().filter(move |(of, _)| *of == kind);
        asking.filter_map(|(kind, id)| self.at(*kind, id))
    }

    /// The entries of a kind that stand and do not say what they are of, or name an assembly that is not there, by id.
    pub fn loose(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.note(|| Lack::Loose(kind));
        self.note(|| Lack::Kind(Kind::Assembly));
        if let Some(part) = &self.part {
            part.ask(kind, || Lack::Loose(kind));
            // Whether an assembly is there can only be said of all of them.
            part.ask(Kind::Assembly, || Lack::Kind(Kind::Assembly));
        }
        let mut all: BTreeSet<&(Kind, Id)> = self.loose.iter().filter(|(of, _)| *of == kind).collect();
        for (target, naming) in self.naming.range("assembly:".to_owned().."assembly;".to_owned()) {
            let there = target
                .parse()
                .is_ok_and(|name: Ref| self.at(name.kind, &name.id).is_some());
            all.extend(naming.iter().filter(|(of, _)| !there && *of == kind));
        }
        let found = all.into_iter().filter_map(|(kind, id)| self.at(*kind, id));
        found.filter(|entry| {
            let home = crate::across::assembly(entry).and_then(|link| link.id());
            entry.stands() && home.is_none_or(|home| self.at(Kind::Assembly, &home).is_none())
        })
    }

    /// How many entries of a kind stand in an assembly.
    #[must_use]
    pub fn count_in(&self, kind: Kind, assembly: &Id) -> u32 {
        self.note(|| Lack::Counted(kind));
        match &self.part {
            Some(part) if !part.has(kind) => {
                part.ask(kind, || Lack::Counted(kind));
                part.counted.get(&(kind, assembly.clone())).copied().unwrap_or(0)
            }
            _ => {
                let named = self.naming(&Ref::new(Kind::Assembly, assembly.clone()), kind);
                let here = named.filter(|entry| {
                    entry.stands() && crate::across::assembly(entry) == Some(assembly.into())
                });
                u32::try_from(here.count()).unwrap_or(u32::MAX)
            }
        }
    }

    /// What an entry points at, and what it pointed at before it was changed under this view's eyes.
    #[must_use]
    pub fn pointed_at(&self, name: &Ref) -> BTreeSet<Ref> {
        let now = self
            .find(name)
            .into_iter()
            .flat_map(links_of)
            .map(|(_, target)| target);
        let former = self.former.get(name).into_iter().flatten().cloned();
        now.chain(former)
            .filter_map(|target| target.parse().ok())
            .collect()
    }

    /// The entries of a kind that are called the same, whatever the case of their letters, by id.
    pub fn called<'v>(&'v self, kind: Kind, title: &str) -> impl Iterator<Item = &'v Entry> + use<'v> {
        let plain = title.to_lowercase();
        self.note(|| Lack::Called(kind, plain.clone()));
        if let Some(part) = &self.part {
            part.ask(kind, || Lack::Called(kind, plain.clone()));
        }
        let called = self.called.get_or_init(|| {
            let mut called = Called::new();
            for entry in self.entries.values().flat_map(BTreeMap::values) {
                called
                    .entry(called_as(entry))
                    .or_default()
                    .insert(entry.id.clone());
            }
            called
        });
        let ids = called.get(&(kind, plain)).into_iter().flatten();
        ids.filter_map(move |id| self.at(kind, id))
    }

    /// The keeper whose device it is.
    #[must_use]
    pub fn keeper_of(&self, device: &Id) -> Option<Id> {
        self.one::<crate::entities::Device>(device)?.keeper()?.id()
    }
}

/// Keeps an entry in a set where it belongs there, and nowhere else.
fn keep(set: &mut BTreeSet<(Kind, Id)>, belongs: bool, (kind, id): (Kind, &Id)) {
    let key = (kind, id.clone());
    match belongs {
        true => set.insert(key),
        false => set.remove(&key),
    };
}

fn called_as(entry: &Entry) -> (Kind, String) {
    (entry.kind, title(entry).to_lowercase())
}

impl View {
    /// One of a kind, struck out or not.
    #[must_use]
    pub fn one<E: Entity>(&self, id: &Id) -> Option<E::Ref<'_>> {
        E::of(self.get(E::KIND, id)?)
    }

    /// Every one of a kind, struck out or not, by id.
    pub fn each<E: Entity>(&self) -> impl Iterator<Item = E::Ref<'_>> {
        self.all(E::KIND).filter_map(E::of)
    }

    /// Every one of a kind that stands.
    pub fn each_standing<E: Entity>(&self) -> impl Iterator<Item = E::Ref<'_>> {
        self.standing(E::KIND).filter_map(E::of)
    }
}
