//! The Car place: the numbers, the tree of assemblies, and what is open inside each. It reads entries only.

use std::collections::BTreeMap;

use record::ending::{can_hurt, wants_mending};
use record::entities::{Assembly, Car, Finding, Part, PartRef};
use record::own_word::is_put_off;
use record::tightening::RunStanding;
use record::words::{AssemblyState, Differs};
use record::{Entity, Entry, Id, Kind, Ref, Tree, View, called};

use super::home::Home;
use super::lines::Reader;
use super::numbers;
use crate::wire::{AssemblyLine, CarPage, DiffersLine, Field, Named, Open};

/// What is in each assembly, with all that lies in it.
pub(super) struct Counts {
    tree: Tree,
    within: BTreeMap<Id, (Open, u32)>,
}

impl Counts {
    /// In every assembly of the car.
    pub(super) fn of(read: &Reader<'_>) -> Self {
        let view = read.view;
        let asking = [Kind::Job, Kind::HoldPoint].into_iter();
        // What is put off to a later round is not counted as to be done.
        let asking = asking
            .flat_map(|kind| view.asking(kind))
            .filter(|entry| !is_put_off(entry));
        // What these are at depends on more than their own word.
        let looked_at = [Kind::Finding, Kind::TighteningRun].into_iter();
        let looked_at = looked_at.flat_map(|kind| view.standing(kind));
        let all = asking.chain(looked_at);
        let at_home = all.filter_map(|entry| Some((read.home(&entry.name())?, entry)));
        Self::over(view, Tree::of_assemblies(view), at_home)
    }

    /// In an assembly and what is in it.
    pub(super) fn within(read: &Reader<'_>, id: &Id) -> Self {
        let view = read.view;
        let tree = Tree::around_assembly(view, id);
        let mut at_home = Vec::new();
        for inner in tree.within(id) {
            let home = Home::of_assembly(read, &inner);
            let looked_at = [Kind::Finding, Kind::TighteningRun].into_iter();
            let looked_at = looked_at.flat_map(|kind| home.of(read, kind));
            let all = home
                .asking(read)
                .filter(|entry| entry.kind != Kind::Finding && !is_put_off(entry));
            let all = all.chain(looked_at.filter(|entry| entry.stands()));
            at_home.extend(all.map(|entry| (inner.clone(), entry)));
        }
        Self::over(view, tree, at_home.into_iter())
    }

    fn over<'v>(view: &'v View, tree: Tree, asking: impl Iterator<Item = (Id, &'v Entry)>) -> Self {
        let mut within: BTreeMap<Id, (Open, u32)> = BTreeMap::new();
        for (home, entry) in asking {
            let at_hand = is_at_hand(view, &home);
            let (open, _) = within.entry(home).or_default();
            let count = match entry.kind {
                Kind::Job => &mut open.jobs,
                Kind::HoldPoint => &mut open.holds,
                Kind::TighteningRun if at_hand && is_unfinished(view, entry) => &mut open.runs,
                Kind::Finding if can_hurt(view, entry) => &mut open.dangers,
                Kind::Finding if is_to_mend(view, entry) => &mut open.findings,
                _ => continue,
            };
            *count = count.saturating_add(1);
        }
        // From the inside out, each once, however deep what came from outside is nested.
        for (_, id) in tree.lines().into_iter().rev() {
            let own = view.count_in(Kind::Part, &id);
            let here = within.entry(id.clone()).or_default();
            here.1 = here.1.saturating_add(own);
            let Some(up) = tree.parent(&id) else { continue };
            let (open, parts) = within.get(&id).cloned().unwrap_or_default();
            let sum = within.entry(up.clone()).or_default();
            sum.0.jobs = sum.0.jobs.saturating_add(open.jobs);
            sum.0.holds = sum.0.holds.saturating_add(open.holds);
            sum.0.dangers = sum.0.dangers.saturating_add(open.dangers);
            sum.0.findings = sum.0.findings.saturating_add(open.findings);
            sum.0.runs = sum.0.runs.saturating_add(open.runs);
            sum.1 = sum.1.saturating_add(parts);
        }
        Self { tree, within }
    }

    pub(super) fn tree(&self) -> &Tree {
        &self.tree
    }

    pub(super) fn line(&self, view: &View, depth: usize, id: &Id) -> Option<AssemblyLine> {
        let assembly = view.one::<Assembly>(id)?;
        let (open, parts) = self.within.get(id).cloned().unwrap_or_default();
        Some(AssemblyLine {
            id: id.clone(),
            name: called(assembly.name()),
            state: assembly.state().unwrap_or(AssemblyState::Fitted),
            state_contradicts: assembly
                .entry()
                .fields
                .get(Assembly::state)
                .is_some_and(record::Held::contradicts),
            depth: u32::try_from(depth).unwrap_or(u32::MAX),
            open,
            parts,
        })
    }
}

fn is_to_mend(view: &View, entry: &Entry) -> bool {
    Finding::of(entry).is_some_and(|finding| wants_mending(view, finding))
}

/// Whether an assembly is not closed: of what was closed over an unfinished run it is told on its own page, and its bolts are not read for
/// the list of all.
fn is_at_hand(view: &View, assembly: &Id) -> bool {
    view.one::<Assembly>(assembly).and_then(|one| one.state()) != Some(AssemblyState::Closed)
}

/// Whether bolts of a run are still to be tightened, or nobody can say that it is done.
fn is_unfinished(view: &View, entry: &Entry) -> bool {
    RunStanding::of(view, entry).map_or(true, |run| run.next.is_some() || !run.over.is_empty())
}

/// The Car place from a view of everything but the sheets.
pub(crate) fn car(read: &Reader<'_>) -> CarPage {
    let view = read.view;
    let counts = Counts::of(read);
    let car = view.get(Kind::Car, &Id::car());
    let mismatch = view.one::<Car>(&Id::car()).and_then(numbers::mismatch);
    let fields = Car::FIELDS.iter().map(|def| {
        let held = car.and_then(|car| car.fields.get(def.name));
        Field {
            field: def.name.to_owned(),
            value: held
                .and_then(|held| held.value().cloned())
                .filter(|value| value.line() != Some("")),
            contradicts: held.is_some_and(record::Held::contradicts),
            mismatch: (def.name == Car::papers_number)
                .then(|| mismatch.clone())
                .flatten(),
        }
    });
    let tree = counts
        .tree()
        .lines()
        .into_iter()
        .filter_map(|(depth, id)| counts.line(view, depth, &id));
    let whole_car = Ref::new(Kind::Car, Id::car());
    CarPage {
        name: called(view.one::<Car>(&Id::car()).and_then(|car| car.name())),
        fields: fields.collect(),
        tree: tree.collect(),
        in_struck: super::inside::in_struck(read, Kind::Assembly),
        // A part in an assembly that was struck out is shown there.
        loose_parts: view
            .loose(Kind::Part)
            .map(|entry| Named {
                name: entry.name(),
                title: record::edit::title(entry),
            })
            .collect(),
        photos_for_later: view.loose(Kind::Photo).map(|photo| read.photo(photo)).collect(),
        kept: read.kept_newest([&whole_car]),
    }
}

/// What differs from the book: every part that is not as it should be, what is in only for now before all else.
pub(crate) fn differs(read: &Reader<'_>) -> Vec<DiffersLine> {
    let line = |part: PartRef<'_>| {
        let differs = part.differs().filter(|differs| *differs != Differs::AsMade)?;
        let within = part.assembly().and_then(|link| link.id());
        let line = read.part(part);
        Some(DiffersLine {
            part: read.named(&part.entry().name()),
            within: within.map(|id| read.named(&Ref::new(Kind::Assembly, id))),
            differs,
            why: line.differs_why,
            lies: line.lies,
        })
    };
    let mut lines: Vec<DiffersLine> = read.view.each_standing::<Part>().filter_map(line).collect();
    let for_now = |line: &DiffersLine| matches!(line.differs, Differs::StandIn | Differs::Aid);
    let place = |line: &DiffersLine| line.within.as_ref().map(|within| within.title.clone());
    lines.sort_by_cached_key(|line| {
        (
            !for_now(line),
            place(line),
            line.part.title.clone(),
            line.part.name.clone(),
        )
    });
    lines
}
